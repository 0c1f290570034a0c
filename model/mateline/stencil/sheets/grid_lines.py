r"""Where the lines of a grid of sheets run: fewest sheets, then fewest faults, then least join.

Stands before joins. Knows an outline and the borders in it, not what becomes of the pieces: that
a line spoils some is told by whoever asks for the lines.

    along  the axis that takes more lines: shortest paths over the places for them, a step from
           one line to the next costing the sheets between them
    rows   what the lines of the other axis make of the face. Where none are needed any would add
           sheets, since every column holds some board; on a rectangle both axes are alone;
           elsewhere choices of rows are gone through, with one line more than there must be too
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

    from mateline.pattern.pattern import Border

    Floats = NDArray[np.float64]

STEP = 5.0  # mm between the places that are tried for a line
BORDERS = 200  # places on straight borders that are tried at most, those that save most first
STRAIGHT_TOL = 1e-6  # mm by which a border's facets may leave a line that they lie on
SHEET_COST = 1e9  # mm of join: sheets come first
FAULT_COST = 1e6  # mm of join: then what the lines spoil
TRIES = 16  # choices of lines that are looked at for faults
ROWS = 400  # choices of rows that are gone through on a face that is no rectangle
BARE = 1e-6  # mm²: a cell with less of the face needs no sheet
ROUNDING = 1e-9  # mm, and share of an area
OUTSIDE = -1  # what is on the far side of the rim


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines upright at `xs` and level at `ys`, mm, with the sheets, faults and mm of join."""

    xs: tuple[float, ...]
    ys: tuple[float, ...]
    sheets: int
    faults: int
    length: float


@dataclass(frozen=True, slots=True)
class Ground:
    """What is cut: the outline, the part of it that is board, and the borders in it."""

    outline: Polygon
    room: BaseGeometry
    borders: tuple[Border, ...]


@dataclass(slots=True)
class _Track:
    """Places for lines square to one axis, both ends of the face among them, and their cost.

    `costs` grow by what is found out about a line; `known` are the places that were asked for.
    """

    axis: int
    places: Floats
    costs: Floats
    steps: Floats  # (n, n): the cost of a sheet where the strip between two places fits one
    least: int  # lines that there must be
    known: dict[int, int]


def lines_for(
    ground: Ground,
    size: tuple[float, float],
    apart: float,
    faults: Callable[[int, float], int],
    most: int | None = None,
) -> Lines | None:
    """The best lines for sheets `size` wide and high, at least `apart` from each other, mm.

    `faults(axis, place)` counts what a line spoils; `TRIES` choices are asked for at most. None
    where more than `most` sheets are needed, or where no two lines may be as near as they must.
    """
    bounds = ground.outline.bounds
    need = [_need(bounds[axis + 2] - bounds[axis], size[axis]) for axis in (0, 1)]
    if most is not None and least_sheets(ground.outline, size) > most:
        return None
    along = 0 if need[0] >= need[1] else 1
    if need[along] == 0:
        return Lines((), (), 1, 0, 0.0)
    track = _track(ground, along, size[along], apart)
    if need[1 - along] == 0:
        return _best(ground, [(track, ())], faults)
    other = _track(ground, 1 - along, size[1 - along], apart)
    if ground.outline.area >= shapely.box(*bounds).area * (1 - ROUNDING):
        rows = _cleared(other, None, faults)
        return None if rows is None else _best(ground, [(track, rows)], faults, other)
    choices = _rows(ground, other, need[1 - along])
    return _best(ground, [(track, rows) for rows in choices], faults, other)


def least_sheets(outline: Polygon, size: tuple[float, float]) -> int:
    """A number of sheets `size` wide and high that no grid can do with less than.

    As many columns and rows as the face needs hold one sheet at least, and they cross in one;
    and corners that no one sheet can hold two of need a sheet each.
    """
    left, low, right, high = outline.bounds
    need = _need(right - left, size[0]) + _need(high - low, size[1]) + 1
    corners = shapely.get_coordinates(outline.simplify(STEP))[:-1]
    gap = np.abs(corners[:, None] - corners) - np.array(size)
    apart: NDArray[np.bool_] = gap.max(axis=2) > ROUNDING
    for start in range(len(corners)):
        taken, free = 1, apart[start]
        while free.any():
            free = free & apart[int(free.argmax())]
            taken += 1
        need = max(need, taken)
    return need


def cells(outline: Polygon, xs: Sequence[float], ys: Sequence[float]) -> list[tuple[int, int]]:
    """Column and row, from the lower left, of the cells that hold some of the outline."""
    left, low, right, high = outline.bounds
    columns = list(itertools.pairwise((left, *xs, right)))
    rows = list(itertools.pairwise((low, *ys, high)))
    found = list(itertools.product(range(len(columns)), range(len(rows))))
    boxes = [(columns[c][0], rows[r][0], columns[c][1], rows[r][1]) for c, r in found]
    areas = shapely.area(shapely.intersection(outline, shapely.box(*np.array(boxes).T)))
    return [cell for cell, area in zip(found, areas.tolist(), strict=True) if area > BARE]


def _need(extent: float, size: float) -> int:
    return max(0, math.ceil(extent / size - ROUNDING) - 1)


def _track(ground: Ground, axis: int, size: float, apart: float) -> _Track:
    low, high = ground.outline.bounds[axis], ground.outline.bounds[axis + 2]
    edges, saved = _straight(ground.borders, axis)
    count = _need(high - low, size)
    ends = size * np.arange(1, count + 1)  # so that lines that leave no choice are among them
    on_borders = edges[np.argsort(-saved, kind="stable")][:BORDERS]
    elsewhere = np.concatenate(
        [
            np.arange(low + STEP, high, STEP),
            low + ends,
            high - ends,
            shapely.get_coordinates(ground.outline)[:, axis] if count < 4 else [],
        ]
    )
    # Of places that differ by rounding alone one does for all, a border's own if there is one.
    if len(on_borders):
        gap = np.abs(elsewhere[:, None] - on_borders).min(axis=1)
        elsewhere = elsewhere[gap > STRAIGHT_TOL]
    elsewhere = np.unique(elsewhere)
    elsewhere = elsewhere[np.diff(elsewhere, prepend=-math.inf) > STRAIGHT_TOL]
    inner = np.union1d(on_borders, elsewhere)
    inner = inner[(inner > low + STRAIGHT_TOL) & (inner < high - STRAIGHT_TOL)]
    places = np.concatenate([[low], inner, [high]])
    gap = places - places[:, None]
    steps = np.where((gap >= apart) & (gap <= size + ROUNDING), SHEET_COST, np.inf)
    costs = np.concatenate([[0.0], _costs(ground, axis, inner, edges, saved), [0.0]])
    return _Track(axis, places, costs, steps, count, {})


def _straight(borders: Sequence[Border], axis: int) -> tuple[Floats, Floats]:
    """Where borders run straight and square to `axis`, and how much of them lies there, mm."""
    inner = [border for border in borders if OUTSIDE not in {border.left, border.right}]
    if not inner:
        return np.empty(0), np.empty(0)
    points = np.vstack([border.points for border in inner])
    last = np.cumsum([len(border.points) for border in inner])[:-1] - 1
    here, other = points[:, axis], points[:, 1 - axis]
    level = np.abs(np.diff(here)) <= STRAIGHT_TOL
    level[last] = False
    found = np.flatnonzero(level)
    long = np.abs(other[found + 1] - other[found])
    order = np.argsort(here[found], kind="stable")
    at, long = here[found][order], long[order]
    if not len(at):
        return at, long
    first = np.flatnonzero(np.diff(at, prepend=-math.inf) > STRAIGHT_TOL)
    return at[first], np.add.reduceat(long, first)


def _costs(ground: Ground, axis: int, places: Floats, edges: Floats, saved: Floats) -> Floats:
    """For each place the length of board on a line there that is no border, mm."""
    costs = _lengths(ground.room, axis, places)
    if not len(edges):
        return costs
    # A place may be a rounding before its border or after it.
    after = np.searchsorted(edges, places).clip(max=len(edges) - 1)
    before = (after - 1).clip(min=0)
    nearest = np.where(places - edges[before] < edges[after] - places, before, after)
    on = np.abs(edges[nearest] - places) <= STRAIGHT_TOL
    left: Floats = np.maximum(costs - np.where(on, saved[nearest], 0.0), 0.0)
    return left


def _lengths(room: BaseGeometry, axis: int, places: Floats) -> Floats:
    """Length of `room` on lines square to `axis`; along a straight rim the side without board.

    A line through an area is as long as the sum of where it leaves the rings, less where it
    enters them: the rate at which area is swept. Counted just before the line and just after.
    """
    rings = [
        shapely.get_coordinates(ring) for ring in shapely.get_rings(shapely.orient_polygons(room))
    ]
    start, end = np.vstack([r[:-1] for r in rings]), np.vstack([r[1:] for r in rings])
    u, w = start[:, axis], end[:, axis]
    runs = np.abs(w - u) > 0
    start, end, u, w = start[runs], end[runs], u[runs], w[runs]
    share = (places[:, None] - u) / (w - u)
    at = start[:, 1 - axis] + share * (end - start)[:, 1 - axis]
    at *= np.sign(w - u)
    low, high = np.minimum(u, w), np.maximum(u, w)
    here = places[:, None]
    after = np.where((low <= here + ROUNDING) & (here + ROUNDING < high), at, 0.0).sum(axis=1)
    before = np.where((low <= here - ROUNDING) & (here - ROUNDING < high), at, 0.0).sum(axis=1)
    long: Floats = np.minimum(np.abs(after), np.abs(before))
    return long


def _best(
    ground: Ground,
    choices: Sequence[tuple[_Track, tuple[float, ...]]],
    faults: Callable[[int, float], int],
    other: _Track | None = None,
) -> Lines | None:
    """Of `choices` of rows with the best columns for each, the one that costs least in all."""
    ranked = []
    for track, rows in choices:
        path = _path(track, _occupied(ground.outline, track, rows))
        if path is not None:
            extra = 0.0 if other is None else _on(other, rows)
            ranked.append((path[1] + extra, rows))
    ranked.sort()
    best: tuple[float, Lines] | None = None
    for cost, rows in ranked[:TRIES]:
        if best is not None and cost >= best[0]:
            break
        track = choices[0][0]
        columns = _cleared(track, _occupied(ground.outline, track, rows), faults)
        if columns is None:
            continue
        xs, ys = (columns, rows) if track.axis == 0 else (rows, columns)
        bad = sum(faults(0, x) for x in xs) + sum(faults(1, y) for y in ys)
        length = _on(track, columns) + (0.0 if other is None else _on(other, rows))
        lines = Lines(xs, ys, len(cells(ground.outline, xs, ys)), bad, length)
        whole = SHEET_COST * lines.sheets + FAULT_COST * bad + length
        if best is None or whole < best[0]:
            best = whole, lines
    return None if best is None else best[1]


def _on(track: _Track, places: Sequence[float]) -> float:
    """Join on lines of the track, mm, without what was added for faults."""
    at = np.searchsorted(track.places, np.array(places) - STRAIGHT_TOL)
    added = sum(FAULT_COST * track.known.get(int(each), 0) for each in at)
    return float(track.costs[at].sum()) - added


def _cleared(
    track: _Track, sheets: NDArray[np.int64] | None, faults: Callable[[int, float], int]
) -> tuple[float, ...] | None:
    """The cheapest lines of which all faults are known; what is found out stays in the track.

    A line's faults can only add to its cost, so the first cheapest choice that holds no surprise
    is the best of all, unless `TRIES` run out before.
    """
    best: tuple[float, tuple[float, ...]] | None = None
    for _ in range(TRIES):
        path = _path(track, sheets)
        if path is None:
            return None
        lines, cost = path
        fresh = [at for at in lines if at not in track.known]
        for at in fresh:
            track.known[at] = faults(track.axis, float(track.places[at]))
            track.costs[at] += FAULT_COST * track.known[at]
            cost += FAULT_COST * track.known[at]
        places = tuple(float(track.places[at]) for at in lines)
        if best is None or cost < best[0]:
            best = cost, places
        if not any(track.known[at] for at in fresh):
            break
    return None if best is None else best[1]


def _path(track: _Track, sheets: NDArray[np.int64] | None) -> tuple[list[int], float] | None:
    """The cheapest way from one end of the face to the other, as indices of places, and its cost.

    `sheets` (n, n) are those between two places; one where it is None.
    """
    step = track.steps if sheets is None else track.steps * np.maximum(sheets, 1)
    total = step[0] + track.costs
    count = np.arange(len(total))
    # Before each number of lines: which line comes before the one at a place, or at the end.
    before: list[NDArray[np.intp]] = []
    ends: list[tuple[float, int]] = []
    most = track.least + (sheets is not None)
    for lines in range(1, most + 1):
        end = total + step[:, -1]
        ends.append((float(end.min()), int(end.argmin())))
        if lines < most:
            ways = total[:, None] + step
            before.append(ways.argmin(axis=0))
            total = ways[before[-1], count] + track.costs
    cost, at = min(ends)
    if not math.isfinite(cost):
        return None
    path = [at]
    for way in reversed(before[: ends.index((cost, at))]):
        path.append(int(way[path[-1]]))
    return path[::-1], cost


def _occupied(outline: Polygon, track: _Track, rows: tuple[float, ...]) -> NDArray[np.int64] | None:
    """(n, n): how many rows hold some of the face between two places; None without rows."""
    if not rows:
        return None
    axis, bounds = track.axis, outline.bounds
    stops = (bounds[1 - axis], *rows, bounds[3 - axis])
    total = np.zeros((len(track.places),) * 2, dtype=np.int64)
    for first, last in itertools.pairwise(stops):
        strip = shapely.box(bounds[0], first, bounds[2], last)
        if axis:
            strip = shapely.box(first, bounds[1], last, bounds[3])
        parts = shapely.get_parts(shapely.intersection(outline, strip))
        spans = shapely.bounds(parts[shapely.area(parts) > BARE])[:, (axis, axis + 2)]
        # From each place, where board next lies beyond it.
        start, end = spans[:, :1], spans[:, 1:]
        beyond = np.where(end > track.places + ROUNDING, np.maximum(start, track.places), np.inf)
        total += beyond.min(axis=0)[:, None] < track.places - ROUNDING
    return total


def _rows(ground: Ground, other: _Track, need: int) -> list[tuple[float, ...]]:
    """Choices of lines across, as few as there must be and one more, on fewer places."""
    corners = shapely.get_coordinates(ground.outline.simplify(STEP / 5))[:, other.axis]
    inner = other.places[1:-1]
    found: list[tuple[float, ...]] = []
    for count in (need, need + 1):
        every = 1
        while True:
            wanted = inner[::every]
            near = np.abs(inner[:, None] - corners).min(axis=1) <= STRAIGHT_TOL
            places = np.union1d(wanted, inner[near])
            if math.comb(len(places), count) <= ROWS * 4 or every > len(inner):
                break
            every += 1
        rows = [tuple(each) for each in itertools.combinations(places.tolist(), count)]
        able = [each for each in rows if _fits(other, each)]
        found += able[:: math.ceil(len(able) / ROWS) or 1]
    return found


def _fits(track: _Track, rows: tuple[float, ...]) -> bool:
    at = np.searchsorted(track.places, np.array(rows) - STRAIGHT_TOL)
    way = [0, *at.tolist(), len(track.places) - 1]
    return all(math.isfinite(track.steps[a, b]) for a, b in itertools.pairwise(way))
