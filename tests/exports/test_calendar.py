"""The calendar as text. Its iCalendar file is read by another library in tests/outside."""

import datetime as dt

import pytest

from mateline.exports.calendar import icalendar, plain
from mateline.paint.days import rounds_of, steps_of
from mateline.paint.order import Placed
from mateline.paint.passes import passes_of
from painting import cut, definition

START = {"start": dt.date(2027, 5, 3)}  # a Monday


def planned(painting=None, stencils=None):
    shop = definition(painting, cream={"dry_hours": 16}).shop
    stencils = stencils or [cut([])]
    passes = passes_of(stencils, (Placed("red", ""),), "cream")
    return steps_of(passes, rounds_of(stencils, ()), shop), shop


def test_days_have_their_date_and_steps_their_times():
    assert plain(*planned(START)) == (
        "Day 1, Monday 2027-05-03\n"
        "  09:00-09:10  Spray cream on body-front.\n"
        "  09:10-01:10 (+1 d)  Let cream dry until tape does not mark it: 16 h (your definition).\n"
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

    one, other = uids({}), uids({"minutes_a_face": 11})
    assert len(set(one)) == 2
    assert not set(one) & set(other)
