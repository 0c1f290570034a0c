r"""Necks of areas whose widths are worked on the page."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats
from shapely import Point, Polygon, affinity, box

from mateline.stencil.necks import distinct, necks

# 60 +-----+         +-----+      two bodies of 40 x 60 and a bridge between them
#    |     +---------+     |      from y = 28 to y = 32
#    |     +---------+     |
#  0 +-----+         +-----+
#    0    40        80    120
DUMBBELL = box(0, 0, 40, 60) | box(40, 28, 80, 32) | box(80, 0, 120, 60)


def stretches(area):
    """The narrowest neck of each stretch that a disc of 6 across cannot sweep."""
    swept = area.buffer(-3.0, quad_segs=16).buffer(3.0, quad_segs=16)
    return distinct(necks(area, 6.0), area - swept, 6.0)


def test_a_bridge_is_one_neck_in_its_middle():
    (neck,) = stretches(DUMBBELL)
    assert neck.width == pytest.approx(4.0, abs=1e-12)
    assert neck.at == pytest.approx((60, 30))


def test_a_bridge_as_wide_as_the_least_width_is_none():
    assert necks(DUMBBELL, 4.0) == ()


@settings(deadline=None)
@given(turn=floats(0, math.tau), x=floats(-2000, 2000), y=floats(-2000, 2000))
def test_turning_and_moving_an_area_carries_its_neck_along(turn, x, y):
    there = affinity.translate(affinity.rotate(DUMBBELL, turn, (0, 0), use_radians=True), x, y)
    (neck,) = stretches(there)
    assert neck.width == pytest.approx(4.0, abs=1e-7)
    cos, sin = math.cos(turn), math.sin(turn)
    expected = (60 * cos - 30 * sin + x, 60 * sin + 30 * cos + y)
    assert neck.at == pytest.approx(expected, abs=1e-6)


def test_the_edges_of_a_tip_are_no_neck():
    assert necks(Polygon([(0, 0), (200, 0), (0, 20)]), 6.0) == ()


def test_a_gap_outside_the_area_is_no_neck():
    assert necks(box(0, 0, 100, 50) - box(49, 20, 51, 50), 6.0) == ()


def test_two_notches_that_face_each_other_leave_the_distance_of_their_points():
    """Points at (50, 27) and (53, 23): sqrt(3² + 4²) = 5."""
    area = Polygon([(0, 0), (43, 0), (53, 23), (63, 0), (100, 0), (100, 50), (60, 50),
                    (50, 27), (40, 50), (0, 50)])  # fmt: skip
    (neck,) = necks(area, 6.0)
    assert neck.width == pytest.approx(5.0, abs=1e-12)
    assert sorted(neck.ends) == [(50.0, 27.0), (53.0, 23.0)]


def test_a_hole_near_a_straight_border_leaves_their_distance():
    """A square of 20 on its corner, its lowest point at (50, 2.5)."""
    square = Polygon([(50, 2.5), (60, 12.5), (50, 22.5), (40, 12.5)])
    (neck,) = necks(box(0, 0, 100, 60) - square, 6.0)
    assert neck.width == pytest.approx(2.5, abs=1e-12)
    assert neck.at == pytest.approx((50, 1.25))


def test_a_narrow_ring_is_one_narrow_place():
    ring = Point(0, 0).buffer(50, quad_segs=64) - Point(0, 0).buffer(46, quad_segs=64)
    found = stretches(ring)
    assert len(found) == 1
    assert found[0].width == pytest.approx(4.0, abs=0.02)


def test_two_bridges_are_two_narrow_places_the_narrower_first():
    area = DUMBBELL | box(120, 20, 160, 25) | box(160, 0, 200, 60)
    found = stretches(area)
    assert [neck.width for neck in found] == pytest.approx([4.0, 5.0])


def test_a_bridge_drawn_with_many_points_is_still_one_place():
    area = DUMBBELL.segmentize(1.0)
    assert len(stretches(area)) == 1


def test_the_box_limits_where_necks_are_looked_for():
    area = DUMBBELL | box(120, 20, 160, 25) | box(160, 0, 200, 60)
    (neck,) = necks(area, 6.0, (130.0, 0.0, 150.0, 60.0))
    assert neck.width == pytest.approx(5.0)


def random_area(rng):
    """A star-shaped area with deep notches."""
    turns = np.sort(rng.uniform(0, math.tau, 14))
    reach = rng.uniform(8, 60, 14)
    return Polygon(np.column_stack([reach * np.cos(turns), reach * np.sin(turns)]))


@pytest.mark.parametrize("seed", range(40))
def test_an_area_comes_apart_when_moved_in_by_half_a_neck(seed):
    """The offset method, bisected: the width at which the area first falls into two parts.

    Small parts that vanish on the way are the reason for looking at the first split only.
    """
    area = random_area(np.random.default_rng(seed))
    if not area.is_valid:
        area = area.buffer(0)
    if area.geom_type != "Polygon":
        return
    widths = [neck.width for neck in necks(area, 30.0)]
    low, high = 0.0, 15.0
    grid = np.linspace(0.05, 14.9, 120)
    split = [d for d in grid if area.buffer(-d, quad_segs=64).geom_type == "MultiPolygon"]
    if not split:
        return
    high = split[0]
    low = grid[list(grid).index(high) - 1] if high > grid[0] else 0.0
    for _ in range(30):
        middle = (low + high) / 2
        apart = area.buffer(-middle, quad_segs=64).geom_type == "MultiPolygon"
        low, high = (low, middle) if apart else (middle, high)
    assert min(abs(width - 2 * high) for width in widths) < 0.01
