r"""Slivers: what a join leaves of a piece that is too narrow or too small to handle.

Stands after board, before joins.

    ----------+--------     part    what two halves of a piece are on either side of a line
       piece  |   .         whole   a part with less than the least area, or with no room for a
    ----------+--'          |       disc of the least width
            line  neck      neck    a place between the line and the piece's border, narrower than
                                    the least width though the part is sound elsewhere
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from mateline.curves import Point
    from mateline.stencil.board import Board

    Areas = NDArray[np.object_]
    Floats = NDArray[np.float64]
    Indices = NDArray[np.intp]

ON_LINE = 1e-6  # mm: how near to a line a point is on it
ROUND = 1.003  # no unit: facets of offsets leave their arcs by 0.12 % each


@dataclass(frozen=True, slots=True)
class Sliver:
    """Too little board beside a join of `piece`: where, and how wide, mm, or how large, mm².

    `width` is None where the part is too small only, `area` where it is too narrow in one place.
    """

    piece: str
    at: Point
    width: float | None
    area: float | None = None


def snapped(areas: Areas, axis: int, place: float) -> Areas:
    """`areas` with what lies within rounding of a line square to `axis` moved on to it."""
    points = shapely.get_coordinates(areas)[:, axis]
    off = np.abs(points - place)
    if not ((off > 0) & (off <= ON_LINE)).any():
        return areas

    def moved(at: Floats) -> Floats:
        on = at.copy()
        on[np.abs(at[:, axis] - place) <= ON_LINE, axis] = place
        return on

    return np.asarray(shapely.transform(areas, moved), dtype=object)


def spoiled(areas: Areas, axis: int, place: float, board: Board) -> int:
    """How many slivers and pieces without room for a tack a line leaves of the `areas` it crosses.

    Those with room for none beside the tape are counted only where there is no sliver.
    """
    areas = snapped(areas, axis, place)
    bad = len(_bumps(areas, axis, place, board.least_width)[0])
    for first, last in _halves(areas, axis, place):
        parts, _ = clipped(areas, axis, first, last)
        bad += int(_whole(parts, board).sum())
    return bad or _without_room(areas, axis, place, board)


def slivers(
    names: Sequence[str], areas: Areas, axis: int, place: float, board: Board
) -> Iterator[Sliver]:
    """What a line square to `axis` at `place` leaves of `areas`, all of which it goes through."""
    areas = snapped(areas, axis, place)
    small = []
    for first, last in _halves(areas, axis, place):
        parts, of = clipped(areas, axis, first, last)
        for at in np.flatnonzero(_whole(parts, board)).tolist():
            small.append(parts[at])
            yield _as_sliver(names[of[at]], parts[at], board)
    bumps, of, width = _bumps(areas, axis, place, board.least_width)
    ends = bumps.copy()
    ends[:, axis] = place
    for middle, at, wide in zip(((bumps + ends) / 2).tolist(), of.tolist(), width, strict=True):
        if not shapely.dwithin(small, shapely.Point(middle), ON_LINE).any():
            yield Sliver(names[at], (middle[0], middle[1]), float(wide))


def whole_slivers(names: Sequence[str], parts: Areas, board: Board) -> Iterator[Sliver]:
    """Those of `parts` that are too small, or too narrow as a whole."""
    for at in np.flatnonzero(_whole(parts, board)).tolist():
        yield _as_sliver(names[at], parts[at], board)


def _without_room(areas: Areas, axis: int, place: float, board: Board) -> int:
    """How many of `areas` could be held by a tack, but not clear of tape on a join at `place`."""
    smallest = board.punches[-1]
    side = min(smallest.length, smallest.width) / 2 + board.tape_margin
    # A piece that is a hundred patches large has room somewhere.
    few = areas[shapely.area(areas) < 100 * (2 * side) ** 2]
    if not len(few):
        return 0
    half = board.join_tape / 2
    low, high = shapely.total_bounds(few)[[axis, axis + 2]] + (-1.0, 1.0)
    room = ~shapely.is_empty(shapely.buffer(few, -side * ROUND))
    for first, last in ((low, place - half), (place + half, high)):
        if last > first:
            parts, of = clipped(few, axis, first, last)
            room[of[~shapely.is_empty(shapely.buffer(parts, -side * ROUND))]] = False
    return int(room.sum())


def _halves(areas: Areas, axis: int, place: float) -> tuple[tuple[float, float], ...]:
    low, high = shapely.total_bounds(areas)[[axis, axis + 2]]
    return (low - 1.0, place), (place, high + 1.0)


def clipped(areas: Areas, axis: int, first: float, last: float) -> tuple[Areas, Indices]:
    """Parts of `areas` between two lines square to `axis`, and which one each is of."""
    low, high = shapely.total_bounds(areas)[[1 - axis, 3 - axis]] + (-1.0, 1.0)
    strip = (first, low, last, high) if axis == 0 else (low, first, high, last)
    cut = shapely.clip_by_rect(areas, *strip)  # a tenth of the time of an intersection
    wrong = ~shapely.is_valid(cut)
    cut[wrong] = shapely.intersection(areas[wrong], shapely.box(*strip))
    parts, of = shapely.get_parts(cut, return_index=True)
    real = shapely.area(parts) > 0
    return parts[real], of[real]


def _whole(parts: Areas, board: Board) -> NDArray[np.bool_]:
    size = shapely.area(parts)
    bad: NDArray[np.bool_] = (size > 0) & (size < board.least_area)
    # Where no disc fits, area is within half a width of the border: twice that is on the safe side.
    thin = np.flatnonzero(
        (size >= board.least_area) & (size < shapely.length(parts) * board.least_width)
    )
    inset = shapely.buffer(parts[thin], ON_LINE - board.least_width / 2, quad_segs=16)
    bad[thin] = shapely.is_empty(inset)
    return bad


def _as_sliver(name: str, part: Polygon, board: Board) -> Sliver:
    circle = shapely.get_coordinates(shapely.maximum_inscribed_circle(part, tolerance=0.01))
    width = 2 * math.dist(*circle.tolist())
    (x, y) = circle[0].tolist()
    return Sliver(name, (x, y), width if width < board.least_width else None, float(part.area))


def _bumps(areas: Areas, axis: int, place: float, least: float) -> tuple[Floats, Indices, Floats]:
    """Where the borders of `areas` come nearest to a line through them, nearer than `least`.

    Points (n, 2), to which area each belongs, and its distance from the line. A corner counts
    where both edges lead away from the line, and so does the middle of an edge along it; only
    what the line can be seen from through the area, square to it. Of several within the least
    width of each other the first counts.
    """
    rings, owner = shapely.get_rings(areas, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    gap = np.abs(points[:, axis] - place)
    if not (gap < least).any():
        return np.empty((0, 2)), np.empty(0, dtype=np.intp), np.empty(0)
    found, belongs = [], []
    for side in (-1.0, 1.0):
        off = side * (points[:, axis] - place)
        # Each ring ends with the corner that it starts with.
        here, after = off[:-1], off[1:]
        same = ring[:-1] == ring[1:]
        first = np.flatnonzero(np.diff(ring, prepend=-1))
        last = np.append(first[1:], len(points)) - 1
        before = np.concatenate([[np.inf], off[:-1]])
        before[first] = off[last - 1]
        beyond = np.concatenate([off[2:], [np.inf]])
        beyond[np.minimum(last, len(beyond)) - 1] = off[first + 1]
        near = (here > ON_LINE) & (here < least - ON_LINE) & same
        corner = near & (before[:-1] > here + ON_LINE) & (after > here + ON_LINE)
        level = near & (np.abs(after - here) <= ON_LINE)
        level &= (before[:-1] >= here - ON_LINE) & (beyond >= here - ON_LINE)
        for at, mid in ((np.flatnonzero(corner), 0.0), (np.flatnonzero(level), 0.5)):
            found.append((1 - mid) * points[at] + mid * points[at + 1])
            belongs.append(owner[ring[at]])
    bumps, of = np.vstack(found), np.concatenate(belongs)
    foot = bumps.copy()
    foot[:, axis] = place
    sights = np.stack([bumps + 1e-4 * (foot - bumps), foot], axis=1)
    seen = shapely.contains_properly(areas[of], shapely.linestrings(sights))
    bumps, of = bumps[seen], of[seen]
    kept: list[int] = []
    for index in range(len(bumps)):
        if all(of[index] != of[k] or math.dist(bumps[index], bumps[k]) > least for k in kept):
            kept.append(index)
    bumps = bumps[kept]
    return bumps, of[kept], np.abs(bumps[:, axis] - place)
