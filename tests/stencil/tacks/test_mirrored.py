r"""Tacks taken over from the mirrored side.

A bar 500 long on the left; on the right its mirror image over x = 300, whole or changed:

    left   0 [==============] 500            right  100 [==============] 600
"""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import Point, affinity, box

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
ONE = Grid(turned=False, xs=(), ys=(), sheets=(Sheet(1, BAR.bounds),), joins=())
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


def shifted(area, by):
    return shapely.transform(area, lambda points: points + by)


#  Worked: over x = 300 and 7 up, (x, y) goes to (600 - x, y + 7), and a turn of 20° to 160°, which
#  is the same as -20° for a punch that looks alike turned by half.
def test_turns_are_mirrored_with_their_places():
    slanting = affinity.rotate(box(0, 0, 500, 17), 20, origin=(0, 0))  # narrow: only along it
    tacks = tacks_for(slanting, [], BOARD)
    assert {round(math.degrees(tack.turn), 6) for tack in tacks} == {20.0}
    up = np.array([[-1.0, 0.0, 600.0], [0.0, 1.0, 7.0]])
    like = OppositeSide((Piece("left R1", "left", "red", "R", 1, 0, slanting, tacks),), up, ONE)
    here = shapely.transform(slanting, lambda points: points * (-1, 1) + (600, 7))
    found = mirrored_tacks(here, "red", [], BOARD, like)
    assert [tack.centre for tack in found] == [
        pytest.approx((600 - tack.centre[0], tack.centre[1] + 7)) for tack in tacks
    ]
    assert [math.degrees(tack.turn) for tack in found] == pytest.approx([160.0] * len(tacks))
    assert all(here.contains_properly(patch(tack, BOARD)) for tack in found)


def tacked(number, area, tacks):
    return Piece(f"left R{number}", "left", "red", "R", number, 0, area, tuple(tacks))


HEIGHTS = [(9.9, True), (10.1, False), (-9.9, True), (-10.1, False)]


@pytest.mark.parametrize(("up", "taken"), HEIGHTS)
def test_a_twin_is_no_farther_than_a_centimetre(up, taken):
    """Bars of which each holds what the other's tacks lie on."""
    tacks = [replace(tack, centre=(tack.centre[0], 30.0)) for tack in tacks_for(BAR, [], BOARD)]
    board = replace(BOARD, reach=150.0)
    like = OppositeSide((tacked(1, box(0, -20, 500, 80), tacks),), ACROSS, ONE)
    here = box(100, -20 + up, 600, 80 + up)
    assert (mirrored_tacks(here, "red", [], board, like) is not None) == taken


def test_of_two_twins_the_nearest_is_taken():
    tacks = tacks_for(BAR, [], BOARD)
    high = [replace(tack, centre=(tack.centre[0], tack.centre[1] + 6)) for tack in tacks]
    for pieces in (
        (tacked(1, BAR, tacks), tacked(2, shifted(BAR, (0, 6)), high)),
        (tacked(2, shifted(BAR, (0, 6)), high), tacked(1, BAR, tacks)),
    ):
        like = OppositeSide(pieces, ACROSS, ONE)
        found = mirrored_tacks(shifted(TURNED, (0, 2)), "red", [], BOARD, like)
        assert {tack.centre[1] for tack in found} == {tack.centre[1] for tack in tacks}
        found = mirrored_tacks(shifted(TURNED, (0, 4)), "red", [], BOARD, like)
        assert {tack.centre[1] for tack in found} == {tack.centre[1] for tack in high}


def test_a_twin_with_one_tack_is_not_asked_and_one_with_two_is():
    short = box(0, 0, 150, 60)
    (one,) = tacks_for(short, [], BOARD)
    here = box(450, 0, 600, 60)
    alone = OppositeSide((tacked(1, short, [one]),), ACROSS, ONE)
    assert mirrored_tacks(here, "red", [], BOARD, alone) is None
    both = OppositeSide((tacked(1, short, [one, one]),), ACROSS, ONE)
    assert len(mirrored_tacks(here, "red", [], BOARD, both)) == 2


def test_tape_that_only_touches_the_rim_is_not_taken_over():
    tacks = tacks_for(BAR, [], BOARD)
    low = min(patch(tack, BOARD).bounds[1] for tack in tacks)
    for rim, taken in ((low, False), (low - 0.01, True)):
        like = OppositeSide((tacked(1, box(0, rim, 500, 60), tacks),), ACROSS, ONE)
        found = mirrored_tacks(box(100, rim, 600, 60), "red", [], BOARD, like)
        assert (found is not None) == taken
