"""The calendar file against RFC 5545, by the rules' own numbers and by another library's reader."""

import datetime as dt
import re

import icalendar as reader
import pytest
from shapely import box

from mateline.exports.calendar import icalendar
from mateline.paint.days import moment, rounds_of, steps_of
from mateline.paint.order import Placed
from mateline.paint.passes import passes_of
from mateline.paint.workdays import workdays_of
from painting import cut, definition, stripes

ORDER = tuple(Placed(colour, "") for colour in ("red", "blue", "green"))
LABEL = "Schiffsgrün, matt; Nr. 7 \\ innen, ein sehr langer Name für eine Dose Farbe aus dem Regal"


@pytest.fixture(scope="module")
def made():
    definition_ = definition({"start": dt.date(2027, 5, 3)}, red={"label": LABEL, "coats": 2})
    shop = definition_.shop
    stencils = [stripes(), cut([(box(0, 0, 50, 50), "red")], name="top")]
    steps = steps_of(passes_of(stencils, ORDER, "cream"), rounds_of(stencils, ()), shop)
    tasks = [task for day in workdays_of(steps, shop) for task in day.tasks]
    return icalendar(steps, shop, "Harbour, lights"), tasks, shop


def test_lines_end_in_crlf_and_have_at_most_75_octets(made):
    # RFC 5545, 3.1
    text, _, _ = made
    assert text.endswith("END:VCALENDAR\r\n")
    lines = text.split("\r\n")
    assert "\n" not in "".join(lines)
    assert max(len(line.encode()) for line in lines) <= 75
    assert any(line.startswith(" ") for line in lines)  # something had to be folded


def test_what_the_rfc_asks_of_a_calendar_and_of_events_is_there_once(made):
    # 3.6: VERSION and PRODID; 3.6.1: UID and DTSTAMP, and DTSTART where there is no METHOD
    text, tasks, _ = made
    unfolded = text.replace("\r\n ", "")
    assert len(re.findall("^VERSION:2.0\r$", unfolded, re.MULTILINE)) == 1
    assert len(re.findall("^PRODID:", unfolded, re.MULTILINE)) == 1
    for word in ("UID", "DTSTAMP", "DTSTART", "SUMMARY", "DESCRIPTION"):
        assert len(re.findall(f"^{word}:", unfolded, re.MULTILINE)) == len(tasks)
    stamps = re.findall("^DTSTAMP:(.*)\r$", unfolded, re.MULTILINE)
    assert all(re.fullmatch(r"\d{8}T\d{6}Z", stamp) for stamp in stamps)  # 3.8.7.2: in UTC
    assert len(set(re.findall("^UID:(.*)\r$", unfolded, re.MULTILINE))) == len(tasks)


def test_another_library_reads_every_task_back(made):
    text, tasks, shop = made
    calendar = reader.Calendar.from_ical(text)
    events = calendar.walk("VEVENT")
    assert calendar.errors == []
    assert [event.errors for event in events] == [[]] * len(tasks)
    for event, task in zip(events, tasks, strict=True):
        assert event.decoded("DTSTART") == moment(shop, task.begins)
        assert event.decoded("DTEND") == moment(shop, task.ends)
        assert str(event["DESCRIPTION"]).startswith(task.text)
        assert str(event["SUMMARY"]).startswith("Harbour, lights: ")
        assert event["TRANSP"] == "OPAQUE"
    assert any(LABEL in str(event["DESCRIPTION"]) for event in events)


NIGHTS = [
    {},
    {"minutes_a_piece": 120, "hours_a_day": 3.5},  # laying takes days
    {"minutes_a_face": 480, "hours_a_day": 5},  # so does a coat
    {"days_off": ["saturday", "sunday", "tuesday"]},
    {"day_starts": dt.time(13, 20), "hours_a_day": 8.4, "minutes_a_piece": 33},
]


@pytest.mark.parametrize("painting", NIGHTS)
def test_no_event_runs_through_a_night_or_lies_on_a_day_off(painting):
    labels = {name: {"dry_hours": 30, "coats": 2, "recoat_hours": 14} for name in ("cream", "red")}
    shop = definition({"start": dt.date(2027, 5, 3), **painting}, **labels).shop
    stencils = [stripes(), cut([(box(0, 0, 50, 50), "red")], name="top")]
    steps = steps_of(passes_of(stencils, ORDER, "cream"), rounds_of(stencils, ()), shop)
    calendar = reader.Calendar.from_ical(icalendar(steps, shop, "Harbour"))
    assert calendar.errors == []
    worked = dt.timedelta()
    for event in calendar.walk("VEVENT"):
        begins = event.decoded("DTSTART")
        if not isinstance(begins, dt.datetime):  # a note for a whole day, which takes no time
            assert event["TRANSP"] == "TRANSPARENT"
            assert "DTEND" not in event
            continue
        ends = event.decoded("DTEND")
        assert begins.date() == ends.date()
        assert begins.weekday() not in shop.days_off
        opens = dt.datetime.combine(begins.date(), dt.time()) + dt.timedelta(minutes=shop.opens)
        assert opens <= begins < ends <= opens + dt.timedelta(minutes=shop.closes - shop.opens)
        worked += ends - begins
    spells = [spell for step in steps for spell in step.spells]
    assert worked == dt.timedelta(minutes=sum(ends - begins for begins, ends in spells))


def test_a_day_on_which_paint_only_dries_is_a_note_for_the_whole_day():
    # RFC 5545, 3.6.1: DTSTART as a date and no end: the event lasts that day. Painted on Saturday
    # from 9:00 to 9:15 it dries for 48 hours, over the Sunday that is off.
    shop = definition(
        {"start": dt.date(2027, 5, 1), "days_off": ["sunday"]}, cream={"dry_hours": 48}
    ).shop
    stencils = [cut([])]
    steps = steps_of(passes_of(stencils, (), "cream"), rounds_of(stencils, ()), shop)
    _, sunday, monday = reader.Calendar.from_ical(icalendar(steps, shop, "Harbour")).walk("VEVENT")
    assert [each.decoded("DTSTART") for each in (sunday, monday)] == [
        dt.date(2027, 5, 2),
        dt.date(2027, 5, 3),
    ]
    assert str(sunday["SUMMARY"]) == (
        "Harbour: no work, the base coat of cream dries until 09:15 on Monday 2027-05-03"
    )


def test_an_event_that_takes_no_time_has_no_end():
    # 3.6.1: DTEND, where there is one, is later than DTSTART
    shop = definition({"start": dt.date(2027, 5, 3), "minutes_a_face": 0}).shop
    stencils = [cut([])]
    steps = steps_of(passes_of(stencils, (), "cream"), rounds_of(stencils, ()), shop)
    (only,) = reader.Calendar.from_ical(icalendar(steps, shop, "Harbour")).walk("VEVENT")
    assert "DTEND" not in only


def test_it_writes_back_to_what_we_wrote(made):
    # The library orders properties in a way of its own, so only the unfolded lines are compared.
    text, _, _ = made
    again = reader.Calendar.from_ical(text).to_ical().decode()

    def lines(written):
        return sorted(written.replace("\r\n ", "").split("\r\n"))

    assert lines(again) == lines(text)
