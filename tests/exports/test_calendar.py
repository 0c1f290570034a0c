"""The calendar as text. Its iCalendar file is read by another library in tests/outside."""

import datetime as dt

import pytest

from mateline.exports.calendar import icalendar, plain
from mateline.paint.days import rounds_of, steps_of
from mateline.paint.order import Placed
from mateline.paint.passes import passes_of
from painting import cut, definition, stripes

START = {"start": dt.date(2027, 5, 3)}  # a Monday


def planned(painting=None, stencils=None):
    shop = definition(painting, cream={"dry_hours": 16}).shop
    stencils = stencils or [cut([])]
    passes = passes_of(stencils, (Placed("red", ""),), "cream")
    return steps_of(passes, rounds_of(stencils, ()), shop), shop


def test_days_have_their_date_and_steps_their_times():
    assert plain(*planned(START)) == (
        "Day 1, Monday 2027-05-03\n"
        "  [ ] 09:00\u201309:15  Spray cream on body-front.\n"
        "                   Overnight: the base coat of cream dries until 01:15 on\n"
        "                   Tuesday 2027-05-04: 16 h (your definition). Go on only when\n"
        "                   tape does not mark it.\n"
    )


def test_without_a_start_days_are_counted():
    assert plain(*planned()).startswith("Day 1\n")


def test_a_file_of_dates_needs_a_start():
    with pytest.raises(ValueError, match="needs the first day"):
        icalendar(*planned(), "Harbour")


def test_the_same_plan_gives_the_same_bytes():
    assert icalendar(*planned(START), "Harbour") == icalendar(*planned(START), "Harbour")


def test_an_event_that_changes_gets_another_uid():
    def uids(painting):
        text = icalendar(*planned({**START, **painting}), "Harbour")
        return [line for line in text.split("\r\n") if line.startswith("UID:")]

    one, other = uids({}), uids({"minutes_a_face": 16})
    assert len(set(one)) == 1
    assert not set(one) & set(other)


def test_what_is_done_stands_first_and_no_line_is_longer_than_a_terminal():
    shop = definition(START, cream={"dry_hours": 16}).shop
    stencils = [stripes(name="a-very-long-name-of-a-carcase-left")]
    order = tuple(Placed(colour, "") for colour in ("red", "blue", "green"))
    passes = passes_of(stencils, order, "cream")
    steps = steps_of(passes, rounds_of(stencils, ()), shop, {(1, 1): 3 * 1440 + 720})
    lines = plain(steps, shop).splitlines()
    assert lines[0] == "Done: base coat of cream, red, by Thursday 2027-05-06 12:00."
    assert max(map(len, lines)) <= 80
    assert not any("red." in line and "Lift" in line for line in lines)
