"""The closed form of a board's volume, against sums of thin layers and simple bodies."""

import math

import numpy as np
import pytest

from mateline.cabinet.hole import Hole
from mateline.cabinet.joints import Round, section
from mateline.cabinet.panel import level
from mateline.cabinet.volume import hole_volume, holes_clear, volume
from solids import BEVEL, ENDS, HOLES, PLAIN, SQUARE, STEPPED, THICK, panel


def layered(board, layers=20_000):
    """Volume by the midpoint rule: slow, and knows nothing of sections."""
    step = board.thickness / layers
    total = 0.0
    for down in (np.arange(layers) + 0.5) * step:
        x, y = level(board, float(down)).T
        total += (x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2 * step
    return total


def test_a_plain_board_is_a_box():
    assert volume(panel(ENDS["plain"])) == pytest.approx(400 * 300 * 18, rel=1e-15)


@pytest.mark.parametrize("ends", ["one of each", "unlike rounds meeting"])
def test_the_closed_form_is_the_sum_of_thin_layers(ends):
    board = panel(ENDS[ends])
    assert volume(board) == pytest.approx(layered(board), rel=1e-7)


def test_a_round_along_one_edge_takes_the_square_less_the_quarter_circle():
    ends = (section("over", THICK, THICK, SQUARE, Round(6.0)), PLAIN, PLAIN, PLAIN)
    taken = 400 * 6**2 * (1 - math.pi / 4)
    assert volume(panel(ends)) == pytest.approx(400 * 300 * 18 - taken, rel=1e-14)


def test_a_head_that_goes_through_the_board_is_a_cone_frustum_alone():
    hole = Hole("x", "countersunk", (50.0, 50.0), 2.0, 2.0, head=50.0, head_angle=SQUARE)
    lower = 25.0 - THICK  # 45 degrees
    frustum = math.pi * THICK / 3 * (25.0**2 + 25.0 * lower + lower**2)
    assert hole_volume(hole, THICK) == pytest.approx(frustum, rel=1e-14)


def test_holes_are_taken_one_by_one():
    bare = volume(panel(ENDS["two bevels"]))
    holed = volume(panel(ENDS["two bevels"], HOLES))
    assert bare - holed == pytest.approx(sum(hole_volume(h, THICK) for h in HOLES), rel=1e-9)


@pytest.mark.parametrize(
    ("centre", "clear"),
    [
        ((40.0, 40.0), True),
        ((12.0, 150.0), False),  # through the bevel, 5.66 wide, of the left edge
        ((385.0, 150.0), False),  # inside the face, but the board is shorter below
        ((200.0, 100.0), False),  # into the slot
    ],
)
def test_a_hole_is_clear_only_inside_the_board_all_the_way(centre, clear):
    under = section("under", THICK, THICK, SQUARE, None)
    leaning = section("mitre", THICK, THICK, SQUARE, None)
    hole = Hole("x", "round", centre, 20.0, 20.0)
    board = panel((under, leaning, PLAIN, BEVEL), (HOLES[1], hole))
    assert holes_clear(board) is clear


def test_there_is_no_closed_form_for_a_hole_over_an_edge():
    hole = Hole("x", "round", (2.0, 150.0), 20.0, 20.0)
    with pytest.raises(ValueError, match="front: a hole runs over an edge"):
        volume(panel(ENDS["plain"], [hole]))


def test_an_inside_corner_is_no_obstacle():
    leaning = section("mitre", THICK, THICK, SQUARE, None)
    board = panel((PLAIN, PLAIN, leaning, leaning, PLAIN, PLAIN), outline=STEPPED)
    assert volume(board) == pytest.approx(layered(board), rel=1e-7)
