import math
from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis.strategies import booleans, floats, integers
from shapely import Polygon, affinity, box

from mateline.curves import flattened
from mateline.stencil.board import Punch, Tack
from mateline.stencil.lettering.label_placement import (
    Label,
    label_box,
    label_for,
    label_strokes,
    labels_for,
    rooms_in,
)
from mateline.stencil.lettering.wording import HEIGHTS
from mateline.stencil.pieces import Piece


def piece(area, *tacks):
    return Piece("body-left B3", "body-left", "blue", "B", 3, 0, area, tacks)


def ink(label):
    return shapely.union_all([shapely.LineString(flattened(c)) for c in label_strokes(label)])


def arrow(label):
    """Foot and tip of the arrow's shaft: the first stroke of a label that has one."""
    shaft = next(iter(label_strokes(label)))
    return shaft.start, shaft.segments[-1].to


def test_a_roomy_piece_says_it_all_upright_and_large():
    label = label_for(piece(box(0, 0, 300, 200)))
    assert label.lines == ("body-left B3", "blue", "this side out")
    assert (label.height, label.turn, label.arrow) == (HEIGHTS[0], 0.0, True)


def test_less_is_said_step_by_step_as_a_piece_gets_smaller():
    """Every step, none skipped, as a 4 : 3 piece shrinks; worked widths are not needed for this."""
    said = []
    for width in range(120, 1, -1):
        label = label_for(piece(box(0, 0, width, 0.75 * width)))
        told = label and (label.lines, label.arrow)
        if told not in said:
            said.append(told)
    assert said == [
        (("body-left B3", "blue", "this side out"), True),
        (("B3", "blue", "this side out"), True),
        (("B3", "blue"), True),
        (("B3",), True),
        (("B3",), False),
        (("3",), False),
        None,
    ]


def test_a_strip_says_it_on_one_line():
    assert label_for(piece(box(0, 0, 400, 9))).lines == ("body-left B3  blue  this side out",)


def test_a_piece_of_both_sides_says_which_is_out_only_with_its_face():
    roomy, small = box(0, 0, 300, 200), box(0, 0, 45, 25)
    assert label_for(piece(roomy), turned_over=True) == label_for(piece(roomy))
    assert label_for(piece(small)).lines == ("B3", "blue", "this side out")
    assert label_for(piece(small), turned_over=True).lines == ("B3", "blue")


@pytest.mark.parametrize("turn_deg", [0, 30, 90, 135, 170])
def test_the_arrow_points_up_however_the_lines_are_turned(turn_deg):
    long = shapely.affinity.rotate(box(-90, -7, 90, 7), turn_deg, origin=(0, 0))
    label = label_for(piece(long))
    (x0, y0), (x1, y1) = arrow(label)
    assert math.degrees(label.turn) == pytest.approx((turn_deg + 89) % 180 - 89, abs=1e-6)
    assert (x1 - x0, y1 - y0) == pytest.approx((0, label.height))


@settings(max_examples=60, deadline=None)
@given(floats(5, 200), floats(5, 200), floats(0, math.tau), integers(0, 2), booleans())
def test_no_stroke_leaves_its_piece_or_crosses_a_tack(wide, high, turn, tacks, over):
    area = shapely.affinity.rotate(box(0, 0, wide, high), turn, use_radians=True)
    places = [(area.centroid.x, area.centroid.y), area.exterior.interpolate(9).coords[0]]
    made = [Tack(place, Punch(12.0, 5.0), turn) for place in places[:tacks]]
    label = label_for(piece(area, *made), turned_over=over)
    if label is not None:
        assert area.contains(ink(label).buffer(0.9))
        for tack in made:
            hole = box(-6, -2.5, 6, 2.5)
            hole = shapely.affinity.rotate(hole, tack.turn, origin=(0, 0), use_radians=True)
            hole = shapely.affinity.translate(hole, *tack.centre)
            assert ink(label).distance(hole) > 0.9


def test_lines_and_arrow_stand_apart():
    for turn in (0.0, 0.7, math.pi / 2):
        lines = ("(Q,J) B12", "sea blue", "this side out")
        one = []
        for at in range(3):
            blank = tuple(line if i == at else " " for i, line in enumerate(lines))
            one.append(ink(Label(blank, (0.0, 0.0), 5.0, turn)))
        assert all(a.distance(b) > 1 for a, b in combinations(one, 2))


def test_a_comma_or_bracket_lies_in_the_box_too():
    for lines in (("a (b), c",), ("(q,", "j)", "_")):
        label = Label(lines, (3.0, 4.0), 12.0, 0.4, arrow=True)
        assert label_box(label).contains(ink(label))


def test_lettering_lies_inside_its_box_and_the_box_inside_the_piece():
    for area in (box(0, 0, 60, 40), box(0, 0, 20, 200), shapely.Point(0, 0).buffer(25)):
        label = label_for(piece(area))
        assert area.contains(label_box(label))
        assert label_box(label).contains(ink(label))


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
    assert label.lines == ("body-left B3  blue  this side out",)
    assert abs(label.turn) == pytest.approx(math.pi / 2)


def test_a_leaning_piece_is_lettered_along_it():
    lean = shapely.affinity.rotate(box(-60, -6, 60, 6), 30, origin=(0, 0))
    label = label_for(piece(lean))
    assert label.lines == ("body-left B3  blue  this side out",)
    assert math.degrees(label.turn) == pytest.approx(30)


def test_a_small_piece_gets_letter_and_number():
    assert label_for(piece(box(0, 0, 12, 9))).lines == ("B3",)


def test_a_piece_without_room_gets_none():
    assert label_for(piece(box(0, 0, 3, 3))) is None
    assert label_for(piece(Polygon([(0, 0), (80, 1), (80, 2)]))) is None


def test_all_at_once_are_what_each_is_alone():
    rng = np.random.default_rng(4)
    tack = Tack((9.0, 9.0), Punch(6.0, 6.0, round=True))
    areas = [
        affinity.rotate(box(0, 0, wide, high), turn, origin=(0, 0))
        for wide, high, turn in rng.uniform(3, 90, (60, 3))
    ]
    areas += [box(0, 0, 12, 9), box(0, 0, 30, 20)]
    pieces = [piece(area, tack) if at % 3 else piece(area) for at, area in enumerate(areas)]
    clear = [box(20, -50, 22, 90), box(-90, 14, 90, 15), box(-1, -1, 13, 10)]
    over = [at % 2 == 0 for at in range(len(pieces))]
    found = labels_for(pieces, clear, over)
    assert {label.lines[-1] for label in found if label is not None} > {"B3"}
    assert None in found
    assert found == [
        label_for(each, clear, turned_over=turned)
        for each, turned in zip(pieces, over, strict=True)
    ]
    own = {0: box(0, 0, 5, 5), 61: box(-1, -1, 31, 21)}
    for at, room in enumerate(rooms_in(pieces, clear, own)):
        alone = rooms_in([pieces[at]], [*clear, own[at]] if at in own else clear)[0]
        assert room.equals_exact(alone, 1e-9)
    assert room.is_empty
