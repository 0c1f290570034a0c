"""Chord, rise and radius of arcs, worked on the page."""

import math

import pytest

from mateline.tape.arcs.curve import Arc, radius_of, rise_of
from mateline.tape.solving.statistics import Ellipse

HELD = Ellipse(0.0, 0.0, 0.0)


def test_three_four_five():
    # Half the chord is 4 and the radius 5: the centre is 3 below the chord, so the rise is 2.
    assert radius_of(8.0, 2.0) == 5.0
    assert rise_of(8.0, 5.0) == pytest.approx(2.0, abs=1e-12)


def test_a_hollow_arc_has_a_negative_radius():
    assert radius_of(8.0, -2.0) == -5.0


def test_a_flat_arc_loses_nothing():
    # c^2 / 8 R = 400^2 / 8e9, where R - sqrt(R^2 - c^2/4) would keep six digits of it.
    assert rise_of(400.0, 1e9) == pytest.approx(400.0**2 / 8e9, rel=1e-12)


def test_length_along_a_half_circle():
    arc = Arc(("C", "D"), (0.0, 0.0), (-10.0, 0.0), (-5.0, 5.0), 5.0, 0.0, HELD)
    assert arc.length == pytest.approx(5 * math.pi, abs=1e-12)
    assert arc.label == "C-D"


def test_a_round_corner_is_called_by_its_corner():
    arc = Arc(("C", "C"), (0.0, 0.0), (-10.0, 0.0), (-5.0, 2.0), 2.0, 0.0, HELD)
    assert arc.label == "C"
