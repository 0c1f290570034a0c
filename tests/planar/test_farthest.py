"""Distances of lines along their edges: worked on the page, and against many points of a line."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis.strategies import floats, integers, lists, tuples
from shapely import LineString, MultiLineString

from mateline.planar.farthest import farther, farthest

#  2 +---+     both have these corners: the one joins them crosswise and up, the other crosswise
#    | X |     and along
#  0 +---+ 2
UP = LineString([(0, 0), (2, 2), (2, 0), (0, 2), (0, 0)])
ALONG = LineString([(0, 0), (2, 0), (0, 2), (2, 2), (0, 0)])


def test_bow_ties_with_the_same_corners_are_not_alike():
    assert shapely.hausdorff_distance(UP, ALONG) == 0
    #  halfway up a side, to a diagonal: the root of a half
    place, far = farthest(UP, ALONG, 1e-9)
    assert far == pytest.approx(math.sqrt(0.5), abs=1e-8)
    assert (place[0] % 2, place[1]) == (0, pytest.approx(1, abs=1e-4))
    assert farther(UP, ALONG, 0.7)
    assert not farther(UP, ALONG, 0.71)


def test_a_line_is_as_far_as_its_farther_end_from_a_line_beside_it():
    assert farthest(LineString([(1, 1), (5, 3)]), LineString([(0, 0), (9, 0)]), 1e-9) == (
        (5.0, 3.0), 3.0,
    )  # fmt: skip


def test_a_place_between_two_edges_is_found_though_both_ends_are_on_them():
    posts = MultiLineString([[(0, 0), (0, 1)], [(8, 0), (8, 1)]])
    place, far = farthest(LineString([(0, 0.5), (8, 0.5)]), posts, 1e-9)
    assert (place, far) == ((pytest.approx(4), 0.5), pytest.approx(4))


def test_the_same_line_with_other_vertices_is_nowhere_away():
    one = LineString(np.column_stack([np.linspace(0, 700, 12), np.zeros(12)]))
    other = LineString(np.column_stack([np.linspace(0, 700, 31), np.zeros(31)]))
    assert not farther(one, other, 1e-6)
    assert not farther(other, one, 1e-6)


corners = lists(tuples(integers(0, 20), integers(0, 20)), min_size=2, max_size=7, unique=True)


@given(corners, corners, floats(1e-3, 10))
def test_many_points_of_a_line_say_the_same(one, other, than):
    one, other = LineString(one), LineString(other)
    spots = shapely.points(shapely.get_coordinates(shapely.segmentize(one, 0.02)))
    looked = float(shapely.distance(spots, other).max())
    _, far = farthest(one, other, 1e-6)
    assert looked - 1e-6 <= far <= looked + 0.0101  # half the way between two points
    if farther(one, other, than):
        assert far > than * (1 - 2e-3) - 1e-6
    else:
        assert looked <= than
