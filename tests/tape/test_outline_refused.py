"""Outlines that are refused, with what to measure or mend, and outlines that are stated."""

import math
from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest

from blundered import INCH, OUTLINES
from figures import BOARD, HOUSE, assert_figure, outline, read, refusal, sides
from mateline.errors import InputError
from mateline.tape.outline import Corners
from mateline.tape.outline import given as stated
from mateline.tape.readings import Readings

# What is refused, and with what advice.


def test_one_reading_too_few_names_those_that_would_do():
    fault = refusal(Readings(tuple(BOARD), read(BOARD, sides(BOARD))))
    assert fault.place == "carcase 1 (body), outline"
    assert "one more reading is wanted" in fault.what
    assert fault.remedy == "Measure A-C or B-D."


def test_several_readings_too_few_name_a_set_that_would_do():
    lengths = read(HOUSE, ["AB", "BC", "CD", "DE"])
    fault = refusal(Readings(tuple(HOUSE), lengths))
    assert "3 more readings are wanted" in fault.what
    named = fault.remedy.removeprefix("Measure ").removesuffix(".").replace(" and ", ", ")
    pairs = [pair.split("-") for pair in named.split(", ")]
    found = outline(Readings(tuple(HOUSE), lengths | read(HOUSE, pairs)))
    assert_figure(found, HOUSE)


def test_readings_that_crowd_one_part_do_not_hold_the_other():
    # Seven readings would do for five corners, but all of A, B, C, D is read and E hangs on one.
    fault = refusal(Readings(tuple(HOUSE), read(HOUSE, ["AB", "BC", "CD", "DA", "AC", "BD", "AE"])))
    assert "one more reading is wanted" in fault.what
    assert fault.remedy == "Measure D-E, B-E or C-E."


def test_a_special_position_names_the_loose_corner():
    # C is as far from B as it is high: it may swing sideways and no reading changes.
    readings = Readings(
        tuple(BOARD),
        read(BOARD, ["AB", "BC", "DA", "BD"]),
        heights={("C", "A", "B"): Fraction(900)},
    )
    fault = refusal(readings)
    assert fault.what.startswith("At these lengths C stays loose")
    assert fault.remedy == "Measure C-D or A-C."


def test_a_loose_corner_is_told_though_a_folded_figure_is_stiff():
    # A-E and D-E are read, and the heights of A and D above them: both say where E's angle is.
    points = {"A": (400, 100), "B": (100, 400), "C": (100, 700), "D": (0, 500), "E": (-300, -400)}
    (ax, ay), (dx, dy), (ex, ey) = (points[name] for name in "ADE")
    twice_area = abs((ax - ex) * (dy - ey) - (ay - ey) * (dx - ex))
    readings = Readings(
        tuple(points),
        read(points, ["DE", "CD", "AC", "AB", "AE", "BD"]),
        heights={
            ("A", "D", "E"): Fraction(twice_area / math.dist((dx, dy), (ex, ey))),
            ("D", "A", "E"): Fraction(twice_area / math.dist((ax, ay), (ex, ey))),
        },
        reflex=("B",),
    )
    assert "stays loose" in refusal(readings).what


def test_a_nearly_flat_triangle_does_not_hold_its_corner():
    # C is 500 from both ends of 1000, less a hair: its height is known to a hand's breadth.
    lengths = {
        ("A", "B"): Fraction(1000),
        ("B", "C"): Fraction("500.02"),
        ("A", "C"): Fraction(500),
    }
    fault = refusal(Readings(("A", "B", "C"), lengths))
    assert fault.what.startswith("At these lengths C stays loose")


def test_a_corner_just_over_180_degrees_is_told_from_one_just_under():
    hollow = {"A": (0, 0), "B": (600, 0), "C": (570, 500), "D": (600, 1000), "E": (0, 1000)}
    lengths = read(hollow, [*sides(hollow), "AC", "AD", "BD"])
    assert_figure(outline(Readings(tuple(hollow), lengths, reflex=("C",))), hollow)
    fault = refusal(Readings(tuple(hollow), lengths))
    assert "over 180° inside only at C;" in fault.what


def test_a_reflex_corner_left_out_is_told_where_a_reading_contradicts_its_fold():
    # E folded out over A-D is convex, and only C-E says that it is not so.
    dented = HOUSE | {"E": (250, 700)}
    lengths = read(dented, [*sides(dented), "AC", "AD", "CE"])
    fault = refusal(Readings(tuple(dented), lengths))
    assert "over 180° inside only at E;" in fault.what
    assert_figure(outline(Readings(tuple(dented), lengths, reflex=("E",))), dented)


def test_a_star_turns_left_everywhere_and_is_no_outline():
    star = tuple("ACEBD")
    fault = refusal(Readings(star, read(HOUSE, combinations("ABCDE", 2))))
    assert fault.what.startswith("The best outline found for these readings crosses itself:")


def test_a_side_longer_than_the_two_others_is_no_triangle():
    lengths = {("A", "B"): Fraction(1000), ("B", "C"): Fraction(300), ("A", "C"): Fraction(400)}
    fault = refusal(Readings(("A", "B", "C"), lengths))
    assert fault.place == "carcase 1 (body), outline, A-B"
    assert fault.what == (
        "1000 mm is longer than A-C and B-C together (700 mm): there is no such triangle."
    )


def test_the_one_reading_that_can_be_wrong_is_named_though_nothing_confirms_it():
    # Without A-C nothing would check the rest; with any other one left out there is no outline.
    lengths = read(BOARD, [*sides(BOARD), "AC", "BD"]) | {("A", "C"): Fraction(2500)}
    fault = refusal(Readings(tuple(BOARD), lengths))
    assert fault.place.endswith("outline, A-C")
    assert "no such triangle" in fault.what
    assert fault.remedy.startswith("A-C alone can be what is wrong")


def test_readings_that_tie_where_there_is_no_outline_are_named_with_what_would_tell():
    # K hangs on three readings; with K-A five inches too long its corners fold the outline.
    eleven = OUTLINES["eleven corners"]
    lengths = eleven.lengths()
    lengths["K", "A"] += 5 * INCH
    fault = eleven.solved(lengths)
    assert isinstance(fault, InputError)
    assert fault.remedy == (
        "One of K-A, B-K is wrong, if one reading is: measure C-K, which would tell."
    )


def test_a_reading_that_does_not_reach_is_named_beside_its_fellow():
    # H hangs on G-H and H-I only, and H-I is read too short for the two to reach: no other reading
    # can be left out to mend that, and it is not more than one that is wrong.
    eleven = OUTLINES["eleven corners"]
    lengths = eleven.lengths()
    lengths["H", "I"] -= 8 * INCH
    fault = eleven.solved(lengths)
    assert isinstance(fault, InputError)
    assert "no such triangle" in fault.what
    assert fault.remedy == "One of H-I, G-H is wrong, if one reading is: measure them again."


def test_an_impossible_triangle_is_a_suspect_where_the_others_tell_and_are_checked():
    lengths = read(HOUSE, combinations("ABCDE", 2))
    lengths["A", "C"] += 900
    found = outline(Readings(tuple(HOUSE), lengths))
    assert found.verdict == "suspect"
    assert found.suspect.label == "A-C"
    assert found.suspect.slip == pytest.approx(900, abs=1e-3)
    assert found.left_out
    assert_figure(found, HOUSE)
    assert found.redundancy == 2  # ten readings less the one, seven needed


def test_a_form_that_fits_otherwise_names_the_reading_that_it_may_be():
    # E folded out over A-D is convex: either E is reflex, or a diagonal of C is wrong.
    dented = HOUSE | {"E": (250, 700)}
    lengths = read(dented, [*sides(dented), "AC", "AD", "CE"])
    fault = refusal(Readings(tuple(dented), lengths))
    assert 'write reflex = ["E"]' in fault.remedy
    assert fault.remedy.endswith("If it is not, A-C or C-E is wrong: measure them again.")


def test_a_triangle_flat_within_the_tape_is_not_refused_as_impossible():
    lengths = {("A", "B"): Fraction(1000), ("B", "C"): Fraction(500), ("A", "C"): Fraction(500)}
    fault = refusal(Readings(("A", "B", "C"), lengths))
    assert "no such triangle" not in fault.what


def test_readings_that_meet_nowhere_are_named():
    lengths = {("A", "B"): Fraction(1000), ("A", "C"): Fraction(400)}
    fault = refusal(Readings(("A", "B", "C"), lengths, square=("B",)))
    assert fault.what.startswith("No outline has these readings: A-B, A-C, square corner B")


def test_an_outline_that_crosses_itself_names_the_sides():
    # Corners listed out of order: the readings are true, the order is not.
    fault = refusal(Readings(tuple("ACBD"), read(BOARD, ["AB", "BC", "CD", "DA", "AC", "BD"])))
    assert fault.what.startswith("The best outline found for these readings crosses itself:")
    assert "List the corners in order" in fault.remedy


@pytest.mark.parametrize(
    ("change", "place", "what"),
    [
        ({"distances": {("A", "Q"): 5}}, "A-Q", "There is no corner Q."),
        ({"heights": {("A", "A", "B"): 5}}, "A above A-B", "It names one corner twice."),
        ({"distances": {("A", "B"): 0}}, "A-B", "A reading is over 0 and up to 30480.0 mm"),
        ({"distances": {("A", "B"): 40_000}}, "A-B", "this one is 40000.0 mm"),
        ({"square": ("Z",)}, "Z", "There is no corner Z."),
        ({"reflex": ("Z",)}, "Z", "There is no corner Z."),
        ({"corners": ("A", "B")}, "outline", "three corners or more"),
        ({"corners": ("A", "B", "B")}, "outline", "each named once"),
    ],
)
def test_bad_readings_are_refused_where_they_stand(change, place, what):
    fields = {"corners": ("A", "B", "C"), "distances": {}} | change
    for key in ("distances", "heights"):
        fields[key] = {names: Fraction(size) for names, size in fields.get(key, {}).items()}
    fault = refusal(Readings(**fields))
    assert fault.place.endswith(place)
    assert what in fault.what


# Outlines whose corners are stated.


def stating(points):
    return stated(Corners.named(points), file="cabinet.toml", place="carcase 1 (body), outline")


def test_stated_corners_come_into_the_same_frame_without_spread():
    found = stating({"A": (10.0, 20.0), "B": (10.0, 620.0), "C": (-390.0, 620.0)})
    assert found.points == pytest.approx(np.array([(0, 0), (600, 0), (600, 400)]), abs=1e-9)
    assert found.verdict == "stated"
    assert not found.covariance.any()
    assert found.closures == ()


@pytest.mark.parametrize(
    ("points", "what"),
    [
        ({"A": (0, 0), "B": (0, 5), "C": (5, 0)}, "The corners run clockwise."),
        ({"A": (0, 0), "B": (5, 5), "C": (5, 0), "D": (0, 5)}, "crosses itself: A-B meets C-D"),
        ({"A": (0, 0), "B": (5, 0)}, "three corners or more"),
        ({"A": (0, 0), "B": (5, 0), "C": (5, 5), "D": (0, 0)}, "A and D are at the same point."),
    ],
)
def test_stated_corners_that_are_no_outline_are_refused(points, what):
    with pytest.raises(InputError) as error:
        stating({name: (float(x), float(y)) for name, (x, y) in points.items()})
    assert what in error.value.what
