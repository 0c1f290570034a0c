"""Ties between two squared photos of one face: how far apart each has the same piece of art.

Stands after flat, before the joint. Patches with enough drawing in them are moved over the other
picture until they fit. Source: B. D. Lucas and T. Kanade, An iterative image registration technique
(1981); which patches: J. Shi and C. Tomasi, Good features to track (1994).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.picture import encoded

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.face_picture import FacePicture

    Floats = NDArray[np.float64]

SIDE = 29  # pixels of a patch
APART = 22  # pixels between patches
MOST = 400
DRAWN = 0.006  # change of a value over a pixel (rms), in the direction that changes least
ROUNDS = 8
FARTHEST = 4.0  # pixels that photos may be apart
ALIKE = 0.75  # correlation that a fitted patch must reach
LEAST_DEVIATION = 0.04  # mm


@dataclass(frozen=True, slots=True, eq=False)
class Ties:
    """At `places` (n, 2), mm, the second picture has what the first has there `shifts` (n, 2), mm,
    further; `deviations` (n,), mm.
    """

    places: Floats
    shifts: Floats
    deviations: Floats


def ties_between(first: FacePicture, second: FacePicture) -> Ties:
    """Ties of two pictures on the same grid, where both see the face."""
    from scipy import ndimage  # noqa: PLC0415

    one, other = _values(first), _values(second)
    both = ndimage.binary_erosion(first.seen & second.seen, iterations=SIDE // 2 + 4)
    across, down = ndimage.sobel(one, axis=1) / 8, ndimage.sobel(one, axis=0) / 8
    row, column = _drawn(across, down, both)
    half = SIDE // 2
    step = np.arange(-half, half + 1)
    rows = row[:, None, None] + step[None, :, None]
    columns = column[:, None, None] + step[None, None, :]
    patch, gx, gy = one[rows, columns], across[rows, columns], down[rows, columns]
    level, spread = _level(patch)
    patch = (patch - level) / spread
    gx, gy = gx / spread, gy / spread
    a, b, c = ((gx * gx).sum((1, 2)), (gx * gy).sum((1, 2)), (gy * gy).sum((1, 2)))
    size = np.maximum(a * c - b * b, 1e-12)
    shift = np.zeros((len(row), 2))
    alike = np.zeros(len(row))
    for _ in range(ROUNDS):
        where = [
            rows + shift[:, 1, None, None] + 0.0 * columns,
            columns + shift[:, 0, None, None] + 0.0 * rows,
        ]
        there = ndimage.map_coordinates(other, where, order=3, mode="nearest")
        level, spread = _level(there)
        off = patch - (there - level) / spread
        u, v = (off * gx).sum((1, 2)), (off * gy).sum((1, 2))
        step_x, step_y = (c * u - b * v) / size, (a * v - b * u) / size
        shift = np.clip(shift + np.column_stack([step_x, step_y]), -FARTHEST, FARTHEST)
        alike = 1 - (off * off).mean((1, 2)) / 2
    shift = np.round(shift, 6)
    kept = (np.round(alike, 6) > ALIKE) & (np.abs(shift) < FARTHEST - 0.5).all(axis=1)
    pitch = first.grid.pitch
    noise = np.sqrt(np.maximum(1 - alike, 1e-6) * 2 * (a + c) / (2 * size)) * 2
    places = first.grid.places(np.column_stack([column, row]).astype(np.float64))
    return Ties(
        places[kept], shift[kept] * [pitch, -pitch],
        np.maximum(noise[kept] * pitch, LEAST_DEVIATION),
    )  # fmt: skip


def _values(picture: FacePicture) -> Floats:
    return encoded(picture.light.mean(axis=2)).astype(np.float64)


def _level(patches: Floats) -> tuple[Floats, Floats]:
    level = patches.mean(axis=(1, 2), keepdims=True)
    spread = np.sqrt(((patches - level) ** 2).mean(axis=(1, 2), keepdims=True))
    return level, np.maximum(spread, 1e-3)


def _drawn(
    across: Floats, down: Floats, both: NDArray[np.bool_]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Middles of patches with drawing in both directions, the best of each square of APART."""
    from scipy import ndimage  # noqa: PLC0415

    a, b, c = (
        ndimage.uniform_filter(each, SIDE) for each in (across * across, across * down, down * down)
    )
    least = (a + c) / 2 - np.sqrt(((a - c) / 2) ** 2 + b * b)
    least = np.round(np.where(both, least, 0.0), 9)
    peaks = (least == ndimage.maximum_filter(least, APART)) & (least > DRAWN**2)
    row, column = np.nonzero(peaks)
    order = np.argsort(-least[row, column], kind="stable")[:MOST]
    return row[order], column[order]
