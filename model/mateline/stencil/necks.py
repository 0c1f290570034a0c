r"""Necks: the narrow places of an area, found exactly from its border.

Stands before joins and pieces, and before the checks that blame a hole or a shape for a neck.
Nothing is sampled: a neck is a pair of border points p, q that see each other through the area
and between which the distance is a local minimum, whichever way either of them moves along the
border.

    -------.        .-------
            \  p   /            p and q are found among the pairs of border segments whose ends
             `-o--'             come nearest to each other. At a corner, both edges must lead away
               |  width         from the other point; so the two edges of a tip are no neck, and
             .-o--.             neither is the corner that a hole leaves where it crosses a border.
            /  q   \            Between parallel edges the middle of what faces each other counts.
    -------'        `-------

Exact for the polygon that is given: arcs have been facetted to within `curves.FACET` before.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.products import dots

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from shapely import Polygon

    from mateline.curves import Point

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

SAME = 1e-6  # mm: lengths that differ by less are equal; also how parallel parallel is
SQUARE = 1e-6  # no unit: cosine of an angle that still counts as square


@dataclass(frozen=True, slots=True)
class Neck:
    """A narrow place: its width, mm, the border points it lies between, and their middle."""

    width: float
    ends: tuple[Point, Point]

    @property
    def at(self) -> Point:
        """The middle of the neck, in the frame of the area."""
        (px, py), (qx, qy) = self.ends
        return (px + qx) / 2, (py + qy) / 2


@dataclass(frozen=True, slots=True)
class _Border:
    """The segments of all rings: starts and ends (n, 2), and the corners before and after."""

    start: Floats
    end: Floats
    before: Floats  # the corner before `start`
    after: Floats  # the corner after `end`
    following: Ints  # the segment after this one


def necks(
    area: Polygon, least: float, box: tuple[float, float, float, float] | None = None
) -> tuple[Neck, ...]:
    """All necks of `area` narrower than `least` (mm), the narrowest first.

    Where a curve keeps its distance from another there is a neck for each pair of facets;
    `distinct` keeps one of each narrow stretch. With `box` (min x, min y, max x, max y) only
    necks of segments that reach into it are looked for.
    Does not notice a place where two rings touch: there is no board there at all.
    """
    border = _border(area)
    first, second = _pairs(border, least, box)
    if len(first) == 0:
        return ()
    p, q, facing, away = _closest(border, first, second)
    width = np.hypot(*(q - p).T)
    found = np.flatnonzero((width > SAME) & (width < least - SAME) & away)
    found = found[_seen(area, p[found], q[found])]
    # Of equal widths the middle of the longest stretch comes first, not the corner it ends at.
    order = np.lexsort((p[found, 1], p[found, 0], -facing[found], np.rint(width[found] / SAME)))
    ends = np.stack([p[found[order]], q[found[order]]], axis=1)
    swapped = (ends[:, 0] > ends[:, 1]) @ [2, 1] > (ends[:, 0] < ends[:, 1]) @ [2, 1]
    ends[swapped] = ends[swapped][:, ::-1]
    # A corner belongs to two segments, so that its neck has been found more than once.
    _, once = np.unique(np.rint(ends / SAME), axis=0, return_index=True)
    return tuple(
        Neck(math.dist(here, there), ((here[0], here[1]), (there[0], there[1])))
        for here, there in ends[np.sort(once)].tolist()
    )


def distinct(found: Sequence[Neck], slack: shapely.Geometry, least: float) -> tuple[Neck, ...]:
    """The first of `found` on each stretch that is narrower than `least`.

    `slack` is what of the area no disc `least` across can sweep.
    """
    if len(found) < 2:
        return tuple(found)
    spans = shapely.linestrings([neck.ends for neck in found])
    stretches = shapely.get_parts(
        shapely.union_all([slack, *shapely.buffer(spans, least / 8, quad_segs=2)])
    )
    span, stretch = shapely.STRtree(stretches).query(spans, predicate="intersects")
    seen: set[int] = set()
    kept = []
    for k in np.argsort(span, kind="stable").tolist():
        if stretch[k] not in seen:
            seen.add(int(stretch[k]))
            kept.append(found[span[k]])
    return tuple(kept)


def _border(area: Polygon) -> _Border:
    rings = [shapely.get_coordinates(ring)[:-1] for ring in shapely.get_rings(area)]
    number = 0
    following = []
    for ring in rings:
        following.append(np.roll(np.arange(number, number + len(ring)), -1))
        number += len(ring)
    return _Border(
        start=np.concatenate(rings),
        end=np.concatenate([np.roll(ring, -1, axis=0) for ring in rings]),
        before=np.concatenate([np.roll(ring, 1, axis=0) for ring in rings]),
        after=np.concatenate([np.roll(ring, -2, axis=0) for ring in rings]),
        following=np.concatenate(following),
    )


def _pairs(
    border: _Border, least: float, box: tuple[float, float, float, float] | None
) -> tuple[Ints, Ints]:
    """Segments, not neighbours, whose boxes are no more than `least` apart: each pair once."""
    low = np.minimum(border.start, border.end)
    high = np.maximum(border.start, border.end) + least
    chosen = np.arange(len(low))
    if box is not None:
        chosen = np.flatnonzero(
            (low <= box[2:]).all(axis=1) & (high - least >= box[:2]).all(axis=1)
        )
    chosen = chosen[np.argsort(low[chosen, 0], kind="stable")]
    # A sweep in x: each segment meets those that start after it and before it ends.
    after = np.arange(1, len(chosen) + 1)
    count = np.searchsorted(low[chosen, 0], high[chosen, 0], side="right") - after
    ends = np.cumsum(count)
    one = np.repeat(np.arange(len(chosen)), count)
    two = np.arange(len(one)) - np.repeat(ends - count, count) + one + 1
    first, second = chosen[one], chosen[two]
    near = (low[first, 1] <= high[second, 1]) & (low[second, 1] <= high[first, 1])
    near &= (border.following[first] != second) & (border.following[second] != first)
    return first[near], second[near]


def _closest(border: _Border, i: Ints, j: Ints) -> tuple[Floats, Floats, Floats, NDArray[np.bool_]]:
    """The nearest points p on i and q on j, how long i and j face each other at this distance,
    and whether every way from p and q leads apart.

    Segments of a valid area do not cross, so one end of one of them is among the nearest.
    """
    a, b, c, d = border.start[i], border.end[i], border.start[j], border.end[j]
    ends = ((a, _on(a, c, d)), (b, _on(b, c, d)), (_on(c, a, b), c), (_on(d, a, b), d))
    ps = np.stack([p for p, _ in ends])
    qs = np.stack([q for _, q in ends])
    far = np.hypot(*np.moveaxis(qs - ps, -1, 0))
    # Of parallel segments several ends are nearest: the mean is the middle of the facing part.
    nearest = (far <= far.min(axis=0) + SAME)[:, :, None]
    p = np.where(nearest, ps, 0.0).sum(axis=0) / nearest.sum(axis=0)
    q = np.where(nearest, qs, 0.0).sum(axis=0) / nearest.sum(axis=0)
    facing = 2 * np.where(nearest[:, :, 0], np.hypot(*np.moveaxis(ps - p, -1, 0)), 0.0).max(axis=0)
    away = _leads_away(p, q, a, border.before[i]) & _leads_away(p, q, b, border.after[i])
    away &= _leads_away(q, p, c, border.before[j]) & _leads_away(q, p, d, border.after[j])
    return p, q, facing, away


def _on(point: Floats, start: Floats, end: Floats) -> Floats:
    """The points (n, 2) on segments start-end nearest to `point`."""
    along = end - start
    length = dots(along, along)
    share = dots(point - start, along) / np.where(length == 0, 1.0, length)
    nearest: Floats = start + share.clip(0.0, 1.0)[:, None] * along
    return nearest


def _leads_away(here: Floats, there: Floats, corner: Floats, beyond: Floats) -> NDArray[np.bool_]:
    """Whether `here` is not at `corner`, or the edge on to `beyond` leads no nearer to `there`."""
    edge, across = beyond - corner, there - here
    turn = dots(edge, across)
    sizes = np.hypot(*edge.T) * np.hypot(*across.T)
    away: NDArray[np.bool_] = (turn <= SQUARE * sizes) | (np.hypot(*(here - corner).T) > SAME)
    return away


def _seen(area: Polygon, p: Floats, q: Floats) -> NDArray[np.bool_]:
    """Whether p and q see each other through the area: touching its border only at their ends."""
    inset = 1e-4 * (q - p)
    sights = shapely.linestrings(np.stack([p + inset, q - inset], axis=1))
    shapely.prepare(area)
    return np.atleast_1d(shapely.contains_properly(area, sights))
