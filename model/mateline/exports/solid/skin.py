r"""The closed skin of one board as coloured triangles, for pictures in space.

Stands after ends, before indexed_mesh. The paint on the net of a face is noded with its folds and
the rims of its holes, triangulated flat and rolled back up; walls, ends and the inside are wood.
No kernel: boards are planes, cylinders and cones, all known from the panel.

    seam   where two edges of the board meet, from the outside face down to the inside one; in
           the net it is the ends of two strips, which must get the same vertices

Vertices on a seam are placed by their station on it alone, all others once each, so that what meets
on the board meets to the bit and the skin is closed.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

from mateline.cabinet.edges.ends import round_curves
from mateline.cabinet.hole import sink_depth
from mateline.cabinet.volume import clear_depths, holes_meet, radius_at
from mateline.exports.solid.cells import (
    FLAT,
    cells_of,
    loops_of,
    numbered,
    painted_within,
)
from mateline.exports.solid.ends import bored, is_recessed, ledges, mouths_of, parts_of, pierced
from mateline.exports.solid.flats import Flat, ribbon, triangulated
from mateline.exports.solid.net import INSIDE, board_of
from mateline.exports.solid.seams import outer_parts, seams_of, sewn_up, straightened
from mateline.products import norm, product

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon

    from mateline.cabinet.hole import Hole
    from mateline.cabinet.panel import Panel
    from mateline.exports.solid.cells import Cells, Rings
    from mateline.exports.solid.net import Board
    from mateline.exports.solid.seams import Seam, Sewn

    Array = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Area = Polygon | MultiPolygon
    Areas = NDArray[np.object_]  # of shapely polygons

MIRROR = np.array([-1.0, 1.0])  # seen from inside
NO_ENDS: Mapping[int, Sequence[tuple[Area, str]]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Skin:
    """Triangles (n, 3, 3), mm, cabinet frame, counter-clockwise from outside; (n,) colours."""

    triangles: Array
    colours: tuple[str, ...]


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
    mouths = mouths_of(board)
    for edge in range(len(board.panel.edges)):
        flats = list(parts_of(board, edge, rings.points, (brinks[edge], sewn.spots, seams)))
        paint = _paint_at(panel, board.panel, edge, ends)
        if edge in round_curves(board.panel) or panel.bend is not None:  # one paint, or none
            open_parts = [flat for flat in flats if not is_recessed(board, edge, flat)]
            paint = [(flat.area, colour) for flat in open_parts for _, colour in paint[:1]]
        here = mouths.get(edge, [])
        parts.extend((wall, wood) for mouth in here if mouth.first == edge for wall in bored(mouth))
        flats = [part for flat in flats for part in pierced(edge, flat, here)]
        parts.extend(_coated(flat, paint, wood) for flat in flats)
        parts.extend((ledge, wood) for ledge in ledges(board, edge, seams))
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
    numbers, owners = triangulated(areas, sewn.points)
    return sewn.spots[numbers], [cells.colours[owner] for owner in owners.tolist()]


def _mirrored(paint: Sequence[tuple[Area, str]]) -> list[tuple[Area, str]]:
    """Paint of the face frame as it is seen from inside."""
    return [(shapely.transform(area, lambda at: at * MIRROR), colour) for area, colour in paint]


def _coated(
    flat: Flat, paint: Sequence[tuple[Area, str]], wood: str
) -> tuple[Array, str | list[str]]:
    """The triangles of a flat part under its `paint`.

    Paint ends a hair inside the rim, so that no border of it adds a vertex there that the parts
    beyond would not have.
    """
    whole, ring, spots, lift = flat.area, flat.rim, flat.spots, flat.lift
    cells, colours = painted_within(whole, paint, wood)
    if len(set(colours)) <= 1:
        numbers, _ = triangulated(np.array([whole]), ring)
        return spots[numbers], colours[0] if colours else wood
    inner = shapely.get_coordinates(cells)
    points = np.concatenate([ring, inner])
    solid = np.concatenate([spots, product(np.column_stack([inner, np.ones(len(inner))]), lift.T)])
    rim = whole.difference(shapely.coverage_union_all(cells))
    numbers, _ = triangulated(np.array([*cells, rim], dtype=object), points)
    nearest = shapely.STRtree(cells).nearest(shapely.points(points[numbers].mean(axis=1)))
    return solid[numbers], [colours[cell] for cell in nearest.tolist()]


def _below(
    board: Board, points: Array, around: tuple[list[Ints], Array, list[Seam]]
) -> tuple[list[Array], Flat]:
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
            found.append(ribbon(above, below))
            above = below
        if depths[at] == panel.thickness:
            through.append(lower)
        else:  # its floor
            numbers, _ = triangulated(np.array([Polygon(lower)]), lower)
            found.append(above[numbers])
    return found, _inside(board, seams, through)


def _inside(board: Board, seams: list[Seam], holes: list[Array]) -> Flat:
    outline = np.array([seam.flat[-1] for seam in seams])
    every = np.concatenate([outline, *holes])
    area = Polygon(outline * MIRROR, [hole * MIRROR for hole in holes])
    deep = board.panel.thickness
    lifted = [board.raised(hole, deep) for hole in holes]
    frame = board.panel.frame
    corner = np.array(frame.corner) - deep * np.array(frame.outward)
    lift = np.column_stack([-np.array(frame.along_x), frame.along_y, corner])
    spots = np.concatenate([[seam.spots[-1] for seam in seams], *lifted])
    return Flat(area, every * MIRROR, spots, lift)


def _apart(hole: Hole, rim: Array) -> float:
    return norm(rim.mean(axis=0) - hole.centre)


def _levels(hole: Hole, bottom: float) -> list[tuple[float, float]]:
    """Depths at which the walls of a hole bend, and the share of its opening left there."""
    sink = sink_depth(hole)
    if sink <= 0:
        return [(bottom, 1.0)]
    depths = [sink, bottom] if sink < bottom else [bottom]
    return [(depth, 2 * radius_at(hole, depth) / hole.head) for depth in depths]
