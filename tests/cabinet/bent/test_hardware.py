"""Hardware on curved boards: distances along the outside, and what is refused."""

import math

import numpy as np
import pytest

from boxes import faults_of
from curved_boxes import curved
from mateline.cabinet.panel import raised

BUTTON = """
[[hardware]]
name = "button"
kind = "round"
diameter = {size}
on = "box-{on}"
from = {{ {places} }}
"""
RADIUS = 520.0


def test_a_distance_is_taken_along_the_outside():
    places = "near = 100, left = 120"
    face = curved(after=BUTTON.format(size=20, on="high", places=places)).face("box-high")
    x, y, z = raised(face.panel, np.array([face.holes[0].centre]), 0.0)[0]
    # 100 along a circle of 520 from the corner D (0, 500), about (200, 500 + 40 - 520).
    angle = math.asin(200 / RADIUS) - 100 / RADIUS
    assert (y, z) == pytest.approx(
        (200 - RADIUS * math.sin(angle), 20 + RADIUS * math.cos(angle)), abs=1e-6
    )
    assert x == pytest.approx(120, abs=1e-9)


def test_no_distance_is_square_to_a_curve():
    after = BUTTON.format(size=20, on="left", places="high = 100, near = 120")
    assert "is curved where it meets high" in " ".join(faults_of(lambda: curved(after=after)))


def test_a_hole_too_wide_for_its_curve_is_refused():
    # Along a radius of 520 one of 70 mm is 70^3 / (24 * 520^2) = 0.053 mm longer, 68 only 0.048.
    wide, fits = (
        BUTTON.format(size=s, on="high", places="near = 200, left = 150") for s in (70, 68)
    )
    assert "too wide for the curve" in " ".join(faults_of(lambda: curved(after=wide)))
    assert curved(after=fits).face("box-high").holes


def test_its_size_across_the_curve_does_not_matter():
    slot = """
[[hardware]]
name = "grille"
kind = "rectangle"
length = 200
width = 40
on = "box-high"
from = { near = 200, left = 150 }
"""
    assert curved(after=slot).face("box-high").holes
