"""The order in which pieces are laid: each next one against what lies already.

Stands after touching. The first piece lies in a corner of the longest straight side; from there
the set grows from that side on. Two things that a piece touches hold it in place: two pieces, or a
piece and a side of the face, or two sides. Where no piece that is left has two, the one with the
longest border against what lies is next, of those that have more neighbours to come; last come
those that one piece holds all round, or nearly. Their steps say so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.products import product

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.stencil.laying.sides import Side
    from mateline.stencil.laying.touching import Touching
    from mateline.stencil.stencil import Stencil

ENOUGH = 2  # things that hold a piece in place
BAND = 100.0  # mm: pieces as far as this from the first side are laid along it, in rows


@dataclass(frozen=True, slots=True)
class Step:
    """One piece, by its place in the stencil: the pieces and sides that it is laid against.

    They are in the order of the border that they share with it, the longest first.
    """

    piece: int
    against: tuple[int, ...]
    sides: tuple[int, ...]

    @property
    def held(self) -> bool:
        """Whether two things hold it in place."""
        return len(self.against) + len(self.sides) >= ENOUGH


def first_side(sides: Sequence[Side]) -> int:
    """The longest straight side, to the mm; the first of those alike."""
    return max(range(len(sides)), key=lambda at: (sides[at].straight, _long(sides[at]), -at))


def laying_order(stencil: Stencil, sides: Sequence[Side], touch: Touching) -> tuple[Step, ...]:
    """A step for each piece of the stencil, in the order of laying."""
    start = first_side(sides)
    spots = _spots(stencil, sides[start])
    count = len(stencil.pieces)
    laid: list[int] = []
    lies = [False] * count
    all_of = [len(touch.sides[at]) + len(touch.pieces[at]) for at in range(count)]
    held = [len(touch.sides[at]) for at in range(count)]
    against = [0.0] * count
    ready: set[int] = set()
    while len(laid) < count:
        if laid and ready:
            at = min(ready, key=lambda each: _worth(each, held, all_of, against, spots))
        else:  # nothing lies yet, or nothing that is left touches what does
            left = [each for each in range(count) if not lies[each]]
            at = min(left, key=lambda each: (start not in touch.sides[each],
                                             -min(held[each], ENOUGH), *spots[each]))  # fmt: skip
        lies[at] = True
        laid.append(at)
        ready.discard(at)
        for other, long in touch.pieces[at].items():
            if not lies[other]:
                held[other] += 1
                against[other] += long
                ready.add(other)
    return _steps(laid, touch)


def _worth(
    at: int,
    held: Sequence[int],
    all_of: Sequence[int],
    against: Sequence[float],
    spots: Sequence[tuple[int, int, int]],
) -> tuple[float, ...]:
    """What decides which piece is next: held in place or not, then where it is."""
    if held[at] >= ENOUGH:
        return (0, *spots[at])
    if all_of[at] >= ENOUGH:
        return (1, -round(against[at]), *spots[at])
    return (2, *spots[at])


def _spots(stencil: Stencil, side: Side) -> list[tuple[int, int, int]]:
    """Row from the first side on, and place along it, of each piece; then its own place."""
    (ax, ay), (bx, by) = side.ends
    start, out = np.array([ax, ay]), np.array(side.out)
    along = np.array([bx - ax, by - ay])
    along = along / np.hypot(*along)
    found = []
    for at, piece in enumerate(stencil.pieces):
        left, low, right, high = piece.area.bounds
        corners = np.array([(left, low), (right, low), (right, high), (left, high)]) - start
        inward, beside = product(corners, -out), product(corners, along)
        # To a tenth of a mm: pieces alike in a row are not parted by last bits.
        row = round(float(inward.min()) / BAND + 1e-6)
        found.append((row, round(10 * float(beside.min())), at))
    return found


def _steps(laid: Sequence[int], touch: Touching) -> tuple[Step, ...]:
    when = {at: number for number, at in enumerate(laid)}
    steps = []
    for number, at in enumerate(laid):
        before = {other: long for other, long in touch.pieces[at].items() if when[other] < number}
        sides = touch.sides[at]
        steps.append(
            Step(
                at,
                tuple(sorted(before, key=lambda each: (-round(before[each]), each))),
                tuple(sorted(sides, key=lambda each: (-round(sides[each]), each))),
            )
        )
    return tuple(steps)


def _long(side: Side) -> int:
    (ax, ay), (bx, by) = side.ends
    return round(float(np.hypot(bx - ax, by - ay)))
