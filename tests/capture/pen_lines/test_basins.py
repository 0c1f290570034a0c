"""Areas of paper between lines, in spite of breaks.

Sheets are 60 by 40 mm with a box from (10, 10) to (50, 30), parted at x = 30; eight pixels to a mm,
squares of a quarter of a mm.
"""

import numpy as np
import pytest

from mateline.capture.pen_lines.basins import basins_of, lines_of
from mateline.capture.pen_lines.paper import paper_of, squares
from scenes.ruled import box, ruled

BOX = box(10, 10, 50, 30)


def found(lines, pen=0.8, **sheet):
    paper = paper_of(ruled(lines, (60, 40), pen=pen, **sheet), 8.0)
    ink = squares(paper.ink, paper.step)
    return basins_of(lines_of(ink, 0.25), ink, 0.25, pen)


def area_at(basins, x, y):
    return basins.numbers[int((40 - y) / 0.25), int(x / 0.25)]


def test_a_line_parts_a_box_and_the_paper_around_is_none_of_it():
    basins = found([BOX, [(30, 10), (30, 30)]])
    assert [area_at(basins, *at) for at in ((5, 5), (20, 20), (40, 20))] == [0, 1, 2]
    assert basins.numbers.max() == 2
    assert len(basins.loose) == 0


@pytest.mark.parametrize("bare", [0.8, 2.0, 3.2])
@pytest.mark.parametrize("pen", [0.5, 0.8, 1.2])
def test_a_break_stays_closed(bare, pen):
    half = (bare + pen) / 2  # the stroke's ends are round
    basins = found([BOX, [(30, 10), (30, 20 - half)], [(30, 20 + half), (30, 30)]], pen)
    assert basins.numbers.max() == 2
    row = basins.numbers[int(20 / 0.25)]
    assert abs(np.flatnonzero(row == area_at(basins, 40, 20))[0] * 0.25 - 30) <= 0.5


def test_a_line_that_stops_far_from_the_next_parts_nothing_and_is_told():
    basins = found([BOX, [(30, 10), (30, 20)]])
    assert basins.numbers.max() == 1
    ((column, row),) = basins.loose
    assert abs(column * 0.25 - 30) < 0.5
    assert 10 < 40 - row * 0.25 < 20


def test_specks_are_no_areas_and_no_lines():
    specks = [[(x, y), (x + 0.2, y)] for x in (15, 25, 35) for y in (15, 20, 25)]
    basins = found([BOX, *specks])
    assert basins.numbers.max() == 1
    assert len(basins.loose) == 0


def test_a_narrow_place_between_corners_parts_no_area():
    #  +-----\ /-----+   an hourglass on its side, 5 mm wide where it is narrowest
    #  +-----/ \-----+
    glass = [(10, 10), (30, 17.5), (50, 10), (50, 30), (30, 22.5), (10, 30), (10, 10)]
    assert found([glass]).numbers.max() == 1


def test_an_area_narrower_than_a_break_is_long_is_one():
    # 2.4 mm wide, a break of 3 mm in its side: neither opened nor cut in two
    strip = [(10, 10), (28.1, 10)], [(31.9, 10), (50, 10), (50, 12.4), (10, 12.4), (10, 10)]
    basins = found([*strip, box(5, 5, 55, 35)])
    assert basins.numbers.max() == 2
    assert area_at(basins, 15, 11.2) == area_at(basins, 30, 11.2) == area_at(basins, 45, 11.2)
    assert area_at(basins, 15, 11.2) != area_at(basins, 30, 8)
