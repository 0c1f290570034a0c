"""Pieces that one tack can hold: the common case, found for all pieces of a face at once.

Stands after patches, before tape_tacks. The tack goes as near as it can to the centre of the
smallest circle round the piece, with the largest punch that lets it reach every corner.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.products import comparable
from mateline.stencil.board import Tack
from mateline.stencil.tacks.patches import (
    SLACK,
    fitting,
    inradius,
    inset,
    outradius,
    room_for,
    spans_at,
    starts_of,
    turns_worth,
)

if TYPE_CHECKING:
    from mateline.stencil.board import Board, Punch
    from mateline.stencil.tacks.patches import Areas, Floats, Places

    Found = dict[int, Tack]

AROUND = np.arange(24) / 24  # shares of a border at which a rectangle is tried


def single_tacks(areas: Areas, free: Areas, board: Board) -> tuple[Found, set[int]]:
    """One tack each, by place in `areas`, that reaches every corner and so every point of one.

    `free` (n,) is what of each may have tape. Also the places of those that one tack is too few
    for wherever it is put.
    """
    corners, of = shapely.get_coordinates(areas, return_index=True)
    middles = shapely.centroid(shapely.minimum_bounding_circle(areas))
    at_middle = shapely.get_coordinates(middles)
    far = _reach(at_middle, np.arange(len(areas)), corners, of)
    large = far > board.reach + SLACK
    turns = turns_worth(corners, of)
    spans = spans_at(corners, of, turns)
    left = np.flatnonzero(~large)
    found: Found = {}
    for punch in board.punches:
        tried = room_for(spans, turns, punch, board)
        wide = left[~np.isnan(tried[left]).all(axis=1)]
        at, centres, angles = _candidates(free[wide], middles[wide], tried[wide], punch, board)
        at = wide[at]
        far = _reach(centres, at, corners, of)
        # The nearest of each area's; the first of those as near.
        order = np.lexsort((np.arange(len(at)), comparable(far), at))
        order = order[np.diff(at[order], prepend=-1) > 0]
        for k in order[far[order] <= board.reach + SLACK].tolist():
            x, y = centres[k].tolist()
            found[int(at[k])] = Tack((x, y), punch, float(angles[k]))
        left = np.array([k for k in left.tolist() if k not in found], dtype=np.intp)
        if not len(left):
            break
    return found, set(np.flatnonzero(large).tolist())


def _candidates(
    free: Areas, middles: Areas, turns: Floats, punch: Punch, board: Board
) -> tuple[Places, Floats, Floats]:
    """Centres where the patch fits, and turns: the place in `free` of each, (n,), (n, 2), (n,)."""
    room = inset(free, inradius(punch, board))
    some = np.flatnonzero(~shapely.is_empty(room))
    parts, part_of = shapely.get_parts(room[some], return_index=True)
    nearest = _nearest(room[some], middles[some])
    inner = shapely.get_coordinates(shapely.point_on_surface(parts))
    of, centres = np.append(some, some[part_of]), np.vstack([nearest, inner])
    fits, angles = fitting(free, of, centres, turns, punch, board)
    found = [(of[fits], centres[fits], angles[fits])]
    rest = np.setdiff1d(some, of[fits])
    if len(rest) and not punch.round:
        at, centres = _deep(free[rest], room[rest], middles[rest], outradius(punch, board))
        of = rest[at]
        fits, angles = fitting(free, of, centres, turns, punch, board)
        found.append((of[fits], centres[fits], angles[fits]))
    ofs, places, ways = zip(*found, strict=True)
    return np.concatenate(ofs), np.concatenate(places), np.concatenate(ways)


def _deep(free: Areas, room: Areas, middles: Areas, out: float) -> tuple[Places, Floats]:
    """More centres to try: where any turn fits, and all round the room near its deepest places.

    With the place of each in `free`.
    """
    core = inset(free, out)
    hollow = shapely.is_empty(core)
    turned, rest = np.flatnonzero(~hollow), np.flatnonzero(hollow)
    parts, part_of = shapely.get_parts(room[rest], return_index=True)
    around = shapely.line_interpolate_point(
        shapely.boundary(parts)[:, None], AROUND, normalized=True
    )
    centres = [
        _nearest(core[turned], middles[turned]),
        shapely.get_coordinates(shapely.centroid(parts)),
        shapely.get_coordinates(around),
    ]
    of = [turned, rest[part_of], np.repeat(rest[part_of], len(AROUND))]
    return np.concatenate(of), np.vstack(centres)


def _nearest(room: Areas, middles: Areas) -> Floats:
    """The point of each room that is nearest to its middle, (n, 2)."""
    nearest: Floats = shapely.get_coordinates(shapely.shortest_line(room, middles))[::2]
    return nearest


def _reach(centres: Floats, at: Places, corners: Floats, of: Places) -> Floats:
    """How far each of `centres` is from the farthest corner of its area `at`, (n,)."""
    if not len(centres):
        return np.zeros(0)
    starts = starts_of(of)
    count = np.diff(starts, append=len(of))[at]
    first = np.append(0, np.cumsum(count)[:-1])
    own = np.repeat(np.arange(len(at)), count)
    corner = np.arange(len(own)) - first[own] + starts[at][own]
    far = np.sqrt(((centres[own] - corners[corner]) ** 2).sum(axis=1))
    most: Floats = np.maximum.reduceat(far, first)
    return most
