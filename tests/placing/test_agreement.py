"""Landmarks held against each other.

D +------+ C        a square of 100 mm as it is drawn, put down 0.8 times its size
  |  E   |
A +------+ B
"""

import cmath
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis.strategies import floats

from mateline.placing.agreement import Landmark, agreement_of, is_own_size, predicted

DRAWN = {"a": (0.0, 0.0), "b": (100.0, 0.0), "c": (100.0, 100.0), "d": (0.0, 100.0)}
FIVE = {**DRAWN, "e": (40.0, 60.0), "f": (70.0, 20.0)}


def put(drawn, scale=0.8, turn=0.0, moved=None, deviation=0.0):
    """Landmarks that a similarity brings to their points, but for those that are `moved`."""
    factor = cmath.rect(scale, turn)
    made = []
    for name, at in drawn.items():
        there = factor * complex(*at) + (200 + 300j) + complex(*(moved or {}).get(name, (0, 0)))
        made.append(Landmark(name, at, (there.real, there.imag), deviation))
    return made


def named(found):
    return [tuple(each.element for each in suspect.landmarks) for suspect in found.suspects]


def exchanged(landmarks, one, other):
    points = {each.element: each.point for each in landmarks}
    points[one], points[other] = points[other], points[one]
    return [Landmark(e.element, e.drawn, points[e.element], e.deviation) for e in landmarks]


@given(floats(0.05, 20), floats(-3.1, 3.1))
def test_landmarks_that_fit_agree_at_any_size_and_turn(scale, turn):
    found = agreement_of(put(DRAWN, scale, turn))
    assert found.agree
    assert found.worst < 1e-9
    assert found.fit.scale == pytest.approx(scale)
    assert math.cos(found.fit.turn - turn) == pytest.approx(1)


def test_one_of_four_that_is_off_is_named_with_how_far():
    found = agreement_of(put(DRAWN, moved={"c": (30, 0)}))
    assert not found.agree
    assert named(found) == [("c",)]
    (suspect,) = found.suspects
    assert suspect.off == (pytest.approx(30),)
    assert suspect.rest == pytest.approx(0, abs=1e-9)
    assert suspect.fit.scale == pytest.approx(0.8)
    # With it: the turn and scale of least squares, sum conj(z) w / sum |z|^2 about the middle.
    assert found.fit.scale == pytest.approx(abs(0.8 + (50 - 50j) * 30 / 20000))


def test_how_far_one_may_be_off():
    # The others predict the fourth corner with as much variance as one landmark has: 1/3 + 2/3,
    # their middle and its arm. Both have 0.5 mm of the drawing and 1.2 mm of the tape: 1.3 mm.
    first, *others = put(DRAWN, deviation=1.2)
    off, may = predicted(first, others)
    assert off == pytest.approx(0, abs=1e-9)
    assert may == pytest.approx(math.sqrt(-2 * math.log(0.001) * 2) * 1.3)


@pytest.mark.parametrize("wrong", list(FIVE))
def test_each_one_of_six_is_found(wrong):
    found = agreement_of(put(FIVE, 1.3, 0.4, {wrong: (-9, 7)}, 0.5))
    assert named(found) == [(wrong,)]


def test_two_wrong_ones_of_six_are_named_together():
    found = agreement_of(put(FIVE, moved={"b": (25, 0), "e": (0, -40)}))
    assert named(found) == [("b", "e")]


@pytest.mark.parametrize(("one", "other"), [("a", "b"), ("b", "c"), ("c", "d")])
def test_two_that_are_swapped_are_told(one, other):
    found = agreement_of(exchanged(put(DRAWN, turn=0.3), one, other))
    assert [tuple(each.element for each in pair) for pair in found.swapped] == [(one, other)]
    assert not found.suspects


def test_two_of_three_that_are_swapped_are_told():
    three = {name: FIVE[name] for name in ("a", "b", "e")}
    found = agreement_of(exchanged(put(three), "b", "e"))
    assert [tuple(each.element for each in pair) for pair in found.swapped] == [("b", "e")]


def test_points_measured_from_the_wrong_edge_are_told():
    made = [Landmark(e.element, e.drawn, (900 - e.point[0], e.point[1])) for e in put(FIVE)]
    assert agreement_of(made).mirrored


def test_three_cannot_tell_which_one_is_wrong():
    three = {name: DRAWN[name] for name in "abc"}
    found = agreement_of(put(three, moved={"c": (0, 31)}))
    assert not found.agree
    assert named(found) == [("a",), ("b",), ("c",)]
    assert not found.by_size


def test_the_drawings_own_size_tells_which_one_of_three_is_wrong():
    three = {name: DRAWN[name] for name in "abc"}
    found = agreement_of(put(three, scale=1.0, moved={"c": (0, 31)}))
    assert named(found) == [("c",)]
    assert found.by_size


def test_two_always_agree_and_only_the_drawings_size_checks_them():
    two = {name: DRAWN[name] for name in "ac"}
    for scale, turn, own in ((1.0, 0.0, True), (0.8, 0.0, False), (1.0, math.pi, False)):
        made = put(two, scale, turn)
        assert agreement_of(made).agree
        assert is_own_size(made) is own


def test_landmarks_drawn_in_one_place_check_nothing():
    found = agreement_of(put({"a": (0.0, 0.0), "b": (0.0, 0.0), "c": (50.0, 0.0)}))
    assert found.agree


def test_what_the_tape_explains_is_no_contradiction():
    """1000 figures of three to seven landmarks with errors as the tape and the drawing have."""
    random = np.random.default_rng(12)
    told = wrong = missed = 0
    for _ in range(1000):
        count = int(random.integers(3, 8))
        drawn = {f"m{k}": tuple(random.uniform(0, 600, 2).tolist()) for k in range(count)}
        error = {name: tuple(random.normal(0, math.hypot(0.5, 0.6), 2)) for name in drawn}
        told += not agreement_of(put(drawn, 1.1, 0.1, error, 0.6)).agree
    # At 0.001 a landmark: 1000 times five on average make five; three times its root above.
    assert told <= 12
    for _ in range(200):
        count = int(random.integers(4, 8))
        drawn = {f"m{k}": tuple(random.uniform(0, 600, 2).tolist()) for k in range(count)}
        error = {name: tuple(random.normal(0, math.hypot(0.5, 0.6), 2)) for name in drawn}
        error["m2"] = tuple(np.array(error["m2"]) + 40 * np.array([0.6, -0.8]))
        found = named(agreement_of(put(drawn, 1.1, 0.1, error, 0.6)))
        missed += ("m2",) not in found
        wrong += len(found) == 1 and found != [("m2",)]
    assert missed == wrong == 0
