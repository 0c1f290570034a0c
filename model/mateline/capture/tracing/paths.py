"""Paths of pixels: places along them, and values measured there.

Stands first in tracing; pen lines use it too. A ring goes on from its last place to its first.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]


def between_cracks(path: Floats, *, ring: bool) -> Floats:
    """The middles of a path's cracks, with its ends: less of a staircase. Those of other paths are
    at least half a diagonal of a pixel away, for no two paths share a crack, nor a corner but a
    node.
    """
    middles = (path[1:] + path[:-1]) / 2
    if ring:
        return np.vstack([middles, middles[:1]])
    return np.vstack([path[:1], middles, path[-1:]])


def even(path: Floats, every: float = 1.0, *, ring: bool) -> Floats:
    """Places about `every` pixels apart along a path, the ends not among them."""
    if ring:
        path = np.vstack([path, path[:1]])
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(path, axis=0).T)))
    count = max(1, int(along[-1] / every + 0.5))
    at = (np.arange(count) + 0.5) / count * along[-1]
    return np.column_stack([np.interp(at, along, path[:, axis]) for axis in (0, 1)])


def normals(spots: Floats, *, ring: bool) -> Floats:
    """Unit vectors to the left of the travel, rows running down."""
    count = len(spots)
    index = np.arange(count)
    wide = min(3, max(1, (count - 1) // 2))
    if count < 2:
        return np.zeros((count, 2))
    if ring:
        way = spots[(index + wide) % count] - spots[(index - wide) % count]
    else:
        way = spots[np.minimum(index + wide, count - 1)] - spots[np.maximum(index - wide, 0)]
    size = np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)
    return np.column_stack([way[:, 1], -way[:, 0]]) / size[:, None]


def filled(values: Floats, good: Bools) -> Floats:
    """The values with those between good ones in place of the others; 0 without any."""
    if not good.any():
        return np.zeros(len(values))
    at = np.flatnonzero(good)
    return np.interp(np.arange(len(values)), at, values[at])


def running_median(values: Floats, *, ring: bool, wide: int = 7) -> Floats:
    """The median of the `wide` values about each."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    found: Floats = ndimage.median_filter(values, wide, mode="wrap" if ring else "nearest")
    return found
