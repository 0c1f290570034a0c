"""Where the pixels of a scan, or of a photo of a tracing, lie on the paper or on the face, mm.

Stands first in pen lines. A scan lies flat; a photo sees the paper at a slant, through a lens:

    pixel -> p = middle + (pixel - middle) (1 + k1 r²) -> (A p + t) / (1 + slant p)

with r the distance from the picture's middle over `reach`. Source: R. Hartley and A. Zisserman,
Multiple View Geometry (2004), 2.3 and 7.4.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.curves import Point

    Floats = NDArray[np.float64]

Kind = Literal["flat", "stretched", "slanted", "slanted, with its lens"]
UNBENT = 12  # rounds of the lens backwards: each leaves a few per cent of what was left


@dataclass(frozen=True, slots=True)
class Residual:
    """What is left between what was given and what the scan says, mm."""

    rms: float
    worst: float
    at: Point  # mm, where it is worst


@dataclass(frozen=True, slots=True)
class Lens:
    """A lens that bends: `k1` at `reach` px from `middle`, a pixel of the picture."""

    k1: float
    middle: Point
    reach: float


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """`matrix` (2, 3) takes pixels, column then row, the first one's middle (0, 0), to mm, y up;
    what it gives is divided by 1 + `slant` times the pixel, where the picture is a photo.
    """

    matrix: Floats
    residual: Residual | None = None
    slant: Point = (0.0, 0.0)
    lens: Lens | None = None
    kind: Kind = "flat"

    def __call__(self, pixels: Floats) -> Floats:
        """Places, mm, of pixels (n, 2)."""
        x, y = self._straight(pixels)
        (a, b, c), (d, e, f) = self.matrix.tolist()
        if self.slant == (0.0, 0.0):
            return np.column_stack([a * x + b * y + c, d * x + e * y + f])
        below = 1 + self.slant[0] * x + self.slant[1] * y
        return np.column_stack([(a * x + b * y + c) / below, (d * x + e * y + f) / below])

    def pixel(self, place: Point) -> Point:
        """The pixel of one place, mm: backwards."""
        (a, b, c), (d, e, f) = self.matrix.tolist()
        g, h = self.slant
        u, v = place
        # a x + b y + c = u (1 + g x + h y), and the same of v
        a, b, c, d, e, f = a - u * g, b - u * h, u - c, d - v * g, e - v * h, v - f
        whole = a * e - b * d
        return self._bent((e * c - b * f) / whole, (a * f - d * c) / whole)

    def density_at(self, pixel: Point) -> float:
        """Pixels to a mm around a pixel."""
        x, y = pixel
        here, right, down = self(np.array([(x, y), (x + 1, y), (x, y + 1)])).tolist()
        (a, b), (c, d) = (
            (right[0] - here[0], down[0] - here[0]), (right[1] - here[1], down[1] - here[1])
        )  # fmt: skip
        return 1 / math.sqrt(abs(a * d - b * c))

    def shifted(self, x: float, y: float) -> Placed:
        """The same with every place moved by (x, y), mm."""
        g, h = self.slant
        way = np.array([[x * g, x * h, x], [y * g, y * h, y]])
        return replace(self, matrix=self.matrix + way)

    def _straight(self, pixels: Floats) -> tuple[Floats, Floats]:
        x, y = pixels[:, 0], pixels[:, 1]
        if self.lens is None:
            return x, y
        (left, up), reach = self.lens.middle, self.lens.reach
        share = self.lens.k1 * (((x - left) / reach) ** 2 + ((y - up) / reach) ** 2)
        return x + (x - left) * share, y + (y - up) * share

    def _bent(self, x: float, y: float) -> Point:
        if self.lens is None:
            return x, y
        (left, up), reach, k1 = self.lens.middle, self.lens.reach, self.lens.k1
        column, row = x, y
        for _ in range(UNBENT):
            share = 1 + k1 * (((column - left) / reach) ** 2 + ((row - up) / reach) ** 2)
            column, row = left + (x - left) / share, up + (y - up) / share
        return column, row
