"""Lengths along a line, gauge angles and level angles: values, derivatives, loci, networks."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, lists, tuples

from mateline.tape.solving.loci import Circle, Line, loci
from mateline.tape.solving.observations import Along, Angle, Height, Lean

PLACE = tuples(floats(-500, 500), floats(-500, 500))
KINDS = {
    "along": Along("p", "a", "b", 1, 1, ""),
    "past": Along("p", "a", "b", 1, 1, "", past=True),
    "height": Height("p", "a", "b", 1, 1, ""),
    "angle": Angle("p", "a", "b", 1, 1, ""),
    "lean": Lean(("c", "d", "a", "b"), 1, 1, ""),
}


@pytest.mark.parametrize("kind", KINDS)
@given(lists(PLACE, min_size=4, max_size=4))
@settings(deadline=None)
def test_derivatives_are_those_of_small_steps(kind, places):
    observation = KINDS[kind]
    at = np.array(places)[: len(observation.names)]
    apart = np.linalg.norm(at[:, None] - at[None], axis=2) + 1e3 * np.eye(len(at))
    if apart.min() < 20:
        return
    value, slopes = observation.value(at)
    turned = kind in {"angle", "lean"} and min(value % math.pi, -value % math.pi) < 0.05
    if turned or (kind == "lean" and abs(value) > 1.5):
        return
    step = 1e-4
    for row in range(len(at)):
        for axis in (0, 1):
            moved = np.zeros_like(at)
            moved[row, axis] = step
            steps = observation.value(at + moved)[0] - observation.value(at - moved)[0]
            assert steps / (2 * step) == pytest.approx(slopes[row, axis], abs=1e-5, rel=1e-4)


def test_values_of_the_3_4_5_triangle():
    # a at the right angle, b 4 along, p 3 up: worked by hand.
    a, b, p = (0.0, 0.0), (4.0, 0.0), (0.0, 3.0)
    assert Along("p", "a", "b", 0, 1, "").value(np.array([p, a, b]))[0] == pytest.approx(0)
    assert Along("p", "b", "a", 0, 1, "").value(np.array([p, b, a]))[0] == pytest.approx(4)
    assert Along("p", "a", "b", 0, 1, "", past=True).value(np.array([p, a, b]))[0] == -4
    gauge = Angle("b", "a", "p", 0, 1, "").value(np.array([b, a, p]))[0]
    assert math.degrees(gauge) == pytest.approx(36.869898, abs=1e-6)  # arctan 3/4
    level = Lean(("b", "p", "a", "b"), 0, 1, "").value(np.array([b, p, a, b]))[0]
    assert math.degrees(level) == pytest.approx(36.869898, abs=1e-6)


@pytest.mark.parametrize("kind", KINDS)
@given(lists(PLACE, min_size=4, max_size=4))
@settings(deadline=None)
def test_a_corner_lies_on_one_of_its_loci(kind, places):
    own = KINDS[kind]
    names = own.names
    at = dict(zip(names, places, strict=False))
    apart = [math.dist(at[one], at[two]) for one in names for two in names if one < two]
    value = abs(own.value(np.array([at[name] for name in names]))[0])
    if min(apart) < 20 or (kind in {"angle", "lean"} and not 0.05 < value < math.pi - 0.05):
        return
    signed = own.value(np.array([at[name] for name in names]))[0]
    if kind in {"along", "past"} and signed < 0:
        return  # a tape has no such reading
    known = {
        "along": lambda: Along("p", "a", "b", value, 1, ""),
        "past": lambda: Along("p", "a", "b", value, 1, "", past=True),
        "height": lambda: Height("p", "a", "b", value, 1, ""),
        "angle": lambda: Angle("p", "a", "b", value, 1, ""),
        "lean": lambda: Lean(("c", "d", "a", "b"), value, 1, ""),
    }[kind]()
    for corner in names:
        found = loci(known, corner, {name: at[name] for name in names if name != corner})
        assert not found or min(off(way, at[corner]) for way in found) < 1e-5


def off(way, place):
    x, y = place[0] - way.x, place[1] - way.y
    if isinstance(way, Circle):
        return abs(math.hypot(x, y) - way.radius) / max(1.0, way.radius / 500)
    assert isinstance(way, Line)
    return abs(way.ux * y - way.uy * x)
