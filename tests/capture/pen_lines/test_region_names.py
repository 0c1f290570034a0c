"""Areas get the colours that somebody lists, points at or marks on the paper, in that order.

A (10, 40)   B (50, 41)     the highest places of four areas: A and B begin in one row
C (10, 20)   D (50, 20)
"""

from itertools import pairwise

import pytest

from mateline.capture.pen_lines.region_names import Wanted, grey, named, reading_order
from mateline.errors import InputError

CORNERS = [(50.0, 20.0), (10.0, 40.0), (50.0, 41.0), (10.0, 20.0)]  # D, A, B, C


def area_at(place):
    x, y = place
    if not (10 < x < 80 and 0 < y < 41):
        return None
    return {(0, 1): 1, (1, 1): 2, (0, 0): 3, (1, 0): 0}[int(x > 50), int(y > 20)]


def test_areas_are_read_from_the_top_and_from_the_left():
    assert reading_order(CORNERS) == [1, 2, 3, 0]


def test_a_list_names_areas_in_reading_order():
    naming = named(CORNERS, Wanted(listed=["a", "b", "c", "d"]), (), area_at, "scan.png")
    assert naming.names == ("d", "a", "b", "c")
    assert naming.unnamed == ()


def test_what_nobody_names_is_numbered_in_reading_order():
    naming = named(CORNERS, Wanted(points=[(20, 30, "a")]), [(0, "d")], area_at, "scan.png")
    assert naming.names == ("d", "a", "region-2", "region-3")
    assert naming.unnamed == (2, 3)


def test_a_point_counts_before_the_list_and_both_before_a_mark():
    wanted = Wanted(listed=["a", "b", "c", "d"], points=[(20, 30, "red")])
    assert named(CORNERS, wanted, [(1, "x"), (2, "y")], area_at, "").names == ("d", "red", "b", "c")


def test_marks_of_two_colours_in_one_area_are_told():
    naming = named(CORNERS, Wanted(), [(1, "red"), (1, "teal"), (1, "red")], area_at, "")
    assert naming.clashes == ((1, "red", "teal"),)


@pytest.mark.parametrize(
    ("wanted", "says"),
    [
        (Wanted(listed=["a", "b"]), "2 colours are listed for 4 areas"),
        (Wanted(points=[(90, 10, "a")]), "No area of the tracing is there for “a”"),
        (Wanted(points=[(20, 30, "a"), (21, 30, "b")]), "is to be “a” and “b” at once"),
    ],
)
def test_names_that_cannot_be_are_refused(wanted, says):
    with pytest.raises(InputError, match=says):
        named(CORNERS, wanted, (), area_at, "scan.png")


def test_greys_of_neighbours_in_order_differ():
    greys = [int(grey(at, 30)[1:3], 16) for at in range(30)]
    assert all(96 <= each <= 224 for each in greys)
    assert all(abs(a - b) > 20 for a, b in pairwise(greys))
