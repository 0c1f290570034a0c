"""Readings that do not close, as findings: a rectangle of 400 x 300 with diagonals of 500."""

from fractions import Fraction

import pytest

from mateline.checks.readings import check
from mateline.tape.accuracy import Tape
from mateline.tape.outline import Corners, Readings, given, solved
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
    (finding,) = found(body=outline({**BRACED, ("B", "D"): 512}))
    assert (finding.code, finding.level) == ("reading-suspect", "warn")
    assert "cannot tell which" in finding.message
    assert "B-D" in finding.message


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
    assert finding.code == "reading-suspect"
    assert "B-D of body" in finding.message
    assert "too long" in finding.message
    assert "Measure B-D again" in finding.remedy


def test_findings_are_in_the_unit_of_the_tape():
    inches = Tape("in", Fraction(127, 80), "HB44")
    wrong = outline({**BRACED, ("B", "D"): 520}, tape=inches)
    (finding,) = check(subject(stencil([]), outlines={"body": wrong}, tape=inches))
    assert "mm" not in finding.message


@pytest.mark.parametrize("name", ["body", "head left"])
def test_each_outline_is_called_by_its_name(name):
    (finding,) = found(**{name: outline(SIDES, square=("A",))})
    assert f"of {name} " in finding.message
