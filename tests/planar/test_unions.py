"""What is united, and the places that tell whether nothing of it was lost."""

import pytest
from shapely import Polygon, box

from mateline.planar.unions import _just_outside, united


def test_areas_that_overlap_touch_and_lie_apart_are_united():
    whole = united([box(0, 0, 2, 2), box(1, 1, 3, 3), box(3, 1, 4, 3), box(9, 9, 10, 10)])
    assert whole.area == pytest.approx(4 + 4 - 1 + 2 + 1)
    assert len(whole.geoms) == 2
    assert united([]).is_empty
    assert united([Polygon(), box(0, 0, 2, 1)]).equals(box(0, 0, 2, 1))


def test_places_just_outside_stand_beside_the_middle_of_each_edge():
    """Outside is also within a hole; an edge that is shorter than two of the steps has none."""
    found = _just_outside(box(0, 0, 4, 2), 0.125)
    assert {tuple(at) for at in found.tolist()} == {
        (2, -0.125),
        (4.125, 1),
        (2, 2.125),
        (-0.125, 1),
    }
    holed = box(0, 0, 8, 8).difference(box(2, 2, 6, 4))
    places = {tuple(at) for at in _just_outside(holed, 0.125).tolist()}
    assert {(4, 2.125), (5.875, 3), (4, 3.875), (2.125, 3), (4, -0.125)} <= places
    assert len(places) == 8
    assert len(_just_outside(box(0, 0, 4, 0.2), 0.125)) == 2
