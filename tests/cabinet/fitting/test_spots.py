"""Hardware along an edge, worked on the page: the box is 400 deep, 500 high, 300 wide."""

import math

import pytest

from boxes import SQUARE, built, square

HOLES = """
[[hardware]]
name = "screw"
kind = "slot"
length = 20
width = 8
turn = {turn}
on = "box-left"
along = {{ edge = "{edge}", from = "{corner}", at = {at}, in = {inside}{more} }}
"""


def laid(edge, corner, at, inside, more="", make=square):
    along, _, turn = more.partition("; turn = ")
    text = HOLES.format(edge=edge, corner=corner, at=at, inside=inside, more=along, turn=turn or 0)
    return make(after=text).face("box-left").holes


# The left side seen from outside: the back at x = 0, the front at x = 400. A is its lower front.
@pytest.mark.parametrize(
    ("edge", "corner", "spot"),
    [
        ("bottom", "front", (400 - 60, 25)),
        ("bottom", "A", (400 - 60, 25)),
        ("bottom", "back", (60, 25)),
        ("top", "D", (400 - 60, 500 - 25)),
        ("front", "top", (400 - 25, 500 - 60)),
        ("back", "B", (25, 60)),
    ],
)
def test_a_place_lies_along_an_edge_from_a_corner(edge, corner, spot):
    (hole,) = laid(edge, corner, 60, 25)
    assert hole.centre == pytest.approx(spot)


def test_a_pitch_and_a_number_make_a_row():
    found = laid("bottom", "back", 60, 25, ", count = 3, pitch = 40")
    assert [hole.centre[0] for hole in found] == pytest.approx([60, 100, 140])
    assert [hole.name for hole in found] == ["screw 1", "screw 2", "screw 3"]


@pytest.mark.parametrize(("leave", "last"), [(60, 340), (100, 300), (101, 260)])
def test_as_many_as_fit_leave_at_least_so_much(leave, last):
    """From 60 at 40 each: the edge is 400 long, and 400 - 100 = 300 is the seventh."""
    found = laid("bottom", "back", 60, 25, f", pitch = 40, leave = {leave}")
    assert found[-1].centre[0] == pytest.approx(last)


def test_a_number_is_spread_evenly_between_both_ends():
    """From 60 to 400 - 40: five spaces of 60."""
    found = laid("bottom", "back", 60, 25, ", count = 6, leave = 40")
    assert [hole.centre[0] for hole in found] == pytest.approx([60, 120, 180, 240, 300, 360])


def test_turns_are_from_the_edge():
    """On the top edge of a side whose top slopes by 1 in 2, a slot lies along the slope."""
    slope = SQUARE.replace("C = [400, 500]", "C = [400, 300]").format(board=18, more="")

    def make(after):
        return built(slope + after)

    found = laid("top", "front", 100, 30, ", count = 2, pitch = 50", make)
    down = unit(found[0].centre, found[1].centre)
    # from the front's top (400, 500) to the back's (0, 300), seen from outside
    assert down == pytest.approx((-2 / math.sqrt(5), -1 / math.sqrt(5)))
    slope_of = math.atan2(down[1], down[0])
    assert math.sin(found[0].turn - slope_of) == pytest.approx(0, abs=1e-12)
    inward = -down[1], down[0]  # down the slope the board is on the left
    spot = 400 + 100 * down[0] + 30 * inward[0], 500 + 100 * down[1] + 30 * inward[1]
    assert found[0].centre == pytest.approx(spot)
    (turned, _) = laid("top", "front", 100, 30, ", count = 2, pitch = 50; turn = 90", make)
    assert abs(math.cos(turned.turn - found[0].turn)) == pytest.approx(0, abs=1e-12)


def unit(one, other):
    size = math.dist(one, other)
    return tuple((b - a) / size for a, b in zip(one, other, strict=True))


def test_uncertainty_is_along_the_edge_and_square_to_it():
    # Class II from the hook within the first metre, and half a graduation: see test_hardware_layout
    (hole,) = laid("bottom", "back", 60, 25)
    assert hole.deviation == pytest.approx((math.sqrt(0.49 / 3 + 1 / 12),) * 2)
