"""Paint in litres, ounces and cans: the formula, ranges, and where figures come from."""

import pytest

from mateline.paint.order import Placed
from mateline.paint.passes import passes_of
from mateline.paint.quantity import amount, litres, needs_of
from painting import definition, stripes

ORDER = tuple(Placed(colour, "") for colour in ("red", "blue", "green"))
LABEL = {"volume_solids_percent": 40, "dry_film_um": 25, "coats": 2, "label": "Barn red"}
GUN = {"transfer_percent": {"gun": 50}, "waste_percent": 0}
THIRD = 100 * 60 * 1e-6  # m²: one stripe


def need(painting=None, **red):
    stencil = stripes()
    shop = definition(painting, red=red).shop
    return needs_of(passes_of([stencil], ORDER, "cream"), shop)[1]


def test_what_the_label_states_is_one_figure_worked_by_hand():
    # 0.006 m² * 2 * 25 um = 0.3 mL dry; / 0.4 solids / 0.5 on the work = 1.5 mL
    found = need(GUN, **LABEL)
    assert found.litres[:3] == pytest.approx((1.5e-3,) * 3)
    assert found.label == "Barn red"


def test_waste_comes_on_top():
    assert need({**GUN, "waste_percent": 20}, **LABEL).litres.likely == pytest.approx(1.8e-3)


def test_what_nobody_states_is_a_range_from_the_best_to_the_worst():
    found = need({"waste_percent": 0})
    best = litres(THIRD * 1e6, 1, 30.5e-3, 0.45, 0.7)
    worst = litres(THIRD * 1e6, 1, 42.5e-3, 0.25, 0.5)
    assert (found.litres.low, found.litres.high) == pytest.approx((best, worst))
    assert found.litres.low < found.litres.likely < found.litres.high


def test_a_can_without_solids_is_reckoned_by_what_a_can_covers():
    # 0.006 m² * 2 coats / 1.5 m² a can of 400 mL = 0.008 cans
    found = need({"waste_percent": 0}, method="can", coats=2)
    assert found.litres.likely == pytest.approx(0.008 * 0.4)
    assert found.cans == (1, 1)
    assert found.sources[0][1] == "what cans are often said to cover; weak"


def test_a_can_whose_cover_and_size_are_stated_takes_them():
    painting = {"waste_percent": 0, "can_covers_m2": 0.005, "can_size_ml": 150}
    found = need(painting, method="can", coats=2)
    assert found.cans == (3, 3)  # 0.012 / 0.005 = 2.4
    assert found.litres[:3] == pytest.approx((2.4 * 0.15,) * 3)


def test_exactly_two_cans_are_two():
    found = need({"waste_percent": 0, "can_covers_m2": 0.006}, method="can", coats=2)
    assert found.cans == (2, 2)


def test_a_larger_can_covers_more_in_proportion():
    small, large = (need({"can_size_ml": size}, method="can") for size in (400, 800))
    assert small.litres.likely == pytest.approx(large.litres.likely)


def test_a_can_whose_solids_are_stated_goes_by_its_film():
    found = need({"transfer_percent": {"can": 50}, "waste_percent": 0}, method="can", **LABEL)
    assert found.litres.likely == pytest.approx(1.5e-3)
    assert found.cans == (1, 1)


def test_every_figure_has_a_source():
    sources = dict(need(None, dry_film_um=25).sources)
    assert sources["dry film a coat 25 \u00b5m"] == "your definition"
    assert "no source" in sources["volume solids 25 to 45 %"]
    assert "65 %" in sources["transfer efficiency 50 to 70 %"]
    assert any(told.startswith("waste") for told in sources)


def test_the_base_coat_takes_the_whole_face():
    shop = definition().shop
    base = needs_of(passes_of([stripes()], ORDER, "cream"), shop)[0]
    assert (base.colour, base.area) == ("cream", pytest.approx(300 * 100))


def test_amounts_are_said_in_two_figures():
    assert amount(need(GUN, **LABEL), "mm") == "1.5 ml, likely 1.5 ml"
    assert amount(need(method="can"), "mm").startswith("1 spray can: 1.2 to 3.0 ml")
    # A US fluid ounce is 29.57 ml, and they come first where the tape is in inches.
    assert amount(need(method="can"), "in").startswith(
        "1 spray can: 0.040 to 0.10 fl oz (1.2 to 3.0 ml)"
    )


@pytest.mark.parametrize(
    ("unit", "said"),
    [
        ("mm", "a can of 400 ml covers 0.93 to 2.3 m² a coat"),
        ("in", "a can of 14 fl oz (400 ml) covers 10 to 25 ft² a coat"),
    ],
)
def test_what_a_can_covers_is_said_in_the_units_of_the_job(unit, said):
    shop = definition({}, unit=unit, red={"method": "can"}).shop
    (found,) = [each for each in needs_of(passes_of([stripes()], ORDER, "cream"), shop)
                if each.colour == "red"]  # fmt: skip
    assert found.sources[0][0] == said
