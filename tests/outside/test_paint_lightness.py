"""L* against published values; only lightness is compared, so CIEDE2000 is not needed."""

import itertools

import pytest

from mateline.paint.lightness import lightness

# CIE L* of sRGB (IEC 61966-2-1) under D65, as colour libraries and W3C CSS Color 4's matrix give
# them; libraries differ by up to 0.025 by how they round the matrix.
PUBLISHED = {
    "#ff0000": 53.237,
    "#00ff00": 87.736,
    "#0000ff": 32.301,
    "#ffff00": 97.139,
    "#ffa500": 74.934,
    "#777777": 50.034,
    "#ffffff": 100.0,
    "#000000": 0.0,
}


@pytest.mark.parametrize("paint", PUBLISHED)
def test_lightness_of_known_colours(paint):
    assert lightness(paint) == pytest.approx(PUBLISHED[paint], abs=0.05)


def test_yellow_is_lighter_than_blue_though_both_are_pure():
    assert lightness("#ffff00") > lightness("#0000ff")


def test_the_two_branches_meet():
    # CIE 15: epsilon = 216 / 24389 joins the cube root to the straight part at L* = 8
    levels = [lightness(f"#{at:02x}{at:02x}{at:02x}") for at in range(256)]
    assert levels == sorted(levels)
    assert max(b - a for a, b in itertools.pairwise(levels)) < 0.6
