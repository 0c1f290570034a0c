"""One line or circular arc between two vertices of a polyline, for many stretches at once.

Stands after polylines, before fewest. In the frame of a stretch's chord, from (-L, 0) to (L, 0),
the arc that turns through 2 t to the left is on sin t (x² + y² - L²) = 2 L cos t y: t = 0 is the
line, t = ± 90° the half circle. With a = sin t / L and b = cos t a point's power is
p = a (x² + y² - L²) - 2 b y, and its distance p / (1 + sqrt(1 + a p)) (elementary), which is as
sound for a line as for any arc: nowhere is a centre far away reckoned with.

Arcs within a tolerance d of a vertex are those that touch its circle of radius d or cross it, and
the power makes them an interval of t: |sin t (x² + y² - L² - d²) - 2 L cos t y| <= 2 L d. A
stretch has an arc if the intervals of its vertices have something in common. A line is taken
wherever it will do, and no arc is flatter than `FLATTEST`: so no radius is ever noise.
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

FLATTEST = 1 / 1900  # rad: half the turn of the flattest arc; its radius is 950 chords
FULLEST = 0.999 * np.pi  # rad: half the turn of the fullest
NEAREST = 0.5  # radii: how far an arc may be from its facets, whatever the tolerance
# Edges, or quarters of a stretch: how much longer to try.
LADDER = np.array([1, 2, 3, 5, 7, 10, 14, 19])
STEPS = np.arange(1, len(LADDER) + 1)
MANY = 1 << 40  # edges: more than any stretch has


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
        return Bows(*(getattr(self, name).take(which, axis=0) for name in self.__slots__))

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


def together(*parts: Bows) -> Bows:
    """The segments of all parts, one part after the other."""
    names = Bows.__slots__
    return Bows(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


def joined(*parts: Bows) -> Bows:
    """The segments of all parts in the order of their vertices."""
    found = together(*parts)
    return found.rows(np.argsort(found.first, kind="stable"))


@dataclass(frozen=True, slots=True)
class _Rows:
    """Vertices of all stretches end to end, in the frames of their chords."""

    start: Ints  # where each stretch begins in the rows
    count: Ints  # how many vertices each has
    row: Ints  # stretch of each vertex
    half: Floats  # half the chord of each stretch; not a number where it comes back to its start
    x: Floats
    y: Floats
    level: Floats  # x² + y² - half²: the power of the circle over the chord

    def of(self, which: Bools) -> _Rows:
        """The vertices of some stretches."""
        if which.all():
            return self
        count = self.count[which]
        at = which[self.row].nonzero()[0]
        x, y, level = self.x[at], self.y[at], self.level[at]
        return _Rows(*_spans(count), self.half[which], x, y, level)

    def least(self, values: Floats) -> Floats:
        found: Floats = np.minimum.reduceat(values, self.start)
        return found

    def most(self, values: Floats) -> Floats:
        found: Floats = np.maximum.reduceat(values, self.start)
        return found

    def total(self, values: Floats) -> Floats:
        found: Floats = np.add.reduceat(values, self.start)
        return found

    def steps(self, values: Floats) -> Floats:
        """From each value to the next of its stretch; 0 after the last."""
        found = np.empty_like(values)
        np.subtract(values[1:], values[:-1], out=found[:-1])
        found[self.start + self.count - 1] = 0.0
        return found


def bows_of(points: Floats, first: Ints, last: Ints, tolerance: float) -> Bows:
    """A segment for each stretch points[first[i]] .. points[last[i]], between its own ends: a
    line where one will do, else the arc nearest to the vertices, and where no arc follows them
    within the tolerance a line that doesn't.
    """
    start, end = points.take(first, axis=0), points.take(last, axis=0)
    rows = _rows(points, first, last, start, end)
    half_turn = np.zeros(len(first))
    off = _off_line(rows, tolerance)
    bent = (off > tolerance) & (last - first > 1)
    if bent.any():
        turn, away = _bent(rows.of(bent), tolerance)
        good = away <= tolerance
        place = bent.nonzero()[0][good]
        half_turn[place], off[place] = turn[good], away[good]
    return Bows(first, last, start, end, *_sides(half_turn), off)


def too_flat(bows: Bows) -> Bools:
    """Which segments are arcs that no arc may be as flat as."""
    found: Bools = (bows.sin != 0) & (np.abs(bows.sin) < FLATTEST) & (bows.cos > 0)
    return found


def followed(points: Floats, first: Ints, last: Ints, tolerance: float | Floats) -> Bools:
    """Whether each stretch has a line that follows it within the tolerance, or its nearest arc
    does; another one may even where that doesn't.
    """
    fit: Bools = last - first == 1
    long = ~fit
    if not long.any():
        return fit
    first, last, within = first[long], last[long], _some(tolerance, long)
    ends = points.take(first, axis=0), points.take(last, axis=0)
    rows = _rows(points, first, last, *ends)
    found = _straight(rows, within)
    if not found.all():
        bent = ~found
        within = _some(within, bent)
        found[bent] = _nearest_off(rows.of(bent), within)[1] <= within
    fit[long] = found
    return fit


def bows_of_radius(
    points: Floats, first: Ints, last: Ints, reach: Floats, tolerance: float
) -> Bows:
    """The same stretches with arcs of given radii, on the side of their vertices; less than a half
    turn or more, whichever is nearer to them. `off` says whether they follow; it is infinite
    where such an arc would be too flat to be one.
    """
    start, end = points[first], points[last]
    rows = _rows(points, first, last, start, end)
    with np.errstate(invalid="ignore"):
        short = np.arcsin(np.minimum(rows.half / reach, 1.0))
    turn, _ = _nearest(rows)
    short *= np.where(turn < 0, -1.0, 1.0)
    long = np.where(short < 0, -np.pi, np.pi) - short
    turn = np.where(np.abs(turn) > np.pi / 2, long, short)
    off = np.where(np.abs(turn) < FLATTEST, np.inf, _off(rows, turn, tolerance))
    return Bows(first, last, start, end, *_sides(turn), off)


def deviations(points: Floats, bows: Bows, tolerance: float) -> Floats:
    """How far each segment leaves the facets that it stands for; infinite where it runs another
    way than they do, by more than the tolerance.

    The whole of each facet counts, not only its ends. A point of the segment is no farther from
    the facets either: these lead all along it, so one of their points is right across from it.
    """
    rows = _rows(points, bows.first, bows.last, bows.start, bows.end)
    return _off(rows, np.arctan2(bows.sin, bows.cos), tolerance)


def longest(
    points: Floats, first: Ints, last: Ints, tolerance: float | Floats
) -> tuple[Ints, Ints]:
    """Each stretch in segments as long as they can be, from the front on: last vertices of them
    in order, and the stretch that each is of.

    All stretches are probed side by side, each at some lengths at once, then between the longest
    that fits and the next one that doesn't. Where `first` is behind `last`, the stretch is gone
    through from its end. Each stretch may have a tolerance of its own.
    """
    way, all_edges = np.sign(last - first), np.abs(last - first)
    home, done = np.arange(len(first)), np.zeros(len(first), dtype=np.int64)
    joints, homes = [first[:0]], [home[:0]]
    good, bad = np.ones_like(home), np.full(len(home), MANY)
    while len(home):
        edges, goes = all_edges[home] - done, way[home]
        start = first[home] + goes * done
        probe = np.minimum(_probes(good, bad), np.minimum(edges, bad - 1)[:, None])
        fresh = probe > good[:, None]
        fresh[:, 1:] &= probe[:, 1:] > probe[:, :-1]
        at = fresh.ravel().nonzero()[0]
        row, size = at // len(LADDER), probe.ravel()[at]
        one = start[row]
        end = one + goes[row] * size
        fit = np.zeros(probe.shape, dtype=np.int64)
        fit.ravel()[at] = size * followed(
            points, np.minimum(one, end), np.maximum(one, end), _some(tolerance, home[row])
        )
        good = np.maximum(good, fit.max(axis=1))
        bad = np.minimum(bad, np.where(probe > good[:, None], probe, MANY).min(axis=1))
        found = ((good >= edges) | (bad - good <= 1)).nonzero()[0]
        if len(found) == 0:
            continue
        done[found] += good[found]
        joints.append(start[found] + goes[found] * good[found])
        homes.append(home[found])
        good[found], bad[found] = 1, MANY
        more = done < all_edges[home]
        home, done, good, bad = home[more], done[more], good[more], bad[more]
    ends, of = np.concatenate(joints), np.concatenate(homes)
    order = np.lexsort((ends * way[of], of))
    return ends[order], of[order]


def _probes(good: Ints, bad: Ints) -> Ints:
    """Lengths to try, in order (n, 8): all or evenly between one that fits and one that doesn't,
    and ever longer ones where none is known that doesn't.
    """
    known = bad < MANY
    gap = np.where(known, bad - good, 0)[:, None]
    between = np.maximum(STEPS * gap // (len(LADDER) + 1), np.minimum(STEPS, gap))
    found: Ints = good[:, None] + np.where(
        known[:, None], between, LADDER * np.maximum(good // 4, 1)[:, None]
    )
    return found


def _rows(points: Floats, first: Ints, last: Ints, a: Floats, b: Floats) -> _Rows:
    start, count, row = _spans(last - first + 1)
    at = np.arange(len(row)) + (first - start)[row]
    chord, middle = b - a, (a + b) / 2
    full = np.hypot(chord[:, 0], chord[:, 1])
    full = np.where(full > 0, full, np.nan)  # a closed stretch has no chord and fits nothing
    half, along = full / 2, chord / full[:, None]
    # Column by column: numpy picks rows of two ten times as slowly as numbers.
    one = points[:, 0][at] - middle[:, 0][row]
    other = points[:, 1][at] - middle[:, 1][row]
    ahead, up = along[:, 0][row], along[:, 1][row]
    x, y = one * ahead + other * up, other * ahead - one * up
    return _Rows(start, count, row, half, x, y, x * x + y * y - (half * half)[row])


def _spans(count: Ints) -> tuple[Ints, Ints, Ints]:
    """Where runs of so many rows start, their counts, and the run of each row."""
    return count.cumsum() - count, count, np.arange(len(count)).repeat(count)


def _some(tolerance: float | Floats, which: Bools | Ints) -> float | Floats:
    """The tolerance of some stretches, whether all have one or each its own."""
    return tolerance[which] if isinstance(tolerance, np.ndarray) else tolerance


def _sides(half_turn: Floats) -> tuple[Floats, Floats]:
    """Sine and cosine; those of a line to the bit."""
    straight = half_turn == 0
    return np.where(straight, 0.0, np.sin(half_turn)), np.where(straight, 1.0, np.cos(half_turn))


def _off(rows: _Rows, half_turn: Floats, tolerance: float | Floats) -> Floats:
    """How far segments leave their facets; infinite where these turn back by more than the
    tolerance or go round the centre another number of times.
    """
    sin, cos = np.sin(half_turn), np.cos(half_turn)
    a, row, x, y = sin / rows.half, rows.row, rows.x, rows.y
    bend = a[row]
    power = bend * rows.level - (2 * cos)[row] * y
    dx, dy, ahead = rows.steps(x), rows.steps(y), rows.steps(power)
    # Along a facet the power is a parabola, deepest here unless that is beyond an end.
    depth = bend * (dx * dx + dy * dy)
    with np.errstate(divide="ignore", invalid="ignore"):
        away = _distance(power, bend)
        within = (np.abs(ahead) < np.abs(depth)).nonzero()[0]
        p, go, sag, k = power[within], ahead[within], depth[within], bend[within]
        at = 0.5 - go / (2 * sag)
        inner = _distance(p + at * go - sag * at * (1 - at), k)
        away[within] = np.maximum(away[within], inner)
        # How far each facet leads along the segment, measured at its middle.
        forward = dx * (cos[row] - bend * (y + dy / 2)) + dy * bend * (x + dx / 2)
        back = rows.total(np.minimum(forward, 0.0))
        size = np.where(a == 0, 2 * rows.half, 2 * half_turn / a)
        round_once = np.abs(rows.total(forward) - size) <= np.abs(np.pi / a)
        off = np.hypot(rows.most(away), back)  # what turns back may hang over an end by as much
        # Facets half a radius off an arc may pass its centre on the other side.
        off[~(round_once & (back >= -tolerance)) | (off * np.abs(a) > NEAREST)] = np.inf
    off[np.isnan(off)] = np.inf
    return off


def _off_line(rows: _Rows, tolerance: float | Floats) -> Floats:
    """The same for no turn: to the bit, only faster."""
    back = rows.total(np.minimum(rows.steps(rows.x), 0.0))
    off: Floats = np.hypot(rows.most(np.abs(rows.y)), back)
    off[~(back >= -tolerance) | np.isnan(off)] = np.inf
    return off


def _straight(rows: _Rows, tolerance: float | Floats) -> Bools:
    """Whether lines follow their facets."""
    back = rows.total(np.minimum(rows.steps(rows.x), 0.0))
    found: Bools = np.hypot(rows.most(np.abs(rows.y)), back) <= tolerance
    return found


def _distance(power: Floats, bend: Floats) -> Floats:
    found: Floats = np.abs(power) / (1 + np.sqrt(np.maximum(1 + bend * power, 0.0)))
    return found


def _nearest(rows: _Rows) -> tuple[Floats, Floats]:
    """Half the turn of the arcs nearest to the vertices, and the sums of their squared distances.

    Least squares of the power times L (an algebraic circle fit held at both ends; derived here).
    """
    w, v = rows.level, (2 * rows.half)[rows.row] * rows.y
    squares = (rows.total(w * w), rows.total(w * v), rows.total(v * v))
    return nearest_turn(squares, (rows.total(w), rows.total(rows.y)), rows.half)


def nearest_turn(
    squares: tuple[Floats, Floats, Floats], sums: tuple[Floats, Floats], half: Floats
) -> tuple[Floats, Floats]:
    """Half the turn t for which sin t w - cos t v has the least sum of squares, and that sum over
    (2 L)², from the sums of w w, w v and v v, and of w and y.
    """
    ww, wv, vv = squares
    turn = np.arctan2(wv, (ww - vv) / 2) / 2
    rest = (ww + vv) / 2 - np.hypot((ww - vv) / 2, wv)
    # Two arcs make up the circle. The vertices are on the one that has them on its side of the
    # chord; where both are nearly straight or whole, on the whole one if they are far from it.
    w, y = sums
    other = np.where(np.abs(turn) > np.pi / 4, turn * y > 0, w > 0)
    turn = np.where(other, turn - np.where(turn < 0, -np.pi, np.pi), turn)
    with np.errstate(divide="ignore", invalid="ignore"):
        return turn, np.maximum(rest, 0.0) / (4 * half**2)


def _bent(rows: _Rows, tolerance: float) -> tuple[Floats, Floats]:
    """Half the turn of an arc for each stretch, and how far it is off."""
    turn, off, hope = _nearest_off(rows, tolerance)
    tried = (off > tolerance) & hope
    if tried.any():
        turn[tried], off[tried] = _between(rows.of(tried), turn[tried], tolerance)
    return turn, off


def _nearest_off(rows: _Rows, tolerance: float | Floats) -> tuple[Floats, Floats, Bools]:
    """Half the turn of the arc nearest to each stretch, how far it is off, and whether any arc
    can be within the tolerance, as far as sums of squares tell.
    """
    turn, rest = _nearest(rows)
    # Twice a good arc's power is its distance times 1 + distance / 2 R, and 2 R a chord at least.
    within = tolerance * np.minimum(1 + tolerance / (2 * rows.half), 2.0)
    hope = rest <= (rows.count - 2) * (within * within)
    turn = _allowed(turn, -FULLEST, FULLEST)
    off = np.full(len(turn), np.inf)
    if hope.any():
        off[hope] = _off(rows.of(hope), turn[hope], _some(tolerance, hope))
    return turn, off, hope


def _between(rows: _Rows, turn: Floats, tolerance: float) -> tuple[Floats, Floats]:
    """The same for stretches whose nearest arc does not follow them, though another one may."""
    low, high = (np.clip(each, -FULLEST, FULLEST) for each in _interval(rows, tolerance))
    off = np.full(len(turn), np.inf)
    open_ = low <= high
    if not open_.any():
        return turn, off
    some = open_.nonzero()[0]
    rows, low, high, near = rows.of(open_), low[some], high[some], turn[some]
    for each in (np.clip(near, low, high), (low + high) / 2):
        tried = _allowed(each, low, high)
        away = _off(rows, tried, tolerance)
        better = away < off[some]
        turn[some[better]], off[some[better]] = tried[better], away[better]
    return turn, off


def _allowed(turn: Floats, low: float | Floats, high: float | Floats) -> Floats:
    """No flatter than the flattest, no fuller than the fullest: nan where there is none such."""
    side = np.where(turn < 0, -1.0, 1.0)
    found: Floats = side * np.minimum(np.maximum(np.abs(turn), FLATTEST), FULLEST)
    found[(found < low) | (found > high)] = np.nan
    return found


def _interval(rows: _Rows, tolerance: float) -> tuple[Floats, Floats]:
    """The least and the greatest half turn of arcs that pass all vertices within the tolerance."""
    half = rows.half[rows.row]
    a = half**2 + tolerance**2 - rows.x**2 - rows.y**2
    b = 2 * half * rows.y
    size, wide = np.hypot(a, b), 2 * half * tolerance
    middle = -np.arctan2(b, a)
    inner = size > wide
    inner[rows.start] = inner[rows.start + rows.count - 1] = False
    with np.errstate(divide="ignore", invalid="ignore"):
        wide = np.where(inner, np.arcsin(np.minimum(wide / size, 1.0)), np.inf)
    return rows.most(middle - wide), rows.least(middle + wide)
