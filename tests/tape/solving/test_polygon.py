"""Counter-clockwise, simple, turning as stated."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis.strategies import floats
from shapely import LinearRing

from mateline.tape.solving.polygon import crossing_sides, framed, turns

#  F---E
#  |   |      L: reflex at D
#  |   D---C
#  A-------B
ELL = np.array([(0, 0), (600, 0), (600, 400), (300, 400), (300, 900), (0, 900)], dtype=float)


def test_turns_of_a_simple_outline_come_round_once():
    assert turns(ELL).sum() == pytest.approx(math.tau)
    assert (turns(ELL) < 0).tolist() == [False, False, False, True, False, False]


def test_crossing_sides_are_named():
    assert crossing_sides(ELL) is None
    assert crossing_sides(ELL[[0, 1, 4, 3, 2, 5]]) == (1, 3)


def test_a_corner_on_another_side_counts_as_crossing():
    assert crossing_sides(np.array([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4.0)])) is not None


def test_two_feet_on_one_line_do_not_touch():
    """A bench of 3 x 2: its feet stand on y = 0, a unit apart, upright, lying and slanting."""
    bench = np.array([(0, 0), (1, 0), (1, 1), (2, 1), (2, 0), (3, 0), (3, 2), (0, 2)], dtype=float)
    for points in (bench, bench[:, ::-1], bench @ np.array([[2.0, 1.0], [-1.0, 2.0]])):
        assert crossing_sides(points) is None
        longer = points.copy()
        longer[1], longer[2] = points[4] + (points[5] - points[4]) / 2, points[3] * 0.75
        assert crossing_sides(longer) is not None


@given(floats(0, 2**32 - 1))
def test_crossing_sides_agree_with_geos(seed):
    points = np.random.default_rng(int(seed)).uniform(-1, 1, (6, 2))
    assert (crossing_sides(points) is None) == LinearRing(points).is_simple


@given(turn=floats(0, math.tau), x=floats(-1e4, 1e4), y=floats(-1e4, 1e4))
def test_framed_undoes_any_move_and_turn(turn, x, y):
    cos, sin = math.cos(turn), math.sin(turn)
    moved = ELL @ np.array([[cos, sin], [-sin, cos]]) + (x, y)
    np.testing.assert_allclose(framed(moved), ELL, rtol=0, atol=1e-8)
