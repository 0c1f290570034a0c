"""Where boards end at curved sides, worked on the page."""

import math

import pytest

from mateline.cabinet.bent.cuts import Corner, Wall
from mateline.planar.offsets import Curved

# A quarter circle of 100 about (0, 0) from (100, 0) up to (0, 100), then straight down: 90° there.
ARC = Wall(Curved((100.0, 0.0), (0.0, 100.0), (0.0, 0.0)), 10.0)
DOWN = Wall(Curved((0.0, 100.0), (0.0, 0.0)), 20.0)
CORNER = Corner(ARC, DOWN)


def ends(role, *, after):
    chain = CORNER.section(role, after=after)
    return chain.start[0], chain.segments[-1].to


def test_the_bent_board_over_the_flat_one():
    # It ends at the flat one's outside, x = 0, all the way; the flat one at its inside, a circle
    # of 90: 10 below on the outside, and at x = 20 where y is sqrt(90^2 - 20^2).
    assert ends("over", after=False) == (0.0, pytest.approx((0, 10)))
    start, end = ends("under", after=True)
    assert start == pytest.approx(10)
    assert end == pytest.approx((100 - math.sqrt(90**2 - 20**2), 20))


def test_the_flat_board_over_the_bent_one():
    # The bent one ends at x = 20: on its outside asin(20 / 100) before the corner, along the arc.
    start, end = ends("under", after=False)
    assert start == pytest.approx(100 * math.asin(0.2))
    # Its inside ends there too, at asin(20 / 90), which is 100 mm along the outside a radian.
    assert end == pytest.approx((100 * math.asin(20 / 90), 10))
    # The flat one's end follows the bent one's outside: a circle of 100, at x = 20.
    start, end = ends("over", after=True)
    assert (start, end) == (0.0, pytest.approx((100 - math.sqrt(100**2 - 20**2), 20)))


def test_a_mitre_runs_to_the_corner_of_both_insides():
    _, (across, down) = ends("mitre", after=True)
    assert (across, down) == (pytest.approx(100 - math.sqrt(90**2 - 20**2)), 20)
    start, (along, _) = ends("mitre", after=False)
    assert (start, along) == (0.0, pytest.approx(100 * math.asin(20 / 90)))
