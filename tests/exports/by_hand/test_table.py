"""The table as a person reads it: short, 80 columns, each stroke and mark once."""

import math
import re
from dataclasses import replace
from fractions import Fraction

import pytest

from mateline.curves import Chain, Segment
from mateline.exports.by_hand.strokes import hand_sheets
from mateline.exports.by_hand.table import hand_cutting
from mateline.stencil.cutting.cut_path import cut_path
from mateline.tape.accuracy import Tape
from stencils import FRONT, board, painted_by, seaside

METRIC = Tape("mm", Fraction(1), "II")
INCHES = Tape("in", Fraction(254, 160), "II")
STROKE = re.compile(r"(?:^|  )\s*(\d+)  (?=[a-z]\d+ to |centre )", re.MULTILINE)


def told(stencil, tape=METRIC):
    return hand_cutting(hand_sheets(stencil, tape, cut_path(stencil.pattern)), tape)


def test_a_small_face_reads_like_this():
    # The figure of `stencils`, with the marks in two bands and the rim in four lines. From (200,
    # 100) the wave's arcs go left round (100, 25), over its top, and round (300, 175), below it.
    rows = told(seaside()).split("Marks (7): across, up (mm)\n")[1]
    assert rows.splitlines() == [
        "--------------------------",
        "a1  0, 0      a2  0, 100    a3  200, 100  a4  400, 0    a5  400, 100",
        "b1  0, 300    b2  400, 300",
        "",
        "Straight edge: 4 lines",
        "----------------------",
        "  5  a1 to a4    6  a1 to b1    7  a4 to b2    8  b2 to b1",
        "",
        "Template 30 mm across (R 15 mm): 1 circle",
        "-----------------------------------------",
        "  1  centre 80, 240",
        "",
        "Compass, R 50 mm: 1 circle",
        "--------------------------",
        "  2  centre 280, 210",
        "",
        "Compass, R 125 mm: 2 arcs",
        "-------------------------",
        "  3  a3 to a5, centre 300, 175    4  a3 to a2, centre 100, 25",
    ]


def test_a_centre_off_the_board_gets_a_third_point():
    # r = hypot(200, 1000) = 1019.8 about (200, 1100): the arc's lowest point is at 1100 - r.
    text = told(with_flat_wave())
    assert "By three points: 1 arc" in text
    low = round(1100 - math.hypot(200, 1000))
    assert re.search(rf"  a\d to a\d by 200, {low}\n", text)
    assert "1100" not in text


def with_flat_wave():
    """The seaside with one flat arc for its wave, bulging down into the sea."""
    flat = Chain((400.0, 100.0), (Segment((0.0, 100.0), (200.0, 1100.0), False),))
    stencil = seaside()
    return replace(stencil, chains=(*stencil.chains[:2], flat, *stencil.chains[3:]))


def test_lines_have_at_most_80_columns_and_no_step_is_nothing(job):
    for stencil in (each for each in job.stencils if each.has_board):
        text = told(stencil, job.tape)
        assert max(map(len, text.splitlines())) <= 80
        assert 'line 0"' not in text
        assert 'R 0"' not in text


def test_each_stroke_is_in_the_table_once(job):
    for stencil in job.stencils:
        sheets = hand_sheets(stencil, job.tape, cut_path(stencil.pattern))
        for sheet in sheets:
            text = hand_cutting([sheet], job.tape)
            tools = text.split("\n\n", 3)[-1]
            numbers = [int(each) for each in STROKE.findall(tools)]
            assert sorted(numbers) == [stroke.number for stroke in sheet.strokes]


def test_a_side_that_took_1148_lines_takes_under_400(job):
    (left,) = (each for each in job.stencils if each.face.name == "body-left")
    assert told(left, job.tape).count("\n") < 400


def test_no_reading_is_parted_by_a_line(job):
    # What would be left at a line's end is a whole number whose fraction goes on below.
    for stencil in (each for each in job.stencils if each.has_board):
        text = told(stencil, job.tape)
        assert not re.search(r'\d\n\s*\d+/\d+"', text)


def test_equal_arcs_are_gathered_with_one_template(job):
    (left,) = (each for each in job.stencils if each.face.name == "body-left")
    heads = re.findall(
        r"^Template (.*) across \(R (.*)\): (\d+) arcs", told(left, job.tape), re.MULTILINE
    )
    assert max(int(count) for _, _, count in heads) >= 13
    for across, reach, _ in heads:
        assert _inches(across) == pytest.approx(2 * _inches(reach), abs=1 / 8)


def _inches(text):
    return float(sum(Fraction(part) for part in text.rstrip('"').split()))


def test_tacks_are_counted_by_punch_not_listed(job):
    (front,) = (each for each in job.stencils if each.face.name == "head-front")
    text = told(front, job.tape).replace("\n   ", " ")
    tacks = [tack for piece in front.pieces for tack in piece.tacks]
    (said,) = re.findall(r"Punch the holes .*?: (.*?)\. ?\d?", text)
    counts = [int(each) for each in re.findall(r"(\d+) of", said)]
    assert sum(counts) == len(tacks)
    assert len(counts) == len({(tack.punch.length, tack.punch.width) for tack in tacks})


def test_each_sheet_has_a_table_of_its_own():
    text = told(painted_by(board("front", FRONT, (1200.0, 700.0)), []))
    assert re.findall(r"^Cutting by hand: .*$", text, re.MULTILINE) == [
        "Cutting by hand: body-front, sheet 1",
        "Cutting by hand: body-front, sheet 2",
    ]


def test_inches_are_read_as_on_the_tape():
    assert 'Board 15 3/4" wide, 11 13/16" high.' in told(seaside(), INCHES)
