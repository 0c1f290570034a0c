"""Arcs of circles among the vertices of a drawing's shapes.

Stands first in warping. A true arc comes as facets whose vertices lie on its circle to the last
bits, so corner after corner has one curvature, 2 sin(turn) / chord (the circle through three
points, elementary). What was drawn as a polygon, and facets of a Bézier, are none.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

FACETED = 0.05  # mm: facets that leave their arc by more were drawn as straight edges
SAME = 1e-7  # mm: bulges of facets on one circle agree to this
SAME_SHARE = 0.05  # share: and their curvatures to this
EXACT = 1e-6  # mm: how far a vertex of a true arc may lie off its circle
CORNERS = 3  # corners in a row of one curvature make an arc; a symmetric Bézier has two


@dataclass(frozen=True, slots=True)
class ArcRun:
    """Vertices of one ring, in a row, that lie on one circle: `vertices` are their positions in the
    ring, closed where the first comes once more at the end.
    """

    centre: tuple[float, float]
    radius: float
    vertices: Ints


def arc_runs(ring: Array) -> Iterator[ArcRun]:
    """The arcs of a closed ring of vertices (n, 2), mm, none of which comes twice in a row."""
    count = len(ring)
    if count < CORNERS + 2:
        return
    same = _same_as_next(ring)
    if same.all():
        found = _on_circle(ring, np.append(np.arange(count), 0))
        if found is not None:
            yield found
        return
    first = int(np.argmin(same))  # a corner that is unlike the one after it
    order = np.roll(np.arange(count), -first - 1)
    edges = np.diff(np.concatenate([[False], same[order], [False]]).astype(np.int8))
    starts, stops = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    enough = stops - starts >= CORNERS - 1
    for a, b in zip(starts[enough].tolist(), stops[enough].tolist(), strict=True):
        found = _on_circle(ring, order[np.arange(a - 1, b + 2) % count])
        if found is not None:
            yield found


def _same_as_next(ring: Array) -> Bools:
    """Whether the ring is as bent at each corner as at the next one, and not straight."""
    way = np.roll(ring, -1, axis=0) - ring
    reach = np.hypot(way[:, 0], way[:, 1])
    before, back = np.roll(way, 1, axis=0), np.roll(reach, 1)
    across = before[:, 0] * way[:, 1] - before[:, 1] * way[:, 0]
    both = before + way
    size = back * reach * np.hypot(both[:, 0], both[:, 1])
    bend = np.divide(2 * across, size, out=np.zeros_like(across), where=size > 0)
    long = np.maximum(reach, back)
    usable = (bend != 0) & (np.abs(bend) * long * long / 8 <= FACETED)
    change = np.abs(np.roll(bend, -1) - bend)
    longest = np.maximum(long, np.roll(reach, -1))
    found: Bools = (
        usable
        & np.roll(usable, -1)
        & (change * longest * longest / 8 <= SAME)
        & (change <= SAME_SHARE * np.abs(bend))
        & (np.abs(bend) * longest * longest / 8 > EXACT)
    )
    return found


def _on_circle(ring: Array, vertices: Ints) -> ArcRun | None:
    """The run, where all its vertices are on one circle."""
    own = ring[vertices]
    third = (len(own) - 1) // 3
    a, b, c = own[0], own[third], own[-1 - third]
    p, q = b - a, c - a
    area = 2 * (p[0] * q[1] - p[1] * q[0])
    if area == 0:
        return None
    pp, qq = p[0] * p[0] + p[1] * p[1], q[0] * q[0] + q[1] * q[1]
    centre = a + np.array([q[1] * pp - p[1] * qq, p[0] * qq - q[0] * pp]) / area
    away = own - centre
    radius = float(np.hypot(a[0] - centre[0], a[1] - centre[1]))
    off = np.abs(np.hypot(away[:, 0], away[:, 1]) - radius).max()
    if off > EXACT:
        return None
    x, y = centre.tolist()
    return ArcRun((x, y), radius, vertices)
