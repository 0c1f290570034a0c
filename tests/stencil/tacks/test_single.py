"""All pieces at once get the tacks that each gets alone, and no punch fits that was passed over."""

import math

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
