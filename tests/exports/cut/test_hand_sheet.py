import math
import re
from dataclasses import replace
from fractions import Fraction

import pytest

from mateline.curves import Chain, Segment
from mateline.exports.cut.hand_sheet import hand_sheet, rise, template
from mateline.stencil.board import Board, Punch
from mateline.tape.accuracy import Tape
from stencils import FRONT, board, painted_by, seaside

BOARD = Board((762.0, 1016.0), 0.4, 6.0, 150.0, 0.2, (Punch(30, 12),), 150.0, 2.0, 0.2)
METRIC = Tape("mm", Fraction(1), "II")
INCHES = Tape("in", Fraction(254, 160), "II")


def test_every_border_is_listed_once_in_cutting_order():
    text = hand_sheet(seaside(), METRIC)
    assert re.findall(r"^  (round .*|between .*)$", text, re.MULTILINE) == [
        "round body-front A1",
        "between body-front C1 and body-front A1",
        "between body-front B1 and body-front A1",
        "round body-front B1",
        "round body-front A1",
    ]
    assert "5 borders" in text
    assert text.count("Stroke ") == 3


def test_lines_have_their_length_and_arcs_their_radius():
    text = hand_sheet(seaside(), METRIC)
    turn = round(math.degrees(2 * math.asin(100 / 125)))
    centre = "centre 300 mm across, 175 mm up, to 200 mm across, 100 mm up"
    assert "line 400 mm, to 400 mm across, 0 mm up" in text
    assert f"arc  radius 125 mm, turning right by {turn}°, {centre}" in text


def test_inches_are_read_as_on_the_tape():
    text = hand_sheet(seaside(), INCHES)
    assert text.splitlines()[1].startswith('15 3/4" wide, 11 13/16" high.')
    assert 'arc  radius 4 15/16"' in text


def test_small_circles_have_a_template_and_flat_arcs_a_rise():
    flat = Chain((400.0, 100.0), (Segment((0.0, 100.0), (200.0, 1100.0), False),))
    stencil = seaside()
    stencil = replace(stencil, chains=(*stencil.chains[:2], flat, *stencil.chains[3:]))
    text = hand_sheet(stencil, METRIC)
    circle = "circle radius 15 mm, template 30 mm (0.0 mm off), centre 80 mm across, 240 mm up"
    assert circle in text
    assert "circle radius 50 mm, centre 280 mm across, 210 mm up" in text
    reach = math.hypot(200, 1000)
    high = f"{reach - 1000:.1f} mm"
    assert f"radius {reach:.0f} mm" in text
    assert f"{high} high over a chord of 400 mm" in text


def test_an_arc_that_a_template_draws_has_its_centre_too():
    chain = Chain((400.0, 100.0), (Segment((390.0, 110.0), (390.0, 100.0), True),))
    stencil = seaside()
    stencil = replace(stencil, chains=(*stencil.chains[:2], chain, *stencil.chains[3:]))
    found = "radius 10 mm, turning left by 90°, template 20 mm (0.0 mm off), centre 390 mm across"
    assert found in hand_sheet(stencil, METRIC)


def test_tacks_come_before_the_borders_with_punch_turn_and_place():
    text = hand_sheet(seaside(), METRIC)
    tack = "  body-front A1: 25 mm x 12 mm, turned left by 15°, 120 mm across, 180 mm up"
    assert tack in text
    assert text.index(tack) < text.index("Stroke 1")
    count = sum(len(piece.tacks) for piece in seaside().pieces)
    assert text.count("turned left by 15°") == count


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


def test_a_full_turn_stands_a_diameter_high():
    assert rise(10, math.tau) == pytest.approx(20)


def test_sheets_and_tape_are_told_with_a_grid():
    stencil = painted_by(board("front", FRONT, (1200.0, 700.0)), [])
    grid = stencil.grid
    text = hand_sheet(stencil, METRIC, grid)
    assert "2 sheets of board" in text
    assert re.search(r"  tape \d+ mm on body-front A1, from ", text)
    small = hand_sheet(seaside(), METRIC, seaside().grid)
    assert "One sheet of board." in small
