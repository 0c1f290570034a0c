"""The paint on a board's net in cells: each of one colour, and flat on the board as it will be.

Stands after net, before seams. Borders of paint, folds and the rims of holes are noded
together once, so that neighbouring cells have the same vertices.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon
from shapely.affinity import translate

from mateline.cabinet.faces import unrolled
from mateline.cabinet.hole import opening
from mateline.cabinet.panel import level
from mateline.curves import FACET, flattened
from mateline.exports.solid.net import SEEN

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from shapely import Geometry, MultiPolygon

    from mateline.cabinet.hole import Hole
    from mateline.cabinet.panel import Panel
    from mateline.exports.solid.net import Board

    Array = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Area = Polygon | MultiPolygon
    Areas = NDArray[np.object_]  # of shapely polygons

THINNED = 0.25  # mm: root of the area of the bumps that borders lose, as in shapely's coverages
WITHIN = 0.02  # mm: paint on the end of a board ends this far inside its rim
GRID = 1e-6  # mm: the net's vertices are rounded to this, so that near ones become one
FLAT = -1  # the place of what lies on no strip


@dataclass(frozen=True, slots=True)
class Cells:
    """The net in parts, each of one colour on one strip: polygons, "#rrggbb", edge or FLAT."""

    areas: Areas
    colours: tuple[str, ...]
    places: Ints


@dataclass(frozen=True, slots=True)
class Rings:
    """The rings of all cells as numbered vertices: edge i runs from `a[i]` to `b[i]`, its cell
    on its left, in ring `ring[i]` of cell `cell[ring[i]]`.
    """

    points: Array
    a: Ints
    b: Ints
    ring: Ints
    cell: Ints


def cells_of(
    board: Board,
    painted: Sequence[tuple[Polygon, str]],
    wood: str,
    *,
    elsewhere: bool = False,
) -> Cells:
    """The net of `board` cut into cells by `painted`; what that leaves open is `wood`.

    The paint may end `elsewhere` than the net: before it, or on the ends of other boards.
    """
    net, strips = net_of(board.panel)
    regions = [area for area, _ in painted] or [net]
    colours = [colour for _, colour in painted] or [wood]
    thin = shapely.coverage_simplify(regions, THINNED, simplify_boundary=False)
    rims = [Polygon(flattened(opening(hole), _deviation(hole))) for hole in board.panel.holes]
    lines = [*shapely.boundary(thin), *board.fold_lines(strips), *shapely.boundary(rims)]
    if elsewhere:
        lines.append(net.boundary)
    noded = shapely.get_parts(shapely.unary_union(lines, grid_size=GRID))
    areas = shapely.get_parts(shapely.polygonize(noded))
    inside = shapely.point_on_surface(areas)
    if elsewhere:
        kept = shapely.intersects(net, inside)
        areas, inside = areas[kept], inside[kept]
    if rims:
        kept = np.ones(len(areas), dtype=bool)
        kept[shapely.STRtree(rims).query(inside, "intersects")[0]] = False
        areas, inside = areas[kept], inside[kept]
    named = [wood] * len(areas)
    for area, region in shapely.STRtree(thin).query(inside, "intersects").T.tolist():
        named[area] = colours[region]
    bent = [edge for edge, profile in enumerate(board.profiles) if profile.brink > 0]
    flat = Polygon(level(board.panel, 0.0))
    nearest = shapely.STRtree([flat, *(strips[edge] for edge in bent)]).nearest(inside)
    places = np.array([FLAT, *bent])[nearest]
    return Cells(shapely.orient_polygons(areas), tuple(named), places)


def painted_within(
    whole: Polygon, paint: Sequence[tuple[Area, str]], wood: str
) -> tuple[Areas, list[str]]:
    """What lies a hair inside `whole`, cut into cells by `paint`; what that leaves open is `wood`.

    One cell, or none, where it is all of one colour.
    """
    inside = shapely.buffer(whole, -WITHIN, join_style="mitre")
    if not isinstance(inside, Polygon) or inside.is_empty or not paint:
        return np.array([], dtype=object), []
    lines = [inside.boundary, *(shapely.boundary(area) for area, _ in paint)]
    noded = shapely.get_parts(shapely.unary_union(lines, grid_size=GRID))
    areas = shapely.get_parts(shapely.polygonize(noded))
    spots = shapely.point_on_surface(areas)
    areas = areas[shapely.intersects(inside, spots)]
    spots = shapely.point_on_surface(areas)
    named = [wood] * len(areas)
    for area, region in shapely.STRtree([each for each, _ in paint]).query(spots, "intersects").T:
        named[area] = paint[region][1]
    return shapely.orient_polygons(areas), named


def numbered(areas: Areas) -> Rings:
    """The rings of `areas`, whose vertices are equal to the bit where they are one."""
    rings, cell = shapely.get_rings(areas, return_index=True)
    spots, ring = shapely.get_coordinates(rings, return_index=True)
    points, ids = np.unique(keys_of(spots), return_inverse=True)
    same = ring[:-1] == ring[1:]
    return Rings(
        np.column_stack((points.real, points.imag)),
        ids[:-1][same],
        ids[1:][same],
        ring[:-1][same],
        cell,
    )


def keys_of(spots: Array) -> NDArray[np.complex128]:
    """Spots (k, 2) as (k,) numbers that are equal where the spots are."""
    # Complex numbers sort by x, then y: one array to look vertices up in. 0.0 frees -0.0.
    keys: NDArray[np.complex128] = (spots[:, 0] + 0.0) + 1j * (spots[:, 1] + 0.0)
    return keys


def loops_of(rings: Rings) -> list[Ints]:
    """Closed walks along the net's rim with the net on the left; the outer one comes first."""
    count = len(rings.points)
    alone = ~np.isin(rings.a * count + rings.b, rings.b * count + rings.a)
    after = dict(zip(rings.a[alone].tolist(), rings.b[alone].tolist(), strict=True))
    if len(after) != int(alone.sum()):
        raise ValueError("the net touches itself at a vertex")
    loops = []
    while after:
        loop = [next(iter(after))]
        while loop[-1] in after:
            loop.append(after.pop(loop[-1]))
        loops.append(np.array(loop[:-1]))
    return sorted(loops, key=lambda loop: -Polygon(rings.points[loop]).area)


def net_of(panel: Panel) -> tuple[Polygon, list[Geometry]]:
    """The whole net, and its strips by edge: those of one edge as one, empty without any."""
    face = unrolled(panel)  # whose frame may be moved
    (x, y), (moved_x, moved_y) = panel.outline[0], face.panel.outline[0]
    by_edge = [
        shapely.union_all([strip.area for strip in face.strips if strip.edge == edge])
        for edge in range(len(panel.edges))
    ]
    off = (x - moved_x, y - moved_y)
    return translate(face.outline, *off), [translate(area, *off) for area in by_edge]


def _deviation(hole: Hole) -> float:
    # The paint ends at the very rim of hardware that stays without a margin.
    return FACET if hole.stays else SEEN
