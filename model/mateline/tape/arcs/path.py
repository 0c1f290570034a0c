"""The sides of an outline as they run, straight and curved, round corners among them.

Stands after curve. What is drawn, checked for crossings and built of boards is made from these.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.curves import Chain, Segment
from mateline.products import product

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.tape.arcs.curve import Arc
    from mateline.tape.solving.observations import XY, Array


@dataclass(frozen=True, slots=True)
class Side:
    """One side from `start` to `to`, mm. `ends` are its corners; a round corner is both of its.

    `bulge` is the tangent of a quarter of its bend: 0 straight, negative hollow.
    """

    ends: tuple[str, str]
    start: XY
    to: XY
    bulge: float = 0.0

    @property
    def centre(self) -> XY | None:
        """The arc's centre, mm; None for a straight side."""
        if self.bulge == 0:
            return None
        (ax, ay), (bx, by) = self.start, self.to
        # From the chord's middle inward by radius - rise, which is chord (1 / b - b) / 4.
        share = (1 / self.bulge - self.bulge) / 4
        return (ax + bx) / 2 - share * (by - ay), (ay + by) / 2 + share * (bx - ax)

    @property
    def bend(self) -> float:
        """The angle of the arc, radians, with the bulge's sign."""
        return 4 * math.atan(self.bulge)


def sides_of(corners: Sequence[str], points: Array, arcs: Sequence[Arc]) -> tuple[Side, ...]:
    """All sides from the first corner on; its own round, if it has one, comes first."""
    known = {arc.ends: arc for arc in arcs}
    at = {name: (float(x), float(y)) for name, (x, y) in zip(corners, points, strict=True)}
    found = []
    for corner, after in zip(corners, (*corners[1:], corners[0]), strict=True):
        before, beyond = known.get((corner, corner)), known.get((after, after))
        if before is not None:
            found.append(Side(before.ends, before.start, before.to, before.bulge))
        start = at[corner] if before is None else before.to
        to = at[after] if beyond is None else beyond.start
        arc = known.get((corner, after))
        found.append(Side((corner, after), start, to, 0.0 if arc is None else arc.bulge))
    return tuple(found)


def chain_of(sides: Sequence[Side]) -> Chain:
    """The closed chain of the sides of an outline."""
    return Chain(
        sides[0].start,
        tuple(Segment(side.to, side.centre, side.bulge > 0) for side in sides),
    )


def alike(one: Sequence[Side], other: Sequence[Side]) -> bool:
    """Whether two outlines of the same corners are curved at the same sides, and the same way."""
    return [(side.ends, np.sign(side.bulge)) for side in one] == [
        (side.ends, np.sign(side.bulge)) for side in other
    ]


def meant(one: Sequence[Side], other: Sequence[Side]) -> tuple[Side, ...]:
    """The sides halfway between those of two outlines that are alike."""
    return tuple(
        Side(a.ends, _halfway(a.start, b.start), _halfway(a.to, b.to), (a.bulge + b.bulge) / 2)
        for a, b in zip(one, other, strict=True)
    )


def moved(sides: Sequence[Side], matrix: Array, move: Array) -> tuple[Side, ...]:
    """The sides turned by `matrix` (2, 2) and moved."""
    starts = product(np.array([side.start for side in sides]), matrix.T) + move
    at = [(float(x), float(y)) for x, y in starts]
    return tuple(
        Side(side.ends, start, to, side.bulge)
        for side, start, to in zip(sides, at, (*at[1:], at[0]), strict=True)
    )


def _halfway(one: XY, other: XY) -> XY:
    return (one[0] + other[0]) / 2, (one[1] + other[1]) / 2
