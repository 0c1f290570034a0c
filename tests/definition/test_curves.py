"""Curves of a definition, and what is refused of them."""

import pytest

from boxes import faults_of
from curved_boxes import curved


def arcs(curves, panels=""):
    cabinet = curved(curves, panels)
    return {arc.label: arc for arc in cabinet.outlines["box"].arcs}


def test_each_way_to_measure_a_curve():
    # The bow of 40 over 400 has a radius of 520, and is 30.4 high a quarter of the way.
    found = arcs(
        "C-D = { rise = 40 }\n"
        "D-A = { radius = 900, hollow = true }\n"
        "A-B = { points = [[100, 30.4], [200, 40], [300, 30.4]] }"
    )
    assert found["C-D"].radius == pytest.approx(520, abs=1e-6)
    assert found["D-A"].radius == pytest.approx(-900, abs=1e-4)
    assert found["A-B"].radius == pytest.approx(520, abs=1)


def test_a_round_corner_and_a_tangent():
    found = arcs("B = { radius = 60 }", 'heel = { edge = "B" }')
    assert found["B"].radius == pytest.approx(60, abs=1e-4)


@pytest.mark.parametrize(
    ("curves", "words"),
    [
        ("C-E = { rise = 40 }", "no corner"),
        ("A-C = { rise = 40 }", "no side of the outline"),
        ("C-D = {}", "Nothing says"),
        ('C-D = { tangent = ["C"], hollow = true }', "It has no effect where tangents alone"),
        ("C-D = { rise = -40 }", "not more than 0"),
        ('B = { radius = 60, tangent = ["B"] }', "by its radius alone"),
        ("C-D = { rise = 40, sag = 3 }", "knows no such word"),
    ],
)
def test_what_is_no_curve_is_told(curves, words):
    assert words in " ".join(faults_of(lambda: curved(curves)))
