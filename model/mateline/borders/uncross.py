"""Fitted segments that cross one another, and borders fitted again until none do.

Stands after standard_radii, in refit. Facets of a pattern cross nowhere, but arcs leave them: where
two borders run closer together than both may move, or meet in a sharp tip, their arcs can change
sides. Such borders are fitted more closely; what still crosses is cut in halves, which follow their
facets ever more closely, and in the end are the facets.

A segment from s in direction t with curvature k is k |x - s|² / 2 = n (x - s), n being t turned
to the left: a line has k = 0. Two of these differ by a line, on which both meet (the radical
line, elementary); so no centre of a nearly straight arc, far away, is ever reckoned with.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.borders.arc_fitting import Bows, bows_of, deviations, joined
from mateline.borders.polylines import Polylines
from mateline.planar.crossings import ranges

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

SHARED = 1e-6  # share of the tolerance: so near an end that two segments share they may meet
DEEP = 1e-5  # share of the tolerance: they only touch where neither goes farther over the other
SMALLEST = 1e-12  # mm or no unit: to divide by
CLOSER = 1 / 3  # share of the tolerance that borders which cross are fitted again with


def uncrossed(
    lines: Polylines, bows: Bows, tolerance: float, fitted: Callable[[Polylines, float], Bows]
) -> Bows:
    """The segments `bows` of all `lines`, and others in place of those that cross one another.

    `fitted` makes the segments of some of the lines within a tolerance. Segments that share an
    end meet there only.
    """
    boxes = _boxes(bows)
    loose = _loose(lines, bows, np.arange(len(boxes)))
    across = _loose(lines, bows, _crossing(bows, boxes, loose, tolerance))
    if len(across) == 0:
        return bows
    again, place = _some(lines, np.unique(lines.owner[bows.first[across]]))
    closer = fitted(again, CLOSER * tolerance)
    closer = replace(closer, first=place[closer.first], last=place[closer.last])
    old = ~np.isin(bows.first, place)
    while True:
        bows, boxes, fresh = _exchanged(bows, boxes, old, closer)
        across = _crossing(bows, boxes, fresh, tolerance)
        across = np.union1d(across, fresh[bows.off[fresh] > tolerance])
        across = _loose(lines, bows, across)
        if len(across) == 0:
            return bows
        old, closer = _halved(lines, bows, across, tolerance)


def _exchanged(
    bows: Bows, boxes: NDArray[np.object_], old: Bools, new: Bows
) -> tuple[Bows, NDArray[np.object_], Ints]:
    """The old segments with the new ones among them, their boxes, and the rows of the new ones."""
    found = joined(bows.rows(np.flatnonzero(old)), new)
    fresh = np.isin(found.first, new.first)
    all_boxes = np.empty(len(fresh), dtype=object)
    all_boxes[fresh], all_boxes[~fresh] = _boxes(found.rows(np.flatnonzero(fresh))), boxes[old]
    return found, all_boxes, np.flatnonzero(fresh)


def _some(lines: Polylines, own: Ints) -> tuple[Polylines, Ints]:
    """Some of the polylines, and where their vertices are among those of all."""
    count = np.diff(lines.offsets)[own]
    offsets = np.append(0, np.cumsum(count))
    place = ranges(lines.offsets[own], lines.offsets[own + 1])
    owner = np.repeat(np.arange(len(own)), count)
    kinds = lines.free[own], lines.rim[own]
    return Polylines(lines.points.take(place, axis=0), offsets, owner, *kinds), place


def _loose(lines: Polylines, bows: Bows, rows: Ints) -> Ints:
    """Which of the rows are no edges of the pattern: these stay, and others give way."""
    own = bows.rows(rows)
    edge = (own.last - own.first == 1) & (own.sin == 0)
    edge &= (own.start == lines.points[own.first]).all(axis=1)
    edge &= (own.end == lines.points[own.last]).all(axis=1)
    found: Ints = rows[~edge]
    return found


def _halved(lines: Polylines, bows: Bows, across: Ints, tolerance: float) -> tuple[Bools, Bows]:
    """Which segments stay where those `across` are cut at their middle vertices, and the others.

    The ends of a single edge go back to its vertices, and what it meets there follows.
    """
    at = lines.points.copy()
    at[bows.first], at[bows.last] = bows.start, bows.end
    long = np.zeros(len(bows.first), dtype=bool)
    long[across] = bows.last[across] - bows.first[across] > 1
    edge = across[~long[across]]
    back = np.concatenate([bows.first[edge], bows.last[edge]])
    start, end = lines.rings()
    back = np.concatenate([back, end[np.isin(start, back)], start[np.isin(end, back)]])
    at[back] = lines.points[back]
    stays = (at[bows.first] == bows.start).all(axis=1) & (at[bows.last] == bows.end).all(axis=1)
    stays[across] = False
    first, last = bows.first[~stays], bows.last[~stays]
    middle = np.where(long[~stays], (first + last) // 2, last)
    first, last = np.append(first, middle), np.append(middle, last)
    first, last = first[first < last], last[first < last]
    made = bows_of(lines.points, first, last, tolerance)
    made = replace(made, start=at[first], end=at[last])
    return stays, replace(made, off=deviations(lines.points, made, tolerance))


def crossing(bows: Bows, which: Ints, tolerance: float) -> Ints:
    """Rows of all segments that cross a segment in one of the rows `which`."""
    return _crossing(bows, _boxes(bows), which, tolerance)


def _boxes(bows: Bows) -> NDArray[np.object_]:
    # The diagonal of a box has the same bounds, and is made faster.
    return np.asarray(shapely.linestrings(_bounds(bows).reshape(-1, 2, 2)))


def _crossing(bows: Bows, boxes: NDArray[np.object_], which: Ints, tolerance: float) -> Ints:
    # The tree is the dear part: of few segments it is soon made.
    other, one = shapely.STRtree(boxes[which]).query(boxes)
    one = which[one]
    asked = np.zeros(len(bows.first), dtype=bool)
    asked[which] = True
    once = (one < other) | ((one != other) & ~asked[other])
    one, other = one[once], other[once]
    bad = _cross(bows.rows(one), bows.rows(other), tolerance)
    return np.unique(np.concatenate([one[bad], other[bad]]))


def _bounds(bows: Bows) -> Floats:
    """Boxes that hold the segments (n, 4), not the smallest ones.

    An arc over half a chord L is nowhere farther than L tan(quarter of its turn) from its chord.
    """
    chord = bows.end - bows.start
    size = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), SMALLEST)
    sin = np.abs(bows.sin)
    # On the right of its chord where it turns to the left.
    rise = np.sign(bows.sin) * sin / np.maximum(1 + bows.cos, SMALLEST) / 2
    top = rise[:, None] * np.column_stack([chord[:, 1], -chord[:, 0]])
    # Beyond a half turn it is wider than its chord too, by its radius at most.
    wide = np.where(bows.cos < 0, size / 2 / np.maximum(sin, SMALLEST), 0.0)[:, None]
    low, high = np.minimum(bows.start, bows.end), np.maximum(bows.start, bows.end)
    return np.hstack([np.minimum(low, low + top) - wide, np.maximum(high, high + top) + wide])


def _cross(p: Bows, q: Bows, tolerance: float) -> Bools:
    """Whether the segments in the same rows cross, or are one and the same."""
    along = (p.start == q.start).all(axis=1) & (p.end == q.end).all(axis=1)
    against = (p.start == q.end).all(axis=1) & (p.end == q.start).all(axis=1)
    turn = np.where(along, 1.0, -1.0) * q.sin
    chord = np.hypot(*(p.end - p.start).T)
    found: Bools = (along | against) & (chord * np.abs(p.sin - turn) / 4 <= DEEP * tolerance)
    found &= (p.cos > 0) == (q.cos > 0)
    for places in _meetings(p, q, DEEP * tolerance):
        row = np.flatnonzero(np.isfinite(places).all(axis=1))
        at, one, other = places[row], p.rows(row), q.rows(row)
        met = np.flatnonzero(_on(one, at) & _on(other, at))
        row, at, one, other = row[met], at[met], one.rows(met), other.rows(met)
        apart = np.ones(len(row), dtype=bool)
        for a in (one.start, one.end):
            near = np.hypot(*(at - a).T) <= SHARED * tolerance
            apart &= ~(near & ((a == other.start).all(axis=1) | (a == other.end).all(axis=1)))
        found[row[apart]] = True
    return found


def _curve(bows: Bows, origin: Floats) -> tuple[Floats, Floats, Floats]:
    """k, n (n, 2) and c of k |x|² / 2 - n x + c = 0 about the origin, for each segment."""
    chord = bows.end - bows.start
    size = np.hypot(chord[:, 0], chord[:, 1])
    bend = 2 * bows.sin / size
    along = chord / size[:, None]
    # The direction at the start is the chord's, turned back by half the turn.
    tx = along[:, 0] * bows.cos + along[:, 1] * bows.sin
    ty = along[:, 1] * bows.cos - along[:, 0] * bows.sin
    way = bows.start - origin
    nx, ny = -ty + bend * way[:, 0], tx + bend * way[:, 1]
    level = bend * (way * way).sum(axis=1) / 2 + (tx * way[:, 1] - ty * way[:, 0])
    return bend, np.column_stack([nx, ny]), level


def _meetings(p: Bows, q: Bows, deep: float) -> tuple[Floats, Floats]:
    """The two places where both curves meet, not a number where they only touch or don't meet."""
    kp, np_, cp = _curve(p, p.start)
    kq, nq, cq = _curve(q, p.start)
    flat = (kp == 0) | (kq == 0)
    across = np.where(flat[:, None], np.where((kp == 0)[:, None], np_, nq), 0.0)
    level = np.where(flat, np.where(kp == 0, cp, cq), 0.0)
    across += np.where(flat[:, None], 0.0, kp[:, None] * nq - kq[:, None] * np_)
    level += np.where(flat, 0.0, kp * cq - kq * cp)
    size = np.hypot(across[:, 0], across[:, 1])
    with np.errstate(divide="ignore", invalid="ignore"):
        across, level = across / size[:, None], level / size
        foot = across * level[:, None]
        along = np.column_stack([-across[:, 1], across[:, 0]])
        rounder = np.abs(kp) > np.abs(kq)
        k, n, c = (np.where(rounder, kp, kq), np.where(rounder[:, None], np_, nq),
                   np.where(rounder, cp, cq))  # fmt: skip
        b = k * (foot * along).sum(axis=1) - (n * along).sum(axis=1)
        rest = k * (foot * foot).sum(axis=1) / 2 - (n * foot).sum(axis=1) + c
        root = np.sqrt(b * b - 2 * k * rest)
        # The sagitta of what one cuts off the other.
        root = np.where(root * root <= 2 * deep * np.abs(k), np.nan, root)
        big = -(b + np.where(b < 0, -root, root))
        first, second = big / k, 2 * rest / big
        found = [p.start + foot + s[:, None] * along for s in (first, second)]
    return found[0], found[1]


def _on(bows: Bows, at: Floats) -> Bools:
    """Whether places on the whole circle or line are on the segment."""
    chord = bows.end - bows.start
    size = np.hypot(chord[:, 0], chord[:, 1])
    way = at - bows.start
    along = (way * chord).sum(axis=1)
    beside = chord[:, 0] * way[:, 1] - chord[:, 1] * way[:, 0]
    within = (along >= 0) & (along <= size * size)
    right_side = beside * np.sign(bows.sin) <= 0
    found: Bools = np.where(
        bows.sin == 0,
        within,
        np.where(bows.cos < 0, right_side, within & (right_side | (np.abs(beside) < size * 1e-9))),
    )
    return found
