"""Figures with known corners, and the readings between them, that tests of outlines share."""

import math
from fractions import Fraction

import numpy as np
import pytest

from mateline.errors import InputError
from mateline.tape.accuracy import MM, Tape
from mateline.tape.outline import solved

TAPE = Tape("mm", Fraction(1), "II")
INCHES = Tape("in", MM["in"] / 16, "HB44")

#      D
#    /   \      a sloped top over a body 600 wide
#   E     C
#   |     |
#   A-----B
HOUSE = {"A": (0, 0), "B": (600, 0), "C": (610, 900), "D": (300, 1400), "E": (0, 1300)}

#  D---C
#  |   |
#  A---B
BOARD = {"A": (0, 0), "B": (600, 0), "C": (600, 900), "D": (0, 900)}

#  F---E
#  |   |      over 180° inside at D
#  |   D---C
#  A-------B
ELL = {"A": (0, 0), "B": (600, 0), "C": (600, 400), "D": (300, 400), "E": (300, 900), "F": (0, 900)}


def sides(points):
    names = list(points)
    return [f"{a}{b}" for a, b in zip(names, [*names[1:], names[0]], strict=True)]


def read(points, pairs, *, exact=True):
    """Readings between `points`; to the whole millimetre unless `exact`."""
    lengths = {(a, b): Fraction(math.dist(points[a], points[b])) for a, b in pairs}
    return lengths if exact else {key: Fraction(round(length)) for key, length in lengths.items()}


def outline(readings, tape=TAPE):
    return solved(readings, tape, file="cabinet.toml", place="carcase 1 (body), outline")


def refusal(readings, tape=TAPE):
    with pytest.raises(InputError) as error:
        outline(readings, tape)
    return error.value


def assert_figure(found, points):
    there = np.array([points[corner] for corner in found.corners], dtype=float)
    spans = np.linalg.norm(there[:, None] - there[None, :], axis=2)
    mine = np.linalg.norm(found.points[:, None] - found.points[None, :], axis=2)
    np.testing.assert_allclose(mine, spans, rtol=0, atol=1e-5)
