r"""Tape tacks: the fewest punched holes from which tape can hold a whole piece down.

Stands after single, before pieces. Knows areas and holes, no colours and no hardware.

    +---------------------+   reach   how far from a tack's centre the board is still held down
    |   . - - - - .       |   patch   the punched hole and the tape's margin round it: it lies in
    |   . [punch] .  . x  |           the piece, clear of its border and of open holes beneath
    |   . - - - - .       |   room    where the centre of a patch may be
    +---------------------+   demand  a point of the piece that a tack has to reach

A piece held by one tack is the common case and is found first, for all pieces of a face at once
(see single). Otherwise centres are spread over the room (see spread) to reach sampled demands.
What counts is the exact check that follows (see reach): it adds the points that were missed until
nothing is out of reach.
"""

from __future__ import annotations

import math
from collections import defaultdict
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.products import comparable
from mateline.stencil.board import Board, Punch, Tack
from mateline.stencil.tacks.farthest_point import farthest
from mateline.stencil.tacks.k_centre import Task, k_centres, mended, within
from mateline.stencil.tacks.patches import (
    ROUNDING,
    SLACK,
    fitting,
    inradius,
    inset,
    outradius,
    patches,
    turns_worth,
)
from mateline.stencil.tacks.single import single_tacks

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

    from mateline.curves import Point
    from mateline.stencil.tacks.patches import Area, Areas, Flags, Floats

    Inset = Callable[[Area, float], Area]

ROUNDS = 16  # how often centres are moved for what was missed, before each just gets one more


def tacks_for(area: Polygon, holes: Sequence[Area], board: Board) -> tuple[Tack, ...]:
    """The tacks of one piece; () where not even the smallest punch fits.

    `holes` hold no tape: what is open under the board where hardware is removed, on either side if
    the set is turned over, folds, narrow places, and the tape over joins. A tack is put as few
    times as can be found such that no point of `area` is farther than `board.reach` from the
    centre of one; points that no patch can lie near enough to are left out, and `out_of_reach`
    tells how far they are. A punch is the largest that holds as much as any. Lengths in mm, in
    the frame of `area`.
    """
    return tacks_of(np.array([area], dtype=object), holes, {}, board)[0]


def tacks_of(
    areas: Areas, holes: Sequence[Area], own: Mapping[int, Sequence[Area]], board: Board
) -> list[tuple[Tack, ...]]:
    """As `tacks_for`, for each of `areas`. `own` are holes of a single one, by its place."""
    if not len(areas):
        return []
    free = _free(areas, holes, own)
    single, large = single_tacks(areas, free, board)
    return [
        (single[at],)
        if at in single
        else _several(areas[at], free[at], board, least=2 if at in large else 1)
        for at in range(len(areas))
    ]


def out_of_reach(area: Polygon, tacks: Sequence[Tack], reach: float) -> tuple[Point, float] | None:
    """The point of `area` farthest from its nearest tack and how far, mm; None within `reach`.

    Exact: see the top of this file. Raises ValueError where there is no tack.
    """
    if not tacks:
        raise ValueError("no tack holds the area")
    points, far = farthest(area, np.array([tack.centre for tack in tacks]))
    at = int(np.argmax(comparable(far)))
    if far[at] <= reach + SLACK:
        return None
    x, y = points[at].tolist()
    return (x, y), float(far[at])


def patch(tack: Tack, board: Board) -> Polygon:
    """The tape of one tack: its punched hole and the margin round it, mm.

    A round one is a polygon outside its circle, so that what is clear of it is clear of the tape.
    """
    tape: Polygon = patches(np.array([tack.centre]), np.array([tack.turn]), tack.punch, board)[0]
    return tape


def least_count(area: Polygon, reach: float) -> int:
    """A number of tacks that no layout can do with less than: a lower bound, not the optimum.

    The larger of two: discs of radius `reach` have to fill the area; and points farther than two
    reaches apart need a tack each (as many such points as are found from corners and a lattice).
    """
    lower = max(1, math.ceil(area.area / (math.pi * reach**2) - SLACK))
    points = _demand(area, reach / 4)
    start = points[np.argmin(comparable(points.sum(axis=1)))]
    gap = np.hypot(*(points - start).T)
    apart = 1
    while gap.max() > 2 * reach + SLACK:
        # The nearest point that is still too far packs more points than the farthest one.
        beyond = np.where(gap > 2 * reach + SLACK, gap, np.inf)
        taken = points[np.argmin(comparable(beyond))]
        gap = np.minimum(gap, np.hypot(*(points - taken).T))
        gap[gap <= 2 * reach + SLACK] = 0.0
        apart += 1
    return max(lower, apart)


def _free(areas: Areas, holes: Sequence[Area], own: Mapping[int, Sequence[Area]]) -> Areas:
    """The areas without what of `holes` lies in them, and without their own."""
    gone: dict[int, list[Area]] = defaultdict(list)
    at, hole = shapely.STRtree(list(holes)).query(areas, predicate="intersects")
    for k in np.lexsort((hole, at)).tolist():
        gone[int(at[k])].append(holes[hole[k]])
    for k, found in own.items():
        gone[k] += [area for area in found if shapely.intersects(areas[k], area)]
    free = areas.copy()
    for k, found in gone.items():
        if found:
            free[k] = shapely.difference(areas[k], shapely.union_all(found))
    return free


def _several(area: Polygon, free: Area, board: Board, *, least: int) -> tuple[Tack, ...]:
    """Tacks spread over the room; over what is certainly room where the quick one was not."""
    for moved_in in (_moved_in, _certainly_in):
        tacks = _spread(area, free, board, moved_in, least=least)
        if tacks is not None:
            return tacks
    raise RuntimeError(f"no punch fits in the room of {area.wkt}")


def _spread(
    area: Polygon, free: Area, board: Board, moved_in: Inset, *, least: int
) -> tuple[Tack, ...] | None:
    """Spread tacks; the exact check adds demands until no point in reach of the room is missed.

    None where the room that `moved_in` gives is none.
    """
    corners = shapely.get_coordinates(area)
    turns = turns_worth(corners, np.zeros(len(corners), dtype=np.intp))
    demand = _demand(area, board.reach)
    room, near = _room(demand, free, turns, board, moved_in)
    if room.is_empty:
        return ()
    demand = demand[near]
    if len(demand) == 0:
        demand = shapely.get_coordinates(room.representative_point())
    centres = k_centres(Task(demand, room, board.reach), area, least=least)
    missed, rounds = _missed(area, centres, room, board), 0
    while len(missed):
        rounds += 1
        if rounds <= ROUNDS:
            demand = np.vstack([demand, missed])
            centres = mended(Task(demand, room, board.reach), area, centres)
        else:
            centres = np.vstack([centres, within(room, missed[:1])])
        missed = _missed(area, centres, room, board)
    # Where the room is a few single places, two centres may have come to one of them.
    return _largest(np.unique(centres, axis=0), free, turns, board)


def _missed(area: Polygon, centres: Floats, room: BaseGeometry, board: Board) -> Floats:
    """Points of `area` that no centre reaches, though one in the room could. Exact."""
    corners, far = farthest(area, centres, 2 * board.reach)
    missed = corners[far > board.reach + SLACK]
    reachable: Floats = missed[_reached(room, missed, board.reach - SLACK)]
    return reachable


def _room(
    demand: Floats, free: Area, turns: Floats, board: Board, moved_in: Inset
) -> tuple[BaseGeometry, Flags]:
    """Where centres may be, and which of `demand` are within reach of it.

    It is the room of the largest punch from which all demands are in reach: there is room for a
    punch whichever way it is turned. Where that reaches too little even for the smallest punch,
    single centres are added at which a rectangle fits at one of `turns`.
    """
    room: BaseGeometry = shapely.Polygon()
    for punch in board.punches:
        room = moved_in(free, outradius(punch, board))
        if room.is_empty:
            continue
        shapely.prepare(room)
        near = _reached(room, demand, board.reach - SLACK)
        if near.all() or _reached(room, demand[~near], board.reach).all():
            return room, near
    for punch in board.punches:
        if not punch.round:
            rim = shapely.segmentize(moved_in(free, inradius(punch, board)), board.reach / 12)
            tries = shapely.get_coordinates(rim)
            fits, _ = _fits(free, tries, turns, punch, board)
            room = room.union(shapely.MultiPoint(tries[fits]))
    shapely.prepare(room)
    return room, _reached(room, demand, board.reach - SLACK)


def _reached(room: BaseGeometry, points: Floats, reach: float) -> Flags:
    return np.asarray(shapely.dwithin(room, shapely.points(points), reach), dtype=bool)


def _moved_in(free: Area, by: float) -> Area:
    room: Area = inset(np.array([free], dtype=object), by)[0]
    return room


def _certainly_in(free: Area, by: float) -> Area:
    """The same, slower, from the offsets of single edges, which can't go wrong.

    Of a shape with very short edges GEOS 3.14 may leave slivers that are hardly inside at all.
    """
    rings = shapely.get_parts(shapely.boundary(free))
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    edges = np.stack([corners[:-1], corners[1:]], axis=1)[ring[:-1] == ring[1:]]
    bands = shapely.buffer(shapely.linestrings(edges), by * ROUNDING + SLACK, quad_segs=16)
    room: Area = shapely.difference(free, shapely.union_all(bands))  # type: ignore[assignment] # stubs say any geometry; a difference of areas is one
    return room


def _fits(
    free: Area, centres: Floats, turns: Floats, punch: Punch, board: Board
) -> tuple[Flags, Floats]:
    """At which of `centres` the patch fits, and the first turn at which it does."""
    of = np.zeros(len(centres), dtype=np.intp)
    return fitting(np.array([free], dtype=object), of, centres, turns, punch, board)


def _largest(centres: Floats, free: Area, turns: Floats, board: Board) -> tuple[Tack, ...] | None:
    """A tack at each of `centres`, with the largest punch that fits there at one of `turns`.

    None where at one of them none fits.
    """
    tacks: dict[int, Tack] = {}
    left = np.arange(len(centres))
    for punch in board.punches:
        fits, angles = _fits(free, centres[left], turns, punch, board)
        for at, turn in zip(left[fits].tolist(), angles[fits].tolist(), strict=True):
            x, y = centres[at].tolist()
            tacks[at] = Tack((x, y), punch, turn)
        left = left[~fits]
    if len(left):
        return None
    return tuple(tacks[at] for at in sorted(tacks, key=lambda at: tacks[at].centre))


def _demand(area: Polygon, reach: float) -> Floats:
    """Corners of `area`, points along its border and a lattice inside, a third of a reach apart.

    They only steer: the exact check adds what they miss.
    """
    plain = shapely.simplify(area, reach / 25, preserve_topology=False)  # a tenth of the time
    if plain.is_empty or not plain.is_valid:
        plain = shapely.simplify(area, reach / 25)
    border = shapely.get_coordinates(shapely.segmentize(plain, reach / 3))
    points: Floats = np.unique(np.vstack([border, _lattice(plain, reach / 3)]), axis=0)
    return points


def _lattice(area: Polygon, step: float) -> Floats:
    """Points of a triangular lattice inside `area`, `step` apart, centred on its box."""
    left, low, right, high = area.bounds
    rise = step * math.sqrt(3) / 2
    across = math.ceil((right - left) / (2 * step)) + 1
    up = math.ceil((high - low) / (2 * rise)) + 1
    xs = (left + right) / 2 + step * np.arange(-across, across + 1)
    ys = (low + high) / 2 + rise * np.arange(-up, up + 1)
    grid = np.stack(np.meshgrid(xs, ys), axis=-1)
    grid[1::2, :, 0] += step / 2
    points = grid.reshape(-1, 2)
    shapely.prepare(area)
    inside: Floats = points[shapely.contains_xy(area, *points.T)]
    return inside
