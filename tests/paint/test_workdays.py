"""The plan by days, worked by hand. The shop works 09:00 to 17:00."""

import datetime as dt

from shapely import box

from mateline.paint.days import rounds_of, steps_of
from mateline.paint.order import Placed
from mateline.paint.passes import passes_of
from mateline.paint.workdays import done_said, span_said, workdays_of
from painting import cut, definition, stripes

ORDER = tuple(Placed(colour, "") for colour in ("red", "blue", "green"))
MONDAY = dt.date(2027, 5, 3)


def planned(*stencils, painting=None, finished=None, **labels):
    shop = definition({"start": MONDAY, **(painting or {})}, **labels).shop
    used = {piece.colour for stencil in stencils for piece in stencil.pieces}
    passes = passes_of(stencils, [each for each in ORDER if each.colour in used], "cream")
    return steps_of(passes, rounds_of(stencils, ()), shop, finished or {}), shop


def told(steps, shop):
    return [
        (day.heading, [(span_said(task), task.text) for task in day.tasks], day.notes)
        for day in workdays_of(steps, shop)
    ]


def test_a_day_has_its_tasks_its_waits_and_what_lies_overnight():
    two = {"coats": 2, "recoat_hours": 1, "dry_hours": 16}
    (first, *_) = told(*planned(cut([]), cream=two))
    assert first == (
        "Day 1, Monday 2027-05-03",
        [
            ("09:00\u201309:15", "Spray cream, coat 1 of 2 on body-front."),
            ("10:15\u201310:30", "Spray cream, coat 2 of 2 on body-front."),
        ],
        (
            (1, "Wait: this coat of cream dries until 10:15: 1 h (your definition)."),
            (
                2,
                (
                    "Overnight: the base coat of cream dries until 02:30 on Tuesday 2027-05-04: "
                    "16 h (your definition). Go on only when tape does not mark it."
                ),
            ),
        ),
    )


def test_days_off_are_named_with_what_dries_on_them():
    steps, shop = planned(
        stripes(), painting={"days_off": ["tuesday", "wednesday"]}, cream={"dry_hours": 30}
    )
    headings = [day.heading for day in workdays_of(steps, shop)]
    assert headings[1:4] == [
        "Day 2, Tuesday 2027-05-04: no work (day off), the base coat of cream dries until 15:15",
        "Day 3, Wednesday 2027-05-05: no work (day off)",
        "Day 4, Thursday 2027-05-06",
    ]


def test_a_day_on_which_nobody_can_go_on_says_why():
    steps, shop = planned(stripes(), cream={"dry_hours": 48})
    assert workdays_of(steps, shop)[1].heading == (
        "Day 2, Tuesday 2027-05-04: no work, the base coat of cream dries until 09:15 on "
        "Wednesday 2027-05-05"
    )


def test_work_longer_than_a_day_goes_on_next_morning_with_the_rest_of_the_pieces():
    # Four pieces of 120 minutes: from 13:15 on 3.75 hours, so two by 17:00, the others after it.
    steps, shop = planned(stripes(), painting={"minutes_a_piece": 120}, cream={"dry_hours": 4})
    one, two = workdays_of(steps, shop)[:2]
    assert [(span_said(task), task.text) for task in (one.tasks[-1], two.tasks[0])] == [
        (
            "13:15\u201317:00",
            (
                "Lay and tape all board: the first 2 of 4 pieces, about: 1 to 2 on the laying "
                "page of body-front. The rest on Tuesday 2027-05-04."
            ),
        ),
        (
            "09:00\u201313:15",
            (
                "Go on. Lay and tape all board: the last 2 of 4 pieces, about: 3 to 4 on the "
                "laying page of body-front."
            ),
        ),
    ]


def test_pieces_that_go_back_are_named_in_each_part():
    # Ten pieces are laid on Tuesday from 9:00 to 14:00, red is on at 15:15 and dry 23 3/4 hours
    # later: of the four hours that eight pieces take, two are left before the shop closes.
    reds = [(box(30 * at, 0, 30 * at + 20, 50), "red") for at in range(8)]
    rows = cut([*reds, (box(0, 60, 20, 90), "blue")])
    painting = {"minutes_a_piece": 30, "start": MONDAY}
    steps, shop = planned(
        rows, painting=painting, cream={"dry_hours": 18}, red={"dry_hours": 23.75}
    )
    back = next(step for step in steps if step.kind == "put back")
    tasks = [task for day in workdays_of(steps, shop) for task in day.tasks if task.step is back]
    assert [(span_said(task), task.text) for task in tasks] == [
        (
            "15:00\u201317:00",
            (
                "Put back and tape 4 of 8 pieces of red: body-front R1\u2013R4. The rest on "
                "Thursday 2027-05-06."
            ),
        ),
        (
            "09:00\u201311:00",
            "Go on. Put back and tape 4 of 8 pieces of red: body-front R5\u2013R8.",
        ),
    ]


def test_what_is_done_moves_the_rest_and_nothing_else():
    before, shop = planned(stripes(), cream={"dry_hours": 10})
    red = next(step for step in before if step.colour == "red" and step.last)
    late = 3 * 1440 + 12 * 60  # noon of the fourth day
    after, _ = planned(stripes(), cream={"dry_hours": 10}, finished={(1, red.order): late})
    at = before.index(red)
    assert [step.text for step in after] == [step.text for step in before]
    assert all(step.done for step in after[: at + 1])
    assert not any(step.done for step in after[at + 1 :])
    assert after[: at] == tuple(
        type(step)(**{name: getattr(step, name) for name in step.__slots__}
                   | {"done": True, "spells": ()})
        for step in before[:at]
    )  # fmt: skip
    assert (after[at + 1].kind, after[at + 1].begins) == ("dry", late)
    assert after[-1].begins > before[-1].begins
    # The later steps follow as they would in a plan whose red is on at that hour.
    moved = {
        one.begins - two.begins for one, two in zip(after[at + 2 :], before[at + 2 :], strict=True)
    }
    assert all(minutes % 1440 == 0 for minutes in moved)
    assert done_said(after, shop) == "Done: base coat of cream, red, by Thursday 2027-05-06 12:00"


def test_what_is_done_early_moves_the_rest_forward():
    before, _ = planned(stripes(), cream={"dry_hours": 10})
    red = next(step for step in before if step.colour == "red" and step.last)
    early = red.ends - 1440
    after, _ = planned(stripes(), cream={"dry_hours": 10}, finished={(1, red.order): early})
    assert max(step.ends for step in after if step.done) == early
    assert after[-1].ends < before[-1].ends


def test_days_begin_where_something_is_left_to_do():
    late = 3 * 1440 + 12 * 60
    steps, shop = planned(stripes(), finished={(1, 1): late})
    assert workdays_of(steps, shop)[0].number == 3
    assert workdays_of(steps, shop)[0].tasks == ()
