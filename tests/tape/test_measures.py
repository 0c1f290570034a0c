"""Named measures and the arithmetic between them."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis.strategies import integers

from mateline.tape.accuracy import MM
from mateline.tape.measures import MeasureError, evaluate, resolved
from mateline.tape.reading import ReadingError

INCH = MM["in"]
KNOWN = {"depth": Fraction(600), "board": Fraction(18), "width": Fraction(550)}


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("depth - 2*board", 564),
        ("depth-2*board", 564),
        ("2*board + depth", 636),
        ('(width - 1 1/2")/2', Fraction(550 - Fraction(381, 10)) / 2),
        ("depth/2", 300),
        ("depth*3/4", 450),
        ("-board + depth", 582),
        ("depth - (board - 3)", 585),
        ("board", 18),
        ("1308", 1308),
        ("10 - 3", 7),
        ("depth/board*board", 600),
        ("2 * (depth + width)", 2300),
        ("--board", 18),
    ],
)
def test_arithmetic_is_exact(text, mm):
    assert evaluate(text, KNOWN, "mm") == mm


def test_a_tight_hyphen_between_numbers_belongs_to_the_reading():
    assert evaluate("51-1/2", {}, "in") == Fraction(103, 2) * INCH


def test_after_a_name_a_hyphen_is_a_minus():
    assert evaluate("depth-1/2", {"depth": 10 * INCH}, "in") == Fraction(19, 2) * INCH


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("51 - 1/2", "could be one reading or a difference"),
        ("depth*width", "an area"),
        ("2/depth", "no length"),
        ("depth/board", "plain number"),
        ("depth + depth/board", "cannot be added to a length"),
        ("depth/0", "divides by zero"),
        ("(depth", "bracket is not closed"),
        ("depth +", "something is missing at its end"),
        ("depth board", "is a \\* missing"),
        ("* depth", "stands where a length or a name should"),
        ("dept", "did you mean “depth”"),
        ("height", "there is no measure “height”"),
        ("depth % 2", "neither a length, a name"),
        ("", "nothing here"),
        ("(" * 60 + "1" + ")" * 60, "stand inside each other"),
        ("1+" * 200 + "1", "over 200 characters"),
    ],
)
def test_what_cannot_be_worked_out_says_why(text, said):
    with pytest.raises(ReadingError, match=said):
        evaluate(text, KNOWN, "mm")


@given(a=integers(1, 3000), b=integers(1, 300), factor=integers(1, 9))
def test_arithmetic_agrees_with_the_same_arithmetic_on_fractions(a, b, factor):
    known = {"a": Fraction(a, 16) * INCH, "b": Fraction(b, 64) * INCH}
    assert evaluate(f"a - {factor}*b", known, "in") == known["a"] - factor * known["b"]
    assert evaluate(f"(a + b)/{factor}", known, "in") == (known["a"] + known["b"]) / factor


def test_measures_may_use_each_other_in_any_order():
    table = {"inner": "depth - 2*board", "depth": "24", "board": "3/4"}
    found = resolved(table, "in")
    assert found == {"inner": Fraction(45, 2) * INCH, "depth": 24 * INCH, "board": INCH * 3 / 4}
    assert list(found) == list(table)


@pytest.mark.parametrize(
    ("table", "name", "said"),
    [
        ({"a": "b + 1", "b": "a"}, {"a", "b"}, "round in a circle"),
        ({"a": "bee", "be": "1"}, {"a"}, "did you mean “be”"),
        ({"Depth": "1"}, {"Depth"}, "small letters"),
        ({"mm": "1"}, {"mm"}, "name of a unit"),
        ({"a": "1 ~ 2"}, {"a"}, "neither a length"),
        ({"a": "b/0", "b": "1"}, {"a"}, "divides by zero"),
    ],
)
def test_a_bad_table_names_the_measure(table, name, said):
    with pytest.raises(MeasureError, match=said) as error:
        resolved(table, "mm")
    assert error.value.name in name
