"""How sure a place is, as a carpenter says it."""

import math

import pytest

from mateline.tape.solving.statistics import Ellipse
from mateline.tape.sureness import axes_said, sure_said

SLOPE = [("C-D", math.radians(160)), ("B-C", math.radians(90))]  # sides at a corner


def said(long, short, deg, unit="in", view="side", sides=SLOPE):
    return sure_said(Ellipse(long, short, math.radians(deg) % math.pi), sides, unit, view)


def test_a_corner_that_is_least_sure_along_a_side():
    # 1/16" is 1.5875 mm, 1/8" 3.175.
    assert said(3.1, 1.5, 165) == 'within 1/16" either way, 1/8" along C-D'
    assert said(3.1, 1.5, 165 - 180) == 'within 1/16" either way, 1/8" along C-D'


def test_one_that_is_as_sure_in_every_way():
    assert said(1.5, 1.1, 40) == 'within 1/16" either way'
    assert said(1.62, 1.58, 40) == 'within 3/32" either way'


@pytest.mark.parametrize(
    ("view", "deg", "way"),
    [
        ("side", 3, "front to back"),
        ("side", 177, "front to back"),
        ("side", 88, "up and down"),
        ("side", 45, "on a slant up to the back"),
        ("side", 135, "on a slant up to the front"),
        ("front", 0, "side to side"),
        ("front", 45, "on a slant up to the right"),
        ("plan", 90, "front to back"),
        ("plan", 135, "on a slant back to the left"),
    ],
)
def test_other_ways_are_told_as_the_view_has_them(view, deg, way):
    assert said(3, 1, deg, "mm", view, sides=[]) == f"within 1 mm either way, 3 mm {way}"


def test_a_corner_on_the_held_line_and_the_held_corner():
    assert said(1.1, 0.0, 0, "mm", sides=[("A-B", 0.0)]) == "within 1.5 mm along A-B"
    assert said(0.0, 0.0, 0) == ""


def test_axes_are_called_as_seen():
    assert [axes_said(view) for view in ("side", "plan", "front", None)] == [
        ("back", "up"),
        ("right", "back"),
        ("right", "up"),
        ("right", "up"),
    ]
