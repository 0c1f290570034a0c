"""Cells of plain colour: squares of a picture that are all paint, or all wood, and no border.

Stands before light. A hundred thousand of them tell as much about the light as five million pixels.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.face_picture import FacePicture

    Floats = NDArray[np.float64]

SIZE, SMALL = 2.4, 1.2  # mm; the small ones are those that a narrow stripe has room for
LEAST = 3  # pixels each way
PLAIN = 2.0  # times the noise: how uneven a cell of plain colour may be
QUIET = 0.3  # share of the cells that surely are plain
FLAT = 0.03  # of its light: how much a flat area may change over three cells
NOISE = 1.5  # times the noise of a pixel: how much more


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """`light` (n, 3), the mean of each; `at` (n,), its number in the grid of `shape`, row by row;
    `u`, `v` (n,), its place, -1 to 1 over the picture; `noise`: deviation of one band of a pixel, a
    share of sqrt(0.2 + light).
    """

    light: Floats
    at: NDArray[np.int64]
    shape: tuple[int, int]
    u: Floats
    v: Floats
    noise: float

    def rows(self, which: NDArray[np.int64]) -> Cells:
        """Some of them."""
        return Cells(
            self.light[which], self.at[which], self.shape, self.u[which], self.v[which], self.noise
        )

    def and_rows(self, others: Cells, which: NDArray[np.int64]) -> Cells:
        """All of these, and some of another size, which have no place in this grid."""
        return Cells(
            np.concatenate([self.light, others.light[which]]), self.at, self.shape,
            np.concatenate([self.u, others.u[which]]), np.concatenate([self.v, others.v[which]]),
            self.noise,
        )  # fmt: skip


def along(count: int) -> Floats:
    """Places of `count` pixels in a row, -1 to 1."""
    return (2 * np.arange(count) + 1) / count - 1


def cells_of(picture: FacePicture, size: float = SIZE) -> Cells:
    """The plain cells of a picture, `size` mm each way."""
    side = max(LEAST if size < SIZE else LEAST + 1, round(size / picture.grid.pitch))
    high, wide = picture.grid.rows // side, picture.grid.columns // side
    cut = picture.light[: high * side, : wide * side].reshape(high, side, wide, side, 3)
    mean = cut.mean(axis=(1, 3), dtype=np.float64)
    square = (cut * cut).mean(axis=(1, 3), dtype=np.float64)
    within = picture.seen[: high * side, : wide * side].reshape(high, side, wide, side)
    whole = within.all(axis=(1, 3))
    uneven = ((square - mean**2) / (0.2 + mean)).mean(axis=2)
    uneven = np.sqrt(np.maximum(uneven, 0))
    noise = float(np.quantile(uneven[whole], QUIET)) if whole.any() else 0.0
    plain = whole & (np.round(uneven - PLAIN * noise, 7) <= 0)
    v, u = np.meshgrid(along(high), along(wide), indexing="ij")
    u = (u + 1) * wide * side / picture.grid.columns - 1
    v = (v + 1) * high * side / picture.grid.rows - 1
    at = np.flatnonzero(plain)
    return Cells(np.round(mean[plain], 7), at, (high, wide), u[plain], v[plain], round(noise, 6))


def flat_cells(cells: Cells) -> NDArray[np.bool_]:
    """Which cells of the grid are amid others of their colour: areas of paint are, wood is not."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    sheet = np.full((*cells.shape, 3), 9.0)
    sheet.reshape(-1, 3)[cells.at] = cells.light
    span = np.zeros(cells.shape)
    for band in range(3):
        most = ndimage.maximum_filter(sheet[..., band], 3, mode="constant", cval=9.0)
        least = ndimage.minimum_filter(sheet[..., band], 3, mode="constant", cval=-9.0)
        np.maximum(span, most - least, out=span)
    even = np.round(span - FLAT * sheet.mean(axis=2), 6) <= NOISE * cells.noise
    flat: NDArray[np.bool_] = ndimage.binary_opening(
        even & (sheet[..., 0] < 9), np.ones((2, 2), dtype=bool)
    )
    return flat
