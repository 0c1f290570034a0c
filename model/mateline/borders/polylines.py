"""Facets of all borders end to end, as refitting wants them.

Stands between the pattern and refit. Vertices that lie on the straight line between their
neighbours are gone: noding leaves them on facets of arcs, and no arc has them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.pattern.dissolve import OUTSIDE
from mateline.planar.crossings import ranges
from mateline.products import cross, dots

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.pattern.pattern import Pattern

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

STRAIGHT = 1e-11  # share of the extent: a vertex this near its neighbours' chord is no corner

CORNER = 0.5  # rad: a turn sharper than this is always a corner
SLIGHT = 0.02  # rad: and one slighter than this never is
PROPORTION = 2.5  # a vertex of a curve turns at most so much more than the bend beside it says
LONGER = 2.5  # facets of one curve differ less in length from one to the next
DIGITS = 9  # after which turns of a disc differ by how it was computed, and the first one counts
TURN = 1e-4  # rad: and it turns by less than this, however short its edges are


@dataclass(frozen=True, slots=True)
class Polylines:
    """Polyline i is points[offsets[i]:offsets[i + 1]]; vertex k belongs to polyline owner[k].

    `free` are those that are closed and touch no other border: none of their vertices is a node.
    `rim` are those with nothing on one side: the outline of the whole.
    """

    points: Floats
    offsets: Ints
    owner: Ints
    free: Bools
    rim: Bools

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
        turned: Floats = np.arctan2(cross(before, way), dots(before, way))
        turned[self.ends] = 0.0
        return turned

    def rings(self) -> tuple[Ints, Ints]:
        """First and last vertices of closed polylines."""
        first, last = self.offsets[:-1], self.offsets[1:] - 1
        closed = (self.points[first] == self.points[last]).all(axis=1) & (last - first > 2)
        return first[closed], last[closed]


def corners(lines: Polylines, tolerance: float) -> Bools:
    """Vertices where the drawing has a corner and no curve; open ends are none.

    A vertex of a curve turns as its neighbours do, in proportion to the edges between them. So
    it is a corner if it turns far more, or more than facets of any curve within the tolerance.
    """
    turn, before, after = _around(lines)
    mean = (before + after) / 2
    sharp = (turn > CORNER) | (np.minimum(before, after) * turn / 8 > tolerance)
    bend = np.divide(turn, mean, out=np.zeros_like(turn), where=(mean > 0) & ~sharp)
    one, other = np.roll(bend, 1), np.roll(bend, -1)
    first, last = lines.rings()
    one[first], other[last] = bend[last - 1], bend[first + 1]
    curved = np.maximum(one * before, other * after)
    found: Bools = sharp | (turn > SLIGHT + PROPORTION * curved)
    return found


def sharpest(lines: Polylines, tolerance: float) -> Bools:
    """Corners that no segment goes past: of all arcs, the one nearest to both edges leaves their
    ends and their middles by a sixteenth of the shorter one times the turn.
    """
    turn, before, after = _around(lines)
    found: Bools = np.minimum(before, after) * np.minimum(turn, 1.0) / 16 > tolerance
    return found


def _around(lines: Polylines) -> tuple[Floats, Floats, Floats]:
    """Angle turned at each vertex, never negative, and the lengths of the edges beside it; the
    ends of a closed polyline are one vertex, others have none.
    """
    way, after = lines.edges()
    before, turn = np.roll(after, 1), np.abs(lines.turns())
    first, last = lines.rings()
    before[first], after[last] = after[last - 1], after[first]
    into, out = way[last - 1], way[first]
    round_trip = np.abs(np.arctan2(cross(into, out), dots(into, out)))
    turn[first] = turn[last] = round_trip
    return turn, before, after


def polylines_of(pattern: Pattern, tolerance: float) -> Polylines:
    """The borders' facets; rings that touch no other border start at a joint if they can."""
    borders = pattern.borders
    count = np.array([len(border.points) for border in borders])
    degree = np.bincount(
        np.array([(border.start, border.end) for border in borders]).ravel(),
        minlength=len(pattern.nodes),
    )
    free = np.array([b.start == b.end and degree[b.start] == 2 for b in borders])
    rim = np.array([OUTSIDE in {border.left, border.right} for border in borders])
    lines = _made(np.concatenate([border.points for border in borders]), count, (free, rim))
    lines = _without_straight(lines)
    return _turned(lines, np.flatnonzero(free), tolerance) if free.any() else lines


def _made(points: Floats, count: Ints, kinds: tuple[Bools, Bools]) -> Polylines:
    offsets = np.append(0, np.cumsum(count))
    return Polylines(points, offsets, np.repeat(np.arange(len(count)), count), *kinds)


def _without_straight(lines: Polylines) -> Polylines:
    way, _ = lines.edges()
    before = np.roll(way, 1, axis=0)
    chord = np.hypot(*(before + way).T)
    ahead, across = dots(before, way), np.abs(cross(before, way))
    near = STRAIGHT * np.abs(lines.points).max() * chord
    kept = lines.ends | (across > near) | (across > TURN * ahead)
    count = np.add.reduceat(kept, lines.offsets[:-1], dtype=np.int64)
    return _made(lines.points[kept], count, (lines.free, lines.rim))


def _turned(lines: Polylines, rings: Ints, tolerance: float) -> Polylines:
    """Each of the closed `rings` started at an end of a line, else at its sharpest corner."""
    first, last = lines.offsets[rings], lines.offsets[rings + 1] - 1
    count = last - first
    start = np.cumsum(count) - count
    place = ranges(first, last)
    own = lines.points.take(place, axis=0)
    ahead, behind = np.arange(1, len(own) + 1), np.arange(-1, len(own) - 1)
    ahead[start + count - 1], behind[start] = start, start + count - 1
    way = own.take(ahead, axis=0) - own
    before = way.take(behind, axis=0)
    turn = np.abs(np.arctan2(cross(before, way), dots(before, way)))
    reach = np.hypot(way[:, 0], way[:, 1])
    bulge = reach * np.maximum(turn, turn[ahead]) / 8
    beside = np.maximum(reach[behind], reach[ahead])
    line = np.where(bulge > tolerance, 4.0, 0.0) + np.where(reach > LONGER * beside, 4.0, 0.0)
    mark = np.round(turn + line, DIGITS)
    highest = np.maximum.reduceat(mark, start).repeat(count)
    at = np.flatnonzero(mark == highest)
    best = at[np.searchsorted(at, start)]  # the first of them in each ring
    turned = np.arange(len(own)) + (best - start).repeat(count)
    turned -= np.where(turned >= (start + count).repeat(count), count.repeat(count), 0)
    points = lines.points.copy()
    points[place] = own.take(turned, axis=0)
    points[last] = own.take(best, axis=0)
    return replace(lines, points=points)
