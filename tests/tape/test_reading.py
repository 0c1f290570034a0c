"""Readings as people write them, and back."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis.strategies import floats, integers, sampled_from

from mateline.tape.accuracy import MM, Tape
from mateline.tape.reading import ReadingError, parse_length, printed, printed_exact

INCH = MM["in"]
SIXTEENTHS = Tape("in", INCH / 16, "HB44")
MILLIMETRES = Tape("mm", Fraction(1), "II")


@pytest.mark.parametrize(
    ("text", "unit", "mm"),
    [
        ("51 1/2", "in", Fraction(103, 2) * INCH),
        ('51-1/2"', "in", Fraction(103, 2) * INCH),
        ("51½", "in", Fraction(103, 2) * INCH),
        ("51 1/2", "mm", Fraction(103, 2)),
        ("5' 3 7/16\"", "in", Fraction(1015, 16) * INCH),
        ("5' 3 7/16", "mm", Fraction(1015, 16) * INCH),
        ("5'-3 7/16\"", "in", Fraction(1015, 16) * INCH),
        ("5\u2032 3 7/16\u2033", "in", Fraction(1015, 16) * INCH),
        ("5' 3\u2077\u2044\u2081\u2086", "in", Fraction(1015, 16) * INCH),
        ("5-3 7/16", "in", Fraction(1015, 16) * INCH),
        ("1 ft 2 in", "mm", 14 * INCH),
        ("1308", "mm", Fraction(1308)),
        ("1308 mm", "in", Fraction(1308)),
        ("130.8cm", "in", Fraction(1308)),
        ("130,8 cm", "in", Fraction(1308)),
        ("1.308 m", "in", Fraction(1308)),
        ("51.5 in", "mm", Fraction(103, 2) * INCH),
        ("3/4", "in", Fraction(3, 4) * INCH),
        ("4' 0\"", "mm", 48 * INCH),
        ("0", "mm", Fraction(0)),
        ("2 m 5 cm", "mm", Fraction(2050)),
        ("7 feet", "mm", 84 * INCH),
        ("  12 inches ", "mm", 12 * INCH),
    ],
)
def test_a_reading_is_exact(text, unit, mm):
    assert parse_length(text, unit) == mm


@pytest.mark.parametrize(
    ("text", "unit", "said"),
    [
        ("", "mm", "it is empty"),
        ("wide", "mm", "no number stands before|is no unit"),
        ("-5", "mm", "not negative"),
        ("5--3", "in", "two hyphens follow each other"),
        ("5-", "in", "nothing follows the hyphen"),
        ("1/0", "in", "divides by zero"),
        ("511/2", "in", "not less than one; is a space missing"),
        ("1,308", "mm", "could be 1308 or 1.308"),
        ("5 3", "mm", "without a unit between"),
        ("5-3", "mm", "no unit says so"),
        ("5' 3 mm", "mm", "mixes ft with mm"),
        ("3\" 5'", "in", "ft cannot follow in"),
        ("5' 12\"", "in", "12 in are 1 ft already, so this is a slip of the pen"),
        ("5' 13\"", "in", "slip of the pen"),
        ("5.5' 3\"", "in", "only the last number may have a fraction"),
        ("5 1/2 1/4", "in", "has decimals or a fraction already"),
        ("5 parsecs", "mm", "is no unit"),
        ("5;", "mm", "not part of a length"),
        ("mm", "mm", "no number stands before"),
        ("1" * 300, "mm", "a reading has a few"),
    ],
)
def test_a_text_that_is_no_reading_says_why(text, unit, said):
    with pytest.raises(ReadingError, match=said):
        parse_length(text, unit)


def test_a_refusal_shows_how_to_write_a_reading():
    with pytest.raises(ReadingError, match=r"Write 51 1/2 or 51-1/2"):
        parse_length("about fifty", "in")


def test_an_unknown_unit_is_our_own_mistake():
    with pytest.raises(ValueError, match="unit is one of"):
        parse_length("5", "furlong")


@given(sixteenths=integers(0, 20_000), graduation=sampled_from([1, 2, 4, 8, 16]))
def test_inches_printed_and_parsed_are_the_same(sixteenths, graduation):
    tape = Tape("in", INCH / graduation, "HB44")
    length = Fraction(sixteenths, graduation) * INCH
    assert parse_length(printed(length, tape), "mm") == length


@given(sixteenths=integers(0, 20_000))
def test_feet_printed_and_parsed_are_the_same(sixteenths):
    tape = Tape("ft", INCH / 16, "HB44")
    length = Fraction(sixteenths, 16) * INCH
    assert parse_length(printed(length, tape), "mm") == length


@given(steps=integers(0, 30_000), unit=sampled_from(["mm", "cm", "m"]))
def test_millimetres_printed_and_parsed_are_the_same(steps, unit):
    tape = Tape(unit, Fraction(1, 2), "II")
    assert parse_length(printed(Fraction(steps, 2), tape), "in") == Fraction(steps, 2)


@given(whole=integers(0, 300), above=integers(1, 63), joint=sampled_from([" ", "-"]))
def test_a_hyphen_before_a_fraction_is_never_a_minus(whole, above, joint):
    text = f'{whole}{joint}{above}/64"'
    assert parse_length(text, "mm") == (whole + Fraction(above, 64)) * INCH


def test_printed_takes_the_nearest_graduation():
    assert printed(1308.4, MILLIMETRES) == "1308 mm"
    assert printed(Fraction(103, 2) * INCH, SIXTEENTHS) == '51 1/2"'


@pytest.mark.parametrize(
    ("length", "unit", "text"),
    [
        (1308.14, "mm", "1308.1 mm"),
        (0.04, "mm", "0.04 mm"),
        (-0.0001, "mm", "0.00 mm"),
        (1308.14, "cm", "130.81 cm"),
        (25.4 * 51.5, "in", '51 1/2"'),
        (25.4 * 63.5, "ft", "5' 3 1/2\""),
        (25.4 / 32, "in", '1/32"'),
        (-25.4 / 32, "in", '-1/32"'),
        (0.1, "in", 'under 1/64"'),
        (-0.1, "in", 'under 1/64"'),
        (0, "in", '0"'),
    ],
)
def test_printed_exact_is_finer_than_a_tape(length, unit, text):
    assert printed_exact(length, unit) == text


@given(length=floats(0, 3000), tape=sampled_from([SIXTEENTHS, MILLIMETRES]))
def test_what_is_printed_is_the_nearest_mark(length, tape):
    off = abs(parse_length(printed(length, tape), tape.unit) - Fraction(length))
    assert off <= tape.graduation / 2


@pytest.mark.parametrize(("steps", "mark"), [("1/2", "0"), ("3/2", "2"), ("5/2", "2")])
def test_midway_between_marks_the_even_one_is_printed(steps, mark):
    # NIST Handbook 44, 10.3: to the nearest even graduation.
    half = Fraction(steps)
    assert printed(half, MILLIMETRES) == f"{mark} mm"
    assert parse_length(printed(half * INCH / 16, SIXTEENTHS), "in") == int(mark) * INCH / 16
