"""Shapes drawn twice are told by where they lie, not by their corners or boxes."""

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis.strategies import floats, integers, sampled_from
from shapely import Polygon, box

from mateline.drawing.duplicates import box_length, buried_duplicates
from mateline.drawing.fill_rule import enclosed
from mateline.drawing.shapes import Shape

TOL = 0.02


def buried(*areas):
    return buried_duplicates([Shape(area, "#000000", "shape") for area in areas], TOL)


#  20 +--.--+     one bow-tie opens left and right, the other up and down: the same corners, box,
#     | X |       area and length of rim, and no place in common
#   0 +--.--+ 30
def test_bow_ties_with_the_same_corners_are_both_kept():
    sides = enclosed([np.array([(0, 0), (30, 20), (30, 0), (0, 20.0)])], evenodd=True)
    ends = enclosed([np.array([(0, 0), (30, 0), (0, 20), (30, 20.0)])], evenodd=True)
    assert sides.area == ends.area
    assert buried(sides, ends) == frozenset()


def test_one_rim_with_other_vertices_is_one_shape():
    some = box(0, 0, 300, 200)
    assert buried(some, shapely.segmentize(some, 7.3)) == {0}


def test_a_disc_and_a_hair_round_it_are_two_shapes():
    #  rims lie within the tolerance of each other; the areas are the same by what lies elsewhere
    here, there = shapely.Point(0, 0).buffer(30, 64), shapely.Point(100, 0).buffer(30, 64)
    hair = shapely.Point(100, 0).buffer(30, 64).difference(shapely.Point(100, 0).buffer(29.99, 64))
    other = shapely.Point(0, 0).buffer(30, 64).difference(shapely.Point(0, 0).buffer(29.99, 64))
    one, two = shapely.union(here, hair), shapely.union(other, there)
    assert abs(one.area - two.area) < 1e-9
    assert buried(one, two) == frozenset()


def test_a_spike_between_two_corners_is_no_copy():
    plain = box(0, 0, 100, 100)
    #  narrower than the tolerance, but as long as ten
    spike = Polygon([(0, 0), (100, 0), (100, 50), (110, 50), (100, 50.01), (100, 100), (0, 100)])
    assert buried(spike, plain, box(0, 0, 110, 100)) == frozenset()


@settings(max_examples=60)
@given(
    integers(0, 10_000),
    sampled_from([3, 4, 5, 8, 60]),
    sampled_from([0.0, 1e-9, 0.004, 0.012, 0.019, 0.05]),
    floats(0.05, 80),
)
def test_what_is_dropped_is_never_seen_beside_its_twin(seed, count, noise, reach):
    rng = np.random.default_rng(seed)
    turn = np.sort(rng.uniform(0, 2 * np.pi, count))
    ring = reach * np.column_stack([np.cos(turn), np.sin(turn)]) * rng.uniform(0.5, 1, (count, 1))
    if count < 9 and rng.random() < 0.3:
        rng.shuffle(ring)
    moved = ring + rng.uniform(-noise, noise, ring.shape)
    if count < 9 and rng.random() < 0.3:
        rng.shuffle(moved)
    low, high = (enclosed([each], evenodd=bool(rng.integers(2))) for each in (ring, moved))
    if low.is_empty or high.is_empty or not buried(low, high):
        return
    bare = shapely.difference(low, high)
    assert bare.area <= TOL * box_length(low) * (1 + 1e-9)
    assert shapely.buffer(bare, -TOL).is_empty
