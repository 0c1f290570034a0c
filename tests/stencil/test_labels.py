import math

import pytest
import shapely
from shapely import Polygon, box

from mateline.curves import flattened
from mateline.stencil.board import Punch, Tack
from mateline.stencil.labels import HEIGHTS, label_box, label_for, label_strokes
from mateline.stencil.pieces import Piece


def piece(area, *tacks):
    return Piece("body-left B3", "body-left", "blue", "B", 3, 0, area, tacks)


def test_a_roomy_piece_gets_its_whole_id_upright_and_large():
    label = label_for(piece(box(0, 0, 300, 200)))
    assert (label.text, label.height, label.turn) == ("body-left B3", HEIGHTS[0], 0.0)


def test_lettering_lies_inside_its_box_and_the_box_inside_the_piece():
    for area in (box(0, 0, 60, 40), box(0, 0, 20, 200), shapely.Point(0, 0).buffer(25)):
        label = label_for(piece(area))
        assert area.contains(label_box(label))
        strokes = [shapely.LineString(flattened(chain)) for chain in label_strokes(label)]
        assert label_box(label).contains(shapely.union_all(strokes))


def test_a_label_keeps_clear_of_a_tack():
    tack = Tack((50.0, 20.0), Punch(30.0, 12.0))
    label = label_for(piece(box(0, 0, 100, 40), tack))
    assert label_box(label).disjoint(box(36, 15, 64, 25))


def test_a_label_keeps_clear_of_an_open_hole():
    hole = shapely.Point(150, 100).buffer(40)
    label = label_for(piece(box(0, 0, 300, 200)), [hole])
    assert label_box(label).disjoint(hole)


def test_a_piece_that_a_hole_takes_up_has_no_room():
    assert label_for(piece(box(0, 0, 30, 20)), [box(-1, -1, 31, 21)]) is None


def test_a_tall_piece_is_lettered_along_its_length():
    label = label_for(piece(box(0, 0, 15, 200)))
    assert label.text == "body-left B3"
    assert abs(label.turn) == pytest.approx(math.pi / 2)


def test_a_leaning_piece_is_lettered_along_it():
    lean = shapely.affinity.rotate(box(-60, -6, 60, 6), 30, origin=(0, 0))
    label = label_for(piece(lean))
    assert label.text == "body-left B3"
    assert math.degrees(label.turn) == pytest.approx(30)


def test_a_small_piece_gets_letter_and_number():
    assert label_for(piece(box(0, 0, 12, 9))).text == "B3"


def test_a_piece_without_room_gets_none():
    assert label_for(piece(box(0, 0, 3, 3))) is None
    assert label_for(piece(Polygon([(0, 0), (80, 1), (80, 2)]))) is None
