"""Inches and feet in millimetres, exactly. NIST SP 811, Appendix B: 1 in = 25.4 mm."""

from fractions import Fraction

import pytest

from mateline.tape.reading import parse_length


def test_an_inch_is_25_4_mm_exactly():
    assert parse_length("1", "in") == Fraction(254, 10)


def test_a_foot_is_304_8_mm_and_never_the_survey_foot():
    """The US survey foot, 1200/3937 m, is 2 ppm longer."""
    assert parse_length("1 ft", "mm") == Fraction(3048, 10) != Fraction(1_200_000, 3937)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ('1/16"', "1.5875"),
        ('1/32"', "0.79375"),
        ('1/64"', "0.396875"),
        ('3/64"', "1.190625"),
        ('1 1/16"', "26.9875"),
        ('23-5/8"', "600.075"),
        ("5' 3 7/16\"", "1611.3125"),
        ('71 15/16"', "1827.2125"),
        ("6' 0 1/2\"", "1841.5"),
    ],
)
def test_fractions_of_an_inch_in_millimetres(text: str, mm: str):
    assert parse_length(text, "in") == Fraction(mm)
