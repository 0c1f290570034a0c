"""Quantities in words: in the units of the job, and never parted by the end of a line."""

import pytest
from hypothesis import given
from hypothesis.strategies import integers, sampled_from

from mateline.tape.quantities import (
    area_said,
    bound_said,
    columns,
    degrees_said,
    in_units,
    large_area_said,
    limit_said,
    litres_said,
    ounces_said,
    thickness_said,
    two_figures,
    unbroken,
    volume_said,
    within_said,
    wrapped,
)

INCH = 25.4  # mm


@pytest.mark.parametrize(
    ("length", "unit", "said"),
    [
        (0.4, "in", '0.016"'),  # a sheet of board
        (0.2, "ft", '0.008"'),  # a kerf
        (0.4, "mm", "0.4 mm"),
        (0.4, "cm", "0.4 mm"),
    ],
)
def test_board_and_kerf_are_said_in_thousandths(length, unit, said):
    assert thickness_said(length, unit) == said


@pytest.mark.parametrize(
    ("length", "unit", "said"),
    [
        (1.0, "in", '1/16"'),  # 1.26/32
        (INCH / 16, "in", '1/16"'),
        (0.01, "in", '1/32"'),
        (1.1, "mm", "1.5 mm"),
        (1.5, "mm", "1.5 mm"),
        (2.0, "mm", "2 mm"),
        (0.0, "mm", "0.5 mm"),
    ],
)
def test_a_bound_is_rounded_up(length, unit, said):
    assert bound_said(length, unit) == said


@pytest.mark.parametrize(
    ("length", "unit", "said"),
    [
        (0.6, "in", '1/64"'),  # 1.5/64
        (INCH / 32, "in", '1/32"'),
        (0.2, "in", '0.008"'),
        (0.25, "mm", "0.2 mm"),
    ],
)
def test_what_must_not_be_passed_is_rounded_down(length, unit, said):
    assert limit_said(length, unit) == said


def test_within_is_said_with_a_fraction():
    assert within_said(0.01, "in") == '1/64"'
    assert within_said(0.01, "mm") == "0.01 mm"


def test_areas_are_square_inches_or_centimetres():
    assert area_said(645.16, "in") == "1.00 in²"  # 25.4 mm squared
    assert area_said(64516, "ft") == "100.0 in²"
    assert area_said(201, "mm") == "2.01 cm²"
    assert large_area_said(304.8**2 * 2, "in") == "2.0 ft²"
    assert large_area_said(2e6, "mm") == "2.00 m²"


def test_temperatures_have_the_other_degrees_beside_them():
    assert degrees_said(14, fahrenheit=True, both=True) == "57 °F (14 °C)"
    assert degrees_said(14, fahrenheit=False, both=True) == "14.0 °C (57 °F)"
    assert degrees_said(14, fahrenheit=False, both=False) == "14.0 °C"
    assert degrees_said(3, fahrenheit=True, both=True, apart=True) == "5 °F (3 °C)"


def test_paint_is_ounces_before_litres_or_millilitres():
    # A US gallon is 231 in³ and 128 fl oz: 29.57 ml each.
    assert ounces_said(0.43, 0.91) == "15 to 31 fl oz"
    assert volume_said(0.43, 0.91, "in") == "15 to 31 fl oz (430 to 910 ml)"
    assert volume_said(0.43, 1.2, "mm") == "0.43 to 1.2 litres"
    assert litres_said(0.4, 0.4) == "400 ml"


@pytest.mark.parametrize(
    ("value", "said"), [(1.96, "2.0"), (0.0764, "0.076"), (12.4, "12"), (187.0, "190"), (0.0, "0")]
)
def test_ranges_have_two_figures(value, said):
    assert two_figures(value) == said


@pytest.mark.parametrize(
    "quantity",
    ['11 1/2"', "5' 3 7/16\"", "300 mm", "57 °F", "2.3 m²", "26.6 %", "15 to 31 fl oz", "12 h"],
)
def test_no_line_ends_within_a_quantity(quantity):
    for before in range(40):
        words = f"{'x' * before} and {quantity.replace(' to ', '-to-')} from it"
        for line in wrapped(words, 30):
            parts = quantity.replace(" to ", "-to-")
            assert parts in line or not set(parts.split()) & set(line.split())


@given(
    whole=integers(1, 99),
    steps=integers(1, 15).filter(lambda steps: steps % 2),
    start=integers(0, 30),
    width=integers(24, 80),
)
def test_a_reading_stays_whole_at_any_width(whole, steps, start, width):
    reading = f'{whole} {steps}/16"'
    lines = wrapped(f"{'so ' * start}the hole is {reading} from the edge", width, "  ", "    ")
    assert sum(reading in line for line in lines) == 1
    assert max(map(len, lines)) <= width


@given(unit=sampled_from(["mm", "m", "cm²", "ft²"]), number=integers(0, 999))
def test_only_spaces_are_changed(unit, number):
    words = f"at {number} {unit} and metres"
    assert unbroken(words).replace("\u00a0", " ") == words
    assert unbroken(words).count("\u00a0") == 1


def test_a_table_wraps_its_last_column():
    rows = [("face", "pieces", "colours"), ("body-left", "12", "red 4, blue 5, green 3")]
    assert columns(rows, (0,), 32) == [
        "face       pieces  colours",
        "body-left      12  red 4, blue",
        "                   5, green 3",
    ]


def test_words_in_millimetres_are_told_in_the_units_of_the_job():
    words = "bows inwards by 1.6 mm near (254, 12.7) mm; the sides differ by 645 mm²."
    assert in_units(words, "in") == (
        'bows inwards by 1/16" near (10", 1/2"); the sides differ by 1.00 in².'
    )
    assert in_units(words, "mm") == words
