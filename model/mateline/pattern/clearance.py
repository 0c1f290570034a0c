"""Corners that stand close to an edge they are no end of.

Stands before repair. Two edges that run side by side do so from corner to corner, so where two
borders come within a tolerance of each other there is such a corner. Curves that come near and
part again have none: they are meant.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.planar.crossings import ranges

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

AT_END = 1e-3  # share of the distance: a foot this near an end of its edge is that end
CLASS = 4.0  # edges are searched by width, in classes of this ratio


@dataclass(frozen=True, slots=True)
class Near:
    """Corner number `corner[i]` is within reach of edge `edge[i]`, nearest to `foot[i]` there."""

    corner: Ints
    edge: Ints
    foot: Floats
    distance: Floats


def near_edges(corners: Floats, edges: Floats, reach: float) -> Near:
    """All pairs of `corners` (n, 2) and `edges` (m, 4) at most `reach` and more than 0 apart."""
    found = [
        _paired(corners, edges, each, reach)
        for each in _by_width(edges)
        if len(corners) and len(each)
    ]
    if not found:
        none = np.empty(0, dtype=np.int64)
        return Near(none, none, np.empty((0, 2)), np.empty(0))
    corner, edge = (np.concatenate(part) for part in zip(*found, strict=True))
    at, ends = corners[corner], edges[edge]
    start, along = ends[:, :2], ends[:, 2:] - ends[:, :2]
    share = ((at - start) * along).sum(axis=1) / (along * along).sum(axis=1)
    size = np.hypot(along[:, 0], along[:, 1])
    foot = start + share[:, None] * along
    slack = AT_END * np.hypot(*(at - foot).T)
    low, high = share * size <= slack, (1 - share) * size <= slack
    foot[low], foot[high] = ends[low, :2], ends[high, 2:]
    distance = np.hypot(*(at - foot).T)
    near = (distance <= reach) & (distance > 0)
    return Near(corner[near], edge[near], foot[near], distance[near])


def _by_width(edges: Floats) -> list[Ints]:
    """Numbers of edges that are about as wide as one another."""
    wide = np.abs(edges[:, 2] - edges[:, 0])
    most = float(wide.max(initial=0.0))
    if most == 0:
        return [np.arange(len(edges))]
    steps = np.minimum(np.log(np.maximum(wide, most * 1e-6) / most) / -np.log(CLASS), 8)
    kind = np.floor(steps).astype(np.int64)
    return [np.flatnonzero(kind == each) for each in np.unique(kind).tolist()]


def _paired(corners: Floats, edges: Floats, which: Ints, reach: float) -> tuple[Ints, Ints]:
    """Pairs whose boxes meet, out of the edges `which`, by a window in x."""
    own = edges[which]
    left, right = np.minimum(own[:, 0], own[:, 2]), np.maximum(own[:, 0], own[:, 2])
    order = np.argsort(left, kind="stable")
    ranked = left[order]
    widest = float((right - left).max())
    low = np.searchsorted(ranked, corners[:, 0] - reach - widest)
    high = np.searchsorted(ranked, corners[:, 0] + reach, side="right")
    count = high - low
    corner = np.repeat(np.arange(len(corners)), count)
    edge = order[ranges(low, high)]
    y = corners[corner, 1]
    bottom, top = np.minimum(own[:, 1], own[:, 3]), np.maximum(own[:, 1], own[:, 3])
    near = (bottom[edge] - reach <= y) & (y <= top[edge] + reach)
    near &= right[edge] + reach >= corners[corner, 0]
    return corner[near], which[edge[near]]
