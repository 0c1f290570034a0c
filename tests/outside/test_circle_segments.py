"""Circular segments for radius 1: Machinery's Handbook, their table, from memory."""

import math

import pytest

from mateline.curves import Chain, Segment, area, length
from mateline.exports.by_hand.strokes import rise

TABLE = [
    # angle, arc, height, chord, area of the segment
    (30, 0.5236, 0.0341, 0.5176, 0.0118),
    (60, 1.0472, 0.1340, 1.0000, 0.0906),
    (90, 1.5708, 0.2929, 1.4142, 0.2854),
    (120, 2.0944, 0.5000, 1.7321, 0.6142),
    (180, 3.1416, 1.0000, 2.0000, 1.5708),
]


@pytest.mark.parametrize(("angle_deg", "arc", "height", "chord", "inside"), TABLE)
def test_segments_are_as_tabled(angle_deg, arc, height, chord, inside):
    turn = math.radians(angle_deg)
    end = (math.cos(turn), math.sin(turn))
    curve = Chain((1.0, 0.0), (Segment(end, (0.0, 0.0)),))
    closed = Chain((1.0, 0.0), (Segment(end, (0.0, 0.0)), Segment((1.0, 0.0))))
    assert length(curve) == pytest.approx(arc, abs=5e-5)
    assert rise(1.0, turn) == pytest.approx(height, abs=5e-5)
    assert math.dist((1.0, 0.0), end) == pytest.approx(chord, abs=5e-5)
    assert area(closed) == pytest.approx(inside, abs=5e-5)
