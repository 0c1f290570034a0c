r"""Subjects for checks: rectangular faces with coloured shapes and holes, all sizes in mm.

300 +------------------+   sky: base coat
    |       ____       |
100 +------(    )------+   sea: the border between sky and sea at y = 100
    | sea              |
  0 +------------------+
    0                 400
"""

import math
from fractions import Fraction

import numpy as np
from shapely import box

from mateline.cabinet.faces import unrolled
from mateline.checks.findings import Subject
from mateline.drawing.shapes import Shape
from mateline.stencil.board import Board, Punch
from mateline.stencil.pieces import Colours
from mateline.stencil.stencil import stencil_of
from mateline.tape.accuracy import Tape
from stencils import FRONT, board

SIZE = (400.0, 300.0)
SEA = box(0, 0, 400, 100)
SKY = box(0, 100, 400, 300)
COLOURS = Colours(
    {"cream": "#f4ead2", "blue": "#1f5f8b", "red": "#b03a2e"},
    {"cream": "C", "blue": "B", "red": "R"},
    "cream",
)
PUNCHES = (Punch(38.0, 13.0), Punch(20.0, 8.0), Punch(8.0, 8.0, round=True))
BOARD = Board(
    sheet=(1000.0, 700.0),
    thickness=1.5,
    least_width=6.0,
    least_area=400.0,
    sharpest=math.radians(30),
    punches=PUNCHES,
    reach=150.0,
    tape_margin=3.0,
    kerf=0.3,
)
TAPE = Tape("mm", Fraction(1), "II")
MIRROR = np.array([[-1.0, 0.0, SIZE[0]], [0.0, 1.0, 0.0]])  # left to right of a 400 wide face


def face(*holes, name="front", size=SIZE):
    """A rectangular face with `holes`."""
    return unrolled(board(name, FRONT, size, holes=holes))


def stencil(shapes, *holes, name="front", size=SIZE):
    """The stencil of a rectangular face: {area: colour} or [(area, colour)] back to front."""
    drawn = [Shape(area, colour, f"shape {at}") for at, (area, colour) in enumerate(shapes)]
    return stencil_of(face(*holes, name=name, size=size), drawn, COLOURS, BOARD)


def subject(*stencils, **more):
    """All that checks look at; what is not given is empty."""
    given = {"outlines": {}, "pairs": (), "letterings": (), "board": BOARD, "tape": TAPE}
    return Subject(stencils=stencils, **{**given, **more})


def codes(findings):
    """The codes of `findings`, sorted, one for each."""
    return sorted(finding.code for finding in findings)
