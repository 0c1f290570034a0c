"""Guillotine packing: rectangles of board on as few whole sheets as a simple rule finds.

Stands beside nesting, which takes pieces by their outlines and is stopped by the clock; this takes
the boxes of whole parts of stencils and gives the same answer everywhere. Every cut goes right
across what it cuts, as one cuts board on a table.

    part    a rectangle to be cut: what one sheet of a face's grid holds, or a piece alone
    rest    a rectangle of a sheet that is free still

Largest parts first, each into the smallest rest that takes it, as it lies or turned by a quarter.
What is left of that rest is parted so that the larger of the two new rests is as large as can be.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

APART = 5.0  # mm between two parts: room for a cut each; common practice, no source
PLACES = 3  # decimals of mm: sizes that differ by less are equal


@dataclass(frozen=True, slots=True)
class Part:
    """A rectangle of board by its name, mm."""

    name: str
    wide: float
    high: float


@dataclass(frozen=True, slots=True)
class Laid:
    """Where a part lies: on which sheet, counted from 0, and its lower-left corner there, mm."""

    part: Part
    sheet: int
    at: tuple[float, float]
    turned: bool


@dataclass(frozen=True, slots=True)
class _Rest:
    sheet: int
    at: tuple[float, float]
    wide: float
    high: float


def packed(parts: Sequence[Part], sheet: tuple[float, float]) -> tuple[Laid, ...]:
    """Where every part lies, in the order of sheets, on sheets of `sheet` mm.

    Raises ValueError for a part that is larger than a sheet.
    """
    rests: list[_Rest] = []
    found: list[Laid] = []
    for part in sorted(map(_rounded, parts), key=_largest):
        fitting = _fitting(part, rests)
        if fitting is None:
            new = _Rest(1 + max((each.sheet for each in found), default=-1), (0.0, 0.0), *sheet)
            rests.append(new)
            fitting = _fitting(part, [new])
        if fitting is None:
            raise ValueError(f"{part.name} of {part.wide} by {part.high} mm fits on no sheet")
        rest, turned = fitting
        rests.remove(rest)
        found.append(Laid(part, rest.sheet, rest.at, turned))
        rests += _left(rest, *_size(part, turned=turned))
    return tuple(sorted(found, key=lambda each: (each.sheet, each.at)))


def _rounded(part: Part) -> Part:
    return Part(part.name, round(part.wide, PLACES), round(part.high, PLACES))


def _largest(part: Part) -> tuple[float, float, str]:
    long, short = max(part.wide, part.high), min(part.wide, part.high)
    return -long, -short, part.name


def _size(part: Part, *, turned: bool) -> tuple[float, float]:
    return (part.high, part.wide) if turned else (part.wide, part.high)


def _fitting(part: Part, rests: Sequence[_Rest]) -> tuple[_Rest, bool] | None:
    """The first sheet's smallest rest that takes the part, and whether it is turned there."""
    slack = 10.0**-PLACES
    ways = [
        (rest.sheet, round(rest.wide * rest.high, PLACES), turned, at)
        for at, rest in enumerate(rests)
        for turned in (False, True)
        if (size := _size(part, turned=turned))[0] <= rest.wide + slack
        and size[1] <= rest.high + slack
    ]
    if not ways:
        return None
    _, _, turned, at = min(ways)
    return rests[at], turned


def _left(rest: _Rest, wide: float, high: float) -> Iterator[_Rest]:
    """What is left of `rest` beside and above a part in its lower-left corner."""
    (x, y), right, above = rest.at, rest.wide - wide - APART, rest.high - high - APART
    up_first = max(right * rest.high, wide * above) >= max(right * high, rest.wide * above)
    beside = (right, rest.high if up_first else high)
    over = (wide if up_first else rest.wide, above)
    if min(beside) > 0:
        yield _Rest(rest.sheet, (x + wide + APART, y), *beside)
    if min(over) > 0:
        yield _Rest(rest.sheet, (x, y + high + APART), *over)
