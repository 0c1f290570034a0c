"""Boxes of parts on whole sheets: none laps another, none leaves its sheet, all are there."""

import itertools

import pytest
from hypothesis import given
from hypothesis.strategies import floats, lists, tuples
from shapely import box

from mateline.stencil.sheets.guillotine import APART, Part, packed

SHEET = (1000.0, 600.0)


def lying(laid):
    wide, high = laid.part.wide, laid.part.high
    if laid.turned:
        wide, high = high, wide
    (x, y) = laid.at
    return box(x, y, x + wide, y + high)


def test_two_halves_lie_on_one_sheet_and_a_whole_takes_its_own():
    # 497.5 + 5 + 497.5 is 1000.
    parts = [Part("a", 497.5, 600), Part("b", 1000, 600), Part("c", 497.5, 600)]
    found = packed(parts, SHEET)
    assert [(each.part.name, each.sheet, each.at) for each in found] == [
        ("b", 0, (0.0, 0.0)),
        ("a", 1, (0.0, 0.0)),
        ("c", 1, (502.5, 0.0)),
    ]


def test_a_part_is_turned_where_it_fits_no_other_way():
    (found,) = packed([Part("tall", 500, 900)], SHEET)
    assert found.turned
    assert lying(found).bounds == (0, 0, 900, 500)


def test_a_part_larger_than_a_sheet_is_refused():
    with pytest.raises(ValueError, match=r"long of 1000\.1 by 10\.0 mm fits on no sheet"):
        packed([Part("long", 1000.1, 10.0)], SHEET)


def test_nothing_takes_no_sheet():
    assert packed([], SHEET) == ()


@given(lists(tuples(floats(5, 999), floats(5, 599)), min_size=1, max_size=30))
def test_no_part_laps_another_or_leaves_its_sheet(sizes):
    parts = [Part(f"part {at}", *size) for at, size in enumerate(sizes)]
    found = packed(parts, SHEET)
    assert sorted(each.part.name for each in found) == sorted(part.name for part in parts)
    for each in found:
        assert box(0, 0, *SHEET).buffer(2e-3).covers(lying(each))
    for one, other in itertools.combinations(found, 2):
        if one.sheet == other.sheet:
            assert lying(one).distance(lying(other)) > APART - 2e-3
    assert packed(list(reversed(parts)), SHEET) == found
