"""Facets of all borders end to end, as refitting wants them.

Stands between the pattern and refit. Vertices that lie on the straight line between their
neighbours are gone: noding leaves them on facets of arcs, and no arc has them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.artwork.pattern import Pattern

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

STRAIGHT = 1e-11  # share of the extent: a vertex this near its neighbours' chord is no corner

TURN = 1e-4  # rad: and it turns by less than this, however short its edges are


@dataclass(frozen=True, slots=True)
class Polylines:
    """Polyline i is points[offsets[i]:offsets[i + 1]]; vertex k belongs to polyline owner[k]."""

    points: Floats
    offsets: Ints
    owner: Ints

    @property
    def ends(self) -> Bools:
        """Whether a vertex is the first or the last of its polyline."""
        found = np.zeros(len(self.points), dtype=bool)
        found[self.offsets[:-1]] = found[self.offsets[1:] - 1] = True
        return found

    def edges(self) -> tuple[Floats, Floats]:
        """The way (n, 2) and the length (n) from each vertex to the next; 0 at the last ones."""
        way = np.zeros_like(self.points)
        way[:-1] = np.diff(self.points, axis=0)
        way[self.offsets[1:] - 1] = 0.0
        return way, np.hypot(way[:, 0], way[:, 1])

    def turns(self) -> Floats:
        """Angle turned at each vertex, to the left positive; 0 at both ends."""
        way, _ = self.edges()
        before = np.roll(way, 1, axis=0)
        turned: Floats = np.arctan2(_cross(before, way), (before * way).sum(axis=1))
        turned[self.ends] = 0.0
        return turned


def polylines_of(pattern: Pattern, tolerance: float) -> Polylines:
    """The borders' facets; rings that touch no other border start at a joint if they can."""
    borders = pattern.borders
    count = np.array([len(border.points) for border in borders])
    lines = _made(np.concatenate([border.points for border in borders]), count)
    lines = _without_straight(lines)
    degree = np.bincount(
        np.array([(border.start, border.end) for border in borders]).ravel(),
        minlength=len(pattern.nodes),
    )
    free = np.array([b.start == b.end and degree[b.start] == 2 for b in borders])
    return _turned(lines, np.flatnonzero(free), tolerance) if free.any() else lines


def _made(points: Floats, count: Ints) -> Polylines:
    return Polylines(
        points, np.append(0, np.cumsum(count)), np.repeat(np.arange(len(count)), count)
    )


def _without_straight(lines: Polylines) -> Polylines:
    way, _ = lines.edges()
    before = np.roll(way, 1, axis=0)
    chord = np.hypot(*(before + way).T)
    ahead, across = (before * way).sum(axis=1), np.abs(_cross(before, way))
    near = STRAIGHT * np.abs(lines.points).max() * chord
    kept = lines.ends | (across > near) | (across > TURN * ahead)
    count = np.add.reduceat(kept, lines.offsets[:-1], dtype=np.int64)
    return _made(lines.points[kept], count)


def _turned(lines: Polylines, rings: Ints, tolerance: float) -> Polylines:
    """Each of the closed `rings` started at an end of a line, else at its sharpest corner."""
    points = lines.points.copy()
    for ring in rings.tolist():
        a, b = lines.offsets[ring], lines.offsets[ring + 1]
        own = points[a : b - 1]
        way = np.roll(own, -1, axis=0) - own
        before = np.roll(way, 1, axis=0)
        turn = np.abs(np.arctan2(_cross(before, way), (before * way).sum(axis=1)))
        reach = np.hypot(way[:, 0], way[:, 1])
        bulge = reach * np.maximum(turn, np.roll(turn, -1)) / 8
        best = np.argmax(turn + np.where(bulge > tolerance, 4.0, 0.0))
        own = np.roll(own, -best, axis=0)
        points[a : b - 1], points[b - 1] = own, own[0]
    return Polylines(points, lines.offsets, lines.owner)


def _cross(a: Floats, b: Floats) -> Floats:
    product: Floats = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return product
