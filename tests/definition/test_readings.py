"""Readings as a hand writes them: tables, pairs, plumb and level offsets, gauge angles, repeats."""

import math
from fractions import Fraction

import numpy as np
import pytest

import mateline.interface as ml
from mateline.errors import InputError, InputFaultsError
from mateline.tape.accuracy import limit
from mateline.tape.outline import solved

TAPE = ml.tape_of("in", "1/16", "II")
INCH = Fraction(127, 5)
# A house in inches, drawn on the page: floor 48, walls 20 and 32 (3-4-5 slopes are easy to check).
HOUSE = {"A": (0, 0), "B": (48, 0), "C": (48, 32), "D": (32, 32), "E": (0, 20)}


def outline(readings, **more):
    read = ml.readings_of("ABCDE", readings, TAPE, **more)
    return solved(read, TAPE, file="f", place="p")


def length(one, two):
    return math.dist(HOUSE[one], HOUSE[two])


def assert_house(found, within=0.5):
    spans = np.linalg.norm(found.points[:, None] - found.points[None], axis=2)
    at = 25.4 * np.array(list(HOUSE.values()), dtype=float)
    true = np.linalg.norm(at[:, None] - at[None], axis=2)
    assert np.abs(spans - true).max() < within


def test_a_table_a_pair_and_single_readings_say_the_same():
    single = ml.readings_of(
        "ABCDE",
        {"A-B": "48", "A-C": "57 11/16", "A-E": "20", "B-D": "35 3/4", "B-E": "52"},
        TAPE,
    )
    table = ml.readings_of("ABCDE", {"A": "B 48, C 57 11/16, E 20", "B-D, B-E": "35 3/4, 52"}, TAPE)
    assert table == single
    one = ml.readings_of("ABCDE", {"A-C; B-E": "52 1/2"}, TAPE).distances
    assert one == {("A", "C"): Fraction("52.5") * INCH, ("B", "E"): Fraction("52.5") * INCH}


def test_a_decimal_comma_is_none_between_two_readings():
    tape = ml.tape_of("cm", "0.1", "II")
    read = ml.readings_of("ABC", {"A": "B 130,8, C 12,5 cm"}, tape)
    assert list(read.distances.values()) == [Fraction(1308), Fraction(125)]


SIDES = {"A-B": 48, "B-C": 32, "C-D": 16, "E-A": 20}


def test_plumb_and_level_offsets_hold_an_outline():
    feet = {"D along A-B": 32, "D above A-B": 32, "C above A-B": 32, "E above A-B": 20}
    sides = {"A-B": 48, "B-C": 32, "C-D": 16, "D-E": "34 3/16"}  # 34.18, the root of 32² + 12²
    found = outline(sides | feet)
    assert_house(found)


def test_past_is_what_stands_out_beyond_the_line():
    # E-D leans: the foot of C on A-E lies 12 past E.
    found = outline({"A-B": 48, "E-A": 20, "C past A-E": 12, "C above A-E": 48, "D above A-B": 32,
                     "C-D": 16, "B-E": 52})  # fmt: skip
    assert_house(found)


def test_gauge_and_level_angles_hold_what_no_tape_reads():
    slope = math.degrees(math.atan2(12, 32))
    found = outline(SIDES, angles={"B": 90, "A": 90, "D-E to A-B": slope}, square=())
    assert_house(found, within=16)  # half a degree in 48"
    assert {each.kind for each in found.closures} == {"distance", "angle"}
    wide = 90 + slope  # at E, between the wall and the slope; the worked sum of a pentagon is 540
    assert outline(SIDES, angles={"B": 90, "A": 90, "E": wide}).redundancy == 0


def test_a_reading_taken_twice_averages_and_checks_itself():
    sides = SIDES | {"D-E": math.hypot(32, 12), "A-C": length("A", "C"), "A-D": length("A", "D")}
    once = outline(sides)
    assert once.verdict == "unchecked"
    twice = outline(sides | {"A-C": [length("A", "C") - 1 / 16, length("A", "C") + 1 / 16]})
    assert twice.redundancy == 1
    assert twice.verdict == "closes"
    assert_house(twice)
    # The tape is out by the same each time, so two readings are not worth 1 / sqrt(2) of one.
    own = [each.deviation for each in twice.closures if each.label.startswith("A-C")]
    assert own[0] / math.sqrt(2) < once.closures[5].deviation < own[0]
    wrong = outline(sides | {"A-C": [length("A", "C"), length("A", "C") + 1]})
    assert wrong.verdict == "cannot-tell"
    labels = {each.label for each in wrong.candidates}
    assert labels == {"A-C", "A-C, read again (2)"}


def test_a_wrong_angle_is_named():
    every = {f"{a}-{b}": length(a, b) for a in HOUSE for b in HOUSE if a < b}
    found = outline(every, angles={"B": 97})
    assert found.suspect.label == "angle B"
    assert math.degrees(found.suspect.slip) == pytest.approx(7, abs=0.2)


@pytest.mark.parametrize(
    ("readings", "angles", "said"),
    [
        ({"A": "B 48 C 12"}, {}, "cannot be worked out"),
        ({"A": "Q 48"}, {}, "no corner with its distance from A"),
        ({"A-B, B-C": "1, 2, 3"}, {}, "names 2 distances"),
        ({"A-B": []}, {}, "It has 0 readings"),
        ({"A-B": 3, "B-A": 3}, {}, 'If it was read twice, write B-A = ["…", "…"].'),
        ({"A": "B 3", "B": "A 3"}, {}, "there already"),
        ({"C beside A-B": 3}, {}, 'Write "A-B" for a distance'),
        ({"C along A-A": 3}, {}, "one corner twice"),
        ({"A-B": 3}, {"Q": 90}, "no corner"),
        ({"A-B": 3}, {"A-B to A-B": 9}, "not two lines"),
        ({"A-B": 3}, {"A and B": 9}, "no angle of corners"),
    ],
)
def test_what_is_no_reading_is_refused(readings, angles, said):
    with pytest.raises((InputError, InputFaultsError)) as refused:
        ml.readings_of("ABCDE", readings, TAPE, angles=angles)
    assert said in str(refused.value)


def test_an_angle_that_no_gauge_has_is_refused():
    with pytest.raises(InputError, match="between 0° and 90°"):
        outline(SIDES, angles={"B": 90, "A": 90, "D-E to A-B": 120})


@pytest.mark.parametrize(
    ("tapes", "apart"),
    [(200, 0.04), pytest.param(2000, 0.02, marks=pytest.mark.simulation)],
    ids=["few", "many"],
)
def test_ellipses_hold_95_of_100_corners_of_simulated_readings(tapes, apart):
    """Errors as in JCGM 100:2008, 4.3.7: uniform within the class, the gauge's and the level's."""
    random = np.random.default_rng(5)
    tape = ml.tape_of("mm", "1", "II")
    at = 25.4 * np.array(list(HOUSE.values()), dtype=float)
    span = {f"{a}-{b}": 25.4 * length(a, b) for a, b in ("AB", "BC", "CD", "DE", "EA")}
    inside = alarms = 0
    for _ in range(tapes):

        def read(value, times=1):
            most = limit(value, tape)
            out = random.uniform(-most, most)  # the tape's own, the same each time
            return [round(value + out) for _ in range(times)] if times > 1 else round(value + out)

        readings = {name: read(value) for name, value in span.items()}
        readings |= {
            "A-C": read(25.4 * length("A", "C"), 3),
            "D along A-B": read(812.8),
            "D above A-B": read(812.8),
            "C past A-E": read(304.8),
        }
        slope = math.degrees(math.atan2(12, 32))
        angles = {
            "E": 90 + slope + random.uniform(-0.5, 0.5),
            "D-E to A-B": slope + random.uniform(-0.2, 0.2),
        }
        found = solved(
            ml.readings_of("ABCDE", readings, tape, angles=angles), tape, file="", place=""
        )
        alarms += found.verdict != "closes"
        off = found.points - at
        inside += abs(off[1, 0]) <= 1.96 * found.deviations[1, 0]
        for corner in (2, 3, 4):
            rows = slice(2 * corner, 2 * corner + 2)
            away = np.linalg.solve(found.covariance[rows, rows], off[corner])
            inside += off[corner] @ away <= 5.991  # chi-squared, 2 degrees of freedom, 95 %
    assert abs(inside / (4 * tapes) - 0.95) < apart
    assert alarms <= 0.02 * tapes
