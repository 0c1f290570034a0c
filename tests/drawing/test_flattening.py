"""Facets of curves: how much is reckoned for them."""

import math
import sys

import pytest

from mateline.drawing.flattening import flattened
from mateline.drawing.path import Arc, Subpath
from mateline.planar.affine import IDENTITY


def times_called(functions, work):
    """How often any of some functions of C is called by `work`."""
    count = 0

    def seen(_, event, function):
        nonlocal count
        count += event == "c_call" and function in functions

    sys.setprofile(seen)
    try:
        work()
    finally:
        sys.setprofile(None)
    return count


@pytest.mark.parametrize("reach", [1e7, 3e7])
def test_a_small_arc_of_a_huge_circle_costs_its_own_facets_and_not_the_circle_s(reach):
    """The whole circle takes pi / sqrt(2 * 0.01 / reach) facets, 70 000 and more; 8 mm take one."""
    arc = Subpath(0.0, 0.0, [Arc(reach, reach, 0.0, large=False, sweep=True, x=8.0, y=0.0)], False)
    points = []
    calls = times_called(
        {math.sin, math.cos}, lambda: points.extend(flattened(arc, IDENTITY, 0.01))
    )
    assert len(points) <= 3
    assert calls <= 20
