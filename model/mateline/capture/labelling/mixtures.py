"""Pixels between two colours: of which one they have more.

Stands after light, before visible. Light adds up, so a pixel that a border runs through lies in
linear light on the line from one paint to the other, as far along as it is covered by the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]
    Bools = NDArray[np.bool_]
    Numbers = NDArray[np.int8]
    Ints = NDArray[np.int64]
    Bits = NDArray[np.uint32]

OFF = 0.03  # share of a paint by which its light may be off what the smooth fields say
LEAST = 0.006  # linear light: the same for the darkest
CORE, MIXED = 3.0, 4.5  # deviations: how far from a paint a core, or from two a mixture, may be
WEAK = 0.1  # of the way between two paints: noise from which on the mean of nine tells more
WORN = 0.6  # share of wood beyond which nothing is read from what is left of the paint


@dataclass(frozen=True)
class Paints:
    """`light` (n, 3) linear: the first `colours` are paints, the others wood and primer."""

    light: NDArray[np.float64]
    colours: int

    @cached_property
    def brightness(self) -> list[float]:
        """Of each, the root of its mean square."""
        return [float(np.sqrt((each**2).mean())) for each in self.light]

    def away(self, planes: Floats, at: int) -> Floats:
        """Squared distances of pixels (3, ...) from one of them."""
        tone = self.light[at].astype(np.float32)
        far: Floats = planes[0] - tone[0]
        far *= far
        for band in (1, 2):
            step = planes[band] - tone[band]
            step *= step
            far += step
        return far

    def between(self, planes: Floats, a: int, b: int) -> tuple[Floats, Floats]:
        """How far along from a to b pixels (3, n) are, 0 to 1, and their squared distance."""
        start = self.light[a].astype(np.float32)
        way = (self.light[b] - self.light[a]).astype(np.float32)
        length = np.float32(max(float((way.astype(np.float64) ** 2).sum()), 1e-6))
        off = [planes[band] - start[band] for band in range(3)]
        part = off[0] * way[0] + off[1] * way[1] + off[2] * way[2]
        part = np.clip(part / length, 0, 1)
        left = [each - part * step for each, step in zip(off, way, strict=True)]
        return part, left[0] ** 2 + left[1] ** 2 + left[2] ** 2


def room(deviation: Floats, brightness: float) -> Floats:
    """The square of one deviation of a pixel of a paint as bright as that."""
    least = np.float32((OFF * brightness) ** 2 + LEAST**2)
    squared: Floats = deviation * deviation
    squared += least
    return squared


def mixed(
    flat: tuple[Floats, Floats, Floats],
    asked: Ints,
    bits: Bits,
    paints: Paints,
    out: tuple[Numbers, Bools, Floats],
) -> None:
    """Number the pixels `asked`, which have the paints of `bits` near, in the arrays of `out`:
    numbers, sound and shares. `flat` are pixels as they are and smoothed, (3, n), and deviations.
    """
    raw, spread = flat[0][:, asked], flat[2][asked]
    best = np.full(len(asked), np.inf, dtype=np.float32)
    number = np.full(len(asked), -1, dtype=np.int8)
    share = np.zeros(len(asked), dtype=np.float32)

    def keep(mine: Ints, far: Floats, numbers: Numbers | int, shares: Floats | float) -> None:
        closer = far < best[mine]
        best[mine[closer]] = far[closer]
        number[mine[closer]] = np.broadcast_to(numbers, far.shape)[closer]
        share[mine[closer]] = np.broadcast_to(shares, far.shape)[closer]

    for at in range(paints.colours):
        mine = np.flatnonzero(bits & np.uint32(1 << at))
        far = paints.away(raw[:, mine], at) / room(spread[mine], paints.brightness[at])
        keep(mine, far, at, 1.0)
    for a, b in combinations(range(paints.colours), 2):
        both = np.uint32((1 << a) | (1 << b))
        mine = np.flatnonzero((bits & both) == both)
        if not len(mine):
            continue
        way = paints.light[b] - paints.light[a]
        weak = spread[mine] > WEAK * np.float32(np.sqrt((way**2).sum()))
        light = np.where(weak, flat[1][:, asked[mine]], raw[:, mine])
        part, far = paints.between(light, a, b)
        far /= room(spread[mine], max(paints.brightness[a], paints.brightness[b]))
        # a mixture can be more colours than a paint, so it has to explain a pixel better
        chosen = np.where(part > 0.5, np.int8(b), np.int8(a))
        keep(mine, far + 1, chosen, np.maximum(part, 1 - part))
    fine = best < MIXED**2
    number[~fine], share[~fine] = -1, 0
    worn = np.flatnonzero(~fine)
    _worn((raw[:, worn], spread[worn], bits[worn]), paints, worn, (number, share))
    numbers, sound, shares = out
    numbers[asked], sound[asked], shares[asked] = number, fine, share


def _worn(
    pixels: tuple[Floats, Floats, Bits], paints: Paints, worn: Ints, out: tuple[Numbers, Floats]
) -> None:
    """What is left of a paint that is worn through: it lies between the paint and a wood."""
    raw, spread, bits = pixels
    best = np.full(len(worn), MIXED**2, dtype=np.float32)
    for at in range(paints.colours):
        mine = np.flatnonzero(bits & np.uint32(1 << at))
        for other in range(paints.colours, len(paints.light)):
            part, far = paints.between(raw[:, mine], at, other)
            far /= room(spread[mine], max(paints.brightness[at], paints.brightness[other]))
            closer = (far < best[mine]) & (part < WORN)
            best[mine[closer]] = far[closer]
            out[0][worn[mine[closer]]] = at
            out[1][worn[mine[closer]]] = 1 - part[closer]
