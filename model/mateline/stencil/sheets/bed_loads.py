r"""Loads: a sheet of board that is larger than the bed of the machine that cuts it.

Stands after joins, crosses and clipping.

    load   what is cut while the board lies still; the board is then moved on for the next one
    line   where two loads meet: each border that crosses it is cut up to it from both sides
    lap    how far the bed reaches over a line, so that neighbours see the same strip of board
    cross  drawn in the strip by the earlier load, found again there by the later one

    +---------:--|--:--------+      |  line, where it crosses the fewest borders
    |  load 1 :+ |  : load 2 |      :  the strip that both loads have on the bed
    |         :  | +:        |      +  three crosses, not in line: two fix shift and turn, and
    +---------:--|--:--------+         the third shows a board that lies the wrong way round

A drag knife's pivot swivels about its tip: a load is laid off the edges of the bed by a rim, so
that no motion leaves the bed.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import LineString, Polygon, box

from mateline.curves import flattened
from mateline.stencil.sheets.crosses import ARM

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from numpy.typing import NDArray

    from mateline.curves import Chain, Point
    from mateline.stencil.sheets.clipping import Bounds, Cell

    Floats = NDArray[np.float64]

LAP = 20.0  # mm
OFF = LAP - ARM - 1.0  # mm from the line to a cross that is clear of the strip's end
NEAREST = 4.0  # mm from the line, where a cross farther off would not be clear
CLEAR = 1.0  # mm between a cross and what is cut or lettered
LEAST = 2 * LAP  # mm: no load is narrower
STEP = 2.5  # mm between the places that are tried for a line or a cross
SMALL = 60.0  # mm: a piece no longer than this is kept in one load where that can be
CROSSED, LETTER, SMALL_CROSSED, TACK = 1.0, 3.0, 20.0, 50.0  # what a line pays for going through


@dataclass(frozen=True, slots=True)
class Bed:
    """The machine's bed, mm. Nothing is laid on the `rim` along its edges."""

    size: tuple[float, float]
    rim: float = 0.0

    @property
    def room(self) -> tuple[float, float]:
        """What of it takes board."""
        return self.size[0] - 2 * self.rim, self.size[1] - 2 * self.rim


@dataclass(frozen=True, slots=True)
class Load:
    """One load by its number: the cell that it cuts, and `bounds`, all of the bed within its rim,
    in the face frame, mm.

    `turned`: the board lies a quarter turn counter-clockwise on the bed. `drawn` are the middles
    of the crosses that this load draws, `found` those that earlier loads drew, with their numbers.
    """

    number: int
    cell: Cell
    bounds: Bounds
    turned: bool
    drawn: tuple[Point, ...] = ()
    found: tuple[tuple[int, Point], ...] = ()
    rim: float = 0.0

    @property
    def name(self) -> str:
        """What it is called beside its sheet: "load 1"."""
        return f"load {self.number}"

    @property
    def matrix(self) -> Floats:
        """From the face frame to the bed's: (2, 3), the bed's lower-left corner is (0, 0)."""
        left, low, _, high = self.bounds
        rim = self.rim
        if self.turned:
            return np.array([[0.0, -1.0, rim + high], [1.0, 0.0, rim - left]])
        return np.array([[1.0, 0.0, rim - left], [0.0, 1.0, rim - low]])

    @property
    def size(self) -> tuple[float, float]:
        """How much of the bed is used, along its two sides, with its rim, mm."""
        left, low, right, high = self.bounds
        wide, tall = right - left + 2 * self.rim, high - low + 2 * self.rim
        return (tall, wide) if self.turned else (wide, tall)


@dataclass(frozen=True, slots=True)
class Loads:
    """All loads of one sheet, in order, and the lines between them, rising, mm."""

    loads: tuple[Load, ...]
    xs: tuple[float, ...]
    ys: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Work:
    """What lies on a sheet, face frame: chains to cut, tacks to punch, lettering; the pieces."""

    cut: tuple[Chain, ...]
    tacks: tuple[Chain, ...]
    letters: tuple[Chain, ...]
    pieces: tuple[Polygon, ...]


def loads_for(bounds: Bounds, outline: Polygon, work: Work, bed: Bed) -> Loads | None:
    """The fewest loads for the part of `outline` on a sheet, along the lines that cost least.

    None where the sheet fits the bed as it is drawn. Raises ValueError for a bed that is no
    wider than two laps and the narrowest load.
    """
    room = bed.room
    if min(room) <= LEAST + 2 * LAP:
        raise ValueError(f"a bed of {room} mm is too narrow for loads that share strips")
    left, low, right, high = bounds
    if right - left <= room[0] + 1e-9 and high - low <= room[1] + 1e-9:
        return None
    costs = _Costs(work)
    part = shapely.intersection(outline, box(*bounds))
    ways = []
    for turned, size in ((False, room), (True, room[::-1])):
        xs, ys = (
            _lines(bounds[axis], bounds[axis + 2], size[axis], costs, axis) for axis in (0, 1)
        )
        cells = _cells(bounds, xs, ys, part)
        cost = sum(costs.at(axis, np.array(lines)).sum() for axis, lines in ((0, xs), (1, ys)))
        ways.append((len(cells), float(cost), turned, xs, ys))
    _, _, turned, xs, ys = min(ways)
    cells = _in_order(_cells(bounds, xs, ys, part))
    loads = (replace(load, rim=bed.rim) for load in _loads(cells, work, turned=turned))
    return Loads(tuple(loads), xs, ys)


class _Costs:
    """What lines at given places go through, as a sum over boxes with weights."""

    def __init__(self, work: Work) -> None:
        parts = [np.vstack([_facets(chain) for chain in work.cut])] if work.cut else []
        weights = [np.full(len(part), CROSSED) for part in parts]
        for chains, weight in ((work.tacks, TACK), (work.letters, LETTER)):
            if chains:
                parts.append(shapely.bounds([LineString(flattened(each)) for each in chains]))
                weights.append(np.full(len(chains), weight))
        sizes = shapely.bounds(list(work.pieces)).reshape(-1, 4)
        small = sizes[(sizes[:, 2:] - sizes[:, :2]).max(axis=1) <= SMALL]
        self.boxes = np.vstack([*parts, small])
        self.weights = np.concatenate([*weights, np.full(len(small), SMALL_CROSSED)])

    def at(self, axis: int, places: Floats) -> Floats:
        """The cost of a line square to `axis` at each of `places`."""
        begun = self._sum(self.boxes[:, axis], places, "left")
        over = self._sum(self.boxes[:, axis + 2], places, "right")
        # What is level with the line runs along it and is not crossed: begun late, over soon.
        level = self.boxes[:, axis] == self.boxes[:, axis + 2]
        at = self.boxes[level, axis]
        early = self._sum(at, places, "right", level) - self._sum(at, places, "left", level)
        crossed: Floats = begun - over + early
        return crossed

    def _sum(
        self, ends: Floats, places: Floats, side: str, chosen: NDArray[np.bool_] | None = None
    ) -> Floats:
        weights = self.weights if chosen is None else self.weights[chosen]
        order = np.argsort(ends, kind="stable")
        sums = np.concatenate([[0.0], np.cumsum(weights[order])])
        at = np.searchsorted(ends[order], places, side="left" if side == "left" else "right")
        total: Floats = sums[at]
        return total


def _facets(chain: Chain) -> Floats:
    """Boxes of the chain's facets, (n, 4)."""
    points = flattened(chain)
    a, b = points[:-1], points[1:]
    return np.hstack([np.minimum(a, b), np.maximum(a, b)])


def _lines(low: float, high: float, size: float, costs: _Costs, axis: int) -> tuple[float, ...]:
    """The fewest lines that leave nothing wider than the bed with its laps, the cheapest ones."""
    if high - low <= size + 1e-9:
        return ()
    end, middle = size - LAP, size - 2 * LAP
    count = 1 + max(0, math.ceil((high - low - 2 * end) / middle - 1e-9))
    share = (high - low) / (2 * end + (count - 1) * middle)
    evenly = low + share * (end + middle * np.arange(count))
    boxes = costs.boxes
    straight = boxes[boxes[:, axis] == boxes[:, axis + 2], axis]
    places = np.unique(np.concatenate([np.arange(low, high, STEP), evenly, straight]))
    places = places[(places >= low + LEAST - 1e-9) & (places <= high - LEAST + 1e-9)]
    price = costs.at(axis, places)
    total = np.where(places - low <= end + 1e-9, price, np.inf)
    before = []
    for _ in range(count - 1):
        steps = places[None, :] - places[:, None]
        ways = np.where((steps >= LEAST - 1e-9) & (steps <= middle + 1e-9), total[:, None], np.inf)
        best = ways.argmin(axis=0)
        total = ways[best, np.arange(len(places))] + price
        before.append(best)
    at = int(np.where(high - places <= end + 1e-9, total, np.inf).argmin())
    chosen = [at, *(at := int(best[at]) for best in reversed(before))]
    return tuple(float(places[each]) for each in chosen[::-1])


def _cells(
    bounds: Bounds, xs: Sequence[float], ys: Sequence[float], part: shapely.Geometry
) -> dict[Cell, Bounds]:
    """The cells that hold some of the face, row by row from the top left."""
    left, low, right, high = bounds
    columns = list(itertools.pairwise((left, *xs, right)))
    rows = list(itertools.pairwise((low, *ys, high)))
    cells = {
        (column, row): (x0, y0, x1, y1)
        for row, (y0, y1) in reversed(list(enumerate(rows)))
        for column, (x0, x1) in enumerate(columns)
    }
    return {
        cell: where
        for cell, where in cells.items()
        if shapely.intersection(part, box(*where)).area > 1e-6
    }


def _in_order(cells: dict[Cell, Bounds]) -> dict[Cell, Bounds]:
    """Each cell after a neighbour, where it has one, so that its crosses are drawn by then."""
    left = dict(cells)
    order: dict[Cell, Bounds] = {}
    while left:
        beside = (cell for cell in left if any(near in order for near in _neighbours(cell)))
        cell = next(beside, next(iter(left)))
        order[cell] = left.pop(cell)
    return order


def _neighbours(cell: Cell) -> Iterator[Cell]:
    column, row = cell
    yield from ((column - 1, row), (column, row + 1), (column + 1, row), (column, row - 1))


def _loads(cells: dict[Cell, Bounds], work: Work, *, turned: bool) -> Iterator[Load]:
    taken = [LineString(flattened(chain)) for chain in (*work.cut, *work.tacks, *work.letters)]
    numbers = {cell: number for number, cell in enumerate(cells, start=1)}
    drawn: dict[Cell, list[Point]] = {cell: [] for cell in cells}
    found: dict[Cell, list[tuple[int, Point]]] = {cell: [] for cell in cells}
    others: list[Point] = []
    tree = shapely.STRtree(taken)
    for cell, where in cells.items():
        for near in _neighbours(cell):
            if numbers.get(near, 0) > numbers[cell]:
                crosses = _crosses(where, cells[near], tree, others)
                others += crosses
                drawn[cell] += crosses
                found[near] += [(numbers[cell], at) for at in crosses]
    columns, rows = (max(cell[axis] for cell in cells) for axis in (0, 1))
    for cell, (left, low, right, high) in cells.items():
        bounds = (
            left - LAP * (cell[0] > 0),
            low - LAP * (cell[1] > 0),
            right + LAP * (cell[0] < columns),
            high + LAP * (cell[1] < rows),
        )
        yield Load(numbers[cell], cell, bounds, turned, tuple(drawn[cell]), tuple(found[cell]))


def _crosses(
    one: Bounds, other: Bounds, tree: shapely.STRtree, others: Iterable[Point]
) -> list[Point]:
    """Three crosses in the strip about the line between two cells, clear where that can be.

    Two stand far apart on one side of the line, the third across it from the first.
    """
    axis = 0 if one[1] == other[1] and one[3] == other[3] else 1  # the line is square to it
    line = one[axis + 2] if one[axis] < other[axis] else one[axis]
    low, high = one[1 - axis], one[3 - axis]
    rim = min(ARM + CLEAR, (high - low) / 2)  # of a narrow load the middle, lest an arm leave it
    along = np.arange(low + rim, high - rim + 1e-9, STEP)
    third = (high - low) / 3
    chosen: list[Point] = []
    for side, first, last in ((-OFF, low, low + third), (-OFF, high - third, high),
                              (OFF, low, low + third)):  # fmt: skip
        near = along[(along >= first) & (along <= last)]
        spots = near if len(near) else along
        spots = spots[::-1] if first > low else spots  # from the end of the line inwards
        offs = math.copysign(1.0, side) * np.arange(OFF, NEAREST, -STEP)
        middles = np.empty((len(offs) * len(spots), 2))  # the farthest from the line come first
        middles[:, axis] = line + np.repeat(offs, len(spots))
        middles[:, 1 - axis] = np.tile(spots, len(offs))
        hits = _hits(middles, tree, [*others, *chosen])
        x, y = middles[int(hits.argmin())].tolist()
        chosen.append((x, y))
    return chosen


def _hits(middles: Floats, tree: shapely.STRtree, others: Sequence[Point]) -> NDArray[np.int64]:
    """How many chains and crosses a cross at each of `middles` would lie on."""
    reach = ARM + CLEAR
    boxes = shapely.box(*(middles - reach).T, *(middles + reach).T)
    hits = np.bincount(tree.query(boxes, predicate="intersects")[0], minlength=len(middles))
    for at in others:
        hits += np.abs(middles - np.array(at)).max(axis=1) < 2 * reach
    return np.asarray(hits, dtype=np.int64)
