"""How far segments as they will be written are from the facets that they stand for.

Stands after uncross, before refit. It takes what the chains are made of, ends, centres and ways
round, and nothing that fitting reckoned with, so a fault of the fitting shows here.

    facets to segments   the ends of every facet, and its deepest place inside an arc
    segments to facets   where they meet; between, the facets lead all along them, for they turn
                         through the same angle; but for gaps

A distance to a segment is that to the nearest of three: a joint that slid along a line has left
vertices of the one segment beside the other. From there to the first vertex that is beside its own
segment none of its facets leads: that is a gap, whose points are held against all facets of the
border.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.planar.crossings import ranges
from mateline.products import cross, dots

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.borders.arc_fitting import Bows
    from mateline.borders.polylines import Polylines

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

TAU = 2 * np.pi
FINE = 1e-5  # mm: how exactly the farthest place of a gap is found
PIECES = 8  # of a gap, to begin with
ROUNDING = 1e-9  # share of the extent, mm: what a centre may be nearer to one end than the other


@dataclass(frozen=True, slots=True)
class Written:
    """Segments as they are written, a row each: `start`, `end` and `centre` (n, 2), mm, whether it
    is a line, and whether an arc runs to the left.
    """

    start: Floats
    end: Floats
    centre: Floats
    flat: Bools
    left: Bools

    def reach(self) -> Floats:
        """Radii of the arcs; 0 for lines."""
        return np.where(self.flat, 0.0, np.hypot(*(self.end - self.centre).T))

    def row(self, at: int) -> Written:
        """One of them alone."""
        own = slice(at, at + 1)
        return Written(
            self.start[own], self.end[own], self.centre[own], self.flat[own], self.left[own]
        )

    def sweep(self) -> Floats:
        """Angles that arcs turn through, to the left positive; 0 for lines."""
        turn = _angle(self.start - self.centre, self.end - self.centre)
        turn = np.where(self.left, turn % TAU, -(-turn % TAU))
        return np.where(self.flat, 0.0, turn)


def written(bows: Bows) -> Written:
    """What is written of the segments."""
    flat = bows.sin == 0
    with np.errstate(invalid="ignore"):
        centre = np.where(flat[:, None], 0.0, bows.centres())
    return Written(bows.start, bows.end, centre, flat, bows.sin > 0)


def measured(lines: Polylines, bows: Bows, made: Written, enough: float = np.inf) -> Floats:
    """The two-sided distance between each border's facets and its segments, mm; infinite where a
    segment is not finite, doesn't start where the last one ended, leaves the box of all facets by
    more than its border's distance could be, or goes another way round than its facets. Of borders
    that are off by more than `enough`, only that they are need be true.
    """
    distance = np.zeros(len(lines.offsets) - 1)
    owner = lines.owner[bows.first]
    finite = np.isfinite(np.hstack([made.start, made.end, made.centre])).all(axis=1)
    broken = _broken(lines, bows, made)
    nowhere = np.logical_not(finite).reshape(-1, 1)
    made = replace(
        made,
        start=np.where(nowhere, 0.0, made.start),
        end=np.where(nowhere, 0.0, made.end),
        centre=np.where(nowhere, 0.0, made.centre),
    )
    vertices = _vertices(lines.points, bows, made)
    off = np.maximum(_of_facets(vertices, bows, made), _of_joints(lines, bows, made))
    sound = finite & _even(made) & _same_way(lines.points, bows, made)
    off[~(sound & np.isfinite(off))] = np.inf
    np.maximum.at(distance, owner, off)
    distance[broken | _swollen(lines, bows, made, distance)] = np.inf
    gaps = _gaps(vertices, made)
    _reckon_gaps(lines, made, gaps, distance, enough)
    return distance


def swept(made: Written) -> Floats:
    """What each segment adds to the area on its left, mm², about the middle of all starts.

    Green's theorem: a triangle with that middle, and for an arc the circular segment
    r² (t - sin t) / 2 over its chord (elementary).
    """
    a, b = (each - made.start.mean(axis=0) for each in (made.start, made.end))
    turn = made.sweep()
    found: Floats = cross(a, b) / 2 + made.reach() ** 2 * (turn - np.sin(turn)) / 2
    return found


def _swollen(lines: Polylines, bows: Bows, made: Written, distance: Floats) -> Bools:
    """Borders that take in or leave out more area than their distance times their length."""
    owner, middle = lines.owner[bows.first], made.start.mean(axis=0)
    at = lines.points - middle
    facets = np.append(cross(at[:-1], at[1:]) / 2, 0.0)
    facets[lines.offsets[1:] - 1] = 0.0
    _, size = lines.edges()
    count = len(distance)
    areas = 0.0 + np.bincount(owner, weights=swept(made), minlength=count)
    areas = areas - np.bincount(lines.owner, weights=facets, minlength=count)
    length = np.bincount(lines.owner, weights=size, minlength=count)
    # Ends that slid along the border count too: a free circle starts where it likes.
    first, last = np.flatnonzero(lines.ends)[0::2], np.flatnonzero(lines.ends)[1::2]
    one, other = np.searchsorted(bows.first, first), np.searchsorted(bows.last, last)
    areas = areas + cross(made.end[other] - middle, at[last]) / 2
    areas = areas + cross(at[first], made.start[one] - middle) / 2
    # A band as wide as the distance on both sides, with round ends; and twice that, for the
    # length of the segments may be a little more than that of the facets.
    most = 2 * (length * distance + np.pi * distance**2)
    rounding = ROUNDING * length * (length + np.hypot(*np.ptp(lines.points, axis=0)))
    found: Bools = np.abs(areas) > most + rounding
    return found


def _even(made: Written) -> Bools:
    """Whether both ends of an arc are as far from its centre."""
    table = np.hstack([made.start, made.end, made.centre])
    reach = made.reach()
    other = np.hypot(*(made.start - made.centre).T)
    far = np.abs(table).max(axis=1) + reach
    found: Bools = made.flat | (np.abs(reach - other) <= ROUNDING * far)
    return found


def _broken(lines: Polylines, bows: Bows, made: Written) -> Bools:
    """Borders whose segments don't all start where the last one ended, or that miss their ends."""
    owner = lines.owner[bows.first]
    same = owner[1:] == owner[:-1]
    torn = same & (made.start[1:] != made.end[:-1]).any(axis=1)
    torn |= same & (bows.first[1:] != bows.last[:-1])
    first = np.append(True, ~same)
    final = np.append(~same, True)
    broken = np.zeros(len(lines.offsets) - 1, dtype=bool)
    broken[owner[1:][torn]] = True
    missing = np.setdiff1d(np.arange(len(broken)), owner)
    broken[missing] = True
    tied = ~lines.free[owner]
    starts = (made.start == lines.points[lines.offsets[owner]]).all(axis=1)
    ends = (made.end == lines.points[lines.offsets[owner + 1] - 1]).all(axis=1)
    broken[owner[(first & tied & ~starts) | (final & tied & ~ends)]] = True
    ring = ~tied
    one, other = np.flatnonzero(first & ring), np.flatnonzero(final & ring)
    broken[owner[one[(made.start[one] != made.end[other]).any(axis=1)]]] = True
    return broken


@dataclass(frozen=True, slots=True)
class _Vertices:
    """The vertices of all segments' facets, one after another, those between two segments twice:
    the `row` of each one's segment, its place `at` (n, 2), how far `away` from the segment it is,
    mm, and whether it `hangs` beyond an end; `start` (rows) is where those of a segment begin and
    `own` (n,) which of all points each is.
    """

    row: Ints
    own: Ints
    start: Ints
    at: Floats
    away: Floats
    hangs: Bools


def _vertices(points: Floats, bows: Bows, made: Written) -> _Vertices:
    count = bows.last - bows.first + 1
    row = np.repeat(np.arange(len(count)), count)
    own = ranges(bows.first, bows.last + 1)
    at = points.take(own, axis=0)
    return _Vertices(row, own, np.cumsum(count) - count, at, *_distances(at, made, row))


def _of_facets(vertices: _Vertices, bows: Bows, made: Written) -> Floats:
    """How far the facets of each segment are from it or from those beside it."""
    row, at, start, away = vertices.row, vertices.at, vertices.start, vertices.away.copy()
    hanging = np.flatnonzero(vertices.hangs)
    for near in _neighbours(bows):
        other = near[row[hanging]]
        again, _ = _distances(at.take(hanging, axis=0), made, other)
        away[hanging] = np.minimum(away[hanging], again)
    deep = _depths(at, made, row)
    last = np.append(start[1:], len(row)) - 1
    deep[last] = 0.0  # from the last vertex on, the next segment's facets follow
    found: Floats = np.maximum.reduceat(np.maximum(away, deep), start)
    return found


def _neighbours(bows: Bows) -> tuple[Ints, Ints]:
    """The segment before and after each one on its border, round the end of it too."""
    row = np.arange(len(bows.first))
    breaks = bows.first[1:] != bows.last[:-1]
    first = np.flatnonzero(np.append(True, breaks))
    last = np.append(first[1:] - 1, len(row) - 1)
    before, after = row - 1, row + 1
    before[first], after[last] = last, first
    return before, after


def _distances(at: Floats, made: Written, row: Ints) -> tuple[Floats, Bools]:
    """Distance of each point from the segment in its row, and whether it is beyond an end."""
    a, b, centre = (each.take(row, axis=0) for each in (made.start, made.end, made.centre))
    way, chord = at - a, b - a
    square = np.maximum(dots(chord, chord), 1e-300)
    share = dots(way, chord) / square
    ends = np.minimum(np.hypot(*way.T), np.hypot(*(at - b).T))
    flat = made.flat[row]
    line = np.abs(cross(chord, way)) / np.sqrt(square)
    reach, sweep = made.reach()[row], made.sweep()[row]
    rel = at - centre
    turn = _angle(a - centre, rel)
    ahead = np.where(sweep > 0, turn % TAU, -turn % TAU)
    within = np.where(flat, (share >= 0) & (share <= 1), ahead <= np.abs(sweep))
    off = np.where(flat, line, np.abs(np.hypot(*rel.T) - reach))
    return np.where(within, off, ends), ~within


def _depths(at: Floats, made: Written, row: Ints) -> Floats:
    """How deep inside its arc the facet from each point to the next one is."""
    rel = at - made.centre.take(row, axis=0)
    way = np.vstack([np.diff(at, axis=0), np.zeros((1, 2))])
    size = np.maximum(np.hypot(*way.T), 1e-150)  # its square is no nought
    foot = -dots(rel, way) / (size * size)
    inside = (foot > 0) & (foot < 1) & ~made.flat[row]
    deep = made.reach()[row] - np.abs(cross(way, rel)) / size
    return np.where(inside, deep, 0.0)


def _same_way(points: Floats, bows: Bows, made: Written) -> Bools:
    """Whether facets turn about the centre as their arc does, or lead along their line."""
    count = bows.last - bows.first
    start = np.cumsum(count) - count
    row = np.repeat(np.arange(len(count)), count)
    edge = ranges(bows.first, bows.last)
    centre = made.centre.take(row, axis=0)
    ends = (points.take(each, axis=0) - centre for each in (edge, edge + 1))
    turn = np.add.reduceat(_angle(*ends), start)
    found: Bools = made.flat | (np.abs(turn - made.sweep()) < np.pi)
    return found


def _of_joints(lines: Polylines, bows: Bows, made: Written) -> Floats:
    """How far the starts and ends of segments are from the facets of their border."""
    off = np.zeros(len(bows.first))
    for at, vertex in ((made.start, bows.first), (made.end, bows.last)):
        moved = np.flatnonzero((at != lines.points[vertex]).any(axis=1))
        if len(moved) == 0:
            continue
        own, place = np.unique(lines.owner[bows.first[moved]], return_inverse=True)
        count = np.diff(lines.offsets)[own]
        facets = np.asarray(
            shapely.linestrings(
                lines.points[ranges(lines.offsets[own], lines.offsets[own + 1])],
                indices=np.repeat(np.arange(len(own)), count),
            )
        )
        shapely.prepare(facets)
        away = shapely.distance(facets[place], shapely.points(at[moved]))
        off[moved] = np.maximum(off[moved], away)
    return off


@dataclass(frozen=True, slots=True)
class _Gaps:
    """Stretches of segments, by their rows, from share `low` to `high`; none of their points is
    farther from the facets than `most`, mm. `vertex` is a point of the border beside each.
    """

    row: Ints
    vertex: Ints
    low: Floats
    high: Floats
    most: Floats


def _reckon_gaps(
    lines: Polylines, made: Written, gaps: _Gaps, distance: Floats, enough: float
) -> None:
    """Raise the `distance` of borders with a gap that is farther from their facets."""
    owner = lines.owner[gaps.vertex]
    for at in np.flatnonzero(gaps.most > distance[owner] + FINE).tolist():
        own = owner[at]
        if distance[own] > enough:
            continue
        points = lines.points[lines.offsets[own] : lines.offsets[own + 1]]
        facets = np.stack([points[:-1], points[1:]], axis=1)
        stretch = made.row(int(gaps.row[at])), (gaps.low[at], gaps.high[at])
        distance[own] = _farthest(*stretch, facets, distance[own])


def _gaps(vertices: _Vertices, made: Written) -> _Gaps:
    """All gaps: beside which runs of vertices lie that are beyond an end of their segment."""
    row, start, at = vertices.row, vertices.start, vertices.at
    away, hangs = vertices.away, vertices.hangs
    fresh = np.zeros(len(row) + 1, dtype=bool)
    fresh[np.append(start, len(row))] = True
    begin = np.flatnonzero(hangs & (fresh[:-1] | ~np.append(False, hangs[:-1])))
    end = np.flatnonzero(hangs & (fresh[1:] | ~np.append(hangs[1:], False)))
    own, starts, ends = row[begin], fresh[begin], fresh[end + 1]
    # The vertices before and after each run, or the segment's own start and end.
    one, other = np.where(starts, begin, begin - 1), np.where(ends, end, end + 1)
    before = np.where(starts[:, None], made.start[own], at[one])
    after = np.where(ends[:, None], made.end[own], at[other])
    off = np.where(starts, 0.0, away[one]), np.where(ends, 0.0, away[other])
    low = np.where(starts, 0.0, _shares(at[one], made, own))
    high = np.where(ends, 1.0, _shares(at[other], made, own))
    # Away from a facet, a convex set, a straight stretch is farthest at one of its ends.
    out = _to_edge(before, at[end], after) + off[0], off[1]
    back = off[0], _to_edge(after, before, at[begin]) + off[1]
    most = np.maximum(*(np.where(ends, *each) for each in zip(back, out, strict=True)))
    bow = made.reach()[own] * (1 - np.cos((high - low) * made.sweep()[own] / 2))
    # Where all of a segment's vertices are beyond its ends, its longest facet may lead over it.
    size = np.where(fresh[1:], -1.0, np.hypot(*np.diff(at, axis=0, append=0.0).T))
    longest = np.lexsort((-size, row))[start]
    bare = np.flatnonzero(starts & ends)
    facet = longest[own[bare]]
    sides = (_to_edge(each[bare], at[facet], at[facet + 1]) for each in (before, after))
    most[bare] = np.maximum(*sides)
    most += bow
    return _Gaps(own, vertices.own[begin], np.minimum(low, high), np.maximum(low, high), most)


def _farthest(one: Written, gap: tuple[float, float], facets: Floats, least: float) -> float:
    """How far from the `facets` (n, 2, 2) a stretch of the one segment is at most, to within
    `FINE`, mm; `least` where that is more.

    Pieces of it that could not be farther are looked at no more: a straight one is, away from the
    facet that is nearest to its middle, farthest at one of its ends.
    """
    edges = np.linspace(*gap, PIECES + 1)
    low, high = edges[:-1], edges[1:]
    tree = shapely.STRtree([shapely.LineString(facet) for facet in facets])
    farthest = least
    while len(low):
        middle = (low + high) / 2
        at = _places(one, middle)
        near = facets[tree.nearest(shapely.points(at))].transpose(1, 0, 2)
        farthest = max(farthest, float(_to_edge(at, *near).max()))
        sides = (_to_edge(_places(one, each), *near) for each in (low, high))
        bow = one.reach() * (1 - np.cos((high - low) * one.sweep() / 2))
        more = np.maximum(*sides) + bow > farthest + FINE
        low, high = (
            np.concatenate(each) for each in ((low[more], middle[more]), (middle[more], high[more]))
        )
    return farthest


def _places(one: Written, share: Floats) -> Floats:
    """Where shares of the one segment are."""
    found: Floats = one.start + share[:, None] * (one.end - one.start)
    if not one.flat[0]:
        turn, (x, y) = share * one.sweep()[0], (one.start - one.centre)[0]
        cos, sin = np.cos(turn), np.sin(turn)
        found = one.centre + np.column_stack([x * cos - y * sin, x * sin + y * cos])
    return found


def _shares(at: Floats, made: Written, row: Ints) -> Floats:
    """The share of the segment in its row that each point is beside."""
    a, chord = made.start[row], (made.end - made.start)[row]
    straight = dots(at - a, chord) / np.maximum(dots(chord, chord), 1e-300)
    centre, sweep = made.centre[row], made.sweep()[row]
    turn = _angle(a - centre, at - centre)
    ahead = np.where(sweep > 0, turn % TAU, -turn % TAU)
    turned = ahead / np.where(sweep == 0, 1.0, np.abs(sweep))
    found: Floats = np.where(made.flat[row], straight, turned)
    return found


def _to_edge(at: Floats, one: Floats, other: Floats) -> Floats:
    """How far points are from the edges between two others."""
    way = other - one
    share = np.clip(dots(at - one, way) / np.maximum(dots(way, way), 1e-300), 0.0, 1.0)
    found: Floats = np.hypot(*(at - one - share[:, None] * way).T)
    return found


def _angle(a: Floats, b: Floats) -> Floats:
    """Angle from one vector to the other, to the left positive."""
    found: Floats = np.arctan2(cross(a, b), dots(a, b))
    return found
