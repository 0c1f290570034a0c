r"""Tacks taken over from the mirrored side.

A bar 500 long on the left; on the right its mirror image over x = 300, whole or changed:

    left   0 [==============] 500            right  100 [==============] 600
"""

import math

import numpy as np
import pytest
from shapely import Point, box

from mateline.stencil.board import Board, Punch
from mateline.stencil.pieces import Piece
from mateline.stencil.sheets.joins import Grid, Sheet
from mateline.stencil.tacks.mirrored import OppositeSide, mirrored_tacks
from mateline.stencil.tacks.tape_tacks import out_of_reach, patch, tacks_for

BOARD = Board(
    sheet=(762.0, 1016.0),
    thickness=0.4,
    least_width=6.0,
    least_area=150.0,
    sharpest=math.radians(12),
    punches=(Punch(30, 12), Punch(6, 6, round=True)),
    reach=100.0,
    tape_margin=2.0,
    kerf=0.2,
)
BAR, TURNED = box(0, 0, 500, 60), box(100, 0, 600, 60)
ONE = Grid(turned=False, xs=(), ys=(), sheets=(Sheet("A1", BAR.bounds),), joins=())
ACROSS = np.array([[-1.0, 0.0, 600.0], [0.0, 1.0, 0.0]])  # x = 300 is the mirror


@pytest.fixture(scope="module")
def like():
    tacks = tacks_for(BAR, [], BOARD)
    assert len(tacks) > 2
    return OppositeSide((Piece("left R1", "left", "red", "R", 1, 0, BAR, tacks),), ACROSS, ONE)


def test_the_mirror_image_takes_the_mirrored_tacks(like):
    found = mirrored_tacks(TURNED, "red", [], BOARD, like)
    (twin,) = like.pieces
    assert [tack.centre for tack in found] == [
        pytest.approx((600 - x, y)) for x, y in (tack.centre for tack in twin.tacks)
    ]
    assert out_of_reach(TURNED, found, BOARD.reach) is None
    assert all(TURNED.contains_properly(patch(tack, BOARD)) for tack in found)


def test_another_colour_takes_nothing(like):
    assert mirrored_tacks(TURNED, "blue", [], BOARD, like) is None


def test_a_piece_elsewhere_takes_nothing(like):
    assert mirrored_tacks(box(100, 40, 600, 100), "red", [], BOARD, like) is None


def test_a_piece_that_the_tacks_would_not_hold_takes_nothing(like):
    longer = box(100, 0, 600, 60).union(box(590, 0, 605, 300)).difference(box(0, 70, 50, 80))
    middle = longer.centroid.distance(TURNED.centroid)
    moved = np.array([[0.0, 0.0, middle], [0.0, 0.0, 0.0]])
    likely = OppositeSide(like.pieces, np.add(ACROSS, moved), ONE)
    assert mirrored_tacks(longer, "red", [], BOARD, likely) is None


def test_a_piece_with_an_open_hole_under_a_tack_takes_nothing(like):
    (twin,) = like.pieces
    x, y = twin.tacks[0].centre
    hole = Point(600 - x, y).buffer(5)
    assert mirrored_tacks(TURNED, "red", [hole], BOARD, like) is None


def test_without_an_opposite_side_nothing_is_taken():
    assert mirrored_tacks(BAR, "red", [], BOARD, None) is None
