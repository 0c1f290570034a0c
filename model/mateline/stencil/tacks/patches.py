"""Patches: the tape of a tack on its punched hole, and where on a piece one fits.

Stands after board, before single and tape_tacks. Plain areas, many at a time: one call for all
pieces of a face costs a fraction of a call for each.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.products import comparable, dots

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely import MultiPolygon, Polygon

    from mateline.stencil.board import Board, Punch

    Area = Polygon | MultiPolygon
    Areas = NDArray[np.object_]
    Flags = NDArray[np.bool_]
    Floats = NDArray[np.float64]
    Places = NDArray[np.intp]

SLACK = 1e-6  # mm: lengths that differ by less are equal
SIDES = 64  # of the polygon that stands for a round patch
ROUNDING = 1.003  # no unit: facets of offsets and of round patches leave their arcs by 0.12 % each


def patches(centres: Floats, turns: Floats, punch: Punch, board: Board) -> Areas:
    """Patches at `centres` (n, 2), turned by `turns` (n,), as polygons, mm.

    A round one is a polygon outside its circle, so that what is clear of it is clear of the tape.
    """
    return np.asarray(shapely.polygons(_corners(centres, turns, punch, board)), dtype=object)


def fitting(
    free: Areas, of: Places, centres: Floats, turns: Floats, punch: Punch, board: Board
) -> tuple[Flags, Floats]:
    """At which of `centres` (n, 2) the patch fits into its area, and the first turn at which.

    `of` (n,) are the places of the centres' areas in `free`; `turns` (areas, m) are what is tried,
    NaN where it need not be.
    """
    tried = turns[of]
    if punch.round:
        tried = tried[:, :1]
    row, column = np.nonzero(~np.isnan(tried))
    shapely.prepare(free)
    corners = _corners(centres[row], tried[row, column], punch, board)
    able = np.arange(len(row))
    for corner in range(0, corners.shape[1], corners.shape[1] // 4):
        # Most that do not fit have one of four corners outside: cheaper than to make polygons.
        x, y = corners[able, corner].T
        able = able[shapely.contains_xy(free[of[row[able]]], x, y)]
    table = np.zeros(tried.shape, dtype=bool)
    inside = shapely.contains_properly(free[of[row[able]]], shapely.polygons(corners[able]))
    table[row[able], column[able]] = inside
    first: Floats = tried[np.arange(len(of)), table.argmax(axis=1)]
    return np.asarray(table.any(axis=1), dtype=bool), first


def inset(free: Areas, by: float) -> Areas:
    """`free` moved in by `by` and what facets may be out, so that what fits there does fit."""
    return np.asarray(shapely.buffer(free, -by * ROUNDING - SLACK, quad_segs=16), dtype=object)


def inradius(punch: Punch, board: Board) -> float:
    """Of the largest circle in the patch, mm."""
    return min(punch.length, punch.width) / 2 + board.tape_margin


def outradius(punch: Punch, board: Board) -> float:
    """Of the smallest circle round the patch, mm."""
    if punch.round:
        return punch.length / 2 + board.tape_margin
    return math.hypot(punch.length / 2 + board.tape_margin, punch.width / 2 + board.tape_margin)


def turns_worth(corners: Floats, of: Places) -> Floats:
    """Turns worth trying on areas with `corners` (n, 2), radians: (areas, 4), NaN where fewer.

    Square to the face, and along the area's longest edge. `of` (n,) is each corner's area,
    counted up from 0.
    """
    edges = np.diff(corners, axis=0)
    long = np.where(of[1:] == of[:-1], comparable(np.sqrt(dots(edges, edges))), -1.0)
    starts = starts_of(of)
    most = np.maximum.reduceat(np.append(long, -1.0), starts)
    longest = np.flatnonzero(long == most[of[:-1]])
    longest = longest[np.searchsorted(of[longest], np.arange(len(starts)))]
    along = np.array([math.atan2(y, x) for x, y in edges[longest].tolist()]) % (math.pi / 2)
    along[np.minimum(along, math.pi / 2 - along) <= 1e-9] = np.nan
    zero = np.zeros_like(along)
    return np.stack([zero, zero + math.pi / 2, along, along + math.pi / 2], axis=1)


def spans_at(corners: Floats, of: Places, turns: Floats) -> tuple[Floats, Floats]:
    """How long and how wide areas with `corners` (n, 2) are along and across `turns` (areas, m).

    `of` (n,) is each corner's area, counted up from 0.
    """
    cos, sin = np.cos(turns)[of], np.sin(turns)[of]
    x, y = corners[:, :1], corners[:, 1:]
    starts = starts_of(of)
    long, wide = (
        np.maximum.reduceat(way, starts) - np.minimum.reduceat(way, starts)
        for way in (x * cos + y * sin, y * cos - x * sin)
    )
    return long, wide


def room_for(spans: tuple[Floats, Floats], turns: Floats, punch: Punch, board: Board) -> Floats:
    """`turns` (areas, m), NaN where an area is shorter or narrower than the patch turned so.

    `spans` are theirs, see `spans_at`. What is left need not fit; what is not left does not,
    wherever it is put.
    """
    if punch.round:
        long = wide = punch.length + 2 * board.tape_margin
    else:
        long, wide = (side + 2 * board.tape_margin for side in (punch.length, punch.width))
    along, across = spans
    return np.where((along > long - SLACK) & (across > wide - SLACK), turns, np.nan)


def starts_of(of: Places) -> Places:
    """Where in `of`, which counts up from 0 with no number left out, each number comes first."""
    return np.flatnonzero(np.diff(of, prepend=-1))


def _corners(centres: Floats, turns: Floats, punch: Punch, board: Board) -> Floats:
    """Corners of the patches, (n, corners, 2)."""
    if punch.round:
        sides = np.arange(SIDES) * math.tau / SIDES
        reach = (punch.length / 2 + board.tape_margin) / math.cos(math.pi / SIDES)
        shape = reach * np.column_stack([np.cos(sides), np.sin(sides)])
    else:
        x, y = punch.length / 2 + board.tape_margin, punch.width / 2 + board.tape_margin
        shape = np.array([[x, -y], [x, y], [-x, y], [-x, -y]])
    cos, sin = np.cos(turns)[:, None], np.sin(turns)[:, None]
    xs = centres[:, :1] + cos * shape[:, 0] - sin * shape[:, 1]
    ys = centres[:, 1:] + sin * shape[:, 0] + cos * shape[:, 1]
    return np.stack([xs, ys], axis=-1)
