r"""Tape tacks: the fewest punched holes from which tape can hold a whole piece down.

Stands after board, before pieces. Knows areas and holes, no colours and no hardware.

    +---------------------+   reach   how far from a tack's centre the board is still held down
    |   . - - - - .       |   patch   the punched hole and the tape's margin round it: it lies in
    |   . [punch] .  . x  |           the piece, clear of its border and of open holes beneath
    |   . - - - - .       |   spot    a centre and a turn at which a patch lies so
    +---------------------+   demand  a point of the piece that a tack has to reach

A piece held by one tack is the common case and is found at once: the tack goes as near as it can
to the centre of the smallest circle round the piece. Otherwise spots are chosen from a lattice
(greedy set cover, then moved about to get by with one less). What counts is the exact check that
follows (see reach): it adds the points that were missed until nothing is out of reach.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.stencil.board import Board, Punch, Tack
from mateline.stencil.cover import Cover, covered, preferred, recovered
from mateline.stencil.reach import farthest, gaps

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon, Polygon

    from mateline.curves import Point

    Area = Polygon | MultiPolygon
    Floats = NDArray[np.float64]

SLACK = 1e-6  # mm: lengths that differ by less are equal
ROUNDING = 1.002  # no unit: GEOS rounds a corner with chords that leave the arc by 0.12 %
FINEST = 12  # no unit: centres are tried a reach over this apart, or farther on a large piece
FEWEST_SPOTS = 400  # about how many centres are tried on a large piece


@dataclass(frozen=True, slots=True)
class _Spots:
    """Where a patch fits: centres (n, 2), turns (n,), and which punch, counted from the largest."""

    centres: Floats
    turns: Floats
    punches: NDArray[np.int64]


def tacks_for(area: Polygon, holes: Sequence[Polygon], board: Board) -> tuple[Tack, ...]:
    """The tacks of one piece; () where not even the smallest punch fits.

    `holes` are open under the board: what hardware leaves when it is removed, on either side if
    the set is turned over. A tack is put as few times as can be found such that no point of
    `area` is farther than `board.reach` from the centre of one; points that no patch can lie near
    enough to are left out, and `out_of_reach` tells how far they are. A punch is the largest that
    holds as much as any. Lengths in mm, in the frame of `area`.
    """
    near = [hole for hole in holes if shapely.intersects(area, hole)]
    free: Area = area.difference(shapely.union_all(near)) if near else area  # type: ignore[assignment] # stubs say any geometry; a difference of areas is one
    corners = shapely.get_coordinates(area)
    turns = _turns(corners)
    single = _single(area, free, corners, turns, board)
    if single is not None:
        return (single,)
    return _spread(area, free, turns, board)


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


def _single(area: Polygon, free: Area, corners: Floats, turns: Floats, board: Board) -> Tack | None:
    """One tack that reaches every corner, and so every point; None where there is none such."""
    if shapely.minimum_bounding_radius(area) > board.reach:
        return None
    middle = shapely.minimum_bounding_circle(area).centroid
    for punch in board.punches:
        room = shapely.buffer(free, -_inradius(punch, board) * ROUNDING - SLACK)
        if room.is_empty:
            continue
        nearest = shapely.get_coordinates(shapely.shortest_line(room, middle))[:1]
        inner = shapely.get_coordinates(shapely.point_on_surface(shapely.get_parts(room)))
        found = _fitting(free, np.vstack([nearest, inner]), turns, punch, board)
        if len(found[0]) == 0 and not punch.round:
            found = _fitting(free, _deep(free, punch, board, middle), turns, punch, board)
        centres, angles = found
        if len(centres) == 0:
            continue
        far = gaps(centres, corners).max(axis=1)
        best = int(np.argmin(far))
        if far[best] <= board.reach + SLACK:
            x, y = centres[best].tolist()
            return Tack((x, y), punch, float(angles[best]))
    return None


def _deep(free: Area, punch: Punch, board: Board, middle: shapely.Point) -> Floats:
    """More centres to try: where any turn fits, and all round the room near its deepest places."""
    half = math.hypot(punch.length, punch.width) / 2 + board.tape_margin * math.sqrt(2)
    core = shapely.buffer(free, -half * ROUNDING)
    if not core.is_empty:
        return shapely.get_coordinates(shapely.shortest_line(core, middle))[:1]
    room = shapely.buffer(free, -_inradius(punch, board) * ROUNDING - SLACK)
    parts = shapely.get_parts(room)
    around = shapely.line_interpolate_point(
        shapely.boundary(parts)[:, None], np.arange(24) / 24, normalized=True
    )
    return np.vstack(
        [shapely.get_coordinates(shapely.centroid(parts)), shapely.get_coordinates(around)]
    )


def _spread(area: Polygon, free: Area, turns: Floats, board: Board) -> tuple[Tack, ...]:
    """Spots that reach every demand; the exact check adds demands until nothing is out of reach."""
    spots = _Spots(np.empty((0, 2)), np.empty(0), np.empty(0, dtype=np.int64))
    smaller = list(enumerate(board.punches))
    asked = _demand(area, board.reach)
    demand = np.empty((0, 2))
    apart = more = np.empty((0, 0))  # distances (demands, spots)
    chosen: NDArray[np.int64] | None = None
    while len(asked):
        demand = np.vstack([demand, asked])
        apart = np.vstack([apart, more]) if len(apart) else gaps(demand, spots.centres)
        while smaller and apart.min(axis=1, initial=np.inf).max() > board.reach:
            spots = _more_spots(spots, smaller.pop(0), area, free, turns, board)
            apart = gaps(demand, spots.centres)
        reached = apart.min(axis=1, initial=np.inf) <= board.reach  # the rest can't be asked for
        if not reached.any():
            break
        demand, apart = demand[reached], apart[reached]
        cover = Cover(apart, board.reach)
        chosen = covered(cover) if chosen is None else recovered(cover, chosen)
        chosen = preferred(cover, chosen, spots.punches)
        corners, far = farthest(area, spots.centres[chosen], 2 * board.reach)
        asked = corners[far > board.reach + SLACK]
        more = gaps(asked, spots.centres)
        if not smaller:
            reached = more.min(axis=1, initial=np.inf) <= board.reach
            asked, more = asked[reached], more[reached]
    if chosen is None:
        return ()
    return tuple(
        Tack(
            (float(spots.centres[k, 0]), float(spots.centres[k, 1])),
            board.punches[spots.punches[k]],
            float(spots.turns[k]),
        )
        for k in chosen.tolist()
    )


def _more_spots(
    spots: _Spots,
    sized: tuple[int, Punch],
    area: Polygon,
    free: Area,
    turns: Floats,
    board: Board,
) -> _Spots:
    """`spots` and those of one punch more, numbered, where no larger one fits."""
    number, punch = sized
    room = shapely.buffer(free, -_inradius(punch, board) * ROUNDING - SLACK)
    if room.is_empty:
        return spots
    step = max(board.reach / FINEST, math.sqrt(area.area / FEWEST_SPOTS))
    tries = np.vstack([_lattice(area, step), _along(room, step)])
    if len(spots.centres):
        tries = tries[gaps(tries, spots.centres).min(axis=1) > step / 4]
    found, turned = _fitting(free, tries, turns, punch, board)
    return _Spots(
        np.vstack([spots.centres, found]),
        np.append(spots.turns, turned),
        np.append(spots.punches, np.full(len(found), number)),
    )


def _fitting(
    free: Area, centres: Floats, turns: Floats, punch: Punch, board: Board
) -> tuple[Floats, Floats]:
    """Those of `centres` at which the patch fits, and the first turn at which it does."""
    if punch.round:
        turns = turns[:1]
    angles = np.zeros(len(centres))
    fits = np.zeros(len(centres), dtype=bool)
    shapely.prepare(free)
    for turn in turns.tolist():  # most centres on a large piece fit at the first turn
        left = np.flatnonzero(~fits)
        angles[left] = turn
        fits[left] = shapely.contains_properly(
            free, _patches(centres[left], angles[left], punch, board)
        )
    return centres[fits], angles[fits]


def _patches(centres: Floats, turns: Floats, punch: Punch, board: Board) -> NDArray[np.object_]:
    if punch.round:
        sides = np.arange(32) * math.tau / 32
        reach = (punch.length / 2 + board.tape_margin) / math.cos(math.pi / 32)
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
    """Corners of `area`, points along its border and a lattice inside, a third of a reach apart."""
    plain = shapely.simplify(area, reach / 50)
    border = shapely.get_coordinates(shapely.segmentize(plain, reach / 3))
    return np.vstack([border, _lattice(plain, reach / 3)])


def _lattice(area: Area, step: float) -> Floats:
    """Points of a triangular lattice inside `area`, `step` apart, centred on its box."""
    left, low, right, high = area.bounds
    rise = step * math.sqrt(3) / 2
    xs = np.arange((left + right) / 2 % step + left - left % step - step, right + step, step)
    ys = np.arange(((low + high) / 2 - low) % rise + low, high, rise)
    grid = np.stack(np.meshgrid(xs, ys), axis=-1)
    grid[1::2, :, 0] += step / 2
    points = grid.reshape(-1, 2)
    shapely.prepare(area)
    inside: Floats = points[shapely.contains_xy(area, *points.T)]
    return inside


def _along(room: Area, step: float) -> Floats:
    return shapely.get_coordinates(shapely.segmentize(shapely.simplify(room, step / 50), step))
