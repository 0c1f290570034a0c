r"""The closed skin of one board as coloured triangles, for pictures in space.

Stands after seams, before indexed_mesh. The paint on the net of a face is noded with its folds and
the rims of its holes, triangulated flat and rolled back up; walls, ends and the inside are wood.
No kernel: boards are planes, cylinders and cones, all known from the panel.

    seam   where two edges of the board meet, from the outside face down to the inside one; in
           the net it is the ends of two strips, which must get the same vertices

Vertices on a seam are placed by their station on it alone, all others once each, so that what meets
on the board meets to the bit and the skin is closed.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

from mateline.cabinet.edges.ends import round_curves
from mateline.cabinet.faces import end_lift
from mateline.cabinet.hole import sink_depth
from mateline.cabinet.volume import clear_depths, holes_meet, radius_at
from mateline.exports.solid.cells import (
    FLAT,
    cells_of,
    keys_of,
    loops_of,
    numbered,
    painted_within,
)
from mateline.exports.solid.net import INSIDE, board_of
from mateline.exports.solid.seams import SAME, outer_parts, seams_of, sewn_up, straightened
from mateline.products import norm, product

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon

    from mateline.cabinet.hole import Hole
    from mateline.cabinet.panel import Bore, Panel
    from mateline.exports.solid.cells import Cells, Rings
    from mateline.exports.solid.net import Board
    from mateline.exports.solid.seams import Seam, Sewn

    Array = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Area = Polygon | MultiPolygon
    Areas = NDArray[np.object_]  # of shapely polygons

BORE_FACETS = 32  # of a hole into an end: within 0.1 mm up to 40 mm
MIRROR = np.array([-1.0, 1.0])  # seen from inside
NO_ENDS: Mapping[int, Sequence[tuple[Area, str]]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Skin:
    """Triangles (n, 3, 3), mm, cabinet frame, counter-clockwise from outside; (n,) colours."""

    triangles: Array
    colours: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Flat:
    """A flat part below the face: its vertices `rim` (n, 2) lie at `spots` (n, 3), and `lift`
    (3, 3) takes others there.
    """

    area: Polygon
    rim: Array
    spots: Array
    lift: Array


def skin(
    panel: Panel,
    painted: Sequence[tuple[Polygon, str]],
    wood: str,
    ends: Mapping[int, Sequence[tuple[Area, str]]] = NO_ENDS,
    *,
    elsewhere: bool = False,
) -> Skin:
    """The skin of `panel`; `painted` tiles its net, or is empty for bare wood. `ends` is the paint
    on its ends, by edge, (along the sharp edge, -down). The paint ends at the net's rim unless it
    may end `elsewhere`.

    What is not painted is `wood`. A hole that runs out through an end, below the face, is drawn
    only as deep as it stays clear of it. Raises ValueError where a hole is over an edge of the
    face or runs into another, and where the paint does not reach the net's corners.
    """
    if holes_meet(panel) or min(clear_depths(panel), default=1.0) <= 0:
        raise ValueError(f"{panel.name}: a hole runs over an edge or into another hole")
    board = board_of(panel)
    cells = cells_of(board, painted, wood, elsewhere=elsewhere)
    rings = numbered(cells.areas)
    sides, _ = outer_parts(board, rings.points, loops_of(rings)[0])
    cells = straightened(cells, rings, sides)
    rings = numbered(cells.areas)
    outer, *rims = loops_of(rings)
    sides, brinks = outer_parts(board, rings.points, outer)
    seams = seams_of(board, rings.points, sides)
    spots = _rolled(board, cells, rings)
    sewn = sewn_up(board, rings.points, spots, (sides, seams))
    parts: list[tuple[Array, str | list[str]]] = [_painted(cells, rings, sewn)]
    for edge in range(len(board.panel.edges)):
        flats = list(_end(board, edge, rings.points, (brinks[edge], sewn.spots, seams)))
        paint = _paint_at(panel, board.panel, edge, ends)
        if edge in round_curves(board.panel) or panel.bend is not None:  # one paint, or none
            paint = [(flat.area, colour) for flat in flats for _, colour in paint[:1]]
        parts.extend((wall, wood) for flat in flats for wall in _bored(board, edge, flat))
        flats = [_pierced(board, edge, flat) for flat in flats]
        parts.extend(_coated(flat, paint, wood) for flat in flats)
        parts.extend((ledge, wood) for ledge in _ledges(board, edge, seams))
    walls, inside = _below(board, rings.points, (rims, sewn.spots, seams))
    parts.extend((part, wood) for part in walls)
    parts.append(_coated(inside, _mirrored(ends.get(INSIDE, ())), wood))
    return Skin(
        np.concatenate([triangles for triangles, _ in parts]),
        tuple(
            itertools.chain.from_iterable(
                [colours] * len(triangles) if isinstance(colours, str) else colours
                for triangles, colours in parts
            )
        ),
    )


def _paint_at(
    panel: Panel, board: Panel, edge: int, ends: Mapping[int, Sequence[tuple[Area, str]]]
) -> Sequence[tuple[Area, str]]:
    """The paint on the end of one edge of a `board` in facets, as the `panel`'s edges have it."""
    run = next((run for run in board.runs if run.first <= edge < run.first + run.count), None)
    if panel.bend is not None:
        before = sum(each.count - 1 for each in board.runs if each.first + each.count <= edge)
        return ends.get((edge if run is None else run.first) - before, ())
    return ends.get(edge if run is None else run.first, ())


def _rolled(board: Board, cells: Cells, rings: Rings) -> Array:
    spots = board.raised(rings.points, 0.0)
    place = cells.places[rings.cell[rings.ring]]
    for edge in np.unique(place[place != FLAT]).tolist():
        on_it = np.unique(rings.a[place == edge])
        spots[on_it] = board.rolled(edge, rings.points[on_it])
    return spots


def _painted(cells: Cells, rings: Rings, sewn: Sewn) -> tuple[Array, str | list[str]]:
    areas = cells.areas.copy()
    touched = {
        int(rings.cell[rings.ring[at]])
        for at in range(len(rings.a))
        if (int(rings.a[at]), int(rings.b[at])) in sewn.added
    }
    for cell in sorted(touched):
        own = []
        for ring in np.flatnonzero(rings.cell == cell):
            here = rings.ring == ring
            ids: list[int] = []
            for a, b in zip(rings.a[here].tolist(), rings.b[here].tolist(), strict=True):
                ids.extend((a, *sewn.added.get((a, b), ())))
            own.append(sewn.points[ids])
        areas[cell] = Polygon(own[0], own[1:])
    numbers, owners = _triangulated(areas, sewn.points)
    return sewn.spots[numbers], [cells.colours[owner] for owner in owners.tolist()]


def _triangulated(areas: Areas, points: Array) -> tuple[Ints, Ints]:
    """Vertex numbers (n, 3), counter-clockwise, and the area that each triangle is part of.

    Uses every vertex of the areas, those on straight sides too, so that neighbours conform.
    """
    triangles, owners = shapely.get_parts(
        shapely.constrained_delaunay_triangles(areas), return_index=True
    )
    corners = shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3]
    keys = keys_of(points)
    order = np.argsort(keys, kind="stable")  # which is quick where most are in order already
    found = np.searchsorted(keys[order], keys_of(corners.reshape(-1, 2)))
    numbers = order[found].reshape(-1, 3)
    (ax, ay), (bx, by) = (corners[:, 1] - corners[:, 0]).T, (corners[:, 2] - corners[:, 0]).T
    clockwise = ax * by - ay * bx < 0
    numbers[clockwise] = numbers[clockwise][:, ::-1]
    return numbers, owners


def _end(
    board: Board, edge: int, points: Array, around: tuple[Ints, Array, list[Seam]]
) -> Iterator[_Flat]:
    """The board's end below the strips of one edge, (along the edge, -down); with a groove, the
    parts above it, in it and below it.
    """
    brink, spots, seams = around
    made = board.panel.edges[edge]
    depths = [made.section.points[-2][1], *_sides(board, edge), board.panel.thickness]
    for top, low in itertools.pairwise(depths):
        flat: list[Array] = []
        solid: list[Array] = []
        for end in (0, 1):
            seam = seams[(edge + end) % len(seams)]
            # Beside a hollow strip it begins with that.
            first = min(top, float(seam.stations[0])) if top == 0 else top
            part = seam.between(first, low)
            beside = product(seam.flat[part] - board.start[edge], board.along[edge])
            way = 1 if end == 0 else -1
            flat.append(np.column_stack((beside, -seam.depths[part]))[::way])
            solid.append(seam.spots[part][::way])
        if top == depths[0]:
            inner = brink[1:-1][::-1]
            beside = product(points[inner] - board.start[edge], board.along[edge])
            flat.append(np.column_stack((beside, np.full(len(inner), -top))))
            solid.append(spots[inner])
        ring = np.concatenate(flat)
        yield _Flat(Polygon(ring), ring, np.concatenate(solid), end_lift(board.panel, edge))


def _mouths(board: Board, edge: int, flat: _Flat) -> Iterator[tuple[Bore, Array]]:
    """The holes into a part of an end, each with its rim, the wood on its left."""
    for bore in board.panel.edges[edge].bores:
        middle = np.array([bore.at, -bore.down])
        if shapely.contains_xy(flat.area, *middle):
            turns = -math.tau * np.arange(BORE_FACETS) / BORE_FACETS
            reach = bore.diameter / 2
            yield bore, middle + reach * np.column_stack((np.cos(turns), np.sin(turns)))


def _pierced(board: Board, edge: int, flat: _Flat) -> _Flat:
    """A part of an end with the mouths of the holes in it."""
    rims = [rim for _, rim in _mouths(board, edge, flat)]
    if not rims:
        return flat
    spots = [_raised(rim, flat.lift) for rim in rims]
    area = Polygon(flat.rim, rims)
    return _Flat(
        area, np.concatenate([flat.rim, *rims]), np.concatenate([flat.spots, *spots]), flat.lift
    )


def _bored(board: Board, edge: int, flat: _Flat) -> Iterator[Array]:
    """The walls and floors of the holes into a part of an end."""
    frame = board.panel.frame
    inward = product(board.inward[edge], np.array([frame.along_x, frame.along_y]))
    for bore, rim in _mouths(board, edge, flat):
        above = _raised(rim, flat.lift)
        below = above + bore.deep * inward
        yield _ribbon(above, below)
        numbers, _ = _triangulated(np.array([Polygon(rim)]), rim)
        yield below[numbers]


def _raised(flat: Array, lift: Array) -> Array:
    spots: Array = product(np.column_stack([flat, np.ones(len(flat))]), lift.T)
    return spots


def _sides(board: Board, edge: int) -> list[float]:
    """The depths of the sides of an edge's groove that lie in the board."""
    groove = board.panel.edges[edge].groove
    sides = () if groove is None else (groove.top, groove.bottom)
    return [side for side in sides if side < board.panel.thickness]


def _ledges(board: Board, edge: int, seams: list[Seam]) -> Iterator[Array]:
    r"""The sides of an edge's groove, which lie along the board.

    left   o-----------------o right   where the end of the board above the side is
            \               /
             o-------------o           where it goes on below it
    """
    groove = board.panel.edges[edge].groove
    for side in _sides(board, edge):
        left, right = (seams[(edge + end) % len(seams)] for end in (0, 1))
        corners = []
        for seam, order in ((right, (0,)), (left, (0, 1)), (right, (1,))):
            first = int(np.searchsorted(seam.stations, side - SAME))
            corners += [(seam.flat[first + at], seam.spots[first + at]) for at in order]
        flat, solid = (np.array(each) for each in zip(*corners, strict=True))
        beside = product(flat - board.start[edge], board.along[edge])
        deep = product(flat - board.start[edge], board.inward[edge])
        sign = -1.0 if groove is not None and side == groove.top else 1.0
        ring = np.column_stack((beside, sign * deep))
        numbers, _ = _triangulated(np.array([Polygon(ring)]), ring)
        yield solid[numbers]


def _mirrored(paint: Sequence[tuple[Area, str]]) -> list[tuple[Area, str]]:
    """Paint of the face frame as it is seen from inside."""
    return [(shapely.transform(area, lambda at: at * MIRROR), colour) for area, colour in paint]


def _coated(
    flat: _Flat, paint: Sequence[tuple[Area, str]], wood: str
) -> tuple[Array, str | list[str]]:
    """The triangles of a flat part under its `paint`.

    Paint ends a hair inside the rim, so that no border of it adds a vertex there that the parts
    beyond would not have.
    """
    whole, ring, spots, lift = flat.area, flat.rim, flat.spots, flat.lift
    cells, colours = painted_within(whole, paint, wood)
    if len(set(colours)) <= 1:
        numbers, _ = _triangulated(np.array([whole]), ring)
        return spots[numbers], colours[0] if colours else wood
    inner = shapely.get_coordinates(cells)
    points = np.concatenate([ring, inner])
    solid = np.concatenate([spots, product(np.column_stack([inner, np.ones(len(inner))]), lift.T)])
    rim = whole.difference(shapely.coverage_union_all(cells))
    numbers, _ = _triangulated(np.array([*cells, rim], dtype=object), points)
    nearest = shapely.STRtree(cells).nearest(shapely.points(points[numbers].mean(axis=1)))
    return solid[numbers], [colours[cell] for cell in nearest.tolist()]


def _below(
    board: Board, points: Array, around: tuple[list[Ints], Array, list[Seam]]
) -> tuple[list[Array], _Flat]:
    """The walls of the holes and the inside face."""
    rims, spots, seams = around
    panel = board.panel
    depths = clear_depths(panel)
    found: list[Array] = []
    through: list[Array] = []
    for rim in rims:
        above = spots[rim]
        at = min(range(len(depths)), key=lambda one: _apart(panel.holes[one], points[rim]))
        hole = panel.holes[at]
        for depth, share in _levels(hole, depths[at]):
            lower = np.array(hole.centre) + share * (points[rim] - hole.centre)
            below = board.raised(lower, depth)
            found.append(_ribbon(above, below))
            above = below
        if depths[at] == panel.thickness:
            through.append(lower)
        else:  # its floor
            numbers, _ = _triangulated(np.array([Polygon(lower)]), lower)
            found.append(above[numbers])
    return found, _inside(board, seams, through)


def _inside(board: Board, seams: list[Seam], holes: list[Array]) -> _Flat:
    outline = np.array([seam.flat[-1] for seam in seams])
    every = np.concatenate([outline, *holes])
    area = Polygon(outline * MIRROR, [hole * MIRROR for hole in holes])
    deep = board.panel.thickness
    lifted = [board.raised(hole, deep) for hole in holes]
    frame = board.panel.frame
    corner = np.array(frame.corner) - deep * np.array(frame.outward)
    lift = np.column_stack([-np.array(frame.along_x), frame.along_y, corner])
    spots = np.concatenate([[seam.spots[-1] for seam in seams], *lifted])
    return _Flat(area, every * MIRROR, spots, lift)


def _apart(hole: Hole, rim: Array) -> float:
    return norm(rim.mean(axis=0) - hole.centre)


def _levels(hole: Hole, bottom: float) -> list[tuple[float, float]]:
    """Depths at which the walls of a hole bend, and the share of its opening left there."""
    sink = sink_depth(hole)
    if sink <= 0:
        return [(bottom, 1.0)]
    depths = [sink, bottom] if sink < bottom else [bottom]
    return [(depth, 2 * radius_at(hole, depth) / hole.head) for depth in depths]


def _ribbon(above: Array, below: Array) -> Array:
    """Wall between two rims that run with the wood on their left."""
    next_above, next_below = np.roll(above, -1, axis=0), np.roll(below, -1, axis=0)
    return np.concatenate(
        [
            np.stack([next_above, above, below], axis=1),
            np.stack([next_above, below, next_below], axis=1),
        ]
    )
