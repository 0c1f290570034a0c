"""What tacks keep off: on a face, and on the face that a set is turned over for."""

import numpy as np
import pytest
from shapely import Point

from mateline.cabinet.faces import unrolled
from mateline.cabinet.hole import Hole
from mateline.stencil.tacks.underneath import beneath, beneath_turned
from stencils import FRONT, board

OPEN = Hole("button", "round", (100.0, 45.0), 28.0, 28.0)
STAYS = Hole("lock", "round", (300.0, 200.0), 20.0, 20.0, stays=True, margin=3.0)
FACE = unrolled(board("front", FRONT, (400.0, 300.0), holes=(OPEN, STAYS)))
ACROSS = np.array([[-1.0, 0.0, 410.0], [0.0, 1.0, 5.0]])  # from x to 410 - x, 5 higher


def test_only_open_holes_lie_beneath_a_face_that_is_cut_round_the_others():
    (hole,) = beneath(FACE)
    assert hole.centroid.distance(Point(100, 45)) < 1e-6
    assert hole.area == pytest.approx(np.pi * 14**2, rel=1e-3)


def test_a_set_turned_over_lies_on_open_holes_and_on_what_stays():
    """Carried back: x = 410 - 100 and y = 45 - 5, and the lock with its margin."""
    hole, lock = beneath_turned(FACE, ACROSS)
    assert hole.centroid.distance(Point(310, 40)) < 1e-6
    assert lock.centroid.distance(Point(110, 195)) < 1e-6
    assert lock.area == pytest.approx(np.pi * 13**2, rel=1e-3)
