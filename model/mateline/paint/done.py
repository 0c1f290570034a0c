"""What is finished already: `done = "gold 2027-04-08 15:30"`, and where in the plan that is.

Stands after days, before plan. A pass is finished when its last coat is on; it dries from then.
A day without a time means the end of its working hours.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, time
from typing import TYPE_CHECKING

from mateline.errors import InputError
from mateline.paint.days import DAY

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from mateline.paint.days import Round
    from mateline.paint.passes import Pass
    from mateline.paint.shop import Shop

BASE = "base coat"
PLACE = "painting, done"
EXAMPLE = "gold 2027-04-08 15:30"
_DONE = re.compile(
    r"(?P<what>.+?)(?: on (?P<face>\S+))?"
    r" +(?P<day>\d{4}-\d{2}-\d{2})(?:[ T]+(?P<clock>\d{1,2}:\d{2}))?"
)


@dataclass(frozen=True, slots=True)
class Done:
    """A pass that is finished: its colour or "base coat", a face of it where it is sprayed more
    than once, and when its last coat was on. `said` is how the definition has it.
    """

    said: str
    what: str
    face: str | None
    day: datetime
    at_a_time: bool


def done_of(said: str) -> Done:
    """What such a text says.

    Raises ValueError for a text that says no pass and no date.
    """
    found = _DONE.fullmatch(said.strip())
    if found is None:
        raise ValueError(f"“{said}” does not say what was finished when.")
    clock = found["clock"] or "00:00"
    try:
        when = datetime.combine(
            datetime.fromisoformat(found["day"]).date(), time.fromisoformat(clock.zfill(5))
        )
    except ValueError:
        raise ValueError(f"“{said}” has a date or a time that no calendar knows.") from None
    return Done(said, found["what"], found["face"], when, at_a_time=found["clock"] is not None)


def finished(
    done: Sequence[Done],
    passes: Sequence[Pass],
    rounds: Sequence[Round],
    shop: Shop,
    file: str,
) -> dict[tuple[int, int], int]:
    """Of each round and pass that is done: when, minutes from the midnight before the first day.

    Raises InputError for what is no pass of this job, and for what is out of order.
    """
    found: dict[tuple[int, int], int] = {}
    before: Done | None = None
    keys = list(_keys(passes, rounds))
    for each in done:
        key = _key(each, passes, rounds, file)
        at = _minutes(each, shop, file)
        if before is not None:
            last = next(reversed(found))
            if keys.index(key) <= keys.index(last) or at <= found[last]:
                raise InputError(
                    file, PLACE,
                    f"“{each.said}” can't come after “{before.said}”: the order is "
                    f"{_order(passes)}.",
                    "Write what was finished in its order, with the day of each.",
                )  # fmt: skip
        found[key] = at
        before = each
    return found


def _keys(passes: Sequence[Pass], rounds: Sequence[Round]) -> Iterator[tuple[int, int]]:
    yield 0, 0
    for number, round_ in enumerate(rounds, start=1):
        for each in passes[1:]:
            if any(there.face in round_.faces for there in each.faces):
                yield number, each.order


def _key(done: Done, passes: Sequence[Pass], rounds: Sequence[Round], file: str) -> tuple[int, int]:
    """The round and pass that it speaks of."""
    if done.what in {BASE, passes[0].colour}:
        return 0, 0
    named = [each for each in passes[1:] if each.colour == done.what]
    if not named:
        raise InputError(
            file, PLACE, f"“{done.said}”: nothing is sprayed in “{done.what}”.",
            f"Name one of these: {_order(passes)}.",
        )  # fmt: skip
    (each,) = named
    where = _rounds_with(each, rounds)
    if done.face is not None:
        where = {number: faces for number, faces in where.items() if done.face in faces}
        if not where:
            raise InputError(
                file, PLACE, f"“{done.said}”: no {done.what} is sprayed on {done.face}.",
                f"It is on {', '.join(there.face for there in each.faces)}.",
            )  # fmt: skip
    if len(where) > 1:
        faces = " first, then on ".join(", ".join(names) for names in where.values())
        one = f"{done.what} on {next(iter(where.values()))[0]} {done.day:%Y-%m-%d}"
        raise InputError(
            file, PLACE, f"“{done.said}”: {done.what} is sprayed more than once, on {faces}.",
            f'Say which, such as "{one}".',
        )  # fmt: skip
    return next(iter(where)), each.order


def _rounds_with(each: Pass, rounds: Sequence[Round]) -> Mapping[int, list[str]]:
    """The faces of a pass in each round that has any."""
    found = {}
    for number, round_ in enumerate(rounds, start=1):
        faces = [there.face for there in each.faces if there.face in round_.faces]
        if faces:
            found[number] = faces
    return found


def _minutes(done: Done, shop: Shop, file: str) -> int:
    if shop.start is None:
        raise InputError(
            file, PLACE, f"“{done.said}” has a date, and the plan has none.",
            "State the first day of painting: `start`.",
        )  # fmt: skip
    days = (done.day.date() - shop.start).days
    if days < 0:
        raise InputError(
            file, PLACE, f"“{done.said}” is before the first day, {shop.start:%Y-%m-%d}.",
            "Check the date, or `start`.",
        )  # fmt: skip
    clock = 60 * done.day.hour + done.day.minute if done.at_a_time else shop.closes
    return days * DAY + clock


def _order(passes: Sequence[Pass]) -> str:
    return ", ".join([BASE, *(each.colour for each in passes[1:])])
