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
from painting import cut, definition, stripes

ORDER = tuple(Placed(colour, "") for colour in ("red", "blue", "green"))
LABEL = "Schiffsgrün, matt; Nr. 7 \\ innen, ein sehr langer Name für eine Dose Farbe aus dem Regal"


@pytest.fixture(scope="module")
def made():
    definition_ = definition({"start": dt.date(2027, 5, 3)}, red={"label": LABEL, "coats": 2})
    shop = definition_.shop
    stencils = [stripes(), cut([(box(0, 0, 50, 50), "red")], name="top")]
    steps = steps_of(passes_of(stencils, ORDER, "cream"), rounds_of(stencils, ()), shop)
    return icalendar(steps, shop, "Harbour, lights"), steps, shop


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
    text, steps, _ = made
    unfolded = text.replace("\r\n ", "")
    assert len(re.findall("^VERSION:2.0\r$", unfolded, re.MULTILINE)) == 1
    assert len(re.findall("^PRODID:", unfolded, re.MULTILINE)) == 1
    for word in ("UID", "DTSTAMP", "DTSTART", "SUMMARY", "DESCRIPTION"):
        assert len(re.findall(f"^{word}:", unfolded, re.MULTILINE)) == len(steps)
    stamps = re.findall("^DTSTAMP:(.*)\r$", unfolded, re.MULTILINE)
    assert all(re.fullmatch(r"\d{8}T\d{6}Z", stamp) for stamp in stamps)  # 3.8.7.2: in UTC
    assert len(set(re.findall("^UID:(.*)\r$", unfolded, re.MULTILINE))) == len(steps)


def test_another_library_reads_every_step_back(made):
    text, steps, shop = made
    calendar = reader.Calendar.from_ical(text)
    events = calendar.walk("VEVENT")
    assert calendar.errors == []
    assert [event.errors for event in events] == [[]] * len(steps)
    for event, step in zip(events, steps, strict=True):
        assert event.decoded("DTSTART") == moment(shop, step.begins)
        assert event.decoded("DTEND") == moment(shop, step.ends)
        assert str(event["DESCRIPTION"]) == step.text
        assert str(event["SUMMARY"]).startswith("Harbour, lights: ")
        assert event["TRANSP"] == ("TRANSPARENT" if step.kind == "dry" else "OPAQUE")
    assert any(LABEL in str(event["DESCRIPTION"]) for event in events)


def test_an_event_that_takes_no_time_has_no_end():
    # 3.6.1: DTEND, where there is one, is later than DTSTART
    shop = definition({"start": dt.date(2027, 5, 3), "minutes_a_face": 0}).shop
    stencils = [cut([])]
    steps = steps_of(passes_of(stencils, (), "cream"), rounds_of(stencils, ()), shop)
    first, dry = reader.Calendar.from_ical(icalendar(steps, shop, "Harbour")).walk("VEVENT")
    assert "DTEND" not in first
    assert dry.decoded("DTEND") > dry.decoded("DTSTART")


def test_it_writes_back_to_what_we_wrote(made):
    # The library orders properties in a way of its own, so only the unfolded lines are compared.
    text, _, _ = made
    again = reader.Calendar.from_ical(text).to_ical().decode()

    def lines(written):
        return sorted(written.replace("\r\n ", "").split("\r\n"))

    assert lines(again) == lines(text)
