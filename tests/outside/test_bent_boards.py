"""Rolled-out lengths of cylinder strips against worked values.

A strip of a cylinder of radius R over an angle is R times it long: for R = 200 and 60° that is
209.439510, and 228.289067 on the outside of a board of 18 mm round it (elementary; computed
beforehand to six decimals). In sheet-metal terms the length is taken at the outside, with a K
factor of 1 from within: L = angle (R + K T), the usual formula of a bend allowance.
"""

import math

import numpy as np
import pytest

from curved_boxes import board, curved

CHORD, HEIGHT = 400.0, 300.0


def test_a_sixth_of_a_circle_by_its_share():
    # A board whose outside has the radius 218: as long as the angle that its chord of 400 asks
    # for, and 228.289067 for each 60° of it.
    turn = 2 * math.asin(CHORD / 2 / 218)
    rise = 218 * (1 - math.cos(turn / 2))
    panel = board(curved(f"C-D = {{ rise = {rise!r} }}"), "high")
    along = np.ptp(np.array(panel.outline), axis=0).max()
    assert along / math.degrees(turn) * 60 == pytest.approx(228.289067, abs=1e-5)


@pytest.mark.parametrize("rise", [20.0, 40.0, 120.0, 200.0])
def test_bend_allowance_with_the_outside_as_its_line(rise):
    radius = CHORD**2 / (8 * rise) + rise / 2
    turn = 2 * math.atan2(CHORD / 2, radius - rise)
    panel = board(curved(f"C-D = {{ rise = {rise} }}"), "high")
    sizes = sorted(np.ptp(np.array(panel.outline), axis=0))
    assert turn * ((radius - 18) + 1.0 * 18) == pytest.approx(sizes[1], abs=1e-6)
    assert sizes[0] == pytest.approx(HEIGHT, abs=1e-9)
