"""A picture between its pixels: cubic splines in linear light.

Stands before everything of squaring that looks at a picture. The coefficients are found once; a
value anywhere then costs sixteen of them. Bands are looked up by two hands at once, which changes
no bit: each band is its own.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Light = NDArray[np.float32]

HANDS = 2
FEW = 50_000  # places that one hand looks up alone


@dataclass(frozen=True, slots=True, eq=False)
class Splined:
    """Spline coefficients of each band of a picture, each (rows, columns)."""

    file: str
    bands: tuple[Light, ...]

    @property
    def size(self) -> tuple[int, int]:
        """Columns and rows."""
        rows, columns = self.bands[0].shape
        return columns, rows


def splined(file: str, light: Light) -> Splined:
    """The splines through the pixels of `light` (rows, columns, bands)."""
    from scipy import ndimage  # noqa: PLC0415  slow to import, and `check` never needs it

    def one(band: int) -> Light:
        plane = np.ascontiguousarray(light[..., band])
        found: Light = ndimage.spline_filter(plane, order=3, output=np.float32, mode="mirror")
        return found

    with ThreadPoolExecutor(HANDS) as pool:
        return Splined(file, tuple(pool.map(one, range(light.shape[-1]))))


def values_at(picture: Splined, pixels: Floats) -> Light:
    """Light (n, bands) at pixel places (n, 2), column then row; mirrored beyond the picture."""
    from scipy import ndimage  # noqa: PLC0415

    where = np.ascontiguousarray(pixels[:, ::-1].T)

    def one(band: Light) -> Light:
        found: Light = ndimage.map_coordinates(
            band, where, output=np.float32, order=3, mode="mirror", prefilter=False
        )
        return found

    if len(pixels) < FEW:  # a hand costs more than it does
        return np.column_stack([one(band) for band in picture.bands])
    with ThreadPoolExecutor(HANDS) as pool:
        return np.column_stack(list(pool.map(one, picture.bands)))


def inside(picture: Splined, pixels: Floats, margin: float = 0.0) -> NDArray[np.bool_]:
    """Which places (n, 2) are in the picture, `margin` px from its rim at least."""
    columns, rows = picture.size
    column, row = pixels[:, 0], pixels[:, 1]
    found: NDArray[np.bool_] = (
        (column >= margin) & (row >= margin)
        & (column <= columns - 1 - margin) & (row <= rows - 1 - margin)
    )  # fmt: skip
    return found
