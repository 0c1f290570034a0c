"""Days: when each step can be done at the earliest.

Stands after passes and shop. One pair of hands; paint dries by night, hands work by day. All times
are quarter hours from opening on, as a person plans: work and drying are rounded up to them.

    base coat on all faces, each coat after the one before; dry
    a round, for every set of stencils:  lay all board
        for each pass:  lift its pieces and spray the first coat; further coats; dry; put back
        take all board off

Spraying a coat is never parted by a night where a day is long enough for it; laying, lifting
after the last pass and putting back may be: they have a spell of work a day. A set that is turned
over does a round on one face, then a round on the other; all other faces are painted in the first
round.

What is finished already, and when, replaces the plan up to there, and all later steps follow it.

    spell   minutes of work on one step in one go, within the working hours of one day
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal

from mateline.paint.piece_runs import runs_said
from mateline.paint.shop import PRACTICE
from mateline.tape.quantities import counted

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from mateline.paint.passes import FacePass, Pass
    from mateline.paint.shop import Coating, Figure, Shop
    from mateline.stencil.stencil import Stencil

DAY = 24 * 60  # minutes
QUARTER = 15  # minutes
LIFT = 0.25  # of the time that laying and taping a piece takes; common practice, no source

Named = tuple[tuple[str, tuple[str, ...]], ...]  # a face, and names of pieces on it
Kind = Literal["spray", "dry", "lay", "put back", "take off"]
NOTHING: Mapping[tuple[int, int], int] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Step:
    """One step. `begins` and `ends` in minutes since the midnight before the first day.

    `order` is that of the pass, -1 for laying and taking off all board; `round` is 0 for the base
    coat, then counts the rounds. `pieces` are those that are lifted or put back, by face and as
    the board says, and `count` how many are handled; `laid` how many are laid or taken off on each
    face, in the order of the work; `spells` when hands are at work on it. `last`
    says that it is the last coat of its pass; `done` that it is finished already.
    """

    kind: Kind
    round: int
    order: int
    colour: str
    faces: tuple[str, ...]
    begins: int
    ends: int
    text: str
    pieces: Named = ()
    count: int = 0
    spells: tuple[tuple[int, int], ...] = ()
    last: bool = False
    done: bool = False
    laid: tuple[tuple[str, int], ...] = ()


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


def steps_of(
    passes: Sequence[Pass],
    rounds: Sequence[Round],
    shop: Shop,
    finished: Mapping[tuple[int, int], int] = NOTHING,
) -> tuple[Step, ...]:
    """Every step at its earliest, in order of time. Passes in order, the base coat first.

    `finished` says of a round and a pass when its last coat was, minutes as in the steps.
    """
    hands = _Hands(shop, finished)
    base = passes[0]
    faces = tuple(each.face for each in base.faces)
    steps = list(hands.sprayed(0, base, faces, ()))
    for number, each in enumerate(rounds, start=1):
        steps += _round(number, each, passes[1:], hands)
    return tuple(_done(steps, finished))


def _done(steps: Sequence[Step], finished: Mapping[tuple[int, int], int]) -> Iterator[Step]:
    """The steps, those up to the last finished pass marked so; none of them ends after it was."""
    bound: int | None = None
    told: list[Step] = []
    for step in reversed(steps):
        end = finished.get((step.round, step.order)) if step.last else None
        bound = bound if end is None else end
        if bound is None:
            told.append(step)
            continue
        begins, ends = min(step.begins, bound), min(step.ends, bound) if end is None else end
        told.append(replace(step, begins=begins, ends=ends, spells=(), done=True))
    return reversed(told)


def _round(number: int, round_: Round, passes: Sequence[Pass], hands: _Hands) -> Iterator[Step]:
    yield hands.laid("lay", number, round_.pieces, round_.turned)
    for each in passes:
        here = [face for face in each.faces if face.face in round_.faces]
        if not here:
            continue
        faces = tuple(face.face for face in here)
        off = tuple((face.face, tuple(map(face.short, face.off))) for face in here)
        yield from hands.sprayed(number, each, faces, off)
        if any(face.back for face in here):
            yield hands.put_back(number, each, here)
    yield hands.laid("take off", number, round_.pieces)


class _Hands:
    """One pair of hands and where they are in time."""

    def __init__(self, shop: Shop, finished: Mapping[tuple[int, int], int]) -> None:
        self.shop = shop
        self.finished = finished
        self.at = 0
        room = shop.closes - shop.opens
        self.closes = shop.opens + (room // QUARTER * QUARTER or room)

    def sprayed(
        self,
        number: int,
        each: Pass,
        faces: tuple[str, ...],
        lifted: Named,
    ) -> Iterator[Step]:
        coating = self.shop.coatings[each.colour]
        minutes = len(faces) * self.shop.minutes_a_face
        count = sum(len(off) for _, off in lifted)
        for coat in range(1, coating.coats + 1):
            off = lifted if coat == 1 else ()
            lifting = LIFT * count * self.shop.minutes_a_piece if off else 0.0
            spells = self._worked(minutes + lifting, parted=False)
            ends = spells[-1][1]
            text = _spray_text(each, coating, coat, faces, off)
            last = coat == coating.coats
            yield Step(
                "spray", number, each.order, each.colour, faces, spells[0][0], ends, text,
                off, count if off else 0, spells, last,
            )  # fmt: skip
            if not last:
                self.at = ends + quarters(60 * coating.recoat.likely)
        self.at = self.finished.get((number, each.order), self.at)
        begins, self.at = self.at, self.at + quarters(60 * coating.dry.likely)
        text = _dry_text(each, coating)
        yield Step("dry", number, each.order, each.colour, faces, begins, self.at, text)

    def put_back(self, number: int, each: Pass, here: Sequence[FacePass]) -> Step:
        back = tuple((face.face, tuple(map(face.short, face.back))) for face in here if face.back)
        count = sum(len(ids) for _, ids in back)
        spells = self._worked(count * self.shop.minutes_a_piece, parted=True)
        text = f"Put back and tape {counted(count)} of {each.colour}: {runs_said(back)}."
        return Step(
            "put back", number, each.order, each.colour, tuple(face for face, _ in back),
            spells[0][0], spells[-1][1], text, back, count, spells,
        )  # fmt: skip

    def laid(
        self,
        kind: Literal["lay", "take off"],
        number: int,
        pieces: Mapping[str, int],
        turned: Sequence[str] = (),
    ) -> Step:
        faces, count = tuple(pieces), sum(pieces.values())
        share = 1.0 if kind == "lay" else LIFT
        spells = self._worked(share * count * self.shop.minutes_a_piece, parted=True)
        verb = "Lay and tape all board" if kind == "lay" else "Take all board off"
        if turned:
            verb = f"Turn the board of {' and '.join(turned)} over, lay and tape all of it"
        text = f"{verb}: {counted(count)} on {', '.join(faces)}."
        begins, ends = spells[0][0], spells[-1][1]
        laid = tuple(pieces.items())
        return Step(
            kind, number, -1, "", faces, begins, ends, text, (), count, spells, laid=laid
        )  # fmt: skip

    def _worked(self, minutes: float, *, parted: bool) -> tuple[tuple[int, int], ...]:
        """The earliest spells of so much work, in one go where a day is long enough."""
        left = quarters(minutes)
        now = self._open(self.at)
        if not parted and left <= self.closes - self.shop.opens:
            while left > self._till_close(now):
                now = self._open(now + self._till_close(now))
        spells = []
        while left > self._till_close(now):
            spells.append((now, now + self._till_close(now)))
            left -= self._till_close(now)
            now = self._open(now + self._till_close(now))
        self.at = now + left
        return (*spells, (now, self.at))

    def _till_close(self, now: int) -> int:
        return now // DAY * DAY + self.closes - now

    def _open(self, now: int) -> int:
        """The first quarter hour from `now` on at which hands work."""
        while True:
            day, minute = divmod(now, DAY)
            since = quarters(max(minute - self.shop.opens, 0))
            if not is_off(self.shop, day) and self.shop.opens + since < self.closes:
                return day * DAY + self.shop.opens + since
            now = (day + 1) * DAY


def is_off(shop: Shop, day: int) -> bool:
    """Whether nobody works on this day, counted from the first, which is 0."""
    first = shop.start.weekday() if shop.start else 0
    return (first + day) % 7 in shop.days_off


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


def quarters(minutes: float) -> int:
    """So many minutes, or as few more as make quarter hours."""
    return QUARTER * math.ceil(minutes / QUARTER - 1e-9)


def _spray_text(
    each: Pass,
    coating: Coating,
    coat: int,
    faces: tuple[str, ...],
    off: Named,
) -> str:
    which = f", coat {coat} of {coating.coats}" if coating.coats > 1 else ""
    verb = "Brush" if coating.method == "brush" else "Spray"
    first = f"Lift the pieces of {each.colour}: {runs_said(off)}. " if off else ""
    return f"{first}{verb} {coating.label}{which} on {', '.join(faces)}."


def _dry_text(each: Pass, coating: Coating) -> str:
    return f"Let {each.colour} dry until tape does not mark it: {dry_said(coating)}."


def dry_said(coating: Coating) -> str:
    """How long its last coat dries, and who says so: `12 h (your definition)`."""
    low, high = coating.dry.low, coating.dry.high
    hours = f"{low:.3g} h" if low == high else f"{low:.3g} to {high:.3g} h"
    return f"{hours} ({source_said(coating.dry.source)})"


def source_said(source: str) -> str:
    """Who says so, in few words: nobody does of what is usual."""
    return source.replace(PRACTICE, "usual; the label comes first")
