"""One circular arc or line between two vertices of a polyline, for many stretches at once.

Stands before refit. In the frame of a stretch's chord, from (-L, 0) to (L, 0), every circle
through both ends is a (x² + y² - L²) = 2 b y: a = 0 is the line, b = 0 the half circle. So one
angle says which circle, and least squares over the vertices finds it without a start value
(an algebraic circle fit held at both ends; derived here). The distance of a vertex from it is
|a w - 2 b y| / (|(a x, a y - b)| + |(a L, b)|), w = x² + y² - L², which stays sound for lines.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

ASTRAY = 0.5  # rad: what an arc's turn may differ by from its vertices' and still be theirs
STRAIGHT = 0.26  # share of the tolerance: a facet of a curve leaves it by less, a line by more
WHOLE = 0.999 * 2 * np.pi  # rad: an arc may sweep this much and no more


@dataclass(frozen=True, slots=True)
class Fits:
    """One row a stretch: the best circle (a, b) through its ends, and how far it is off.

    `line_off` and `arc_off` are the largest distance of a vertex from the chord and from the
    arc (and from there of the middle of an edge that is too long for a facet of a curve);
    infinite where the stretch doubles back or the arc can't follow it. `swept` is the angle that
    the vertices go round the arc's centre.
    """

    a: Floats
    b: Floats
    half: Floats
    middle: Floats
    along: Floats
    line_off: Floats
    arc_off: Floats
    swept: Floats

    def rows(self, which: Ints) -> Fits:
        """Some of the stretches."""
        return Fits(*(getattr(self, name)[which] for name in self.__slots__))

    def halves(self) -> tuple[Floats, Floats]:
        """Sine and cosine of half the angle that each arc turns through, to the left positive."""
        way = np.where((self.a > 0) == (self.swept > 0), 1.0, -1.0)
        return way * self.a * self.half, way * self.b


@dataclass(frozen=True, slots=True)
class Bows:
    """One row a segment: a line or an arc from `start` to `end` (n, 2) for the vertices `first` to
    `last`, which it leaves by `off` at most.

    `sin` and `cos` are those of half the angle it turns through, to the left positive; a line has
    sin = 0.
    """

    first: Ints
    last: Ints
    start: Floats
    end: Floats
    sin: Floats
    cos: Floats
    off: Floats

    def rows(self, which: Ints) -> Bows:
        """Some of the segments."""
        return Bows(*(getattr(self, name)[which] for name in self.__slots__))

    def directions(self) -> tuple[Floats, Floats]:
        """Angles of travel at the start and at the end, radians."""
        chord = self.end - self.start
        along = np.arctan2(chord[:, 1], chord[:, 0])
        half = np.arctan2(self.sin, self.cos)
        return along - half, along + half

    def centres(self) -> Floats:
        """Centres of the arcs (n, 2); not finite for lines."""
        chord = self.end - self.start
        across = np.column_stack([-chord[:, 1], chord[:, 0]]) / 2
        with np.errstate(divide="ignore", invalid="ignore"):
            found: Floats = (self.start + self.end) / 2 + (self.cos / self.sin)[:, None] * across
        return found


def joined(*parts: Bows) -> Bows:
    """The segments of all parts in the order of their vertices."""
    order = np.argsort(np.concatenate([part.first for part in parts]), kind="stable")
    names = Bows.__slots__
    return Bows(*(np.concatenate([getattr(p, name) for p in parts])[order] for name in names))


@dataclass(frozen=True, slots=True)
class _Rows:
    """Vertices of all stretches end to end, in the frames of their chords."""

    start: Ints  # where each stretch begins in the rows
    row: Ints  # stretch of each vertex
    x: Floats
    y: Floats
    inner: Bools  # edges (vertex to the next one) that don't lead into the next stretch


def fits(points: Floats, first: Ints, last: Ints, sagitta: float) -> Fits:
    """Fit stretches points[first[i]] .. points[last[i]]; `sagitta` is how far an arc may leave
    a single facet.
    """
    half, middle, along = _frames(points[first], points[last])
    rows = _rows(points, first, last, middle, along)
    w = (rows.x**2 + rows.y**2 - half[rows.row] ** 2) / half[rows.row]
    v = 2 * rows.y
    square, mixed, other = (np.add.reduceat(p, rows.start) for p in (w * w, w * v, v * v))
    turn = (np.pi + np.arctan2(-mixed, (square - other) / 2)) / 2
    return _judged(rows, (np.cos(turn) / half, np.sin(turn)), (half, middle, along), sagitta)


def bows_of(points: Floats, first: Ints, last: Ints, sagitta: float) -> Bows:
    """The best arc of each stretch, between its first and last vertices; a line where no arc
    can follow it.
    """
    found = fits(points, first, last, sagitta)
    sin, cos = found.halves()
    straight = (last - first == 1) | (found.arc_off > sagitta)
    sin[straight], cos[straight] = 0.0, 1.0
    off = np.where(straight, found.line_off, found.arc_off)
    return Bows(first, last, points[first], points[last], sin, cos, off)


def fits_of_radius(
    points: Floats, first: Ints, last: Ints, base: Fits, reach: Floats, sagitta: float
) -> Fits:
    """The same stretches with arcs of given radii, bulging to the side that `base` does."""
    rows = _rows(points, first, last, base.middle, base.along)
    rise = np.sqrt(np.maximum(reach**2 - base.half**2, 0.0))
    side = np.sign(base.a) * np.sign(base.b)
    return _judged(
        rows,
        (1.0 / reach, np.where(side < 0, -1.0, 1.0) * rise / reach),
        (base.half, base.middle, base.along),
        sagitta,
    )


def longest(points: Floats, first: Ints, last: Ints, tolerance: float) -> tuple[Ints, Ints]:
    """Each stretch in segments as long as they can be, from the front on: last vertices of them
    in order, and the stretch that each is of.

    All stretches are probed side by side; a probe doubles until it fails and is then halved.
    """
    start, end, home = first, last, np.arange(len(first))
    good, bad, step = start + 1, end + 1, np.full(len(start), 4)
    joints, homes = [], []
    while len(start):
        probe = np.where(bad <= end, (good + bad) // 2, np.minimum(good + step, end))
        found = fits(points, start, probe, tolerance)
        fit = (np.minimum(found.line_off, found.arc_off) <= tolerance) | (probe == start + 1)
        good, bad = np.where(fit, probe, good), np.where(fit, bad, probe)
        step = np.where(fit, 2 * step, step)
        done = (good == end) | (bad - good <= 1)
        joints.append(good[done])
        homes.append(home[done])
        step = np.where(done, np.maximum(good - start, 2), step)
        start = np.where(done, good, start)
        bad = np.where(done, end + 1, bad)
        good = np.where(done, start + 1, good)
        last_edge = done & (end - start == 1)
        joints.append(end[last_edge])
        homes.append(home[last_edge])
        more = end - start > 1
        start, end, home = start[more], end[more], home[more]
        good, bad, step = good[more], bad[more], step[more]
    if not joints:
        return first, first
    ends, of = np.concatenate(joints), np.concatenate(homes)
    order = np.argsort(ends)
    return ends[order], of[order]


def deviations(points: Floats, bows: Bows, sagitta: float) -> Floats:
    """How far each segment leaves its vertices; infinite where it doesn't follow them."""
    half, middle, along = _frames(bows.start, bows.end)
    rows = _rows(points, bows.first, bows.last, middle, along)
    found = _judged(rows, (bows.sin / half, bows.cos), (half, middle, along), sagitta)
    astray = np.abs(found.swept - 2 * np.arctan2(bows.sin, bows.cos)) > ASTRAY
    off: Floats = np.where(bows.sin == 0, found.line_off, found.arc_off)
    off[astray & (bows.sin != 0)] = np.inf
    return off


def _frames(a: Floats, b: Floats) -> tuple[Floats, Floats, Floats]:
    chord = b - a
    full = np.hypot(chord[:, 0], chord[:, 1])
    full = np.where(full > 0, full, np.nan)  # a closed stretch has no chord and fits nothing
    return full / 2, (a + b) / 2, chord / full[:, None]


def _rows(points: Floats, first: Ints, last: Ints, middle: Floats, along: Floats) -> _Rows:
    count = last - first + 1
    start = np.cumsum(count) - count
    row = np.repeat(np.arange(len(first)), count)
    rel = points[np.arange(int(count.sum())) + np.repeat(first - start, count)] - middle[row]
    t = along[row]
    inner = np.ones(len(row), dtype=bool)
    inner[start[1:] - 1] = inner[-1] = False
    return _Rows(
        start,
        row,
        rel[:, 0] * t[:, 0] + rel[:, 1] * t[:, 1],
        rel[:, 1] * t[:, 0] - rel[:, 0] * t[:, 1],
        inner,
    )


def _judged(
    rows: _Rows,
    circle: tuple[Floats, Floats],
    frames: tuple[Floats, Floats, Floats],
    sagitta: float,
) -> Fits:
    half, middle, along = frames
    a, b = circle
    row, x, y = rows.row, rows.x, rows.y
    size = np.hypot(a * half, b)
    u, v = a[row] * x, a[row] * y - b[row]  # from the centre, times a
    reach = np.hypot(u, v)
    away = (a[row] * (x * x + y * y - half[row] ** 2) - 2 * b[row] * y) / (reach + size[row])
    arc_off = np.maximum.reduceat(np.abs(away), rows.start)
    line_off = np.maximum.reduceat(np.abs(y), rows.start)

    u1, v1 = np.roll(u, -1), np.roll(v, -1)
    step = np.where(rows.inner, np.arctan2(u * v1 - v * u1, u * u1 + v * v1), 0.0)
    swept = np.add.reduceat(step, rows.start)
    walked = np.add.reduceat(np.abs(step), rows.start)
    dx, dy = np.roll(x, -1) - x, np.roll(y, -1) - y
    long = np.where(rows.inner, dx * dx + dy * dy, 0.0)
    bulge = np.maximum.reduceat(long, rows.start) * np.abs(a) / (8 * size)
    straight = bulge > STRAIGHT * sagitta
    if straight.any():
        # Midway along a straight edge the arc is its bulge farther out than at its vertices.
        middle_off = np.abs((away + np.roll(away, -1)) / 2 - long * (a / (8 * size))[row])
        middle_off[long * (np.abs(a) / (8 * size))[row] <= STRAIGHT * sagitta] = 0.0
        arc_off = np.maximum(arc_off, np.maximum.reduceat(middle_off, rows.start))
    backwards = walked - np.abs(swept) > 1e-9 * (1 + walked)
    arc_off[backwards | (walked > WHOLE) | (bulge > sagitta)] = np.inf
    doubles = np.minimum.reduceat(np.where(rows.inner, dx, 0.0), rows.start) < 0
    line_off[doubles | np.isnan(half)] = arc_off[np.isnan(half)] = np.inf
    return Fits(a, b, half, middle, along, line_off, arc_off, swept)
