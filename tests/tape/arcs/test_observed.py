"""Derivatives of what ties curves together, against differences; values worked on the page."""

import math

import numpy as np
import pytest

from mateline.tape.arcs.observed import Midway, OnCurve, Radius, Tangent, chord_and_rise, offset

STEP = 1e-5
# a, b, middle and the corner beyond b; the outline runs counter-clockwise, so outside is below.
AT = np.array([(0.0, 0.0), (400.0, 30.0), (204.0, -48.0), (520.0, 180.0)])
BEND = np.array([(0.0, 0.0), (400.0, 30.0), (520.0, 180.0), (204.0, -48.0), (480.0, 90.0)])


@pytest.mark.parametrize(
    ("each", "at"),
    [
        (Midway("a", "b", "m", 1.0, ""), AT[:3]),
        (Radius("a", "b", "m", 300.0, 1.0, ""), AT[:3]),
        (OnCurve("a", "b", "m", 110.0, 40.0, 1.0, ""), AT[:3]),
        (Tangent("a", "b", "c", "m", None, 1.0, ""), BEND[:4]),
        (Tangent("a", "b", "c", None, "m", 1.0, ""), BEND[[0, 1, 2, 4]]),
        (Tangent("a", "b", "c", "m", "n", 1.0, ""), BEND),
    ],
)
def test_derivatives_are_differences(each, at):
    _, slope = each.value(at)
    for row, axis in np.ndindex(*at.shape):
        moved = at.copy()
        moved[row, axis] += STEP
        up, _ = each.value(moved)
        moved[row, axis] -= 2 * STEP
        down, _ = each.value(moved)
        assert slope[row, axis] == pytest.approx((up - down) / (2 * STEP), rel=1e-5, abs=1e-7)


@pytest.mark.parametrize("rise", [60.0, -60.0, 1e-3, 260.0])
def test_offset_is_the_circle_and_its_slopes_are_differences(rise):
    chord, along = 400.0, 110.0
    value, *slopes = offset(along, chord, rise)
    radius = chord**2 / (8 * rise) + rise / 2
    # The point is as far from the centre (c/2, rise - radius) as the radius.
    assert math.hypot(along - chord / 2, value - (rise - radius)) == pytest.approx(
        abs(radius), rel=1e-9
    )
    for slope, at in zip(slopes, (1, 2, 0), strict=True):
        up, down = [along, chord, rise], [along, chord, rise]
        up[at] += 1e-4
        down[at] -= 1e-4
        assert slope == pytest.approx(
            (offset(*up)[0] - offset(*down)[0]) / 2e-4, rel=1e-4, abs=1e-7
        )


def test_outside_is_right_of_the_way():
    chord, _, rise, _ = chord_and_rise(np.array([(0.0, 0.0), (8.0, 0.0), (4.0, -2.0)]))
    assert (chord, rise) == (8.0, 2.0)


def test_a_quarter_circle_is_tangent_to_its_neighbour():
    # From (300, 0) round to (0, 300) about (0, 0), then on along -x.
    middle = 300 * math.cos(math.pi / 4)
    at = np.array([(300.0, 0.0), (0.0, 300.0), (-200.0, 300.0), (middle, middle)])
    turn, _ = Tangent("a", "b", "c", "m", None, 1.0, "").value(at)
    assert turn == pytest.approx(0.0, abs=1e-12)
