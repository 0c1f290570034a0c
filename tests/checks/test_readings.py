"""Readings that do not close, as findings: a rectangle of 400 x 300 with diagonals of 500."""

import math
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest

from mateline.checks.readings import check
from mateline.tape.accuracy import Tape
from mateline.tape.outline import Corners, given, solved
from mateline.tape.readings import Readings
from specimens import TAPE, stencil, subject

CORNERS = ("A", "B", "C", "D")
SIDES = {("A", "B"): 400, ("B", "C"): 300, ("C", "D"): 400, ("D", "A"): 300}
BRACED = {**SIDES, ("A", "C"): 500, ("B", "D"): 500}


def outline(distances, *, square=(), corners=CORNERS, tape=TAPE):
    exact = {key: Fraction(length) for key, length in distances.items()}
    return solved(Readings(corners, exact, square=square), tape, file="cabinet.toml", place="body")


def found(**outlines):
    return check(subject(stencil([]), outlines=outlines))


def test_readings_that_close_are_no_finding():
    assert found(body=outline(BRACED)) == ()


def test_an_outline_that_was_stated_is_no_finding():
    points = {"A": (0, 0), "B": (400, 0), "C": (400, 300)}
    assert found(body=given(Corners.named(points), file="f", place="p")) == ()


def test_an_outline_without_a_spare_reading_is_noted_with_what_was_assumed():
    (finding,) = found(body=outline(SIDES, square=("A",)))
    assert (finding.code, finding.level) == ("outline-unchecked", "note")
    assert "A is taken as square" in finding.message
    assert "diagonal" in finding.remedy


# E halfway up and in the middle, measured to all four corners: enough to single out one reading.
MIDDLE = {("A", "M"): 250, ("B", "M"): 250, ("C", "M"): 250, ("D", "M"): 250}


def test_one_spare_reading_cannot_tell_which_is_wrong():
    # 12 mm in one of six readings: whichever it is, corners are out by more than the tape explains
    (finding,) = found(body=outline({**BRACED, ("B", "D"): 512}))
    assert (finding.code, finding.level) == ("reading-suspect", "stop")
    assert "cannot tell which" in finding.message
    assert "B-D" in finding.message
    assert "by at least" in finding.message
    assert finding.remedy == "Measure these again: no distance that is still unread would tell."


def test_a_wrong_reading_is_named_with_its_likely_slip():
    five = ("A", "B", "C", "D", "E")
    points = {"A": (0, 0), "B": (400, 0), "C": (400, 300), "D": (150, 400), "E": (0, 300)}
    every = {
        (a, b): Fraction(
            round(((points[a][0] - points[b][0]) ** 2 + (points[a][1] - points[b][1]) ** 2) ** 0.5)
        )
        for i, a in enumerate(five)
        for b in five[i + 1 :]
    }
    assert found(body=outline(every, corners=five)) == ()
    every["B", "D"] += 20
    (finding,) = found(body=outline(every, corners=five))
    assert (finding.code, finding.level) == ("reading-suspect", "stop")
    assert "B-D of body" in finding.message
    assert "too long" in finding.message
    assert "Measure B-D again" in finding.remedy
    assert "more than the tape explains" in finding.message


def test_a_slip_that_moves_no_corner_beyond_the_tape_is_a_warning():
    # Ten readings where seven would do: 3.5 mm in C-E, or in what ties with it, moves no corner
    # out of its ellipse.
    five = ("A", "B", "C", "D", "E")
    points = {"A": (0, 0), "B": (400, 0), "C": (400, 300), "D": (150, 400), "E": (0, 300)}
    every = {(a, b): Fraction(math.dist(points[a], points[b])) for a, b in combinations(five, 2)}
    every["C", "E"] += Fraction(7, 2)
    (finding,) = found(body=outline(every, corners=five))
    assert (finding.code, finding.level) == ("reading-suspect", "warn")
    assert "C-E" in finding.message
    assert "no more than the tape explains" in finding.message


def test_the_deciding_reading_is_named_with_what_it_would_be():
    #  E hangs on three readings, of which A-E is wrong.
    points = {"A": (0, 0), "B": (400, 0), "C": (400, 300), "D": (150, 400), "E": (-50, 300)}
    pairs = [pair for pair in combinations(points, 2) if set(pair) != {"C", "E"}]
    read = {(a, b): Fraction(math.dist(points[a], points[b])) for a, b in pairs}
    read["A", "E"] += 15
    (finding,) = found(body=outline(read, corners=tuple(points)))
    assert finding.remedy.startswith("Measure C-E: it tells which. It is ")
    assert "450 mm if A-E is wrong" in finding.remedy


def test_more_than_one_wrong_reading_is_told_as_that():
    points = {"A": (0, 0), "B": (400, 0), "C": (400, 300), "D": (150, 400), "E": (-50, 300)}
    read = {(a, b): Fraction(math.dist(points[a], points[b])) for a, b in combinations(points, 2)}
    read["A", "C"] += 40
    read["B", "E"] -= 40
    (finding,) = found(body=outline(read, corners=tuple(points)))
    assert finding.message.startswith("More than one reading of body is wrong")
    assert finding.level == "stop"
    assert finding.remedy.endswith("again first.")


def test_a_reading_that_no_outline_has_is_a_stop_though_it_is_left_out():
    points = {"A": (0, 0), "B": (400, 0), "C": (400, 300), "D": (150, 400), "E": (-50, 300)}
    read = {(a, b): Fraction(math.dist(points[a], points[b])) for a, b in combinations(points, 2)}
    read["A", "C"] += 500
    (finding,) = found(body=outline(read, corners=tuple(points)))
    assert (finding.level, finding.at) == ("stop", None)
    assert "A-C of body" in finding.message
    assert "No outline has it" in finding.message


@pytest.mark.parametrize("end", ["left", "right"])
def test_the_place_is_the_corner_that_moves_most_on_an_end_board(end):
    read = dict(BRACED) | {("B", "D"): 512}
    shift = outline(read).shift
    size = (400.0, 300.0)
    ends = zip(CORNERS, [(0.0, 0.0), (400.0, 0.0), size, (0.0, 300.0)], strict=True)
    at = dict(ends)
    whole = stencil([], name=end, size=size)
    panel = replace(whole.face.panel, corners=CORNERS, outline=tuple(at.values()))
    named = replace(whole, face=replace(whole.face, panel=panel))
    name = panel.carcase if end == "left" else f"{panel.carcase} {end}"
    (finding,) = check(subject(named, outlines={name: outline(read)}))
    assert (finding.face, finding.at) == (whole.face.name, at[shift.corner])


def test_findings_are_in_the_unit_of_the_tape():
    inches = Tape("in", Fraction(127, 80), "HB44")
    wrong = outline({**BRACED, ("B", "D"): 520}, tape=inches)
    (finding,) = check(subject(stencil([]), outlines={"body": wrong}, tape=inches))
    assert "mm" not in finding.message


@pytest.mark.parametrize("name", ["body", "head left"])
def test_each_outline_is_called_by_its_name(name):
    (finding,) = found(**{name: outline(SIDES, square=("A",))})
    assert f"of {name} " in finding.message
