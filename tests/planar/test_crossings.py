"""Crossings of few lines, all of which are looked at, counted on the page."""

import numpy as np
import pytest
import shapely

from mateline.planar.crossings import boxes_of, crossings, meet_more_than, ranges


def counted(*lines, few=0.0):
    """Pairs of boxes that meet, and crossings, of lines end to end."""
    sizes = np.array([len(line) for line in lines])
    first = np.cumsum(sizes) - sizes
    return crossings(np.vstack(lines).astype(float), first, first + sizes - 1, few)


GRID = [[(-0.5, at), (9.5, at)] for at in range(10)] + [[(at, -0.5), (at, 7.5)] for at in range(10)]
#  0   2     a zigzag of three edges, and one edge over it
#  -\-/-\-
#    1   3
ZIGZAG = [(0, 1), (1, 0), (2, 1), (3, 0)]


@pytest.mark.parametrize(
    ("lines", "pairs", "crossed"),
    [
        (GRID, 80, 80),
        ([ZIGZAG, [(-1, 0.5), (4, 0.5)]], 1, 3),
        ([[(-1, 0.5), (4, 0.5)], ZIGZAG], 1, 3),
        ([[(0, 0), (1, 1)], [(1, 1), (2, 0)]], 1, 0),  # they share an end
        ([[(0, 0), (4, 4)], [(1, 1), (2, 0)]], 1, 1),  # an end within the other line: they touch
        ([[(0, 0), (4, 4)], [(3, 0), (4, 1)]], 1, 0),  # their boxes alone meet
        ([[(0, 0), (1, 1)], [(2, 0), (3, 1)]], 0, 0),
        ([[(0, 0), (1, 1)], [(0, 2), (1, 3)]], 0, 0),
    ],
)
def test_crossings_of_few_lines_are_counted(lines, pairs, crossed):
    assert counted(*lines) == (pairs, crossed)


def test_what_can_be_no_more_than_few_is_not_looked_for():
    """20 lines of one edge: 200 pairs at most, and 80 whose boxes meet."""
    assert counted(*GRID, few=200) == counted(*GRID, few=80) == (0, 0)
    assert counted(*GRID, few=79) == (80, 80)


def test_ranges_follow_one_another():
    assert ranges(np.array([3, 7, 0]), np.array([5, 7, 3])).tolist() == [3, 4, 0, 1, 2]


def test_boxes_are_those_of_each_line():
    points = np.array([(0, 1), (1, 0), (2, 5), (7, 7), (6, 9)], dtype=float)
    assert boxes_of(points, np.array([0, 3]), np.array([2, 4])).tolist() == [
        [0, 0, 2, 5],
        [6, 7, 7, 9],
    ]


def test_many_boxes_that_meet_are_told_whatever_the_batches():
    """200 in a row, each touching the next: 199 pairs, asked for 16, 32, 64 and 128 at a time."""
    row = np.array([(at, 0, at + 1, 1) for at in range(200)], dtype=float)
    assert meet_more_than(row, 198)
    assert not meet_more_than(row, 199)
    apart = shapely.bounds(shapely.box(np.arange(50) * 2.0, 0, np.arange(50) * 2.0 + 1, 1))
    assert not meet_more_than(apart, 0)


def test_a_box_that_meets_all_others_counts_wherever_it_stands():
    """The whole, and 40 boxes apart within it: 40 pairs."""
    small = np.array([(2 * at, 0, 2 * at + 1, 1) for at in range(40)], dtype=float)
    for boxes in (np.vstack([[0, 0, 80, 1], small]), np.vstack([small, [0, 0, 80, 1]])):
        assert meet_more_than(boxes, 39)
        assert not meet_more_than(boxes, 40)
