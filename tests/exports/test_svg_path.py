import math

import pytest
from hypothesis import given
from hypothesis.strategies import booleans, floats

from mateline.curves import Chain, Segment, circle, length
from mateline.exports.svg_path import number, path_data
from svg_reading import Arc, segments


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0"), (-0.00001, "0"), (12.0, "12"), (100.0, "100"), (1 / 3, "0.3333"), (-2.5, "-2.5")],
)
def test_numbers_are_short_and_zero_has_no_sign(value, text):
    assert number(value) == text


def test_y_is_flipped_about_the_top():
    chain = Chain((1.0, 2.0), (Segment((3.0, 2.0)), Segment((3.0, 9.0))))
    assert path_data([chain], 10.0) == "M1 8L3 8L3 1"


def test_a_closed_chain_is_closed_with_z():
    assert path_data([circle((0.0, 0.0), 2.0)], 0.0).endswith("Z")


@given(
    floats(1, 3000),
    floats(0, math.tau),
    floats(0.01, math.tau - 0.01),
    booleans(),
)
def test_an_arc_read_back_has_its_centre_and_length(reach, first, turn, counterclockwise):
    """Read by end points and radius alone, as every SVG reader must."""
    centre = (1234.5678, 987.6543)
    last = first + (turn if counterclockwise else -turn)
    start, end = (
        (centre[0] + reach * math.cos(angle), centre[1] + reach * math.sin(angle))
        for angle in (first, last)
    )
    chain = Chain(start, (Segment(end, centre, counterclockwise),))
    found = segments(path_data([chain], 2000.0))
    assert all(isinstance(part, Arc) for part in found)
    assert sum(part.length for part in found) == pytest.approx(length(chain), abs=2e-3)
    # Rounding by 5e-5 moves a centre along the chord's bisector by 5e-5 / sin²(turn / 4) or so.
    blur = 4e-4 / math.sin(min(turn / len(found), math.pi) / 4) ** 2
    for part in found:
        assert math.dist(part.centre, (centre[0], 2000.0 - centre[1])) < blur
    if turn > 1:  # long arcs are written well enough to be cut within a micrometre
        middle = [math.dist(_middle(part), (centre[0], 2000 - centre[1])) for part in found]
        assert middle == pytest.approx([reach] * len(found), abs=1e-3)


def _middle(part):
    turned = math.atan2(part.start[1] - part.centre[1], part.start[0] - part.centre[0])
    angle = turned + part.turn / 2
    return (
        part.centre[0] + part.radii[0] * math.cos(angle),
        part.centre[1] + part.radii[0] * math.sin(angle),
    )


def test_an_arc_shorter_than_the_last_decimal_is_left_out():
    """SVG 2, 9.5.1: an arc whose ends are the same is not there; readers divide by its chord."""
    chain = Chain(
        (0.0, 0.0),
        (Segment((1e-6, 1e-6), (5.0, -5.0), counterclockwise=False), Segment((10.0, 0.0))),
    )
    assert path_data([chain], 0.0) == "M0 0L10 0"
