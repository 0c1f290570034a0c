"""Days: the earliest date of each step, worked by hand.

The shop works 09:00 to 17:00; minutes count from the first midnight, 540 is 09:00.
"""

import datetime as dt
import itertools

import pytest
from shapely import box

from mateline.paint.days import DAY, last_day, moment, paced, rounds_of, steps_of
from mateline.paint.order import Placed
from mateline.paint.passes import passes_of
from painting import cut, definition, stripes

ORDER = tuple(Placed(colour, "") for colour in ("red", "blue", "green"))
QUICK = {"minutes_a_piece": 4, "minutes_a_face": 30}
LABEL = {"dry_hours": 4, "recoat_hours": 1}


def planned(*stencils, turned=(), painting=None, **labels):
    shop = definition({**QUICK, **(painting or {})}, **labels).shop
    used = {piece.colour for stencil in stencils for piece in stencil.pieces}
    order = [placed for placed in ORDER if placed.colour in used]
    passes = passes_of(stencils, order, "cream")
    return steps_of(passes, rounds_of(stencils, turned), shop), shop


def clock(step):
    return tuple(f"{at // DAY + 1} {at % DAY // 60:02}:{at % 60:02}" for at in step)


def spans(steps):
    return [(step.kind, *clock((step.begins, step.ends))) for step in steps]


def test_one_face_and_one_colour_worked_by_hand():
    one = cut([(box(0, 0, 300, 60), "red")])
    steps, _ = planned(one, cream=LABEL, red={**LABEL, "coats": 2})
    assert spans(steps) == [  # each rounded up to a quarter of an hour
        ("spray", "1 09:00", "1 09:30"),
        ("dry", "1 09:30", "1 13:30"),
        ("lay", "1 13:30", "1 13:45"),  # two pieces, 4 minutes each
        ("spray", "1 13:45", "1 14:30"),  # one piece lifted: a quarter of 4 minutes
        ("spray", "1 15:30", "1 16:00"),  # the second coat an hour after the first
        ("dry", "1 16:00", "1 20:00"),  # paint dries after hours
        ("take off", "2 09:00", "2 09:15"),
    ]


def test_all_times_are_quarter_hours_from_opening_on():
    painting = {"day_starts": dt.time(7, 50), "hours_a_day": 6.1, "minutes_a_piece": 7.3}
    steps, shop = planned(stripes(), painting=painting, red={"dry_hours": 7.7})
    assert all((at - shop.opens) % 15 == 0 for step in steps for at in (step.begins, step.ends))


def test_spells_lie_within_the_hours_of_a_day_and_make_up_the_work():
    steps, _ = planned(stripes(), painting={"minutes_a_piece": 120}, cream={"dry_hours": 4})
    lay = next(step for step in steps if step.kind == "lay")
    assert [clock(spell) for spell in lay.spells] == [
        ("1 13:30", "1 17:00"),
        ("2 09:00", "2 13:30"),
    ]
    assert all(step.spells for step in steps if step.kind != "dry")


def test_a_coat_that_would_not_be_done_by_closing_waits_for_the_morning():
    one = cut([(box(0, 0, 300, 60), "red")])
    steps, _ = planned(one, painting={"minutes_a_face": 300}, cream={"dry_hours": 1}, red=LABEL)
    assert [(step.kind, *clock([step.begins])) for step in steps[:4]] == [
        ("spray", "1 09:00"),
        ("dry", "1 14:00"),
        ("lay", "1 15:00"),
        ("spray", "2 09:00"),
    ]


def test_a_coat_longer_than_a_day_is_parted_by_the_night():
    steps, _ = planned(stripes(), painting={"minutes_a_face": 480, "hours_a_day": 5})
    assert clock((steps[0].begins, steps[0].ends)) == ("1 09:00", "2 12:00")


def test_laying_board_may_be_parted_by_the_night():
    steps, _ = planned(stripes(), painting={"minutes_a_piece": 120}, cream={"dry_hours": 4})
    lay = next(step for step in steps if step.kind == "lay")
    assert clock((lay.begins, lay.ends)) == ("1 13:30", "2 13:30")  # 3.5 h, then 4.5 h


def test_days_off_are_left_out():
    friday = dt.date(2027, 5, 7)
    assert friday.weekday() == 4
    steps, shop = planned(
        stripes(),
        painting={"start": friday, "days_off": ["saturday", "sunday"]},
        cream={"dry_hours": 10},
    )
    lay = next(step for step in steps if step.kind == "lay")
    assert moment(shop, lay.begins) == dt.datetime(2027, 5, 10, 9, 0)  # noqa: DTZ001


def test_a_start_on_a_day_off_is_put_off():
    saturday = dt.date(2027, 5, 8)
    steps, shop = planned(stripes(), painting={"start": saturday, "days_off": ["saturday"]})
    assert moment(shop, steps[0].begins).date() == dt.date(2027, 5, 9)


def test_without_a_start_there_is_no_date():
    steps, shop = planned(stripes())
    assert moment(shop, steps[0].begins) is None


def test_several_faces_are_sprayed_in_one_pass():
    steps, _ = planned(stripes(), stripes(name="top"))
    red = [step for step in steps if step.kind == "spray" and step.colour == "red"]
    assert [step.faces for step in red] == [("body-front", "body-top")]
    assert red[0].ends - red[0].begins == 75  # twice 30 minutes, and 2 for two pieces lifted


def test_a_set_that_is_turned_over_takes_two_rounds():
    pair = (stripes(name="left"), stripes(name="right"))
    both, _ = planned(*pair)
    turned, _ = planned(*pair, turned=[("body-left", "body-right")])
    assert max(step.round for step in both) == 1
    assert max(step.round for step in turned) == 2
    second = [step for step in turned if step.round == 2]
    assert {name for step in second for name in step.faces} == {"body-right"}
    assert last_day(turned) > last_day(both)


def test_the_second_round_lays_the_pieces_of_the_set_it_borrows():
    left = cut([(box(30 * at, 0, 30 * at + 20, 50), "red") for at in range(9)], name="left")
    right = cut([(box(0, 0, 50, 50), "red")], name="right")
    _, second = rounds_of((left, right), [("body-left", "body-right")])
    assert second.pieces == {"body-right": 10}


def test_a_face_of_base_colour_only_takes_no_board():
    steps, _ = planned(stripes(), cut([], name="back"))
    assert steps[0].faces == ("body-front", "body-back")
    assert all("body-back" not in step.faces for step in steps[2:])


def test_a_cabinet_of_one_colour_is_done_with_its_base_coat():
    steps, _ = planned(cut([]), cream={"dry_hours": 15})
    assert [step.kind for step in steps] == ["spray", "dry"]
    assert last_day(steps) == 2  # 09:30 and 15 hours is half past midnight


def test_midnight_belongs_to_the_day_before_it():
    steps, _ = planned(cut([]), cream={"dry_hours": 14.5})
    assert last_day(steps) == 1


def test_paint_that_dries_slowly_takes_more_days():
    steps, shop = planned(stripes())
    fast, slow = paced(shop, "low"), paced(shop, "high")
    assert fast.coatings["red"].dry.likely == 6
    assert slow.coatings["red"].dry.likely == 16
    stencils = [stripes()]
    passes = passes_of(stencils, ORDER, "cream")
    rounds = rounds_of(stencils, ())
    days = [last_day(steps_of(passes, rounds, each)) for each in (fast, shop, slow)]
    assert days == sorted(days)
    assert days[0] < days[2]
    assert last_day(steps) == days[1]


def test_texts_say_what_to_do():
    steps, _ = planned(stripes(), red={**LABEL, "coats": 2, "label": "Barn red", "method": "brush"})
    texts = [step.text for step in steps]
    assert "Lift the pieces of red: body-front R1. Brush Barn red, coat 1 of 2 on body-front." in (
        texts
    )
    assert "Brush Barn red, coat 2 of 2 on body-front." in texts
    assert "Let red dry until tape does not mark it: 4 h (your definition)." in texts
    assert "Put back and tape 1 piece of red: body-front R1." in texts
    assert "Lay and tape all board: 4 pieces on body-front." in texts


@pytest.mark.parametrize("hours", [1, 3, 8, 24])
def test_hands_work_only_while_the_shop_is_open_and_steps_follow_one_another(hours):
    painting = {"hours_a_day": hours, "day_starts": dt.time(0)}
    steps, shop = planned(stripes(), stripes(name="top"), painting=painting)
    for step in steps:
        if step.kind != "dry":
            assert shop.opens <= step.begins % DAY < shop.closes
            assert (step.ends - 1) % DAY < shop.closes
    assert all(one.ends <= two.begins for one, two in itertools.pairwise(steps))
