"""Borders are made of the fewest lines and arcs within the tolerance, told by trying all."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, integers

from mateline.borders.arc_fitting import FLATTEST, bows_of, deviations, longest
from mateline.borders.fewest import fewest

TOLERANCE = 0.02


def least_number(points):
    """Fewest segments by brute force: every pair of vertices tried, each with its own arcs."""
    one, other = np.triu_indices(len(points), 1)
    fits = (bows_of(points, one, other, TOLERANCE).off <= TOLERANCE) | (other - one == 1)
    reached = np.full(len(points), len(points))
    reached[0] = 0
    for to in range(1, len(points)):
        reached[to] = 1 + min(reached[a] for a in one[fits & (other == to)])
    return int(reached[-1])


def joints(points):
    return fewest(points, np.array([0]), np.array([len(points) - 1]), TOLERANCE)


def drawn(seed):
    """A short stretch of some kind: noise, a wave, a Bézier, a walk, a shallow curve."""
    dice = np.random.default_rng(seed)
    count = int(dice.integers(4, 16))
    s = np.linspace(0, 1, count)[:, None]
    if seed % 5 == 0:
        return np.hstack([20 * s, dice.normal(0, 0.02, (count, 1))])
    if seed % 5 == 1:
        return np.hstack([10 * s, np.sin(s * dice.uniform(2, 12))])
    if seed % 5 == 2:
        a, b, c, d = dice.uniform(-5, 5, (4, 2))
        return (1 - s) ** 3 * a + 3 * s * (1 - s) ** 2 * b + 3 * s**2 * (1 - s) * c + s**3 * d
    if seed % 5 == 3:
        return np.cumsum(dice.normal(0, 0.05, (count, 2)), axis=0)
    return np.hstack([5 * s, 0.3 * s**2]) + dice.normal(0, 0.008, (count, 2))


@pytest.mark.parametrize("first", range(0, 200, 25))
def test_short_stretches_have_as_few_segments_as_trying_all_pairs_finds(first):
    for seed in range(first, first + 25):
        points = drawn(seed)
        assert len(joints(points)) == least_number(points)


def test_each_segment_of_the_fewest_follows_its_vertices():
    for seed in range(60):
        points = drawn(seed)
        last = joints(points)
        first = np.append(0, last[:-1])
        off = bows_of(points, first, last, TOLERANCE).off
        assert (off[last - first > 1] <= TOLERANCE).all()


def test_both_greedy_ways_need_as_many_segments_on_a_smooth_curve():
    t = np.linspace(0, 3, 200)
    points = np.column_stack([30 * t, 10 * np.sin(2 * t)])
    ahead, _ = longest(points, np.array([0]), np.array([199]), TOLERANCE)
    back, _ = longest(points, np.array([199]), np.array([0]), TOLERANCE)
    assert len(ahead) == len(back) == len(joints(points))


#        .-.
#    o--'   `--.   .--o      the same turned about its middle: an S
#               `-'
@pytest.mark.parametrize("rise", [0.005, 0.019, 0.021, 0.1, 3.0])
def test_a_point_symmetric_s_has_no_arc_of_an_absurd_radius(rise):
    x = np.linspace(-40, 40, 41)
    points = np.column_stack([x, rise * np.sin(x * math.pi / 40)])
    last = joints(points)
    bows = bows_of(points, np.append(0, last[:-1]), last, TOLERANCE)
    arcs = bows.sin != 0
    assert (np.abs(bows.sin[arcs]) >= FLATTEST * (1 - 1e-6)).all()
    assert (bows.off <= TOLERANCE).all()
    assert (len(last) == 1) == (rise < TOLERANCE)


def test_a_straight_edge_that_noding_moved_by_a_hair_is_one_line():
    points = np.array([(0, 0), (31, 1e-4), (64, -2e-4), (100, 0)], dtype=float)
    bows = bows_of(points, np.array([0]), np.array([3]), TOLERANCE)
    assert (bows.sin.item(), bows.cos.item()) == (0.0, 1.0)


@settings(deadline=None)
@given(half=floats(0.01, 3.1), left=integers(0, 1), count=integers(15, 60))
def test_an_arc_s_own_vertices_give_it_back_whatever_its_turn(half, left, count):
    turn = half if left else -half
    reach = 1 / abs(math.sin(half))
    start = math.atan2(-math.copysign(reach * math.cos(half), turn), -1)
    angle = start + 2 * turn * np.arange(count + 1) / count
    middle = np.array([0, math.copysign(reach * math.cos(half), turn)])
    points = middle + reach * np.column_stack([np.cos(angle), np.sin(angle)])
    sagitta = reach * (1 - math.cos(half / count))
    bows = bows_of(points, np.array([0]), np.array([count]), 1.01 * sagitta + 1e-9)
    found = math.atan2(bows.sin.item(), bows.cos.item())
    straight = reach * (1 - math.cos(half)) <= 1.01 * sagitta + 1e-9
    assert found == pytest.approx(0 if straight else turn, abs=1e-6)
    assert bows.off.item() == pytest.approx(sagitta, rel=1e-6, abs=1e-9) or straight


def test_a_facet_s_middle_counts_as_its_ends_do():
    # A chord over a quarter turn of radius 1 leaves it by 1 - cos(45 degrees) at its middle.
    points = np.array([(1, 0), (math.sqrt(0.5), math.sqrt(0.5)), (0, 1)])
    loose = bows_of(points, np.array([0]), np.array([2]), 0.1)
    assert loose.off.item() == pytest.approx(1 - math.cos(math.pi / 8), abs=1e-9)
    assert bows_of(points, np.array([0]), np.array([2]), 0.07).sin.item() == 0


#   o--.      the facet o-o passes the centre x of a small arc
#   x   )     on the other side: by distances alone the arc
#   o--'      round the back would do
def test_no_arc_goes_round_the_other_side_of_its_centre():
    points = np.array([(0, 0), (0.012, 0.004), (0.0, 0.008), (-0.03, 0.02)])
    first, last = np.array([0, 0, 1]), np.array([2, 3, 3])
    bows = bows_of(points, first, last, TOLERANCE)
    reach = np.hypot(*(bows.end - bows.start).T) / 2 / np.maximum(np.abs(bows.sin), 1e-9)
    arcs = bows.sin != 0
    assert (bows.off[arcs] <= reach[arcs] / 2).all()
    around = replace(bows, sin=np.full(3, -0.9), cos=np.full(3, -math.sqrt(0.19)))
    assert np.isinf(deviations(points, around, TOLERANCE)).all()
