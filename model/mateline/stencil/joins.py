r"""Joins: a face that is larger than a sheet of board, over a grid of sheets.

Stands after pieces and board.

    line   a line of the grid, right across the face
    join   the part of a line inside one piece: two edges of board that meet and are taped
    mark   a tick across a join, to lay its sheets edge to edge again: one tick, then two

    +----------+------+      A line runs where it crosses the least board: over borders that lie
    |   one    : line |      on it, there is nothing to tape. It keeps off tacks and leaves no
    |   sheet  :      |      sliver of a piece.
    +----------+------+
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import LineString, Polygon, box

from mateline.curves import Chain, Segment
from mateline.stencil.labels import boxed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from mateline.curves import Point
    from mateline.stencil.board import Board
    from mateline.stencil.pieces import Piece, Stencil

    Floats = NDArray[np.float64]

STEP = 5.0  # mm between the places that are tried for a line
TACK_COST = 1e5  # mm of join: what it costs to cut a tack, so that it is the last resort
KEPT = 24  # choices for the lines of one direction that are tried with those of the other
TRIES = 16  # choices of lines, from the cheapest on, that are looked at for slivers
TICK = 6.0  # mm that a mark reaches to each side
APART = 4.0  # mm between the ticks of a double mark
STRAIGHT_TOL = 1e-6  # mm by which a border's facets may leave a line that they lie on


@dataclass(frozen=True, slots=True)
class Join:
    """Where two sheets meet inside piece `piece`; `marks` are ticks across it. mm, face frame."""

    piece: str
    start: Point
    end: Point
    marks: tuple[Chain, ...]

    @property
    def tape(self) -> float:
        """Length of tape for one side of the board, mm."""
        return math.dist(self.start, self.end)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet of the grid: its name and the part of the face that it covers (bounds, mm)."""

    name: str
    bounds: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Grid:
    """The sheets of one face and the joins between them.

    `turned`: the sheets lie with their first side upright. `slivers` are points in parts of
    pieces that no choice of lines could save; `cut_tacks` counts tacks under a line.
    """

    turned: bool
    sheets: tuple[Sheet, ...]
    joins: tuple[Join, ...]
    slivers: tuple[Point, ...] = ()
    cut_tacks: int = 0


@dataclass(frozen=True, slots=True)
class _Lines:
    """Lines of one direction, where they are (mm), what they cost (mm of join)."""

    places: tuple[float, ...]
    cost: float


def grid_for(stencil: Stencil, board: Board) -> Grid:
    """The grid with the fewest sheets, then no sliver, then the least join length.

    Raises ValueError for a board without size.
    """
    if min(board.sheet) <= 0:
        raise ValueError(f"a sheet of {board.sheet} mm has no size")
    ways = [(False, board.sheet), (True, board.sheet[::-1])]
    found = [_grid(stencil, board, size, turned) for turned, size in ways]
    return min(
        found,
        key=lambda grid: (
            len(grid.sheets),
            grid.cut_tacks,
            len(grid.slivers),
            sum(join.tape for join in grid.joins),
        ),
    )


def _grid(stencil: Stencil, board: Board, size: tuple[float, float], turned: bool) -> Grid:  # noqa: FBT001
    outline = stencil.face.outline
    across = [_choices(stencil, board, axis, size[axis]) for axis in (0, 1)]
    rectangle = outline.area >= box(*outline.bounds).area * (1 - 1e-9)
    ranked = []
    for xs, ys in itertools.product(*across):
        count = (len(xs.places) + 1) * (len(ys.places) + 1)
        if not rectangle:
            count = len(_sheets(outline, xs.places, ys.places))
        ranked.append((count, xs.cost + ys.cost, xs.places, ys.places))
    ranked.sort()
    fewest = ranked[0][0]
    best: tuple[int, int] | None = None
    chosen = ranked[0]
    for choice in ranked[:TRIES]:
        if choice[0] > fewest:
            break
        slivers = len(_slivers(stencil, board, choice[2], choice[3]))
        tacks = int(choice[1] // TACK_COST)
        if best is None or (tacks, slivers) < best:
            best, chosen = (tacks, slivers), choice
        if best == (0, 0):
            break
    _, cost, xs_chosen, ys_chosen = chosen
    return Grid(
        turned,
        _sheets(outline, xs_chosen, ys_chosen),
        tuple(sorted(_joins(stencil, xs_chosen, ys_chosen), key=lambda join: join.start)),
        _slivers(stencil, board, xs_chosen, ys_chosen),
        int(cost // TACK_COST),
    )


def _sheets(outline: Polygon, xs: Sequence[float], ys: Sequence[float]) -> tuple[Sheet, ...]:
    """Cells of the grid that hold some of the face, row by row from the top left."""
    left, low, right, high = outline.bounds
    columns = list(itertools.pairwise((left, *xs, right)))
    rows = list(itertools.pairwise((low, *ys, high)))[::-1]
    cells = [
        Sheet(f"{_letter(c)}{r + 1}", (x0, y0, x1, y1))
        for r, (y0, y1) in enumerate(rows)
        for c, (x0, x1) in enumerate(columns)
    ]
    boxes = shapely.box(*np.array([cell.bounds for cell in cells]).T)
    used = shapely.area(shapely.intersection(outline, boxes)) > 1e-6
    return tuple(cell for cell, use in zip(cells, used.tolist(), strict=True) if use)


def _letter(column: int) -> str:
    return (
        chr(ord("A") + column) if column < 26 else _letter(column // 26 - 1) + _letter(column % 26)
    )


def _choices(stencil: Stencil, board: Board, axis: int, size: float) -> list[_Lines]:
    """Ways to draw the fewest lines square to `axis` that leave no strip wider than `size`."""
    bounds = stencil.face.outline.bounds
    low, high = bounds[axis], bounds[axis + 2]
    count = math.ceil((high - low) / size - 1e-9) - 1
    if count <= 0:
        return [_Lines((), 0.0)]
    places = _places(stencil, axis, low, high)
    # So that lines that leave no choice at all are among them.
    places = np.union1d(places, [low + size * at for at in range(1, count + 1)])
    places = np.union1d(places, [high - size * at for at in range(1, count + 1)])
    places = places[(places > low + 1e-9) & (places < high - 1e-9)]
    costs = _costs(stencil, board, axis, places)
    return _cheapest(places, costs, (low, high, size), count)


def _places(stencil: Stencil, axis: int, low: float, high: float) -> Floats:
    """Where lines are tried: every `STEP`, and along straight borders square to the axis."""
    steps = np.arange(low + STEP, high, STEP)
    points, along = _straight(stencil, axis)
    return np.union1d(steps, points[along > STEP, 0]) if len(points) else steps


def _straight(stencil: Stencil, axis: int) -> tuple[Floats, Floats]:
    """Borders' straight parts square to `axis`: place and from, to on the other axis; lengths."""
    parts = []
    for border in stencil.pattern.borders:
        here, other = border.points[:, axis], border.points[:, 1 - axis]
        level = np.abs(np.diff(here)) <= STRAIGHT_TOL
        parts.append(np.column_stack([here[:-1], other[:-1], other[1:]])[level])
    found = np.vstack(parts)
    return found, np.abs(found[:, 2] - found[:, 1])


def _costs(stencil: Stencil, board: Board, axis: int, places: Floats) -> Floats:
    """For each place the length of board on a line there, and much more where it cuts tacks."""
    bounds = stencil.face.outline.bounds
    lines = _lines(places, axis, bounds)
    costs: Floats = shapely.length(shapely.intersection(stencil.face.outline, lines))
    edges, lengths = _straight(stencil, axis)
    for place, length in zip(edges[:, 0], lengths, strict=True):
        costs[np.abs(places - place) <= STRAIGHT_TOL] -= length
    for piece in stencil.pieces:
        for tack in piece.tacks:
            long, wide = (
                side + 2 * board.tape_margin for side in (tack.punch.length, tack.punch.width)
            )
            corners = np.array(boxed(tack.centre, long, wide, tack.turn))[:, axis]
            costs[(places > corners.min()) & (places < corners.max())] += TACK_COST
    return np.maximum(costs, 0.0)


def _lines(places: Floats, axis: int, bounds: tuple[float, ...]) -> NDArray[np.object_]:
    first, last = bounds[1 - axis] - 1.0, bounds[3 - axis] + 1.0
    ends = np.empty((len(places), 2, 2))
    ends[:, :, axis] = places[:, None]
    ends[:, :, 1 - axis] = (first, last)
    return np.asarray(shapely.linestrings(ends), dtype=object)


def _cheapest(
    places: Floats, costs: Floats, span: tuple[float, float, float], count: int
) -> list[_Lines]:
    """For each place that the last of `count` lines can have, the cheapest lines before it.

    The `KEPT` cheapest of these, and the ones farthest left and right. Shortest paths, line by
    line; `span` is the low and high end and the widest strip.
    """
    low, high, size = span
    reach = size + 1e-9
    total = np.where(places - low <= reach, costs, np.inf)
    before: list[NDArray[np.int64]] = []
    for _ in range(count - 1):
        steps = places[None, :] - places[:, None]  # from row to column
        ways = np.where((steps > 0) & (steps <= reach), total[:, None], np.inf)
        best = ways.argmin(axis=0)
        total = ways[best, np.arange(len(places))] + costs
        before.append(best)
    total = np.where(high - places <= reach, total, np.inf)
    can = np.flatnonzero(np.isfinite(total))
    chosen = list(
        dict.fromkeys([*can[np.argsort(total[can], kind="stable")][:KEPT], can[0], can[-1]])
    )
    found = []
    for last in chosen:
        at, path = int(last), [int(last)]
        for step in reversed(before):
            at = int(step[at])
            path.append(at)
        found.append(_Lines(tuple(float(places[at]) for at in path[::-1]), float(total[last])))
    return found


def _slivers(
    stencil: Stencil, board: Board, xs: Sequence[float], ys: Sequence[float]
) -> tuple[Point, ...]:
    """Points in parts of cut pieces that are too narrow or too small to handle."""
    found: list[Point] = []
    for _, part in _parts(stencil, xs, ys):
        if part.area < board.least_area or part.buffer(-board.least_width / 2).is_empty:
            at = part.representative_point()
            found.append((at.x, at.y))
    return tuple(found)


def _parts(
    stencil: Stencil, xs: Sequence[float], ys: Sequence[float]
) -> Iterator[tuple[Piece, Polygon]]:
    """What the lines make of the pieces that they go through."""
    left, low, right, high = stencil.face.outline.bounds
    cells = [
        box(x0, y0, x1, y1)
        for x0, x1 in itertools.pairwise((left, *xs, right))
        for y0, y1 in itertools.pairwise((low, *ys, high))
    ]
    areas = np.array([piece.area for piece in stencil.pieces], dtype=object)
    for at in np.flatnonzero(_crossed(areas, 0, xs) | _crossed(areas, 1, ys)).tolist():
        for part in shapely.get_parts(shapely.intersection(areas[at], cells)).tolist():
            if isinstance(part, Polygon) and not part.is_empty:
                yield stencil.pieces[at], part


def _crossed(areas: NDArray[np.object_], axis: int, places: Sequence[float]) -> NDArray[np.bool_]:
    """Which boxes of `areas` have one of the lines inside them."""
    bounds, lines = shapely.bounds(areas), np.array(places)
    low, high = bounds[:, axis, None], bounds[:, axis + 2, None]
    return np.asarray(np.any((low < lines) & (lines < high), axis=1), dtype=np.bool_)


def _joins(stencil: Stencil, xs: Sequence[float], ys: Sequence[float]) -> Iterator[Join]:
    bounds = stencil.face.outline.bounds
    areas = np.array([piece.area for piece in stencil.pieces], dtype=object)
    for axis, places in ((0, xs), (1, ys)):
        cuts = (ys, xs)[axis]
        for line, at in zip(_lines(np.array(places), axis, bounds), places, strict=True):
            for index in np.flatnonzero(_crossed(areas, axis, (at,))).tolist():
                piece = stencil.pieces[index]
                inside = shapely.intersection(line, piece.area)
                # Along a border of the piece the board ends, and nothing is taped.
                taped = shapely.difference(inside, piece.area.boundary)
                for part in shapely.get_parts(taped).tolist():
                    if isinstance(part, LineString) and part.length > STRAIGHT_TOL:
                        yield from _between(piece, part, axis, cuts)


def _between(piece: Piece, part: LineString, axis: int, cuts: Sequence[float]) -> Iterator[Join]:
    """The joins of one straight part, parted where the other lines cross it."""
    (a, b) = sorted([(x, y) for x, y, *_ in part.coords][:: len(part.coords) - 1])
    stops = [a[1 - axis], *(c for c in cuts if a[1 - axis] < c < b[1 - axis]), b[1 - axis]]
    for first, last in itertools.pairwise(stops):
        ends = [(a[0], at) if axis == 0 else (at, a[1]) for at in (first, last)]
        yield Join(piece.id, ends[0], ends[1], _marks(ends[0], ends[1], piece.area))


def _marks(start: Point, end: Point, area: Polygon) -> tuple[Chain, ...]:
    """One tick at a quarter of the join and two at three quarters, as far as the piece goes."""
    long = math.dist(start, end)
    if long < 4 * APART:
        return ()
    ux, uy = (end[0] - start[0]) / long, (end[1] - start[1]) / long
    ticks = []
    for at in (long / 4, 3 * long / 4 - APART / 2, 3 * long / 4 + APART / 2):
        x, y = start[0] + ux * at, start[1] + uy * at
        tick = LineString([(x - uy * TICK, y + ux * TICK), (x + uy * TICK, y - ux * TICK)])
        for part in shapely.get_parts(tick.intersection(area)).tolist():
            if isinstance(part, LineString) and part.dwithin(shapely.Point(x, y), 1e-6):
                (ax, ay), (bx, by) = part.coords
                ticks.append(Chain((ax, ay), (Segment((bx, by)),)))
    return tuple(ticks)
