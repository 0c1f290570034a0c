import math
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import LineString, Polygon

from boxes import square
from mateline.cabinet.faces import unrolled
from mateline.cabinet.hole import Hole
from mateline.curves import Chain, Segment, flattened
from mateline.stencil.board import Punch, Tack
from mateline.stencil.lettering.edge_marks import (
    FROM_END,
    LENGTHS,
    mark_strokes,
    marks_of,
    short_of_edge,
)
from mateline.stencil.lettering.label_placement import label_box
from mateline.survey import surveyed
from mateline.tape.accuracy import Tape
from stencils import FRONT, PAINTS, board, painted_by, seaside

CABINETS = Path(__file__).parents[3] / "cabinets"
INCHES = Tape("in", Fraction(254, 160), "II")


def short_board(size, inset=18.0, **more):
    """A board that ends `inset` mm short of the sharp edge on its left, as between two sides."""
    square = Chain((0.0, 0.0), (Segment((0.0, 18.0)),))
    butt = Chain((inset, 0.0), (Segment((inset, 18.0)),))
    return board("front", FRONT, size, ends=(square, square, square, butt), **more)


def plain(size=(400.0, 300.0), tacks=(), **more):
    stencil = painted_by(board("front", FRONT, size, **more), [])
    (piece,) = stencil.pieces
    return replace(stencil, pieces=(replace(piece, tacks=tuple(tacks)),))


def ink(mark):
    return shapely.union_all([LineString(flattened(chain)) for chain in mark_strokes(mark)])


def test_every_long_side_has_a_tick_near_each_end_and_a_cross_at_its_middle():
    marks = marks_of(plain())
    ticks = {mark.strokes[0].start for mark in marks if len(mark.strokes) == 1}
    crosses = {mark.strokes[0].start for mark in marks if len(mark.strokes) == 2}
    assert crosses == {(200, 0), (400, 150), (200, 300), (0, 150)}
    assert ticks == {
        (50, 0), (350, 0), (400, 50), (400, 250), (350, 300), (50, 300), (0, 250), (0, 50),
    }  # fmt: skip


def test_a_short_side_has_its_middle_alone_and_a_very_short_one_nothing():
    marks = marks_of(plain((2 * FROM_END, 20.0)))
    assert [(mark.edge, len(mark.strokes)) for mark in marks] == [(0, 2), (2, 2)]


def test_a_mark_gets_shorter_where_a_tack_is_in_its_way_and_goes_where_that_is_not_enough():
    for low, long in ((8.0, LENGTHS[0]), (6.0, LENGTHS[1]), (4.2, LENGTHS[2]), (2.0, None)):
        tack = Tack((50.0, low + 5.0), Punch(10.0, 10.0))
        found = [mark for mark in marks_of(plain(tacks=[tack])) if mark.at == (50.0, 0.0)]
        assert [math.dist(*mark.strokes[0].points) for mark in found] == ([long] if long else [])


@pytest.mark.parametrize("stays", [True, False])
def test_no_mark_lies_on_a_hole(stays):
    hole = Hole("bolt", "round", (200.0, 4.0), 6.0, 6.0, stays=stays, margin=1.0)
    sides = {mark.at for mark in marks_of(plain(holes=[hole]))}
    assert (200.0, 0.0) not in sides
    assert (50.0, 0.0) in sides


def test_where_the_board_ends_short_of_the_edge_the_distance_stands_beside_a_mark():
    stencil = painted_by(short_board((400.0, 300.0)), [])
    left = [mark for mark in marks_of(stencil) if mark.edge == 3]
    assert [mark.label and mark.label.lines for mark in left] == [
        None, ("18.0 mm to edge",), None,
    ]  # fmt: skip
    assert all(mark.label is None for mark in marks_of(stencil) if mark.edge != 3)
    inches = [mark.label for mark in marks_of(stencil, INCHES) if mark.label]
    assert [label.lines for label in inches] == [('11/16" to edge',)]  # 18 mm is 0.709 in


def test_distances_are_told_only_where_the_flat_part_ends_short():
    half = Chain((9.0, 0.0), (Segment((0.0, 9.0)), Segment((0.0, 18.0))))  # a bevel
    ends = (Chain((0.0, 0.0), (Segment((0.0, 18.0)),)),) * 3
    face = unrolled(board("front", FRONT, (400.0, 300.0), ends=(*ends, half)))
    assert [short_of_edge(face, edge) for edge in range(4)] == [None] * 4
    face = unrolled(short_board((400.0, 300.0)))
    assert [short_of_edge(face, edge) for edge in range(4)] == [None, None, None, 18.0]


def test_a_distance_does_not_cross_a_border():
    stripes = [("sea blue", shapely.box(18, y, 400, y + 20)) for y in range(0, 300, 40)]
    stencil = painted_by(short_board((400.0, 300.0)), stripes, paints=PAINTS)
    labels = [mark.label for mark in marks_of(stencil) if mark.label]
    for label in labels:
        assert any(piece.area.contains(label_box(label)) for piece in stencil.pieces)


def test_marks_of_the_seaside_keep_clear_of_all_else():
    stencil = seaside()
    gone = [Polygon(flattened(Chain(*_square(t)))) for p in stencil.pieces for t in p.tacks]
    for mark in marks_of(stencil):
        assert stencil.face.outline.buffer(1e-6).contains(ink(mark))
        assert all(ink(mark).distance(tack) >= 1 for tack in gone)


def _square(tack):
    half = tack.punch.length / 2
    x, y = tack.centre
    corners = [
        (x - half, y - half),
        (x + half, y - half),
        (x + half, y + half),
        (x - half, y + half),
    ]
    return corners[0], tuple(map(Segment, (*corners[1:], corners[0])))


@pytest.mark.parametrize("name", ["corner-box", "harbour-lights"])
def test_ticks_of_two_faces_meet_across_the_edge_that_they_share(name):
    """In space: a sharp edge has the same places on both faces, however the boards butt.

    Sides that were measured each on their own disagree by what the tape lets them, up to 2 mm.
    """
    job = surveyed(CABINETS / name)
    places = {}
    for stencil in job.stencils:
        panel = stencil.face.panel
        axes = np.array([panel.frame.along_x, panel.frame.along_y])
        for mark in marks_of(stencil, job.tape):
            beside = panel.edges[mark.edge].neighbour
            at = np.array(panel.frame.corner) + mark.at @ axes
            places.setdefault((panel.carcase, panel.name, beside), []).append(at)
    met = 0
    for (carcase, one, other), here in places.items():
        there = places.get((carcase, other, one), [])
        if len(here) != len(there):
            continue  # one of them has a tack in its way
        separate = (
            name == "harbour-lights" and carcase == "body" and {one, other} & {"left", "right"}
        )
        for at in here:
            assert min(np.linalg.norm(at - other) for other in there) < (2 if separate else 1e-6)
            met += 1
    assert met > 60


def test_a_face_that_goes_on_over_the_ends_of_other_boards_ends_where_they_do():
    front = square('ends = "art"').face("box-front")
    assert [short_of_edge(front, edge) for edge in range(4)] == [None] * 4
    rounded = '[carcase.edges]\n"left and front" = { round = 8, end = "art" }'
    front = square("", rounded).face("box-front")
    short = {each.neighbour: short_of_edge(front, at) for at, each in enumerate(front.panel.edges)}
    assert short == {"left": pytest.approx(8), "right": 18, "top": None, "bottom": None}
