"""What is finished already: how it is said, and where in the plan that is."""

import datetime as dt

import pytest

from mateline.errors import InputError, InputFaultsError
from mateline.paint.days import rounds_of
from mateline.paint.done import done_of, finished
from mateline.paint.order import Placed
from mateline.paint.passes import passes_of
from painting import definition, stripes

ORDER = tuple(Placed(colour, "") for colour in ("red", "blue", "green"))
SIDES = (stripes(name="left"), stripes(name="right"))
TURNED = [("body-left", "body-right")]


def ready(*texts, turned=TURNED, start=dt.date(2027, 5, 3)):
    shop = definition({} if start is None else {"start": start}).shop
    passes = passes_of(SIDES, ORDER, "cream")
    rounds = rounds_of(SIDES, turned)
    return finished([done_of(text) for text in texts], passes, rounds, shop, "cabinet.toml")


def refused(*texts, **more):
    with pytest.raises(InputError) as caught:
        ready(*texts, **more)
    return str(caught.value)


def test_a_time_counts_from_the_first_midnight():
    assert ready("red 2027-05-05 15:30", turned=()) == {(1, 1): 2 * 1440 + 15 * 60 + 30}


def test_a_day_without_a_time_means_when_the_shop_closes():
    assert ready("blue 2027-05-05", turned=()) == {(1, 2): 2 * 1440 + 17 * 60}


@pytest.mark.parametrize("name", ["base coat", "cream"])
def test_the_base_coat_has_two_names(name):
    assert ready(f"{name} 2027-05-03 11:00") == {(0, 0): 11 * 60}


def test_a_set_that_is_turned_over_has_each_pass_twice_and_the_face_tells_which():
    assert ready("red on body-right 2027-05-09 10:00") == {(2, 1): 6 * 1440 + 600}
    assert refused("red 2027-05-09") == (
        "cabinet.toml: painting, done: “red 2027-05-09”: red is sprayed more than once, on "
        'body-left first, then on body-right. Say which, such as "red on body-left 2027-05-09".'
    )


def test_several_stand_in_their_order():
    assert list(ready("base coat 2027-05-03", "red on body-left 2027-05-05")) == [(0, 0), (1, 1)]


@pytest.mark.parametrize(
    ("texts", "said"),
    [
        (
            ["mint 2027-05-05"],
            "nothing is sprayed in “mint”. Name one of these: base coat, red",
        ),
        (
            ["red on body-top 2027-05-05"],
            "no red is sprayed on body-top. It is on body-left, body-",
        ),
        (["base coat 2027-05-02"], "is before the first day, 2027-05-03"),
        (
            ["blue on body-left 2027-05-05", "red on body-left 2027-05-06"],
            "can't come after “blue on body-left 2027-05-05”: the order is base coat, red, blue",
        ),
        (
            ["base coat 2027-05-06", "red on body-left 2027-05-05"],
            "can't come after “base coat 2027-05-06”",
        ),
    ],
)
def test_what_is_unknown_or_out_of_order_is_refused(texts, said):
    assert said in refused(*texts)


def test_dates_need_a_plan_with_dates():
    assert "State the first day of painting" in refused("base coat 2027-05-03", start=None)


@pytest.mark.parametrize("text", ["gold", "2027-05-05", "gold 5 May", "gold 2027-05-05 noon"])
def test_a_text_without_a_pass_and_a_date_is_none(text):
    with pytest.raises(ValueError, match="does not say what was finished when"):
        done_of(text)


@pytest.mark.parametrize("text", ["gold 2027-02-30", "gold 2027-05-05 25:00"])
def test_a_date_that_no_calendar_has_is_refused(text):
    with pytest.raises(ValueError, match="no calendar knows"):
        done_of(text)


def test_the_door_tells_it_with_its_other_faults():
    with pytest.raises(InputFaultsError) as caught:
        definition({"start": dt.date(2027, 5, 3), "done": ["gold", "red soon"], "air": None})
    assert str(caught.value).count('done = "gold 2027-04-08 15:30"') == 2
