"""What `mateline tape` says."""

import json
import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from blundered import INCH, OUTLINES, SIXTEENTHS
from mateline.errors import InputError
from mateline.tape.accuracy import MM, Tape
from mateline.tape.outline import Corners, given, solved
from mateline.tape.reading import parse_length
from mateline.tape.readings import Readings
from mateline.tape.report import as_json, sentences, slip_said, table

TAPE = Tape("mm", Fraction(1), "II")
INCHES = Tape("in", MM["in"] / 16, "HB44")
CORNERS = ("A", "B", "C", "D")
SIDES = {
    ("A", "B"): Fraction(600),
    ("B", "C"): Fraction(900),
    ("C", "D"): Fraction(600),
    ("D", "A"): Fraction(900),
}
ACROSS = {("A", "C"): Fraction(1082), ("B", "D"): Fraction(1082)}


def outline(distances, tape=TAPE, **more):
    return solved(Readings(CORNERS, distances, **more), tape, file="f", place="p")


def test_a_closing_board_in_millimetres():
    """Every column in the tape's unit; the first corner is held."""
    lines = table(outline(SIDES | ACROSS), TAPE).splitlines()
    assert lines[0].split("  ")[0] == "corner"
    assert lines[1].split() == ["A", *["0.0", "mm"] * 2, "held"]
    assert lines[3].split()[:3] == ["C", "600.1", "mm"]  # 1082 is 0.3 mm over the true diagonal
    (row,) = [line for line in lines if line.startswith("B-D")]
    assert row.split()[1:7] == ["1082", "mm", "1081.8", "mm", "-0.2", "mm"]
    assert "The readings close. One is more than needed, and the one that" in " ".join(lines[-2:])


def test_inch_readings_are_told_in_inches():
    distances = {
        ("A", "B"): "23 5/8", ("B", "C"): "35 7/16", ("C", "D"): "23 5/8", ("D", "A"): "35 7/16",
        ("A", "C"): "42 9/16", ("B", "D"): "42 5/8",
    }  # fmt: skip
    found = outline({pair: parse_length(text, "in") for pair, text in distances.items()}, INCHES)
    text = table(found, INCHES)
    assert '42 9/16"' in text
    assert "mm" not in text


def test_what_nothing_checks_is_said():
    said = " ".join(sentences(outline(SIDES | {("A", "C"): Fraction(1082)}), TAPE))
    assert said == (
        "No reading is checked by another, so a wrong one would not show. "
        "Measure one more distance, best B-D: it checks them all."
    )


def test_readings_outside_the_check_are_named():
    #  E hangs on two readings only.
    distances = {**SIDES, **ACROSS, ("D", "E"): Fraction(500), ("E", "A"): Fraction(800)}
    found = solved(Readings((*CORNERS, "E"), distances), TAPE, file="f", place="p")
    assert sentences(found, TAPE)[-2:] == (
        "Nothing checks D-E, E-A.",
        "Measure C-E next: it checks them all.",
    )


def test_what_nothing_checks_has_no_residual_to_the_last_bit():
    # H hangs on G-H and H-I only; what is left of them after solving is rounding noise.
    eleven = OUTLINES["eleven corners"]
    found = eleven.solved(eleven.lengths(np.random.default_rng(1)))
    assert {each.residual for each in found.closures if each.label in {"G-H", "H-I"}} == {0.0}


def test_one_redundant_reading_says_that_it_cannot_tell():
    said = sentences(outline(SIDES | ACROSS | {("A", "C"): Fraction(1097)}), TAPE)
    assert said[0].startswith("A reading is wrong, but these readings cannot tell which.")
    # Parallelogram law: A-C² = 2 (600² + 900²) - 1082², so A-C is 1081.3 if it alone is wrong.
    assert "  A-C reads about 15.7 mm too long" in said
    assert said[-1] == "Measure them again."  # every corner pair is read already


def test_a_square_corner_taken_is_said():
    said = sentences(outline(SIDES, square=("A",)), TAPE)
    assert said[-1] == "Corner A is taken as square."


def test_a_square_corner_that_readings_settle_is_reported_with_its_angle():
    said = sentences(outline(SIDES | {("A", "C"): Fraction(1097)}, square=("B",)), TAPE)
    assert said[-1].startswith("The readings make B 91.")
    assert said[-1].endswith("that it was named square is not used.")


#  A house with all its diagonals: enough to locate a slip.
HOUSE = {"A": (0, 0), "B": (600, 0), "C": (610, 900), "D": (300, 1400), "E": (0, 1300)}
READ = ["AB", "BC", "CD", "DE", "EA", "AC", "AD", "BD", "BE", "CE"]


def house(slip):
    distances = {
        (a, b): Fraction(math.dist(HOUSE[a], HOUSE[b])) + slip.get(a + b, 0) for a, b in READ
    }
    return solved(Readings(tuple(HOUSE), distances), TAPE, file="f", place="p")


def test_the_suspect_is_named_with_its_slip():
    said = sentences(house({"AC": 100}), TAPE)
    assert said[0] == (
        "A-C reads about 100.0 mm too long, like a whole decimetre misread. "
        "All other readings agree without it."
    )
    assert said[1] == "The corners above still use it; measure A-C again."


def test_a_suspect_that_moves_corners_beyond_the_tape_says_how_far():
    shift = house({"AC": 100}).shift
    assert shift.beyond
    said = sentences(house({"AC": 100}), TAPE)[2]
    assert said.startswith(f"It moves corner {shift.corner} by ")
    assert said.endswith("more than the tape explains.")


def test_a_suspect_beside_a_small_slip_names_the_other_too():
    found = house({"AC": 60, "DE": 6})
    assert found.suspect.label == "A-C"
    assert not found.others_close
    said = sentences(found, TAPE)[0]
    assert "not as well as they should: look at" in said
    assert "All other readings agree" not in said


def test_a_reading_that_no_outline_has_is_left_out_and_that_is_said():
    found = house({"AC": 800})  # longer than A-B and B-C together
    assert found.left_out
    assert found.suspect.label == "A-C"
    assert found.suspect.slip == pytest.approx(800, abs=1)
    assert sentences(found, TAPE)[1] == (
        "No outline has it, so the corners above do without it; measure A-C again."
    )
    assert as_json(found)["left_out"]
    (row,) = [line for line in table(found, TAPE).splitlines() if line.startswith("A-C  ")]
    assert "-800" in row


def test_one_redundant_reading_tells_where_no_other_can_have_been_misread():
    # A-B short in a box of 20 by 30. By 14 inches A may lie straight between B and D, 36.08 inches
    # for 36.12, within the tape's deviations: A-C may be what is wrong. By 15 it can't.
    box = OUTLINES["box, two diagonals"]
    lengths = box.lengths()
    lengths["A", "B"] -= 14 * INCH
    found = box.solved(lengths)
    assert (found.redundancy, found.verdict) == (1, "cannot-tell")
    said = sentences(found, SIXTEENTHS)
    assert {line.split()[0] for line in said if line.startswith("  ")} >= {"A-B", "A-C"}
    lengths["A", "B"] -= INCH
    refused = box.solved(lengths)
    assert isinstance(refused, InputError)
    assert "A-B alone can be what is wrong, if one reading is" in str(refused)


def test_the_doubted_say_what_the_next_reading_would_be_for_each():
    #  E hangs on three readings of which one is wrong.
    read = [pair for pair in READ if pair != "CE"]
    distances = {(a, b): Fraction(math.dist(HOUSE[a], HOUSE[b])) for a, b in read}
    distances["B", "E"] += 30
    found = solved(Readings(tuple(HOUSE), distances), TAPE, file="f", place="p")
    said = sentences(found, TAPE)
    assert found.verdict == "cannot-tell"
    (line,) = [each for each in said if each.startswith("  B-E reads about 30.")]
    true = math.dist(HOUSE["C"], HOUSE["E"])
    assert line.endswith(f"; then C-E is {true:.1f} mm")
    assert said[-1] == "Measure C-E: it tells which."


def test_several_slips_say_where_to_begin():
    found = house({"AC": 60, "BE": -60})
    said = sentences(found, TAPE)
    assert said[0].startswith("More than one reading is wrong.")
    assert said[-1] == f"Measure {found.candidates[0].label} again first."


def test_where_no_reading_can_be_left_out_none_is_named():
    found = replace(house({"AC": 60, "BE": -60}), candidates=(), advice=None)
    said = sentences(found, TAPE)
    assert said[0].endswith("no single one left out leaves an outline.")
    assert said[-1] == "Measure all of them again."


def test_a_reading_that_does_not_reach_has_no_slip_to_tell():
    closure = replace(house({}).closures[0], slip=0.0)
    assert slip_said(closure, TAPE) == ("A-B does not reach, and nothing else says how long it is")


def test_a_slip_in_a_square_corner_is_an_angle():
    closure = replace(house({}).closures[0], kind="square", label="square corner A", slip=0.02)
    assert slip_said(closure, TAPE) == "the square corner A is off square by about 1.15°"


@pytest.mark.parametrize("square", [(), ("A",)])
def test_json_is_strict_and_says_the_same(square):
    found = outline(SIDES | ({} if square else ACROSS), square=square)
    data = json.loads(json.dumps(as_json(found), allow_nan=False))
    assert [corner["name"] for corner in data["corners"]] == list(CORNERS)
    assert [corner["x"] for corner in data["corners"]] == found.points[:, 0].tolist()
    assert [reading["label"] for reading in data["readings"]] == [
        closure.label for closure in found.closures
    ]
    assert data["verdict"] == found.verdict
    assert data["assumed_square"] == list(square)
    assert data["others_close"]
    assert data["shift"] is None
    if square:
        assert data["readings"][-1]["read"] == pytest.approx(90)
        assert data["readings"][-1]["findable_slip"] is None


def test_stated_corners_have_no_readings_to_show():
    found = given(
        Corners.named({"A": (0.0, 0.0), "B": (600.0, 0.0), "C": (0.0, 400.0)}), file="f", place="p"
    )
    said = " ".join(table(found, TAPE).split())
    assert said.endswith("by their coordinates; no reading checks them.")
    assert as_json(found)["readings"] == []


def test_the_table_is_in_a_carpenters_words_and_fits_a_terminal():
    distances = {
        ("A", "B"): "23 5/8", ("B", "C"): "35 7/16", ("C", "D"): "23 5/8", ("D", "A"): "35 7/16",
        ("A", "C"): "42 9/16", ("B", "D"): "42 5/8",
    }  # fmt: skip
    found = outline({pair: parse_length(text, "in") for pair, text in distances.items()}, INCHES)
    text = table(found, INCHES, 80, "side")
    lines = text.splitlines()
    assert lines[0].split() == ["corner", "back", "up", "how", "sure"]
    assert 'within 1/16" along A-B' in text
    assert max(map(len, lines)) <= 80
    for word in ("ellipse", "residual", " w ", "±", "%", "deviation"):
        assert word not in text
    assert "“Times the usual” is how far off a reading is" in " ".join(lines)
