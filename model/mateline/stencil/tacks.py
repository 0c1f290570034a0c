r"""Tape tacks: the fewest punched holes from which tape can hold a whole piece down.

Stands after board, before pieces. Knows areas and holes, no colours and no hardware.

    +---------------------+   reach   how far from a tack's centre the board is still held down
    |   . - - - - .       |   patch   the punched hole and the tape's margin round it: it lies in
    |   . [punch] .  . x  |           the piece, clear of its border and of open holes beneath
    |   . - - - - .       |   room    where the centre of a patch may be
    +---------------------+   demand  a point of the piece that a tack has to reach

A piece held by one tack is the common case and is found at once: the tack goes as near as it can
to the centre of the smallest circle round the piece. Otherwise centres are spread over the room
(see spread) to reach sampled demands. What counts is the exact check that follows (see reach): it
adds the points that were missed until nothing is out of reach.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.stencil.board import Board, Punch, Tack
from mateline.stencil.reach import farthest, gaps
from mateline.stencil.spread import Task, mended, spread, within

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon, Polygon
    from shapely.geometry.base import BaseGeometry

    from mateline.curves import Point

    Area = Polygon | MultiPolygon
    Floats = NDArray[np.float64]

SLACK = 1e-6  # mm: lengths that differ by less are equal
ROUNDS = 16  # how often centres are moved for what was missed, before each just gets one more
SIDES = 64  # of the polygon that stands for a round patch
ROUNDING = 1.003  # no unit: facets of offsets and of round patches leave their arcs by 0.12 % each


def tacks_for(area: Polygon, holes: Sequence[Area], board: Board) -> tuple[Tack, ...]:
    """The tacks of one piece; () where not even the smallest punch fits.

    `holes` hold no tape: what is open under the board where hardware is removed, on either side if
    the set is turned over, folds, narrow places, and the tape over joins. A tack is put as few
    times as can be found such that no point of `area` is farther than `board.reach` from the
    centre of one; points that no patch can lie near enough to are left out, and `out_of_reach`
    tells how far they are. A punch is the largest that holds as much as any. Lengths in mm, in
    the frame of `area`.
    """
    near = [hole for hole in holes if shapely.intersects(area, hole)]
    free: Area = area.difference(shapely.union_all(near)) if near else area  # type: ignore[assignment] # stubs say any geometry; a difference of areas is one
    corners = shapely.get_coordinates(area)
    turns = _turns(corners)
    middle = shapely.minimum_bounding_circle(area).centroid
    if gaps(np.array([[middle.x, middle.y]]), corners).max() > board.reach + SLACK:
        return _several(area, free, turns, board, least=2)
    single = _single(middle, free, corners, turns, board)
    return (single,) if single is not None else _several(area, free, turns, board, least=1)


def out_of_reach(area: Polygon, tacks: Sequence[Tack], reach: float) -> tuple[Point, float] | None:
    """The point of `area` farthest from its nearest tack and how far, mm; None within `reach`.

    Exact: see the top of this file. Raises ValueError where there is no tack.
    """
    if not tacks:
        raise ValueError("no tack holds the area")
    points, far = farthest(area, np.array([tack.centre for tack in tacks]))
    at = int(np.argmax(far))
    if far[at] <= reach + SLACK:
        return None
    x, y = points[at].tolist()
    return (x, y), float(far[at])


def patch(tack: Tack, board: Board) -> Polygon:
    """The tape of one tack: its punched hole and the margin round it, mm.

    A round one is a polygon outside its circle, so that what is clear of it is clear of the tape.
    """
    tape: Polygon = _patches(np.array([tack.centre]), np.array([tack.turn]), tack.punch, board)[0]
    return tape


def least_count(area: Polygon, reach: float) -> int:
    """A number of tacks that no layout can do with less than: a lower bound, not the optimum.

    The larger of two: discs of radius `reach` have to fill the area; and points farther than two
    reaches apart need a tack each (as many such points as are found from corners and a lattice).
    """
    lower = max(1, math.ceil(area.area / (math.pi * reach**2) - SLACK))
    points = _demand(area, reach / 4)
    start = points[np.argmin(points @ np.array([1.0, 1.0]))]
    gap = np.hypot(*(points - start).T)
    apart = 1
    while gap.max() > 2 * reach + SLACK:
        # The nearest point that is still too far packs more points than the farthest one.
        beyond = np.where(gap > 2 * reach + SLACK, gap, np.inf)
        taken = points[np.argmin(beyond)]
        gap = np.minimum(gap, np.hypot(*(points - taken).T))
        gap[gap <= 2 * reach + SLACK] = 0.0
        apart += 1
    return max(lower, apart)


def _single(
    middle: shapely.Point, free: Area, corners: Floats, turns: Floats, board: Board
) -> Tack | None:
    """One tack that reaches every corner, and so every point; None where there is none such."""
    for punch in board.punches:
        room = _inset(free, _inradius(punch, board))
        if room.is_empty:
            continue
        nearest = shapely.get_coordinates(shapely.shortest_line(room, middle))[:1]
        inner = shapely.get_coordinates(shapely.point_on_surface(shapely.get_parts(room)))
        centres = np.vstack([nearest, inner])
        fits, angles = _fitting(free, centres, turns, punch, board)
        if not fits.any() and not punch.round:
            centres = _deep(free, punch, board, middle)
            fits, angles = _fitting(free, centres, turns, punch, board)
        if not fits.any():
            continue
        centres, angles = centres[fits], angles[fits]
        far = gaps(centres, corners).max(axis=1)
        best = int(np.argmin(far))
        if far[best] <= board.reach + SLACK:
            x, y = centres[best].tolist()
            return Tack((x, y), punch, float(angles[best]))
    return None


def _deep(free: Area, punch: Punch, board: Board, middle: shapely.Point) -> Floats:
    """More centres to try: where any turn fits, and all round the room near its deepest places."""
    core = _inset(free, _outradius(punch, board))
    if not core.is_empty:
        return shapely.get_coordinates(shapely.shortest_line(core, middle))[:1]
    room = _inset(free, _inradius(punch, board))
    parts = shapely.get_parts(room)
    around = shapely.line_interpolate_point(
        shapely.boundary(parts)[:, None], np.arange(24) / 24, normalized=True
    )
    return np.vstack(
        [shapely.get_coordinates(shapely.centroid(parts)), shapely.get_coordinates(around)]
    )


def _several(
    area: Polygon, free: Area, turns: Floats, board: Board, *, least: int
) -> tuple[Tack, ...]:
    """Spread tacks; the exact check adds demands until no point in reach of the room is missed."""
    demand = _demand(area, board.reach)
    room = _room(demand, free, turns, board)
    if room.is_empty:
        return ()
    shapely.prepare(room)
    demand = demand[shapely.dwithin(room, shapely.points(demand), board.reach - SLACK)]
    if len(demand) == 0:
        demand = shapely.get_coordinates(room.representative_point())
    centres = spread(Task(demand, room, board.reach), area, least=least)
    missed, rounds = _missed(area, centres, room, board), 0
    while len(missed):
        rounds += 1
        if rounds <= ROUNDS:
            demand = np.vstack([demand, missed])
            centres = mended(Task(demand, room, board.reach), area, centres)
        else:
            centres = np.vstack([centres, within(room, missed[:1])])
        missed = _missed(area, centres, room, board)
    return _largest(centres, free, turns, board)


def _missed(area: Polygon, centres: Floats, room: BaseGeometry, board: Board) -> Floats:
    """Points of `area` that no centre reaches, though one in the room could. Exact."""
    corners, far = farthest(area, centres, 2 * board.reach)
    missed = corners[far > board.reach + SLACK]
    able = shapely.dwithin(room, shapely.points(missed), board.reach - SLACK)
    reachable: Floats = missed[able]
    return reachable


def _room(demand: Floats, free: Area, turns: Floats, board: Board) -> BaseGeometry:
    """Where centres may be: the room of the largest punch from which all demands are in reach.

    There is room for a punch whichever way it is turned. Where that reaches too little even for
    the smallest punch, single centres are added at which a rectangle fits at one of `turns`.
    """
    room: BaseGeometry = shapely.Polygon()
    points = shapely.points(demand)
    for punch in board.punches:
        room = _inset(free, _outradius(punch, board))
        shapely.prepare(room)
        if not room.is_empty and shapely.dwithin(room, points, board.reach).all():
            return room
    for punch in board.punches:
        if not punch.round:
            rim = shapely.segmentize(_inset(free, _inradius(punch, board)), board.reach / 12)
            tries = shapely.get_coordinates(rim)
            fits, _ = _fitting(free, tries, turns, punch, board)
            room = room.union(shapely.MultiPoint(tries[fits]))
    return room


def _inset(free: Area, by: float) -> Area:
    """`free` moved in by `by` and what facets may be out, so that what fits there does fit."""
    inset: Area = shapely.buffer(free, -by * ROUNDING - SLACK, quad_segs=16)
    return inset


def _largest(centres: Floats, free: Area, turns: Floats, board: Board) -> tuple[Tack, ...]:
    """A tack at each of `centres`, with the largest punch that fits there at one of `turns`."""
    tacks: dict[int, Tack] = {}
    left = np.arange(len(centres))
    for punch in board.punches:
        fits, angles = _fitting(free, centres[left], turns, punch, board)
        for at, turn in zip(left[fits].tolist(), angles[fits].tolist(), strict=True):
            x, y = centres[at].tolist()
            tacks[at] = Tack((x, y), punch, turn)
        left = left[~fits]
    if len(left):
        raise RuntimeError(f"no punch fits at {centres[left].tolist()}, which is in the room")
    return tuple(tacks[at] for at in sorted(tacks, key=lambda at: tacks[at].centre))


def _fitting(
    free: Area, centres: Floats, turns: Floats, punch: Punch, board: Board
) -> tuple[NDArray[np.bool_], Floats]:
    """At which of `centres` the patch fits, and the first turn at which it does."""
    if punch.round:
        turns = turns[:1]
    every = np.repeat(centres, len(turns), axis=0)
    patches = _patches(every, np.tile(turns, len(centres)), punch, board)
    shapely.prepare(free)
    table = np.reshape(shapely.contains_properly(free, patches), (len(centres), len(turns)))
    return np.asarray(table.any(axis=1), dtype=bool), turns[table.argmax(axis=1)]


def _patches(centres: Floats, turns: Floats, punch: Punch, board: Board) -> NDArray[np.object_]:
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
    return np.asarray(shapely.polygons(np.stack([xs, ys], axis=-1)), dtype=object)


def _inradius(punch: Punch, board: Board) -> float:
    return min(punch.length, punch.width) / 2 + board.tape_margin


def _outradius(punch: Punch, board: Board) -> float:
    if punch.round:
        return punch.length / 2 + board.tape_margin
    return math.hypot(punch.length / 2 + board.tape_margin, punch.width / 2 + board.tape_margin)


def _turns(corners: Floats) -> Floats:
    """Turns worth trying, radians: square to the face, and along the piece's longest edge."""
    edges = np.diff(corners, axis=0)
    longest = edges[np.argmax(np.einsum("ij,ij->i", edges, edges))]
    along = math.atan2(longest[1], longest[0]) % (math.pi / 2)
    turns = [0.0, math.pi / 2]
    if min(along, math.pi / 2 - along) > 1e-9:
        turns += [along, along + math.pi / 2]
    return np.array(turns)


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
