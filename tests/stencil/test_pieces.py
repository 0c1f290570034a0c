"""Pieces of real faces: their ids, and tacks that keep off what cannot hold tape."""

import math

import shapely
from shapely import Polygon, box

from boxes import square
from mateline.cabinet.hole import opening
from mateline.curves import flattened
from mateline.drawing.shapes import Shape
from mateline.stencil.board import Board, Punch
from mateline.stencil.pieces import Colours
from mateline.stencil.stencil import stencil_of
from mateline.stencil.tacks.tape_tacks import patch

BOARD = Board(
    sheet=(762.0, 1016.0),
    thickness=0.4,
    least_width=6.0,
    least_area=150.0,
    sharpest=math.radians(12),
    punches=(Punch(30, 12), Punch(16, 8), Punch(6, 6, round=True)),
    reach=80.0,
    tape_margin=2.0,
    kerf=0.2,
)
COLOURS = Colours({"cream": "#f4ead2", "red": "#c8402f"}, {"cream": "C", "red": "R"}, "cream")
ROUND = 'edges."left and front" = { round = 14 }'
HOLES = """
[[hardware]]
name = "button"
kind = "round"
diameter = 30
on = "box-left"
from = { front = 60, bottom = 80 }
[[hardware]]
name = "lock"
kind = "round"
diameter = 20
on = "box-left"
from = { front = 200, bottom = 250 }
state = "stays"
margin = 3
"""


def left(shapes=()):
    face = square(ROUND, HOLES).face("box-left")
    return stencil_of(
        face, [Shape(area, colour, "test") for area, colour in shapes], COLOURS, BOARD
    )


def test_pieces_are_called_by_face_letter_and_number_from_left_to_right():
    bars = [(box(x, 100, x + 60, 400), "red") for x in (280, 40, 160)]
    found = left(bars)
    reds = [piece for piece in found.pieces if piece.colour == "red"]
    by_number = sorted(reds, key=lambda piece: piece.number)
    assert [piece.id for piece in by_number] == [f"box-left R{n}" for n in (1, 2, 3)]
    lefts = [piece.area.bounds[0] for piece in by_number]
    assert lefts == sorted(lefts)


def test_pieces_and_hardware_make_up_the_face():
    found = left([(box(40, 100, 300, 400), "red")])
    room = shapely.union_all([piece.area for piece in found.pieces])
    lock = math.pi * 13**2  # 20 across and 3 clear of it all round
    total = sum(piece.area.area for piece in found.pieces)
    assert abs(room.area - total) < 1e-6
    assert abs(found.face.outline.area - total - lock) < 0.5  # the board is cut in facets


def test_a_face_of_base_coat_only_takes_no_board():
    found = left()
    assert not found.has_board
    assert (found.pieces, found.grid.sheets, found.grid.joins) == ((), (), ())
    # It is painted all the same, but for the lock, 20 across and 3 clear of it all round.
    assert abs(sum(found.sizes) + math.pi * 13**2 - found.face.outline.area) < 0.5
    assert left([(box(40, 100, 300, 400), "cream")]).pieces == ()


def test_no_tape_lies_over_an_open_hole_or_across_a_fold():
    found = left([(box(150, 300, 300, 400), "red")])
    (button,) = [hole for hole in found.face.holes if not hole.stays]
    bad = [Polygon(flattened(opening(button))), *(strip.score for strip in found.face.strips)]
    tacks = [tack for piece in found.pieces for tack in piece.tacks]
    assert len(tacks) > 4
    assert len(bad) == 2
    for tack in tacks:
        assert not any(patch(tack, BOARD).intersects(each) for each in bad)
