import math
from itertools import combinations

import pytest
import shapely
from shapely import Point, box

from mateline.errors import InputError
from mateline.stencil.sheets.nesting import laid, nested_on_sheets

SHEET = (500.0, 700.0)
GAP = 3.0
AREAS = {f"strip {at}": box(0, 0, 200 + 20 * at, 90 + 5 * at) for at in range(6)} | {
    f"disc {at}": Point(7, -9).buffer(60 + 5 * at) for at in range(5)
}


@pytest.fixture(scope="module")
def placed():
    return nested_on_sheets(AREAS, SHEET, gap=GAP, seconds=1)


def test_every_piece_lies_on_some_sheet_once(placed):
    assert sorted(each.piece for each in placed) == sorted(AREAS)
    assert {each.sheet for each in placed} == set(range(1 + max(each.sheet for each in placed)))


def test_pieces_keep_their_gap_to_each_other_and_to_the_edge(placed):
    room = box(0, 0, *SHEET).buffer(-GAP + 1e-3)  # spyrrow counts in 32-bit floats
    for one, other in combinations(placed, 2):
        if one.sheet == other.sheet:
            apart = laid(AREAS[one.piece], one).distance(laid(AREAS[other.piece], other))
            assert apart >= GAP - 1e-3
    assert all(room.covers(laid(AREAS[each.piece], each)) for each in placed)


def test_only_the_turns_that_the_grain_allows_are_used():
    found = nested_on_sheets(AREAS, SHEET, turns=(0.0, math.pi), seconds=1)
    assert {round(abs(math.remainder(each.turn, math.tau)), 6) for each in found} <= {
        0.0,
        round(math.pi, 6),
    }


def test_no_more_sheets_than_the_areas_ask_for(placed):
    least = math.ceil(sum(area.area for area in AREAS.values()) / (SHEET[0] * SHEET[1]))
    assert max(each.sheet for each in placed) + 1 <= least + 1


def test_a_piece_in_a_turned_frame_is_laid_where_it_says():
    (only,) = nested_on_sheets({"long": box(-900, 20, -300, 60)}, SHEET, seconds=1)
    area = laid(box(-900, 20, -300, 60), only)
    assert box(0, 0, *SHEET).covers(area)
    assert shapely.area(area) == pytest.approx(600 * 40)


def test_a_piece_larger_than_a_sheet_is_refused():
    with pytest.raises(ValueError, match="wide does not fit on a sheet with 494 x 694 mm free"):
        nested_on_sheets({"wide": box(0, 0, 600, 710)}, SHEET)


@pytest.mark.usefixtures("no_nester")
def test_without_the_nester_it_says_how_to_get_it():
    with pytest.raises(InputError) as caught:
        nested_on_sheets({"small": box(0, 0, 10, 10)}, SHEET)
    assert caught.value.remedy == 'Install it with: pip install "mateline[nest]"'
