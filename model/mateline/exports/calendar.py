"""The plan by days as plain text, and as an iCalendar file.

Stands after workdays. RFC 5545: CRLF, lines of at most 75 octets, commas, semicolons, backslashes
and newlines escaped. Times are local without a zone ("floating", 3.3.5), as a shop's are. Only
work is an event, and none runs through a night; a day without work on which paint dries has a
note for the whole day (3.3.4, 3.6.1: DTSTART as a date and no end lasts that day). The
same plan gives the same bytes: a UID is a hash of its event, and DTSTAMP, which the RFC wants to
be when the file was made, is the start of the first day.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from mateline.paint.days import DAY, moment
from mateline.paint.workdays import done_said, span_said, workdays_of
from mateline.tape.quantities import TERMINAL, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from mateline.paint.days import Step
    from mateline.paint.shop import Shop
    from mateline.paint.workdays import Task, Workday

OCTETS = 75  # RFC 5545, 3.1: a line has no more, its break not counted
BOX = "[ ] "
_ESCAPED = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"})


def plain(steps: Sequence[Step], shop: Shop) -> str:
    """The days, with a box to tick before each task. Days are counted where no start is stated.

    No line is longer than a terminal's, and none ends within a quantity.
    """
    done = done_said(steps, shop)
    parts = [] if done is None else [wrapped(f"{done}.", TERMINAL)]
    parts += [_day(day) for day in workdays_of(steps, shop)]
    return "\n".join("".join(f"{line}\n" for line in lines) for lines in parts)


def _day(day: Workday) -> list[str]:
    lines = wrapped(day.heading, TERMINAL, "", "  ")
    notes = list(day.notes)
    for at, task in enumerate((*day.tasks, None)):
        for _, note in (each for each in notes if each[0] == at):
            lines += wrapped(note, TERMINAL, " " * 19, " " * 19)
        if task is not None:
            first = f"  {BOX}{span_said(task)}  "
            lines += wrapped(task.text, TERMINAL, first, " " * len(first))
    return lines


def icalendar(steps: Sequence[Step], shop: Shop, title: str) -> str:
    """An event for each task, RFC 5545, and a note for each day on which paint only dries.

    Raises ValueError where the shop has no start, as a file of dates has to have some.
    """
    stamp = moment(shop, 0)
    if stamp is None:
        raise ValueError("a calendar file needs the first day of painting")
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//mateline//painting days//EN"]
    for day in workdays_of(steps, shop):
        for at, task in enumerate(day.tasks):
            begins, ends = moment(shop, task.begins), moment(shop, task.ends)
            if begins is not None and ends is not None:
                lines += _event(_work(task, begins, ends, title, _after(day, at)), task, stamp)
        date = moment(shop, day.number * DAY)
        if day.dries is not None and date is not None:
            lines += _event(_note(day.dries, date, title), None, stamp)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded}\r\n" for line in lines for folded in _folded(line))


def _after(day: Workday, at: int) -> str:
    """What dries after a task, told with it."""
    return " ".join(note for before, note in day.notes if before == at + 1)


def _work(task: Task, begins: datetime, ends: datetime, title: str, after: str) -> list[str]:
    body = [
        f"DTSTART:{_local(begins)}",
        f"DTEND:{_local(ends)}",
        f"SUMMARY:{_text(f'{title}: {_summary(task.step)}')}",
        f"DESCRIPTION:{_text(f'{task.text} {after}'.strip())}",
        "TRANSP:OPAQUE",
    ]
    if begins == ends:  # 3.6.1: an event's end has to be later than its start
        del body[1]
    return body


def _note(dries: str, date: datetime, title: str) -> list[str]:
    return [
        f"DTSTART;VALUE=DATE:{date:%Y%m%d}",
        f"SUMMARY:{_text(f'{title}: no work, {dries}')}",
        f"DESCRIPTION:{_text(f'No work: {dries}.')}",
        "TRANSP:TRANSPARENT",
    ]


def _event(body: list[str], task: Task | None, stamp: datetime) -> list[str]:
    told = str(task.step.round) if task is not None else ""
    digest = hashlib.sha256("\n".join([told, *body]).encode()).hexdigest()[:32]
    uid = f"UID:{digest}@mateline.invalid"
    return ["BEGIN:VEVENT", uid, f"DTSTAMP:{_local(stamp)}Z", *body, "END:VEVENT"]


def _summary(step: Step) -> str:
    return f"{step.kind} {step.colour}".strip()


def _local(when: datetime) -> str:
    return f"{when:%Y%m%dT%H%M%S}"


def _text(text: str) -> str:
    return text.translate(_ESCAPED)


def _folded(line: str) -> Iterator[str]:
    """`line` in parts of at most `OCTETS` octets of UTF-8; later parts begin with a space."""
    part, size = "", 0
    for letter in line:
        octets = len(letter.encode())
        if size + octets > OCTETS:
            yield part
            part, size = " ", 1
        part += letter
        size += octets
    yield part
