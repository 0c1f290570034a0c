"""Paints found without a palette."""

import numpy as np

from capture.labelling.painted import CREAM, NAVY, RED, WOOD, flat, grained, linear, lit
from mateline.capture.labelling.cells import along, cells_of
from mateline.capture.labelling.found import found_paints

INKS = (CREAM, NAVY, RED)


def painted(gain=1.0, haze=0.0):
    column = np.mgrid[:320, :400][1]
    light = flat((column > 100).astype(int) + (column > 300), INKS)
    light[100:220, 20:380] = linear(WOOD) * grained((120, 360))[..., None]
    return found_paints(cells_of(lit(light, gain, haze, tint=(1, 1, 1))))


def test_flat_areas_are_paints_the_largest_first_and_wood_is_none():
    np.testing.assert_allclose(painted(), [linear(ink) for ink in (NAVY, CREAM, RED)], atol=0.01)


def test_one_paint_in_light_that_falls_off_by_a_third_is_one():
    falling = 0.85 + 0.15 * along(320)[:, None] + np.zeros((1, 400))
    assert len(painted(falling, 0.03)) == 3
