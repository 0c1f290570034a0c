"""The fewest lines and arcs that stand for a stretch of facets, each within the tolerance.

Stands after arc_fitting, before refit. This is a shortest path over the vertices, where a step
from one to a later one costs a segment, if a segment can stand for what is between them.

    greedy from the front   joint k lies at f[k] at most, and the count is the least there is,
    greedy from the back    joint k lies at b[k] at least,   if a part of what a segment stands
                                                             for has a segment too
    between b[k] and f[k]   the joints with the least sum of squared distances

The sum for a pair of joints needs no vertex between them: it is made of sums of x, y and their
products (moments), which two prefixes give. Only the segments of the path found are then tried
on their vertices; a pair that fails is barred, and the path found anew.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from mateline.borders.arc_fitting import bows_of, followed, longest, nearest_turn
from mateline.planar.crossings import ranges
from mateline.products import cross, dots

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Pair = tuple[Floats, Floats]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

PLACES = 6  # for one joint, evenly between the first and the last that it can have,
MARKED = 2  # and the sharpest corner there and the vertex between the most unequal edges
SHORT = (2, 6, 16)  # edges: sizes of stretches short enough to try all pairs
ROUNDS = 6  # of barring pairs that fail; then the greedy joints are as good
FINEST = 1e-6  # share of the squared tolerance: sums that differ by less are the same


@dataclass(frozen=True, slots=True)
class _Steps:
    """One row a segment: the vertices that it may lead from and to (n, p), and what each pair
    costs (n, p, p), as a share of the squared tolerance. `first` says which are the first ones
    of their stretches.
    """

    first: Bools
    start: Ints
    end: Ints
    cost: Floats


def fewest(points: Floats, first: Ints, last: Ints, tolerance: float) -> Ints:
    """Last vertices of the segments that stand for all stretches, in order.

    Stretch i is points[first[i]] .. points[last[i]], at least one edge of a polyline.
    """
    whole = followed(points, first, last, tolerance)
    done, rest = last[whole], np.flatnonzero(~whole)
    if len(rest) == 0:
        return done
    ends = first[rest], last[rest]
    # Both ways side by side: each goes on from joint to joint, so a longer batch takes no longer.
    one, other = np.concatenate(ends), np.concatenate(ends[::-1])
    joints, home = longest(points, one, other, tolerance)
    forth = home < len(rest)
    found = _least(points, ends, (joints[forth], joints[~forth]), tolerance)
    return np.sort(np.concatenate([done, _fewer(points, ends, found, tolerance)]))


def _fewer(points: Floats, ends: tuple[Ints, Ints], joints: Ints, tolerance: float) -> Ints:
    """The joints, and others where a short stretch can do with fewer: there a longer part may
    have a segment though a shorter one has none, so all pairs of its vertices count.
    """
    first, last = ends
    home = np.searchsorted(last, joints)
    count = np.bincount(home, minlength=len(first))
    edges = last - first
    better: dict[int, Ints] = {}
    for small, big in pairwise(SHORT):
        which = np.flatnonzero((edges > small) & (edges <= big) & (count > 1))
        better |= _all_pairs(points, (first[which], last[which], count[which]), which, tolerance)
    if not better:
        return joints
    gone = np.isin(home, np.array(list(better)))
    return np.sort(np.concatenate([joints[~gone], *better.values()]))


def _all_pairs(
    points: Floats, stretches: tuple[Ints, Ints, Ints], names: Ints, tolerance: float
) -> dict[int, Ints]:
    """The joints of those stretches that can do with fewer segments than their `count`.

    The sums of squares say which pairs may have a segment, so the fewest of those are too few;
    pairs on the cheapest path are tried until it holds, or needs as many as are known.
    """
    first, last, count = stretches
    if len(first) == 0:
        return {}
    wide = int((last - first).max()) + 1
    place = np.minimum(first[:, None] + np.arange(wide), last[:, None])
    # Segments count first: no sum of squares is as much as one of them.
    cost = 1.0 + _costs(points, place, place, tolerance) / (8 * wide * wide)
    found: dict[int, Ints] = {}
    while len(names):
        path = _cheapest(cost, last - first, count)
        row, step = np.nonzero(path[:, 1:] > path[:, :-1])
        one, other = path[row, step], path[row, step + 1]
        long = other - one > 1
        bad = np.zeros(len(row), dtype=bool)
        at = first[row[long]]
        off = bows_of(points, at + one[long], at + other[long], tolerance).off
        bad[long] = off > tolerance
        cost[row[bad], one[bad], other[bad]] = np.inf
        failed = np.isin(np.arange(len(names)), row[bad])
        fewer = path[:, -1] > 0
        for k in np.flatnonzero(fewer & ~failed).tolist():
            found[int(names[k])] = first[k] + np.unique(path[k])[1:]
        left = fewer & failed
        cost, names = cost[left], names[left]
        first, last, count = first[left], last[left], count[left]
    return found


def _cheapest(cost: Floats, last: Ints, count: Ints) -> Ints:
    """Vertices of the cheapest path from 0 to `last` in each table of costs, in order, 0 in front
    of them; all 0 where it has no fewer segments than `count`.
    """
    rows, wide, _ = cost.shape
    best, came = np.full((rows, wide), np.inf), np.zeros((rows, wide), dtype=np.int64)
    best[:, 0] = 0.0
    row = np.arange(rows)
    for to in range(1, wide):
        sums = best[:, :to] + cost[:, :to, to]
        came[:, to] = np.argmin(sums, axis=1)
        best[:, to] = sums[row, came[:, to]]
    path = np.zeros((rows, wide + 1), dtype=np.int64)
    path[:, -1] = np.where(best[row, last] < count - 0.5, last, 0)
    for step in range(wide - 1, -1, -1):
        path[:, step] = came[row, path[:, step + 1]]
    return path


def _least(
    points: Floats, ends: tuple[Ints, Ints], greedy: tuple[Ints, Ints], tolerance: float
) -> Ints:
    """The joints with the least sum of squares between those of both greedy ways."""
    low, high, safe, first = _windows(*ends, *greedy)
    places = _places(points, low, high)
    at = np.flatnonzero(~np.append(first[1:], True))  # joints that a segment starts at
    steps = _Steps(first[at], places[at], places[at + 1], np.empty((0, 0, 0)))
    steps = replace(steps, cost=_costs(points, steps.start, steps.end, tolerance))
    fallback = safe[at + 1]
    number = np.cumsum(steps.first) - 1
    found = np.empty(len(at), dtype=np.int64)
    left = np.arange(len(at))
    for _ in range(ROUNDS):
        if len(left) == 0:
            return found
        start, end = _path(steps)
        one, other = _values(steps.start, start), _values(steps.end, end)
        long = np.flatnonzero(other - one > 1)
        bad = np.zeros(len(one), dtype=bool)
        bad[long] = bows_of(points, one[long], other[long], tolerance).off > tolerance
        bad |= other <= one
        steps.cost[np.flatnonzero(bad), start[bad], end[bad]] = np.inf
        failed = np.isin(number, number[bad])
        found[left[~failed]] = other[~failed]
        steps = _Steps(*(getattr(steps, name)[failed] for name in _Steps.__slots__))
        left, number = left[failed], number[failed]
    found[left] = fallback[left]
    return found


def _windows(first: Ints, last: Ints, ahead: Ints, back: Ints) -> tuple[Ints, Ints, Ints, Bools]:
    """Least and greatest vertex of each joint, ends of stretches among them, and one that serves
    in any case; and which joints are first ones. A stretch that one greedy way needs fewer
    segments for has the joints of that way.
    """
    forth = np.searchsorted(ahead, first, side="right"), np.searchsorted(ahead, last) + 1
    back = np.sort(back)
    behind = np.searchsorted(back, first), np.searchsorted(back, last)
    low: list[Ints] = []
    high: list[Ints] = []
    safe: list[Ints] = []
    table = (first, last, *forth, *behind)
    for a, b, f0, f1, r0, r1 in zip(*(each.tolist() for each in table), strict=True):
        f, r = np.append(a, ahead[f0:f1]), np.append(back[r0:r1], b)
        if len(f) != len(r):
            f = r = min(f, r, key=len)
        low.append(np.minimum(f, r))
        high.append(np.maximum(f, r))
        safe.append(f)
    sizes = np.array([len(each) for each in low])
    start = np.zeros(sizes.sum(), dtype=bool)
    start[np.cumsum(sizes) - sizes] = True
    return np.concatenate(low), np.concatenate(high), np.concatenate(safe), start


def _places(points: Floats, low: Ints, high: Ints) -> Ints:
    """Vertices that each joint may lie at, in order (n, PLACES + MARKED)."""
    even = low[:, None] + (high - low)[:, None] * np.arange(PLACES) // (PLACES - 1)
    way = np.diff(points, axis=0, append=points[-1:])
    size = np.hypot(way[:, 0], way[:, 1])
    before = np.roll(way, 1, axis=0)
    turn = np.abs(np.arctan2(cross(before, way), dots(before, way)))
    uneven = np.abs(size - np.roll(size, 1))
    return np.sort(np.column_stack([even, *(_marked(m, low, high) for m in (turn, uneven))]))


def _marked(mark: Floats, low: Ints, high: Ints) -> Ints:
    """The first vertex from low to high that is marked highest."""
    count = high - low + 1
    start = np.cumsum(count) - count
    own = np.round(mark[ranges(low, high + 1)], 9)
    highest = np.repeat(np.maximum.reduceat(own, start), count)
    at = np.flatnonzero(own == highest)
    _, one = np.unique(np.repeat(np.arange(len(low)), count)[at], return_index=True)
    found: Ints = low + at[one] - start
    return found


def _costs(points: Floats, start: Ints, end: Ints, tolerance: float) -> Floats:
    """The least sum of squares for each pair of places, as a share of the squared tolerance;
    infinite where it says that no segment can be as near as the tolerance.
    """
    place = np.sort(np.hstack([start, end]))
    wide = place.shape[1]
    sums = np.moveaxis(_prefixes(points, place), -1, 0).reshape(8, -1)
    one, other = (np.argmax(place[:, None, :] == each[:, :, None], axis=2) for each in (start, end))
    edges = end[:, None, :] - start[:, :, None]
    cost = np.where(edges < 1, np.inf, 0.0)
    row, a, b = (edges > 1).nonzero()
    many = edges[row, a, b].astype(float)
    one, other = row * wide + one[row, a], row * wide + other[row, b]
    way = points.take(place, axis=0) - points.take(place[:, :1], axis=0)
    x, y = way[..., 0].ravel(), way[..., 1].ravel()
    p, q = ((x[each], y[each]) for each in (one, other))
    with np.errstate(divide="ignore", invalid="ignore"):
        rest = _rest([each[other] - each[one] for each in sums], many, p, q)
    found = np.round(rest / (tolerance * tolerance * FINEST)) * FINEST
    # Twice a good arc's power is its distance times 1 + distance / 2 R, and 2 R a chord at least.
    chord = np.hypot(p[0] - q[0], p[1] - q[1])
    most = (many - 1) * np.minimum(1 + tolerance / np.maximum(chord, tolerance), 2.0) ** 2
    found[(found > most) | np.isnan(found)] = np.inf
    cost[row, a, b] = found
    return cost


def _prefixes(points: Floats, place: Ints) -> Floats:
    """Sums over all vertices after the first place of each row up to each of its places, of
    x, y, x x, x y, y y, r r x, r r y and r r r r about that first place (n, p, 8).
    """
    count = place[:, -1] - place[:, 0] + 1
    start = np.cumsum(count) - count
    own = ranges(place[:, 0], place[:, -1] + 1)
    origin = points.take(place[:, 0], axis=0).repeat(count, axis=0)
    x, y = (points.take(own, axis=0) - origin).T
    square = x * x + y * y
    table = np.column_stack([x, y, x * x, x * y, y * y, square * x, square * y, square * square])
    # The sums between one place and the next, both those of nothing and of the vertex itself.
    edge = (start[:, None] + place - place[:, :1]).astype(np.int64)
    low, high = edge[:, :-1] + 1, edge[:, 1:] + 1
    cuts = np.stack([low, high], axis=2).reshape(-1)
    padded = np.vstack([table, np.zeros((1, 8))])
    part = np.add.reduceat(padded, cuts, axis=0)[0::2].reshape(*low.shape, 8)
    part[low == high] = 0.0
    sums = np.cumsum(part, axis=1)
    return np.concatenate([np.zeros((len(place), 1, 8)), sums], axis=1)


def _rest(sums: Sequence[Floats], many: Floats, p: Pair, q: Pair) -> Floats:
    """Least sum of squared distances of `many` vertices with these sums from an arc p to q."""
    sx, sy, xx, xy, yy, rx, ry, rr = sums
    mx, my = (p[0] + q[0]) / 2, (p[1] + q[1]) / 2
    cx, cy = q[0] - p[0], q[1] - p[1]
    full = np.sqrt(cx * cx + cy * cy)
    cx, cy, half = cx / full, cy / full, full / 2
    # y of the chord's frame is n (p - m), w = |p|^2 - 2 m p + level.
    nx, ny = -cy, cx
    level = mx * mx + my * my - half * half
    deep = nx * mx + ny * my
    r, m_s, n_s = xx + yy, mx * sx + my * sy, nx * sx + ny * sy
    mm = mx * mx * xx + 2 * mx * my * xy + my * my * yy
    mn = mx * nx * xx + (mx * ny + my * nx) * xy + my * ny * yy
    nn = nx * nx * xx + 2 * nx * ny * xy + ny * ny * yy
    r_m, r_n = mx * rx + my * ry, nx * rx + ny * ry
    ww = rr + 4 * mm + many * level**2 - 4 * r_m + 2 * level * r - 4 * level * m_s
    wy = r_n - deep * r - 2 * mn + 2 * deep * m_s + level * n_s - many * level * deep
    y2 = nn - 2 * deep * n_s + many * deep**2
    w, y = r - 2 * m_s + many * level, n_s - many * deep
    _, rest = nearest_turn((ww, 2 * half * wy, 4 * half**2 * y2), (w, y), half)
    return rest


def _path(steps: _Steps) -> tuple[Ints, Ints]:
    """Places (column numbers) of the cheapest path through each stretch, for each segment."""
    first = np.flatnonzero(steps.first)
    length = np.diff(np.append(first, len(steps.first)))
    count, wide = steps.start.shape
    came = np.zeros((count, wide), dtype=np.int64)
    total = np.zeros((len(first), wide))
    for k in range(int(length.max())):
        going = np.flatnonzero(length > k)
        row = first[going] + k
        sums = total.take(going, axis=0)[:, :, None] + steps.cost.take(row, axis=0)
        came[row] = np.argmin(sums, axis=1)
        total[going] = sums.min(axis=1)
    start, end = np.zeros(count, dtype=np.int64), np.zeros(count, dtype=np.int64)
    at = np.argmin(total, axis=1)
    for k in range(int(length.max()) - 1, -1, -1):
        going = np.flatnonzero(length > k)
        row = first[going] + k
        end[row] = at[going]
        at[going] = start[row] = came[row, at[going]]
    return start, end


def _values(places: Ints, column: Ints) -> Ints:
    found: Ints = places[np.arange(len(places)), column]
    return found
