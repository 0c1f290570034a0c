"""A photo of a tracing straightened: the projective map, and the lens, that fit what is known.

Stands in pen lines after placed, before true size. Least squares by Gauss and Newton, in pixels
counted from the picture's middle in shares of its reach, so that all unknowns are of one size.
What is known comes as a function: from a map to how far it is off, and how that changes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.pen_lines.placed import Lens, Placed

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from mateline.capture.pen_lines.placed import Residual
    from mateline.curves import Point

    Floats = NDArray[np.float64]
    Known = Callable[["Map"], tuple[Floats, Floats, Floats]]

ROUNDS = 40
STILL = 1e-8  # mm, and shares: steps below which nothing moves any more
FLAT, SLANTED, WITH_LENS = 6, 8, 9  # unknowns
DIGITS = 12  # of a matrix in pixels that are kept
MOST_STEP = 0.2  # of slant and lens in one round
RIDGE = 1e-12  # of each sum of squares


@dataclass(frozen=True, slots=True, eq=False)
class Map:
    """`unknowns` (9,): six of the matrix, row by row, two of the slant, k1; of pixels from `middle`
    in shares of `reach`.
    """

    unknowns: Floats
    middle: Point
    reach: float

    def places(self, pixels: Floats) -> Floats:
        """Places (n, 2), mm."""
        x, y, _ = self._straight(pixels)
        a, b, c, d, e, f, g, h, _ = self.unknowns.tolist()
        below = 1 + g * x + h * y
        return np.column_stack([(a * x + b * y + c) / below, (d * x + e * y + f) / below])

    def slopes(self, pixels: Floats) -> Floats:
        """How places move with the unknowns: (n, 2, 9)."""
        x, y, r2 = self._straight(pixels)
        a, b, _, d, e, _, g, h, k1 = self.unknowns.tolist()
        below = 1 + g * x + h * y
        at = self.places(pixels)
        found = np.zeros((len(pixels), 2, 9))
        for axis, (first, second) in enumerate(((a, b), (d, e))):
            here = at[:, axis]
            found[:, axis, 3 * axis] = x / below
            found[:, axis, 3 * axis + 1] = y / below
            found[:, axis, 3 * axis + 2] = 1 / below
            found[:, axis, 6] = -here * x / below
            found[:, axis, 7] = -here * y / below
            by_x, by_y = (first - here * g) / below, (second - here * h) / below
            found[:, axis, 8] = (by_x * x + by_y * y) * r2 / (1 + k1 * r2)
        return found

    def placed(self, residual: Residual | None) -> Placed:
        """The same map of pixels."""
        a, b, c, d, e, f, g, h, k1 = self.unknowns.tolist()
        (x, y), reach = self.middle, self.reach
        whole = 1 - (g * x + h * y) / reach  # of the divisor where the pixel is (0, 0)
        rows = []
        for first, second, third in ((a, b, c), (d, e, f)):
            rows.append([
                first / reach / whole, second / reach / whole,
                (third - (first * x + second * y) / reach) / whole,
            ])  # fmt: skip
        matrix = np.array([[_kept(each) for each in row] for row in rows])
        slant = (_kept(g / reach / whole), _kept(h / reach / whole))
        lens = Lens(_kept(k1), self.middle, self.reach) if k1 else None
        kind = "slanted, with its lens" if k1 else "slanted"
        return Placed(matrix, residual, slant, lens, kind)  # type: ignore[arg-type]

    def _straight(self, pixels: Floats) -> tuple[Floats, Floats, Floats]:
        x = (pixels[:, 0] - self.middle[0]) / self.reach
        y = (pixels[:, 1] - self.middle[1]) / self.reach
        r2 = x * x + y * y
        share = 1 + float(self.unknowns[8]) * r2
        return x * share, y * share, r2


def map_of(placed: Placed, middle: Point, reach: float) -> Map:
    """A flat map to begin with."""
    (a, b, c), (d, e, f) = placed.matrix.tolist()
    x, y = middle
    return Map(
        np.array([
            a * reach, b * reach, a * x + b * y + c, d * reach, e * reach, d * x + e * y + f,
            0.0, 0.0, 0.0,
        ]),
        middle, reach,
    )  # fmt: skip


def settled(start: Map, known: Known, free: tuple[int, ...]) -> Map | None:
    """`start` fitted by the unknowns that are `free`; None where they can't be told or the map
    folds over.
    """
    now = start
    chosen = list(free)
    for _ in range(ROUNDS):
        off, slope, weight = known(now)
        slope = slope[:, chosen]
        normal = (slope[:, :, None] * slope[:, None] * weight[:, None, None]).sum(axis=0)
        pull = -(slope * (weight * off)[:, None]).sum(axis=0)
        scale = 1 / np.sqrt(np.maximum(np.diag(normal), 1e-30))
        normal = normal * scale[:, None] * scale + RIDGE * np.eye(len(chosen))
        try:
            step = np.linalg.solve(normal, pull * scale) * scale
        except np.linalg.LinAlgError:
            return None
        bend = [at for at, unknown in enumerate(chosen) if unknown >= FLAT]
        most = float(np.abs(step[bend]).max()) if bend else 0.0
        step = step * min(1.0, MOST_STEP / max(most, 1e-30))
        unknowns = now.unknowns.copy()
        unknowns[chosen] += step
        if not np.isfinite(unknowns).all() or np.abs(unknowns[FLAT:]).max() > 1:
            return None
        now = Map(unknowns, now.middle, now.reach)
        if float(np.abs(step).max()) < STILL:
            break
    return now


def _kept(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")
