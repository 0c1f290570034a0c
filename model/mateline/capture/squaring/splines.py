"""A picture between its pixels: cubic splines in linear light.

Stands before everything of squaring that looks at a picture. Coefficients are found where they are
asked for, tile by tile: edges are a small part of a photo. A value then costs sixteen of them.
Bands are looked up by two hands at once, which changes no bit: each band is its own.
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

TILE = 128  # px: coefficients are found in squares of that size
AROUND = 16  # px that a tile is found with beyond it: what lies farther counts less than 1e-9
HANDS = 2
FEW = 50_000  # places that one hand looks up alone
BLOCK = 8  # px: the sixteen coefficients of a place lie in its block or in those beside it


@dataclass(frozen=True, slots=True, eq=False)
class Splined:
    """A picture's `light` (rows, columns, bands), and of each band the spline coefficients, (rows,
    columns), of those tiles that are `done`.
    """

    file: str
    light: Light
    bands: tuple[Light, ...]
    done: NDArray[np.bool_]

    @property
    def size(self) -> tuple[int, int]:
        """Columns and rows."""
        rows, columns = self.light.shape[:2]
        return columns, rows


def splined(file: str, light: Light) -> Splined:
    """The splines through the pixels of `light` (rows, columns, bands)."""
    rows, columns, bands = light.shape
    tiles = np.zeros((-(-rows // TILE), -(-columns // TILE)), dtype=bool)
    # memory that nothing was written to is not taken yet
    empty = tuple(np.zeros((rows, columns), dtype=np.float32) for _ in range(bands))
    return Splined(file, light, empty, tiles)


def values_at(picture: Splined, pixels: Floats) -> Light:
    """Light (n, bands) at pixel places (n, 2), column then row; mirrored beyond the picture."""
    from scipy import ndimage  # noqa: PLC0415  slow to import, and `check` never needs it

    _found_near(picture, pixels)
    where = np.ascontiguousarray(pixels[:, ::-1].T)
    found = np.empty((len(pixels), len(picture.bands)), dtype=np.float32)

    def one(at: int) -> None:
        found[:, at] = ndimage.map_coordinates(
            picture.bands[at], where, output=np.float32, order=3, mode="mirror", prefilter=False
        )

    if len(pixels) < FEW:  # a hand costs more than it does
        for at in range(len(picture.bands)):
            one(at)
    else:
        with ThreadPoolExecutor(HANDS) as pool:
            list(pool.map(one, range(len(picture.bands))))
    return found


def _found_near(picture: Splined, pixels: Floats) -> None:
    """Find the coefficients of tiles that places need and that are not there yet."""
    if picture.done.all():
        return
    rows, columns = picture.light.shape[:2]
    many = TILE // BLOCK
    blocks = np.zeros((picture.done.shape[0] * many, picture.done.shape[1] * many), dtype=bool)
    blocks[_folded(pixels[:, 1], rows) // BLOCK, _folded(pixels[:, 0], columns) // BLOCK] = True
    at = np.nonzero(blocks)
    needed = np.zeros_like(picture.done)
    # the blocks around too; beyond the last one is the last one again
    down, over = (
        [np.clip(own + step, 0, last - 1) // many for step in (-1, 0, 1)]
        for own, last in zip(at, blocks.shape, strict=True)
    )
    for tiles_down in down:
        for tiles_over in over:
            needed[tiles_down, tiles_over] = True
    for row, column in np.argwhere(needed & ~picture.done).tolist():
        _tile_found(picture, row * TILE, column * TILE)
        picture.done[row, column] = True


def _folded(place: Floats, count: int) -> NDArray[np.int32]:
    """Which of `count` pixels a place is looked up near; those beyond the picture in its mirror."""
    found = place.astype(np.int32)
    if len(found) and (int(found.min()) < 0 or int(found.max()) >= count):
        last = max(1, count - 1)
        found = np.minimum(np.abs((found + last) % (2 * last) - last), count - 1)
    return found


def _tile_found(picture: Splined, top: int, left: int) -> None:
    from scipy import ndimage  # noqa: PLC0415

    up, beside = max(0, top - AROUND), max(0, left - AROUND)
    cut = picture.light[up : top + TILE + AROUND, beside : left + TILE + AROUND]
    for at, band in enumerate(picture.bands):
        tile = ndimage.spline_filter(cut[..., at], order=3, output=np.float32, mode="mirror")
        inner = tile[top - up : top - up + TILE, left - beside : left - beside + TILE]
        band[top : top + TILE, left : left + TILE] = inner


def inside(picture: Splined, pixels: Floats, margin: float = 0.0) -> NDArray[np.bool_]:
    """Which places (n, 2) are in the picture, `margin` px from its rim at least."""
    columns, rows = picture.size
    column, row = pixels[:, 0], pixels[:, 1]
    found: NDArray[np.bool_] = (
        (column >= margin) & (row >= margin)
        & (column <= columns - 1 - margin) & (row <= rows - 1 - margin)
    )  # fmt: skip
    return found
