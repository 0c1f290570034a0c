"""Dew points against three published sets of numbers, and decisions printed with them."""

import pytest

from mateline.paint.dew_point import dew_of, dew_point

# °C, %: Magnus with 17.62 and 243.12 (WMO Guide, annex 4.B, quoted in an instrument manual),
# Magnus with 17.625 and 243.04, and a psychrometric library's full equations (PsychroLib 2.5.0).
TABLE = [
    (20, 50, 9.255, 9.261, 9.272),
    (23, 50, 12.014, 12.020, 12.028),
    (25, 50, 13.852, 13.858, 13.864),
    (25, 60, 16.693, 16.698, 16.701),
    (16, 71, 10.741, 10.744, 10.750),
    (30, 80, 26.169, 26.171, 26.169),
    (10, 80, 6.706, 6.708, 6.713),
    (15, 85, 12.497, 12.498, None),
    (5, 70, -0.022, -0.019, None),
]


@pytest.mark.parametrize(("air", "percent", "wmo", "other", "full"), TABLE)
def test_the_table_of_dew_points(air, percent, wmo, other, full):
    found = dew_point(air, percent / 100)
    assert found == pytest.approx(wmo, abs=6e-4)
    assert found == pytest.approx(other, abs=0.03)
    assert full is None or found == pytest.approx(full, abs=0.03)


def test_saturated_air_is_at_its_dew_point():
    assert dew_point(18.0, 1.0) == pytest.approx(18.0)


def test_a_printed_decision_to_paint():
    # Dry bulb 21, wet bulb 17: humidity 67.4 %, dew point 15 by chart; surface 19: paint.
    dew = dew_of(21.0, 0.674, 19.0)
    assert dew.point == pytest.approx(15.0, abs=0.5)
    assert dew.paint


def test_a_printed_decision_not_to_paint():
    # Air 16 °C at 71 %: dew point 11; surface 13 is only 2 above it: do not paint.
    dew = dew_of(16.0, 0.71, 13.0)
    assert dew.point == pytest.approx(11.0, abs=0.5)
    assert not dew.paint
    assert "Do not paint: it should be at least 3.0 °C above." in dew.text


def test_air_over_85_percent_is_too_damp_even_on_a_warm_surface():
    # ISO 12944-7 and data sheets as practice: 85 % at most
    assert not dew_of(20.0, 0.86, 30.0).paint
    assert "86% humidity is over 85%" in dew_of(20.0, 0.86, 30.0).text
    assert dew_of(20.0, 0.85, 30.0).paint
