"""How much ink lies on each pixel of a scan: light against the paper's own around it.

Stands first in pen lines. In linear light a pixel half covered by ink is half way between paper
and ink, so the sum of ink across a line is its width whatever the blur, and its middle is the
pen's. Paper that yellows, light that falls off and wide stains are evened out; creases, specks
and stains with sharp edges are not, and are told apart later by what they are.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.enlarged import enlarged

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.picture import Picture

    Floats = NDArray[np.float32]

BLOCK = 1.5  # mm: the paper's light is taken once in such a square
BRIGHT = 0.8  # share of a square's pixels that are darker than its paper
WIDEST = 15.0  # mm: what is dark and narrower than this is no paper
LEAST = 0.02  # linear light: paper is no darker
FINE = 0.26  # mm: regions are found on squares no larger than this
SEEN = 0.25  # darkness of what may be ink, to learn how dark the pen is


@dataclass(frozen=True, slots=True, eq=False)
class Paper:
    """`ink` (rows, columns), about 0 on paper to 1 where the pen is at its usual darkness. `coarse`
    is the darkness in each channel (rows, columns, 3), means of squares of `step` pixels; `usual`
    the pen's usual darkness, and `way` (3,) the share of each channel in `ink`. `density`: pixels
    to a mm.
    """

    ink: Floats
    coarse: Floats
    step: int
    usual: float
    way: Floats
    density: float


def paper_of(picture: Picture, density: float) -> Paper:
    """The ink of a scan that has `density` pixels to a mm, roughly."""
    light = picture.light
    ground = np.maximum(_ground(light, max(1, int(BLOCK * density))), LEAST)
    dark: Floats = (1 - light / ground).astype(np.float32)
    step = max(1, int(FINE * density))
    coarse = squares(dark, step)
    strong: Floats = coarse[coarse.max(axis=2) > SEEN]
    way = strong.mean(axis=0) if len(strong) else np.ones(3, dtype=np.float32)
    way = np.round(way / way.sum(), 4).astype(np.float32)
    amounts = strong @ way if len(strong) else np.ones(1, dtype=np.float32)
    usual = round(float(np.quantile(amounts, 0.8)), 4)
    ink = dark[..., 0] * (way[0] / usual)
    ink += dark[..., 1] * (way[1] / usual)
    ink += dark[..., 2] * (way[2] / usual)
    return Paper(ink, coarse, step, usual, way, density)


def squares(values: Floats, step: int) -> Floats:
    """Means of squares of `step` pixels (rows, columns, ...); those at the end are left out."""
    rows, columns = values.shape[0] // step, values.shape[1] // step
    total = np.zeros((rows, columns, *values.shape[2:]), dtype=np.float32)
    for down in range(step):
        for right in range(step):
            total += values[down : rows * step : step, right : columns * step : step]
    return (total / np.float32(step * step)).astype(np.float32)


def _ground(light: Floats, block: int) -> Floats:
    """The light that bare paper would send back at each pixel."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    rows, columns = -(-light.shape[0] // block), -(-light.shape[1] // block)
    pad = ((0, rows * block - light.shape[0]), (0, columns * block - light.shape[1]))
    ground = np.empty_like(light)
    wide = 2 * int(WIDEST / BLOCK / 2) + 1
    for band in range(3):
        full = np.pad(light[..., band], pad, mode="edge")
        cells = full.reshape(rows, block, columns, block).transpose(0, 2, 1, 3)
        cells = np.sort(cells.reshape(rows, columns, -1), axis=2)
        cell = cells[..., int(BRIGHT * (block * block - 1))]
        cell = ndimage.median_filter(cell, 3, mode="nearest")
        cell = ndimage.grey_closing(cell, (wide, wide), mode="nearest")
        cell = ndimage.gaussian_filter(cell, 1.0, mode="nearest")
        ground[..., band] = enlarged(cell, block, light.shape[:2])
    return ground
