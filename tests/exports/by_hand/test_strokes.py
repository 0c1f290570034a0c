"""Marks and strokes of whole sheets, against the borders that they stand for."""

import math
from fractions import Fraction

import numpy as np
import pytest
import shapely
from shapely import LineString

from mateline.curves import Chain, Segment, circle, flattened
from mateline.exports.by_hand.strokes import hand_sheets, template
from mateline.stencil.cutting.cut_path import cut_path
from mateline.tape.accuracy import Tape
from stencils import FRONT, board, painted_by

METRIC = Tape("mm", Fraction(1), "II")
WITHIN = 0.5  # mm: what a hand's strokes may leave the borders by


def sheets_of(stencil, tape=METRIC):
    return hand_sheets(stencil, tape, cut_path(stencil.pattern))


def drawn(stroke, corner):
    """A stroke in the face frame, from what its row of the table says and nothing else."""
    run, (x, y) = stroke.run, corner
    if run.circle:
        chain = circle(run.centre, math.dist(run.start, run.centre))
    else:
        # Every arc turns left from its first mark to its second.
        chain = Chain(run.start, (Segment(run.to, run.centre, counterclockwise=True),))
    return shapely.transform(LineString(flattened(chain, 0.01)), lambda at: at + np.array([x, y]))


def spots_along(lines, step=0.5):
    found = [line.interpolate(np.arange(0, line.length, step)) for line in lines]
    return np.concatenate(found)


@pytest.mark.parametrize("face", ["body-left", "head-front", "body-front"])
def test_every_border_is_covered_by_the_strokes_once(job, face):
    (stencil,) = (each for each in job.stencils if each.face.name == face)
    strokes = [
        drawn(stroke, sheet.corner)
        for sheet in sheets_of(stencil, job.tape)
        for stroke in sheet.strokes
    ]
    borders = [LineString(flattened(chain)) for chain in stencil.chains]
    joins = [LineString([join.start, join.end]) for join in stencil.grid.joins]
    for here, there in ((borders, strokes), (strokes, [*borders, *joins])):
        tree = shapely.STRtree(there)
        spots = spots_along(here)
        near = tree.nearest(spots)
        off = shapely.distance(spots, np.array(there, dtype=object)[near])
        assert off.max() <= WITHIN
    total = sum(line.length for line in (*borders, *joins, *joins))
    assert sum(line.length for line in strokes) == pytest.approx(total, rel=2e-3)


def test_no_step_is_shorter_than_half_a_mm_and_marks_are_apart(job):
    for stencil in job.stencils:
        for sheet in sheets_of(stencil, job.tape):
            assert min(stroke.run.length for stroke in sheet.strokes) >= WITHIN
            places = np.array([mark.at for mark in sheet.marks])
            gaps = np.hypot(*(places[:, None] - places[None]).T) + np.eye(len(places))
            assert gaps.min() >= WITHIN
            assert len({mark.name for mark in sheet.marks}) == len(sheet.marks)


def test_strokes_go_from_mark_to_mark(job):
    for stencil in job.stencils:
        for sheet in sheets_of(stencil, job.tape):
            at = {mark.name: mark.at for mark in sheet.marks}
            assert [stroke.number for stroke in sheet.strokes] == [
                *range(1, len(sheet.strokes) + 1)
            ]
            for stroke in sheet.strokes:
                if stroke.run.circle:
                    assert stroke.start is stroke.to is None
                    continue
                assert math.dist(at[stroke.start], stroke.run.start) < WITHIN
                assert math.dist(at[stroke.to], stroke.run.to) < WITHIN


def test_compasses_stand_on_the_board(job):
    for stencil in job.stencils:
        for sheet in sheets_of(stencil, job.tape):
            for stroke in sheet.strokes:
                if stroke.how == "compass":
                    (x, y), (wide, high) = stroke.run.centre, sheet.size
                    assert 0 <= x <= wide
                    assert 0 <= y <= high


def test_sheets_measure_from_their_own_corner_and_cut_their_joins():
    stencil = painted_by(board("front", FRONT, (1200.0, 700.0)), [])
    first, second = sheets_of(stencil)
    assert (first.name, second.name) == ("sheet 1", "sheet 2")
    for sheet in (first, second):
        wide, high = sheet.size
        assert {mark.at for mark in sheet.marks} == {(0, 0), (wide, 0), (0, high), (wide, high)}
        assert [stroke.how for stroke in sheet.strokes] == ["edge"] * 4
    assert first.size[0] + second.size[0] == pytest.approx(1200)


@pytest.mark.parametrize(
    ("diameter", "unit", "size"),
    [
        (24.6, "mm", Fraction(25)),
        (0.2, "mm", Fraction(1)),
        (40.4, "cm", Fraction(40)),
        (40.6, "mm", None),
        (25.0, "in", Fraction(254, 10)),
        (38.0, "ft", Fraction(381, 10)),
        (40.0, "in", None),
    ],
)
def test_the_nearest_template_is_one_of_its_unit(diameter, unit, size):
    assert template(diameter, unit) == size


def test_the_trim_is_cut_last(job):
    (stencil,) = (each for each in job.stencils if each.face.name == "head-front")
    (sheet,) = sheets_of(stencil, job.tape)
    rim = shapely.get_exterior_ring(stencil.face.outline)
    on_rim = [
        rim.distance(drawn(stroke, sheet.corner).interpolate(0.5, normalized=True)) < WITHIN
        for stroke in sheet.strokes
    ]
    assert on_rim == [False] * (len(on_rim) - sheet.trim) + [True] * sheet.trim
    assert sheet.trim == 4
