r"""Joins: a face that is larger than a sheet of board, over a grid of sheets.

Stands after board and before pieces: the sheets are planned first, so that tape tacks and
single_stroke keep off the joins as they keep off folds.

    line   a line of the grid, right across the face
    join   the part of a line inside one piece: two edges of board that meet and are taped
    mark   a tick across a join, to lay its sheets edge to edge again: one tick, then two

    +----------+------+      A line runs where it crosses the least board: over borders that lie
    |   one    : line |      on it, there is nothing to tape. It leaves no sliver of a piece.
    |   sheet  :      |
    +----------+------+
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import LineString, Polygon

from mateline.cabinet.hole import kept_area
from mateline.curves import Chain, Segment
from mateline.errors import InputError
from mateline.stencil.sheets.grid_lines import (
    ROUNDING,
    STRAIGHT_TOL,
    Ground,
    cells,
    least_sheets,
    lines_for,
)
from mateline.stencil.sheets.slivers import (
    Sliver,
    clipped,
    slivers,
    snapped,
    spoiled,
    whole_slivers,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from mateline.cabinet.faces import Face
    from mateline.curves import Point
    from mateline.pattern.pattern import Pattern
    from mateline.stencil.board import Board
    from mateline.stencil.pieces import Piece
    from mateline.stencil.sheets.grid_lines import Lines

    Floats = NDArray[np.float64]

TICK = 6.0  # mm that a mark reaches to each side
APART = 4.0  # mm between the ticks of a double mark


@dataclass(frozen=True, slots=True)
class Join:
    """Where two sheets meet inside piece `piece`; `marks` are ticks across it. mm, face frame.

    `half` is half the width of the tape that is laid along it.
    """

    piece: str
    start: Point
    end: Point
    marks: tuple[Chain, ...]
    half: float

    @property
    def tape(self) -> float:
        """Length of tape for one side of the board, mm."""
        return math.dist(self.start, self.end)

    @property
    def band(self) -> Polygon:
        """What the tape covers, in the face frame, mm: no tack and no mark belongs there."""
        band: Polygon = LineString([self.start, self.end]).buffer(self.half, cap_style="flat")
        return band


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet of the grid: its number and the part of the face that it covers (bounds, mm).

    Sheets are counted, as papers and loads are: a letter and a number is a piece.
    """

    number: int
    bounds: tuple[float, float, float, float]

    @property
    def name(self) -> str:
        """What it is called beside its face: "sheet 1"."""
        return f"sheet {self.number}"

    @property
    def file(self) -> str:
        """What its files are called, without their suffix."""
        return f"sheet-{self.number}"


@dataclass(frozen=True, slots=True)
class Grid:
    """The sheets of one face, the lines between them, and the joins on these.

    `turned`: the sheets lie with their first side upright. Lines are upright at `xs` and level at
    `ys`, right across the face. `slivers` are those that no choice of lines saved.
    """

    turned: bool
    xs: tuple[float, ...]
    ys: tuple[float, ...]
    sheets: tuple[Sheet, ...]
    joins: tuple[Join, ...]
    slivers: tuple[Sliver, ...] = ()


NO_BOARD = Grid(turned=False, xs=(), ys=(), sheets=(), joins=())  # of a face that takes none


def grid_for(face: Face, pattern: Pattern, pieces: Sequence[Piece], board: Board) -> Grid:
    """The grid with the fewest sheets, then the fewest slivers, then the least join length.

    A piece that no tack could hold beside the tape of its join counts as a sliver does. `pieces`
    are the regions of `pattern`, in its order. Raises ValueError for a board without size.
    """
    if min(board.sheet) <= 0:
        raise ValueError(f"a sheet of {board.sheet} mm has no size")
    left, low, right, high = face.outline.bounds
    ways = [(False, board.sheet), (True, board.sheet[::-1])]
    for turned, (wide, tall) in ways:
        if right - left <= wide + ROUNDING and high - low <= tall + ROUNDING:
            return Grid(turned, (), (), _sheets(face.outline, (), ()), ())
    faults = _Faults(pieces, board)
    ground = Ground(face.outline, _room(face), pattern.borders)
    best: tuple[bool, Lines] | None = None
    for turned, size in _worth_trying(ways, face.outline):
        most = None if best is None else best[1].sheets
        lines = lines_for(ground, size, board.least_width, faults.count, most)
        if lines is not None and (best is None or _worth(lines) < _worth(best[1])):
            best = turned, lines
    if best is None:
        wide, tall = board.sheet
        raise InputError(
            "", "stencil, sheet",
            # Of several faces any may be the first: which of them is not the board's fault.
            f"A face can't be parted into sheets of {wide:g} by {tall:g} mm whose parts are all "
            f"wider than {board.least_width:g} mm, the least width.",
            "Give the size of a whole sheet of board; a number without a unit is in the tape's.",
        )  # fmt: skip
    return _drawn(best[0], best[1].xs, best[1].ys, face, pieces, board)


def mirrored(
    grid: Grid, matrix: Floats, face: Face, pieces: Sequence[Piece], board: Board
) -> Grid | None:
    """The grid of a set turned over by `matrix` (2, 3): its lines on the other side's `face`.

    None where that face is so much larger that its sheets would no longer do.
    """
    if not len(grid.xs) and not len(grid.ys):
        return None  # one sheet: planned at once
    (a, b, c), (d, e, f) = matrix.tolist()
    if max(abs(b), abs(d)) > STRAIGHT_TOL:
        return None
    xs = tuple(sorted(a * x + c for x in grid.xs))
    ys = tuple(sorted(e * y + f for y in grid.ys))
    size = board.sheet[::-1] if grid.turned else board.sheet
    for axis, places in ((0, xs), (1, ys)):
        ends = (face.outline.bounds[axis], *places, face.outline.bounds[axis + 2])
        gaps = [last - first for first, last in itertools.pairwise(ends)]
        if min(gaps) <= board.least_width or max(gaps) > size[axis] + ROUNDING:
            return None
    return _drawn(grid.turned, xs, ys, face, pieces, board)


def _worth_trying(
    ways: Sequence[tuple[bool, tuple[float, float]]], outline: Polygon
) -> list[tuple[bool, tuple[float, float]]]:
    """The ways to lay a sheet, the one that may take fewer first.

    Where the face is no higher than a sheet however it lies, the wider one can do all that the
    other can; and so for its width.
    """
    left, low, right, high = outline.bounds
    for axis, extent in ((0, high - low), (1, right - left)):
        if all(size[1 - axis] >= extent for _, size in ways):
            return [max(ways, key=lambda way: way[1][axis])]
    return sorted(ways, key=lambda way: least_sheets(outline, way[1]))


def _worth(lines: Lines) -> tuple[int, int, float]:
    return lines.sheets, lines.faults, lines.length


def _room(face: Face) -> BaseGeometry:
    """The outline without what hardware that stays takes from the board."""
    kept = [kept_area(hole) for hole in face.holes if hole.stays]
    room: BaseGeometry = face.outline.difference(shapely.union_all(kept)) if kept else face.outline
    return room


class _Faults:
    """Counts what a line spoils, each line once."""

    def __init__(self, pieces: Sequence[Piece], board: Board) -> None:
        self._areas = np.array([piece.area for piece in pieces], dtype=object)
        self._board = board
        self._known: dict[tuple[int, float], int] = {}

    def count(self, axis: int, place: float) -> int:
        """Slivers, and pieces that can't be held, along a line square to `axis`."""
        key = axis, place
        if key not in self._known:
            at = np.flatnonzero(_crossed(self._areas, axis, (place,)))
            areas = self._areas[at]
            self._known[key] = spoiled(areas, axis, place, self._board) if len(at) else 0
        return self._known[key]


def _drawn(
    turned: bool,  # noqa: FBT001
    xs: tuple[float, ...],
    ys: tuple[float, ...],
    face: Face,
    pieces: Sequence[Piece],
    board: Board,
) -> Grid:
    areas = np.array([piece.area for piece in pieces], dtype=object)
    joins = _joins(pieces, areas, face.outline.bounds, xs, ys, board.join_tape / 2)
    return Grid(
        turned,
        xs,
        ys,
        _sheets(face.outline, xs, ys),
        tuple(sorted(joins, key=lambda join: join.start)),
        tuple(_slivers(pieces, areas, face.outline.bounds, xs, ys, board)),
    )


def _sheets(outline: Polygon, xs: Sequence[float], ys: Sequence[float]) -> tuple[Sheet, ...]:
    """Cells of the grid that hold some of the face, row by row from the top left."""
    left, low, right, high = outline.bounds
    columns = list(itertools.pairwise((left, *xs, right)))
    rows = list(itertools.pairwise((low, *ys, high)))
    found = sorted(cells(outline, xs, ys), key=lambda cell: (-cell[1], cell[0]))
    return tuple(
        Sheet(number, (columns[c][0], rows[r][0], columns[c][1], rows[r][1]))
        for number, (c, r) in enumerate(found, start=1)
    )


def _slivers(
    pieces: Sequence[Piece],
    areas: NDArray[np.object_],
    bounds: tuple[float, ...],
    xs: Sequence[float],
    ys: Sequence[float],
    board: Board,
) -> Iterator[Sliver]:
    """Slivers along each line, and corners of pieces that only two lines together cut off."""
    told: set[tuple[float, float]] = set()
    for axis, places in ((0, xs), (1, ys)):
        for place in places:
            at = np.flatnonzero(_crossed(areas, axis, (place,)))
            names = [pieces[each].id for each in at.tolist()]
            if len(at):
                for sliver in slivers(names, areas[at], axis, place, board):
                    told.add(sliver.at)
                    yield sliver
    both = (
        np.flatnonzero(_crossed(areas, 0, xs) & _crossed(areas, 1, ys))
        if xs and ys
        else np.empty(0, int)
    )
    for index in both.tolist():
        cut = shapely.intersection(areas[index], _cells(bounds, xs, ys))
        parts = shapely.get_parts(cut)
        parts = parts[shapely.area(parts) > 0]
        for sliver in whole_slivers([pieces[index].id] * len(parts), parts, board):
            if all(math.dist(sliver.at, other) > board.least_width for other in told):
                yield sliver


def _cells(
    bounds: tuple[float, ...], xs: Sequence[float], ys: Sequence[float]
) -> NDArray[np.object_]:
    left, low, right, high = bounds
    found = [
        (x0, y0, x1, y1)
        for x0, x1 in itertools.pairwise((left, *xs, right))
        for y0, y1 in itertools.pairwise((low, *ys, high))
    ]
    return np.asarray(shapely.box(*np.array(found).T), dtype=object)


def _crossed(areas: NDArray[np.object_], axis: int, places: Sequence[float]) -> NDArray[np.bool_]:
    """Which boxes of `areas` have one of the lines inside them."""
    bounds, lines = shapely.bounds(areas), np.array(places)
    low, high = bounds[:, axis, None] + STRAIGHT_TOL, bounds[:, axis + 2, None] - STRAIGHT_TOL
    return np.asarray(np.any((low < lines) & (lines < high), axis=1), dtype=np.bool_)


def _joins(
    pieces: Sequence[Piece],
    areas: NDArray[np.object_],
    bounds: tuple[float, ...],
    xs: Sequence[float],
    ys: Sequence[float],
    half: float,
) -> Iterator[Join]:
    for axis, places in ((0, xs), (1, ys)):
        cuts = (ys, xs)[axis]
        for place in places:
            ends = np.empty((2, 2))
            ends[:, axis] = place
            ends[:, 1 - axis] = bounds[1 - axis] - 1.0, bounds[3 - axis] + 1.0
            at = np.flatnonzero(_crossed(areas, axis, (place,)))
            if not len(at):
                continue
            near, of = clipped(
                snapped(areas[at], axis, place), axis, place - 2 * TICK, place + 2 * TICK
            )
            inside = shapely.intersection(near, LineString(ends))
            # Along a border of the piece the board ends, and nothing is taped.
            taped = shapely.difference(inside, shapely.boundary(near))
            parts, part_of = shapely.get_parts(taped, return_index=True)
            for part, k in zip(parts.tolist(), part_of.tolist(), strict=True):
                if isinstance(part, LineString) and part.length > STRAIGHT_TOL:
                    piece = pieces[at[of[k]]].id
                    for start, end in _between(part, axis, cuts):
                        yield Join(piece, start, end, _marks(start, end, near[k]), half)


def _between(part: LineString, axis: int, cuts: Sequence[float]) -> Iterator[tuple[Point, Point]]:
    """Both ends of each join on one straight part, parted where the other lines cross it."""
    (a, b) = sorted([(x, y) for x, y, *_ in part.coords][:: len(part.coords) - 1])
    stops = [a[1 - axis], *(c for c in cuts if a[1 - axis] < c < b[1 - axis]), b[1 - axis]]
    for first, last in itertools.pairwise(stops):
        yield ((a[0], first), (a[0], last)) if axis == 0 else ((first, a[1]), (last, a[1]))


def _marks(start: Point, end: Point, area: Polygon) -> tuple[Chain, ...]:
    """One tick at a quarter of the join and two at three quarters, as far as the piece goes."""
    long = math.dist(start, end)
    if long < 4 * APART:
        return ()
    ux, uy = (end[0] - start[0]) / long, (end[1] - start[1]) / long
    ticks = []
    shapely.prepare(area)
    for at in (long / 4, 3 * long / 4 - APART / 2, 3 * long / 4 + APART / 2):
        x, y = start[0] + ux * at, start[1] + uy * at
        tick = LineString([(x - uy * TICK, y + ux * TICK), (x + uy * TICK, y - ux * TICK)])
        inside = [tick] if area.covers(tick) else shapely.get_parts(tick & area).tolist()
        for part in inside:
            if isinstance(part, LineString) and part.dwithin(shapely.Point(x, y), 1e-6):
                (ax, ay), (bx, by) = part.coords
                ticks.append(Chain((ax, ay), (Segment((bx, by)),)))
    return tuple(ticks)
