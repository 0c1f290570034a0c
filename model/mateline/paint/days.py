"""Days: when each step can be done at the earliest.

Stands after passes and shop. One pair of hands; paint dries by night, hands work by day.

    base coat on all faces, each coat after the one before; dry
    a round, for every set of stencils:  lay all board
        for each pass:  lift its pieces and spray the first coat; further coats; dry; put back
        take all board off

Spraying a coat is never parted by a night where a day is long enough for it; laying, lifting
after the last pass and putting back may be. A set that is turned over does a round on one face,
then a round on the other; all other faces are painted in the first round.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.paint.passes import FacePass, Pass
    from mateline.paint.shop import Coating, Figure, Shop
    from mateline.stencil.stencil import Stencil

DAY = 24 * 60  # minutes
LIFT = 0.25  # of the time that laying and taping a piece takes; common practice, no source

Kind = Literal["spray", "dry", "lay", "put back", "take off"]


@dataclass(frozen=True, slots=True)
class Step:
    """One step. `begins` and `ends` in minutes since the midnight before the first day.

    `order` is that of the pass, -1 for laying and taking off all board; `round` is 0 for the base
    coat, then counts the rounds.
    """

    kind: Kind
    round: int
    order: int
    colour: str
    faces: tuple[str, ...]
    begins: int
    ends: int
    text: str


@dataclass(frozen=True, slots=True)
class Round:
    """Faces that are painted together. `pieces` counts the pieces of board on each face.

    `turned` names the faces whose sets, turned over, lie on `faces`; none in the first round.
    """

    faces: tuple[str, ...]
    pieces: dict[str, int]
    turned: tuple[str, ...] = ()


def rounds_of(stencils: Sequence[Stencil], turned: Sequence[tuple[str, str]]) -> tuple[Round, ...]:
    """The rounds; `turned` are (left, right) faces that share the left's set.

    Faces without a piece to lift need no board and are done with the base coat.
    """
    pieces = {each.face.name: len(each.pieces) for each in stencils if each.has_board}
    source = {right: left for left, right in turned if right in pieces and left in pieces}
    first = tuple(name for name in pieces if name not in source)
    second = tuple(name for name in pieces if name in source)
    rounds = [Round(first, {name: pieces[name] for name in first})]
    if second:
        counts = {name: pieces[source[name]] for name in second}
        rounds.append(Round(second, counts, tuple(source[name] for name in second)))
    return tuple(each for each in rounds if each.faces)


def steps_of(passes: Sequence[Pass], rounds: Sequence[Round], shop: Shop) -> tuple[Step, ...]:
    """Every step at its earliest, in order of time. Passes in order, the base coat first."""
    hands = _Hands(shop)
    base = passes[0]
    faces = tuple(each.face for each in base.faces)
    steps = list(hands.sprayed(0, base, faces, 0.0))
    for number, each in enumerate(rounds, start=1):
        steps += _round(number, each, passes[1:], hands)
    return tuple(steps)


def _round(number: int, round_: Round, passes: Sequence[Pass], hands: _Hands) -> Iterator[Step]:
    count = sum(round_.pieces.values())
    yield hands.laid("lay", number, round_.faces, count, round_.turned)
    for each in passes:
        here = [face for face in each.faces if face.face in round_.faces]
        if not here:
            continue
        faces = tuple(face.face for face in here)
        lifted = LIFT * sum(len(face.off) for face in here)
        yield from hands.sprayed(number, each, faces, lifted * hands.shop.minutes_a_piece)
        if any(face.back for face in here):
            yield hands.put_back(number, each, here)
    yield hands.laid("take off", number, round_.faces, count)


class _Hands:
    """One pair of hands and where they are in time."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.at = 0

    def sprayed(
        self, number: int, each: Pass, faces: tuple[str, ...], lifting: float
    ) -> Iterator[Step]:
        coating = self.shop.coatings[each.colour]
        minutes = len(faces) * self.shop.minutes_a_face
        for coat in range(1, coating.coats + 1):
            begins, ends = self._worked(minutes + (lifting if coat == 1 else 0.0), parted=False)
            text = _spray_text(each, coating, coat, faces, lifted=coat == 1 and lifting > 0)
            yield Step("spray", number, each.order, each.colour, faces, begins, ends, text)
            if coat < coating.coats:
                self.at = ends + _minutes(coating.recoat.likely)
        begins, self.at = self.at, self.at + _minutes(coating.dry.likely)
        text = _dry_text(each, coating)
        yield Step("dry", number, each.order, each.colour, faces, begins, self.at, text)

    def put_back(self, number: int, each: Pass, here: Sequence[FacePass]) -> Step:
        faces = tuple(face.face for face in here if face.back)
        count = sum(len(face.back) for face in here)
        begins, ends = self._worked(count * self.shop.minutes_a_piece, parted=True)
        text = f"Put back and tape {_counted(count, 'piece')} of {each.colour}."
        return Step("put back", number, each.order, each.colour, faces, begins, ends, text)

    def laid(
        self,
        kind: Literal["lay", "take off"],
        number: int,
        faces: tuple[str, ...],
        count: int,
        turned: Sequence[str] = (),
    ) -> Step:
        share = 1.0 if kind == "lay" else LIFT
        begins, ends = self._worked(share * count * self.shop.minutes_a_piece, parted=True)
        verb = "Lay and tape all board" if kind == "lay" else "Take all board off"
        if turned:
            verb = f"Turn the board of {' and '.join(turned)} over, lay and tape all of it"
        text = f"{verb}: {_counted(count, 'piece')} on {', '.join(faces)}."
        return Step(kind, number, -1, "", faces, begins, ends, text)

    def _worked(self, minutes: float, *, parted: bool) -> tuple[int, int]:
        """The earliest begin and end of so much work, in one go where a day is long enough."""
        left = math.ceil(minutes - 1e-9)
        begins = self._open(self.at)
        if not parted and left <= self.shop.closes - self.shop.opens:
            while left > self._till_close(begins):
                begins = self._open(begins + self._till_close(begins))
        now = begins
        while left > self._till_close(now):
            left -= self._till_close(now)
            now = self._open(now + self._till_close(now))
        self.at = now + left
        return begins, self.at

    def _till_close(self, now: int) -> int:
        return now // DAY * DAY + self.shop.closes - now

    def _open(self, now: int) -> int:
        """The first minute from `now` on at which hands work."""
        while True:
            day, minute = divmod(now, DAY)
            if not self._off(day) and minute < self.shop.closes:
                return max(now, day * DAY + self.shop.opens)
            now = (day + 1) * DAY

    def _off(self, day: int) -> bool:
        first = self.shop.start.weekday() if self.shop.start else 0
        return (first + day) % 7 in self.shop.days_off


def paced(shop: Shop, pace: Literal["low", "high"]) -> Shop:
    """The shop where all paint dries as fast (`low`) or as slowly (`high`) as its range says."""

    def at_pace(hours: Figure) -> Figure:
        return hours._replace(likely=getattr(hours, pace))

    coatings = {
        name: replace(each, dry=at_pace(each.dry), recoat=at_pace(each.recoat))
        for name, each in shop.coatings.items()
    }
    return replace(shop, coatings=coatings)


def last_day(steps: Sequence[Step]) -> int:
    """The number of the last day; the first is 1. 0 where there is nothing to do."""
    return max((_day_of_end(step) for step in steps), default=0)


def _day_of_end(step: Step) -> int:
    return max(step.ends - 1, step.begins) // DAY + 1  # midnight belongs to the day before it


def moment(shop: Shop, minutes: int) -> datetime | None:
    """The date and time of day; None where no start is stated."""
    if shop.start is None:
        return None
    return datetime.combine(shop.start, time()) + timedelta(minutes=minutes)


def _minutes(hours: float) -> int:
    return math.ceil(60 * hours - 1e-9)


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _spray_text(
    each: Pass, coating: Coating, coat: int, faces: tuple[str, ...], *, lifted: bool
) -> str:
    which = f", coat {coat} of {coating.coats}" if coating.coats > 1 else ""
    verb = "Brush" if coating.method == "brush" else "Spray"
    first = f"Lift the pieces of {each.colour}. " if lifted else ""
    return f"{first}{verb} {coating.label}{which} on {', '.join(faces)}."


def _dry_text(each: Pass, coating: Coating) -> str:
    low, high = coating.dry.low, coating.dry.high
    hours = f"{low:.3g} h" if low == high else f"{low:.3g} to {high:.3g} h"
    return f"Let {each.colour} dry until tape does not mark it: {hours} ({coating.dry.source})."
