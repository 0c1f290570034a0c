"""Two demos measured from a simulated truth: what comes out is the truth, as far as the tape goes.

The true corners, mm, from which each cabinet's readings were made with the errors of a class II
tape (uniform within its limits, JCGM 100:2008, 4.3.7) and read to its graduation.
"""

import json
import math
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest

from mateline.cli import main
from mateline.survey import surveyed
from mateline.tape.accuracy import limit

CABINETS = Path(__file__).parents[1] / "cabinets"
TRUTH = {
    "eight-winds": [(0, 0), (380.7, -0.1), (648.4, 265.5), (646.4, 645.0), (378.8, 911.8),
                    (0.6, 914.3), (-266.2, 644.6), (-265.2, 266.1)],
    "night-ferry": [(0, 0), (642.3, 1.4), (639.1, 1701.2), (238.4, 1758.7), (196.9, 1451.3),
                    (331.6, 1119.2), (21.7, 902.6)],
}  # fmt: skip
WALLS = ("south", "southeast", "east", "northeast", "north", "northwest", "west", "southwest")
RISE = 46.3  # mm, of the bow
CHI_SQUARE = 5.991  # 2 degrees of freedom, 95 %


@cache
def job(name):
    return surveyed(CABINETS / name)


def true_corners(name):
    """The truth, laid as outlines are: the first corner at 0, the second on +x."""
    at = np.array(TRUTH[name], dtype=float)
    x, y = (at[1] - at[0]) / math.dist(at[0], at[1])
    return (at - at[0]) @ np.array([[x, -y], [y, x]])


@pytest.mark.parametrize("name", TRUTH)
def test_corners_are_where_they_are_said_to_be(name):
    (outline,) = job(name).cabinet.outlines.values()
    assert outline.verdict == "closes"
    off = outline.points - true_corners(name)
    inside = [abs(off[1, 0]) <= 1.96 * outline.deviations[1, 0]]
    for corner in range(2, len(off)):
        rows = slice(2 * corner, 2 * corner + 2)
        away = np.linalg.solve(outline.covariance[rows, rows], off[corner])
        inside.append(off[corner] @ away <= CHI_SQUARE)
    assert np.mean(inside) >= 0.95


def test_the_table_s_walls_are_as_wide_as_they_are():
    true = TRUTH["eight-winds"]
    for wall, (one, other) in zip(WALLS, pairwise([*true, true[0]]), strict=True):
        face = job("eight-winds").cabinet.face(f"table-{wall}")
        wide = face.outline.bounds[2]
        length = math.dist(one, other)
        assert abs(wide - length) <= 0.3 + limit(length, job("eight-winds").definition.tape)


def test_the_bowed_front_is_as_long_as_its_curve():
    *_, deck, low = (*TRUTH["night-ferry"], TRUTH["night-ferry"][0])
    chord = math.dist(deck, low)
    # R = c²/8s + s/2, and the arc is 2 R asin(c / 2 R): the carpenter's sagitta.
    reach = chord * chord / (8 * RISE) + RISE / 2
    arc = 2 * reach * math.asin(chord / 2 / reach)
    (outline,) = job("night-ferry").cabinet.outlines.values()
    (curve,) = outline.arcs
    tape = job("night-ferry").definition.tape
    assert abs(curve.rise - RISE) <= 0.3 + limit(RISE, tape)
    face = job("night-ferry").cabinet.face("body-front")
    # The bent board ends below the deck and above the floor, half a board's turn each.
    assert arc - 60 < face.outline.bounds[3] < arc + 1


def test_hardware_lies_where_it_was_typed():
    table, ferry = job("eight-winds").cabinet, job("night-ferry").cabinet
    plate = [hole for hole in table.face("table-southeast").holes if "leg" in hole.name]
    inch = 25.4
    assert len(plate) == 4
    middle = np.mean([hole.centre for hole in plate], axis=0)
    south = table.face("table-southeast").panel.outline
    assert min(x for x, _ in south) + 7.4375 * inch == pytest.approx(middle[0], abs=0.1)
    places = [hole.centre for hole in plate]
    spans = [math.dist(one, other) for one, other in combinations(places, 2)]
    assert sorted(spans) == pytest.approx(
        [2 * inch] * 2 + [3 * inch] * 2 + [math.hypot(2, 3) * inch] * 2, abs=0.1
    )
    twins = [hole for hole in table.face("table-southwest").holes if "leg" in hole.name]
    assert len(twins) == 4
    buttons = [hole for hole in ferry.face("body-deck").holes if "button" in hole.name]
    apart = math.dist(*(hole.centre for hole in buttons))
    assert apart == pytest.approx(620 - 2 * 150, abs=0.1)  # 150 in from either side of 620
    bolts = [hole for hole in ferry.face("body-left").holes if "bolt" in hole.name]
    ups = sorted(hole.centre[1] for hole in bolts)
    assert np.diff(ups) == pytest.approx([np.diff(ups)[0]] * 3, abs=0.1)


@pytest.mark.parametrize("name", TRUTH)
def test_the_demo_comes_out_without_a_stop_or_a_warning(name, capsys):
    assert main(["check", str(CABINETS / name), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert {each["level"] for each in found["findings"]} <= {"note"}
