"""Pixels of one side on the grid of the other.

Stands in both sides after registration. Sides are mirrored in mm, not in pixels: their grids need
not begin at the same place.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.enlarged import enlarged

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from mateline.capture.face_picture import Grid
    from mateline.capture.labels import Labels

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

LEAST = 0.05  # mm: no border is surer than this
COARSE = 8  # pixels between places that the map is worked out at


@dataclass(frozen=True, slots=True, eq=False)
class PixelMap:
    """For each pixel of one grid the pixel of the other (rows, columns): `row` and `column`, the
    first one's middle 0.
    """

    row: NDArray[np.float32]
    column: NDArray[np.float32]

    def nearest(self, shape: tuple[int, ...]) -> tuple[Ints, Ints, Bools]:
        """Rows and columns, within `shape`, and which were."""
        row = np.floor(self.row + np.float32(0.5)).astype(np.int64)
        column = np.floor(self.column + np.float32(0.5)).astype(np.int64)
        there = (row >= 0) & (column >= 0) & (row < shape[0]) & (column < shape[1])
        return np.clip(row, 0, shape[0] - 1), np.clip(column, 0, shape[1] - 1), there

    def between(self, values: NDArray[np.float32]) -> NDArray[np.float32]:
        """Values (rows, columns) of the other grid at these places, between its pixels."""
        from scipy import ndimage  # noqa: PLC0415  slow to import

        found: NDArray[np.float32] = ndimage.map_coordinates(
            values, [self.row, self.column], order=1, mode="nearest"
        )
        return found


def pixel_map(grid: Grid, other: Grid, moved: Callable[[Floats], Floats]) -> PixelMap:
    """Where on `other` each pixel of `grid` is; `moved` takes places, mm, from one to the other."""
    rows = np.arange(0, grid.rows + COARSE, COARSE)
    columns = np.arange(0, grid.columns + COARSE, COARSE)
    column, row = np.meshgrid(columns, rows)
    places = grid.places(np.column_stack([column.ravel(), row.ravel()]).astype(np.float64))
    pixels = other.pixels(moved(places)).astype(np.float32)
    # a value stands for the middle of its square's first pixel
    whole, shape, first = (grid.rows, grid.columns), (len(rows), len(columns)), 0.5 / COARSE
    return PixelMap(
        enlarged(pixels[:, 1].reshape(shape), COARSE, whole, first),
        enlarged(pixels[:, 0].reshape(shape), COARSE, whole, first),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Told:
    """What a side says of each pixel of a grid: which colour, whether its paint is seen, how sure,
    and how far, mm, the nearest paint that is seen (`away`) and the nearest other colour (`inside`)
    are.
    """

    numbers: NDArray[np.int16]
    sound: Bools
    sureness: NDArray[np.float32]
    away: NDArray[np.float32]
    inside: NDArray[np.float32]


def told(labels: Labels) -> Told:
    """What labels say on their own grid."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    away = ndimage.distance_transform_edt(~labels.sound).astype(np.float32)
    pitch = np.float32(labels.grid.pitch)
    border = np.zeros(labels.numbers.shape, dtype=bool)
    for one, other in ((np.s_[1:], np.s_[:-1]), (np.s_[:, 1:], np.s_[:, :-1])):
        unlike = labels.numbers[one] != labels.numbers[other]
        border[one] |= unlike
        border[other] |= unlike
    inside = ndimage.distance_transform_edt(~border).astype(np.float32) * pitch + pitch / 2
    return Told(labels.numbers, labels.sound, labels.sureness, away * pitch, inside)


def carried(of: Told, by: PixelMap, outside: int, rms: float) -> Told:
    """The same on another grid; where there is nothing, `outside`, and not sure at all. Beside a
    border less is sure, for that may be off by `rms` mm.
    """
    from scipy.special import ndtr  # noqa: PLC0415  slow to import

    held = np.round(ndtr(of.inside / np.float32(max(rms, LEAST))), 4).astype(np.float32)
    row, column, there = by.nearest(of.numbers.shape)
    numbers = np.where(there, of.numbers[row, column], outside).astype(np.int16)
    there &= numbers != outside
    return Told(
        numbers,
        of.sound[row, column] & there,
        np.where(there, (of.sureness * held)[row, column], 0).astype(np.float32),
        of.away[row, column],
        of.inside[row, column],
    )
