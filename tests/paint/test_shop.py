"""The shop: what the definition states, defaults, and faults."""

import datetime as dt

import pytest

from boxes import faults_of
from mateline.paint.shop import DRY, TRANSFER
from painting import definition


def test_defaults_are_ranges_with_sources():
    red = definition().shop.coatings["red"]
    assert red.transfer == TRANSFER["gun"]
    assert red.dry == DRY
    assert "no source" in red.dry.source


def test_a_paint_without_a_method_takes_that_of_the_shop():
    shop = definition({"method": "can"}, red={"method": "brush"}).shop
    assert shop.coatings["red"].method == "brush"
    assert shop.coatings["blue"].method == "can"


def test_a_date_is_a_date_of_the_file():
    assert definition({"start": dt.date(2027, 5, 3)}).shop.start.isoformat() == "2027-05-03"


def test_fahrenheit_is_read():
    shop = definition({"degrees": "F", "air": 77, "surface": 68, "humidity_percent": 50}).shop
    assert (shop.air, shop.surface) == pytest.approx((25.0, 20.0))


def test_cold_air_slows_drying_where_a_factor_is_stated():
    weather = {"air": 15, "humidity_percent": 50}
    stated = {"dry_hours": 8}
    plain = definition(weather, red=stated).shop.coatings["red"].dry
    slow = definition({**weather, "slower_per_10c": 2}, red=stated).shop.coatings["red"].dry
    assert plain.likely == pytest.approx(8)
    assert slow.likely == pytest.approx(16)  # 10 °C under the label's 25 °C: twice


def test_colder_never_dries_faster():
    hours = [
        definition({"air": air, "humidity_percent": 50, "slower_per_10c": 1.7})
        .shop.coatings["red"]
        .dry.likely
        for air in (35, 25, 20, 15, 5)
    ]
    assert hours == sorted(hours)
    assert hours[0] == hours[1] == DRY.likely


def test_a_start_that_is_no_date_is_told_with_its_place():
    (told,) = faults_of(lambda: definition({"start": "tomorrow"}))
    assert told.startswith("cabinet.toml: painting, start: Input should be a valid date")
    assert "'tomorrow'" in told


@pytest.mark.parametrize(
    ("painting", "fault"),
    [
        ({"hours_a_day": 20}, "A day of 20 hours from 09:00 ends after midnight."),
        ({"air": 20}, "The dew point takes both the air's temperature and its humidity."),
        ({"surface": 20}, "The dew point takes both the air's temperature and its humidity."),
        ({"air": 68, "humidity_percent": 50}, "68 °C is not between -20 and 60 °C."),
        ({"put_back_play": "-1 mm"}, "“-1 mm” is less than 0."),
        (
            {
                "days_off": [
                    "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"
                ]
            },
            "All seven days are off.",
        ),
    ],
)  # fmt: skip
def test_a_shop_that_cannot_be_is_told(painting, fault):
    (told,) = faults_of(lambda: definition(painting, file="there.toml").shop)
    assert fault in told
    assert told.startswith("there.toml: painting")
