"""What is said of curves, read as a person would."""

from fractions import Fraction

import pytest

from mateline.tape.accuracy import Tape
from mateline.tape.arcs.curve import Curve
from mateline.tape.outline import solved
from mateline.tape.readings import Readings
from mateline.tape.report import as_json, doubts, table

TAPE = Tape("mm", Fraction(1), "II")
READ = {("A", "B"): 600, ("B", "C"): 800, ("C", "D"): 600, ("D", "A"): 800, ("A", "C"): 1000,
        ("B", "D"): 1000}  # fmt: skip
SPOTS = tuple((Fraction(x), Fraction(off)) for x, off in ((100, 35), (300, 62), (500, 35)))


def outline(**curves):
    named = {tuple(key.split("_")): curve for key, curve in curves.items()}
    lengths = {pair: Fraction(length) for pair, length in READ.items()}
    return solved(Readings(tuple("ABCD"), lengths, curves=named), TAPE, file="", place="")


def test_the_table_has_each_curve_and_each_of_its_readings():
    said = table(outline(C_D=Curve(rise=Fraction(60)), B=Curve(radius=Fraction(100))), TAPE)
    (curve,) = [line.split("  ") for line in said.splitlines() if line.startswith("C-D ")][1:2]
    # 600 and 60: 600^2 / 480 + 30 = 780; 2 * 780 * asin(300 / 780) = 615.9.
    assert "780.0 mm" in " ".join(curve)
    assert "615.9 mm" in said
    assert "C-D rise" in said
    assert "B radius" in said


def test_how_well_an_arc_fits_its_points_is_told():
    # Points of 35 at 100 and 500 and of 62 at 300: the arc through the first two has 62.4 there.
    said = table(outline(C_D=Curve(points=SPOTS)), TAPE)
    assert "An arc fits the 3 points along C-D within" in said
    assert "C-D point 2" in said


def test_what_contradicts_a_curve_is_told_and_counts():
    wrong = outline(C_D=Curve(points=(*SPOTS, (Fraction(200), Fraction(30)))))
    assert doubts(wrong)
    assert "The C-D point 4 is" in table(wrong, TAPE)
    assert not doubts(outline(C_D=Curve(points=SPOTS)))


def test_plain_data_hold_the_middle_and_its_ellipse():
    (curve,) = as_json(outline(C_D=Curve(rise=Fraction(60))))["curves"]
    assert curve["curve"] == "C-D"
    assert curve["radius"] == pytest.approx(780, abs=0.1)
    assert (curve["middle"]["x"], curve["middle"]["y"]) == pytest.approx((300, 860), abs=0.1)
    assert curve["middle"]["ellipse_95"]["long"] > curve["middle"]["ellipse_95"]["short"] > 0
    assert curve["readings"][0]["read"] == 60
