"""All pieces at once get the tacks that each gets alone, and no punch fits that was passed over."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import affinity, box

from mateline.stencil.board import Board, Punch
from mateline.stencil.tacks.patches import fitting, room_for, spans_at, turns_worth
from mateline.stencil.tacks.single import single_tacks
from mateline.stencil.tacks.tape_tacks import tacks_for, tacks_of

PUNCHES = (Punch(30, 12), Punch(16, 8), Punch(6, 6, round=True))
BOARD = Board((700.0, 1000.0), 0.4, 6.0, 150.0, 0.2, PUNCHES, 150.0, 2.0, 0.2)
HOLES = [box(-500, 40, 900, 44), box(30, -500, 33, 500)]


def shapes(seed):
    """Boxes, rings and hulls of scattered points, of all sizes about the reach of a tack."""
    rng = np.random.default_rng(seed)
    for size in rng.uniform(4, 400, 12):
        wide, high = size * rng.uniform(0.3, 1, 2)
        yield affinity.rotate(box(0, 0, wide, high), rng.uniform(0, 90))
        yield box(0, 0, wide, high).difference(box(wide / 3, high / 3, wide / 2, high / 2))
        yield shapely.convex_hull(shapely.multipoints(rng.uniform(0, size, (6, 2))))


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("holes", [[], HOLES])
def test_all_at_once_are_what_each_is_alone(seed, holes):
    areas = np.array(list(shapes(seed)), dtype=object)
    own = {3: [box(0, 0, 8, 8)], 5: [box(900, 0, 901, 1)]}
    found = tacks_of(areas, holes, own, BOARD)
    assert len(found) == len(areas)
    assert any(len(tacks) > 1 for tacks in found)
    for at, area in enumerate(areas):
        assert found[at] == tacks_for(area, [*holes, *own.get(at, ())], BOARD)


def test_no_areas_have_no_tacks():
    assert tacks_of(np.array([], dtype=object), HOLES, {}, BOARD) == []


@pytest.mark.parametrize("punch", PUNCHES)
def test_what_is_too_small_at_a_turn_takes_no_patch_anywhere(punch):
    rng = np.random.default_rng(5)
    areas = np.array(list(shapes(9)), dtype=object)
    corners, of = shapely.get_coordinates(areas, return_index=True)
    turns = turns_worth(corners, of)
    left = room_for(spans_at(corners, of, turns), turns, punch, BOARD)
    passed = np.where(np.isnan(left), turns, np.nan)
    assert not np.isnan(passed).all()
    for at, area in enumerate(areas):
        inner = (
            shapely.get_coordinates(area) * rng.uniform(0, 1, (len(area.exterior.coords), 1))
            if not area.interiors
            else shapely.get_coordinates(area.centroid)
        )
        tries = np.vstack([inner, shapely.get_coordinates(area.representative_point())])
        fits, _ = fitting(areas, np.full(len(tries), at), tries, passed, punch, BOARD)
        assert not fits.any()


def test_a_piece_wider_than_two_reaches_is_too_large_for_one_tack():
    # 2 x 150 mm across the corners: 212.13 mm square (Pythagoras).
    side = 300 / math.sqrt(2)
    areas = np.array([box(0, 0, by, by) for by in (side - 0.01, side + 0.01)], dtype=object)
    found, large = single_tacks(areas, areas, BOARD)
    assert (set(found), large) == ({0}, {1})


def only(area, free=None, board=BOARD):
    areas = np.array([area], dtype=object)
    found, large = single_tacks(areas, areas if free is None else np.array([free], object), board)
    return found.get(0), bool(large)


def test_a_tack_sits_in_the_middle_of_the_smallest_circle_with_the_largest_punch():
    """Of a box that is its centre; a punch of 30 x 12 lies along the longest edge."""
    for wide, high in ((100, 60), (60, 100), (34.5, 16.5)):
        tack, large = only(box(10, 20, 10 + wide, 20 + high))
        assert tack.centre == pytest.approx((10 + wide / 2, 20 + high / 2), abs=1e-6)
        assert (tack.punch, large) == (PUNCHES[0], False)
    assert math.degrees(only(box(0, 0, 16.5, 34.5))[0].turn) == pytest.approx(90)


@pytest.mark.parametrize(
    ("wide", "high", "punch"),
    [
        (34.1, 16.1, 0),  # 30 + 2 x 2 and 12 + 2 x 2 of margin
        (33.9, 16.1, 1),
        (34.1, 15.9, 1),
        (20.1, 12.1, 1),  # 16 + 4 and 8 + 4
        (19.9, 12.1, 2),
        (20.1, 11.9, 2),
        (10.1, 10.1, 2),  # 6 + 4 across
    ],
)
def test_each_punch_needs_its_own_room_and_two_margins(wide, high, punch):
    for area in (box(0, 0, wide, high), box(0, 0, high, wide)):
        assert only(area)[0].punch == PUNCHES[punch]


def test_what_no_punch_fits_has_no_tack_and_is_not_too_large():
    assert only(box(0, 0, 9.9, 200)) == (None, False)


@pytest.mark.parametrize("high", [240.0, 240.1])
def test_corners_just_in_reach_are_held(high):
    """The 3-4-5 triangle: of 180 x 240 the corners are 150 from the middle."""
    tack, large = only(box(0, 0, 180, high))
    assert (tack is not None, large) == ((True, False) if high == 240 else (False, True))


def test_of_all_places_the_one_that_is_nearest_to_the_corners_is_taken():
    """The middle of the circle round this right triangle is that of its longest side, (60, 45)."""
    tack, _ = only(shapely.Polygon([(0, 0), (120, 0), (0, 90)]))
    inner = shapely.Point(tack.centre)
    assert inner.distance(shapely.Point(60, 45)) < 8 + 0.5  # half of 12 and the margin


def test_a_tack_that_may_not_lie_in_the_middle_lies_as_near_as_it_can():
    """A hole of 100 x 100 in the middle: its rim is 50 off, and half of 12 and the margin add 8."""
    area = box(-120, -90, 120, 90)
    free = area.difference(box(-50, -50, 50, 50))
    tack, _ = only(area, free, replace(BOARD, reach=250.0))
    assert max(map(abs, tack.centre)) < 50 + 8 + 15 + 2 + 0.5
    assert math.hypot(*tack.centre) < 50 + 15 + 2 + 0.5


def test_a_tack_off_the_middle_must_still_reach_every_corner():
    """Its tape begins at x = 40, so it is at 57 or more, and 157 from the corners at x = -100."""
    area, free = box(-100, -15, 100, 15), box(40, -15, 100, 15)
    assert only(area, free, replace(BOARD, reach=156.0))[0].punch != PUNCHES[0]
    tack, _ = only(area, free, replace(BOARD, reach=175.0))
    assert (tack.punch, tack.centre[0] >= 57) == (PUNCHES[0], True)
