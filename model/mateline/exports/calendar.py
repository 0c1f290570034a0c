"""The calendar as plain text, and as an iCalendar file.

Stands after days. RFC 5545: CRLF, lines of at most 75 octets, commas, semicolons, backslashes
and newlines escaped. Times are local without a zone ("floating", 3.3.5), as a shop's are. The
same plan gives the same bytes: a UID is a hash of its event, and DTSTAMP, which the RFC wants to
be when the file was made, is the start of the first day.
"""

from __future__ import annotations

import hashlib
import itertools
from typing import TYPE_CHECKING

from mateline.paint.days import DAY, moment
from mateline.paint.shop import WEEK

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from mateline.paint.days import Step
    from mateline.paint.shop import Shop

OCTETS = 75  # RFC 5545, 3.1: a line has no more, its break not counted
_ESCAPED = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"})


def plain(steps: Sequence[Step], shop: Shop) -> str:
    """The steps by day, a line each. Days are counted where no start is stated."""
    lines: list[str] = []
    for day, group in itertools.groupby(steps, key=lambda step: step.begins // DAY):
        first = moment(shop, day * DAY)
        date = "" if first is None else f", {WEEK[first.weekday()].capitalize()} {first:%Y-%m-%d}"
        lines.append(f"Day {day + 1}{date}")
        lines += [f"  {_span(step, day)}  {step.text}" for step in group]
    return "".join(f"{line}\n" for line in lines)


def _span(step: Step, day: int) -> str:
    later = step.ends // DAY - day
    end = _clock(step.ends) + (f" (+{later} d)" if later else "")
    return f"{_clock(step.begins)}-{end}"


def _clock(minutes: int) -> str:
    hour, minute = divmod(minutes % DAY, 60)
    return f"{hour:02}:{minute:02}"


def icalendar(steps: Sequence[Step], shop: Shop, title: str) -> str:
    """One event a step, RFC 5545. Drying shows as free time.

    Raises ValueError where the shop has no start, as a file of dates has to have some.
    """
    stamp = moment(shop, 0)
    if stamp is None:
        raise ValueError("a calendar file needs the first day of painting")
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//mateline//painting days//EN"]
    for step in steps:
        begins, ends = moment(shop, step.begins), moment(shop, step.ends)
        if begins is not None and ends is not None:
            lines += _event(step, begins, ends, stamp, title)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded}\r\n" for line in lines for folded in _folded(line))


def _event(step: Step, begins: datetime, ends: datetime, stamp: datetime, title: str) -> list[str]:
    body = [
        f"DTSTART:{_local(begins)}",
        f"DTEND:{_local(ends)}",
        f"SUMMARY:{_text(f'{title}: {_summary(step)}')}",
        f"DESCRIPTION:{_text(step.text)}",
        f"TRANSP:{'TRANSPARENT' if step.kind == 'dry' else 'OPAQUE'}",
    ]
    if begins == ends:  # 3.6.1: an event's end has to be later than its start
        del body[1]
    digest = hashlib.sha256("\n".join([str(step.round), *body]).encode()).hexdigest()[:32]
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
