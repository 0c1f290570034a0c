r"""The closed skin of one board as coloured triangles, for pictures in space.

Stands after unrolled, before mesh. The paint on the net of a face is noded with its folds and
the rims of its holes, triangulated flat and rolled back up; walls, ends and the inside are wood.
No kernel: boards are planes, cylinders and cones, all known from the panel.

    seam   where two edges of the board meet, from the outside face down to the inside one; in
           the net it is the ends of two strips, which must get the same vertices

Vertices on a seam are placed by their depth alone, all others once each, so that what meets on
the board meets to the bit and the skin is closed.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon
from shapely.affinity import translate

from mateline.cabinet.faces import unrolled
from mateline.cabinet.hole import opening, sink_depth
from mateline.cabinet.panel import level
from mateline.cabinet.volume import clear_depths, holes_meet, radius_at
from mateline.curves import FACET, flattened
from mateline.exports.unrolled import SEEN, board_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.cabinet.hole import Hole
    from mateline.cabinet.panel import Panel
    from mateline.exports.unrolled import Board

    Array = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Areas = NDArray[np.object_]  # of shapely polygons

THINNED = 0.25  # mm: root of the area of the bumps that borders lose, as in shapely's coverages
GRID = 1e-6  # mm: the net's vertices are rounded to this, so that near ones become one
SAME = 1e-3  # mm: seam vertices nearer in depth than this are one
ON_CORNER = 1e-3  # mm: how far the paint's corners may be from the net's
FLAT = -1  # the place of what lies on no strip


@dataclass(frozen=True, slots=True)
class Skin:
    """Triangles (n, 3, 3), mm, cabinet frame, counter-clockwise from outside; (n,) colours."""

    triangles: Array
    colours: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Cells:
    """The net in parts, each of one colour on one strip: polygons, "#rrggbb", edge or FLAT."""

    areas: Areas
    colours: tuple[str, ...]
    places: Ints


@dataclass(frozen=True, slots=True)
class _Seam:
    """One corner's depths from the outside to the inside face, (k,), and their spots (k, 3)."""

    depths: Array
    spots: Array
    flat: Array  # (k, 2): the corner at these depths, face frame

    def between(self, top: float, bottom: float) -> slice:
        first, last = np.searchsorted(self.depths, (top - SAME, bottom + SAME))
        return slice(int(first), int(last))


def skin(panel: Panel, painted: Sequence[tuple[Polygon, str]], wood: str) -> Skin:
    """The skin of `panel`; `painted` tiles its net, or is empty for bare wood.

    What is not painted is `wood`. A hole that runs out through an end, below the face, is drawn
    only as deep as it stays clear of it. Raises ValueError where a hole is over an edge of the
    face or runs into another, and where the paint does not reach the net's corners.
    """
    if holes_meet(panel) or min(clear_depths(panel), default=1.0) <= 0:
        raise ValueError(f"{panel.name}: a hole runs over an edge or into another hole")
    board = board_of(panel)
    cells = _cells(board, painted, wood)
    rings = _numbered(cells.areas)
    sides, _ = _outer_parts(board, rings.points, _loops(rings)[0])
    cells = _straightened(cells, rings, sides)
    rings = _numbered(cells.areas)
    outer, *rims = _loops(rings)
    sides, brinks = _outer_parts(board, rings.points, outer)
    seams = _seams(board, rings.points, sides)
    spots = _rolled(board, cells, rings)
    sewn = _sewn(board, rings.points, spots, (sides, seams))
    parts: list[tuple[Array, str | list[str]]] = [_painted(cells, rings, sewn)]
    parts.extend(
        (_end(board, edge, rings.points, (brinks[edge], sewn.spots, seams)), wood)
        for edge in range(len(panel.edges))
    )
    parts.extend((part, wood) for part in _below(board, rings.points, (rims, sewn.spots, seams)))
    return Skin(
        np.concatenate([triangles for triangles, _ in parts]),
        tuple(
            itertools.chain.from_iterable(
                [colours] * len(triangles) if isinstance(colours, str) else colours
                for triangles, colours in parts
            )
        ),
    )


def _cells(board: Board, painted: Sequence[tuple[Polygon, str]], wood: str) -> _Cells:
    regions = [area for area, _ in painted] or [_bare_net(board.panel)]
    colours = [colour for _, colour in painted] or [wood]
    thin = shapely.coverage_simplify(regions, THINNED, simplify_boundary=False)
    rims = [Polygon(flattened(opening(hole), _deviation(hole))) for hole in board.panel.holes]
    lines = [*shapely.boundary(thin), *board.fold_lines(), *shapely.boundary(rims)]
    noded = shapely.get_parts(shapely.unary_union(lines, grid_size=GRID))
    areas = shapely.get_parts(shapely.polygonize(noded))
    inside = shapely.point_on_surface(areas)
    if rims:
        kept = np.ones(len(areas), dtype=bool)
        kept[shapely.STRtree(rims).query(inside, "intersects")[0]] = False
        areas, inside = areas[kept], inside[kept]
    named = [wood] * len(areas)
    for area, region in shapely.STRtree(thin).query(inside, "intersects").T.tolist():
        named[area] = colours[region]
    bent = [edge for edge, profile in enumerate(board.profiles) if profile.brink > 0]
    flat = Polygon(level(board.panel, 0.0))
    nearest = shapely.STRtree([flat, *(board.strip(edge) for edge in bent)]).nearest(inside)
    places = np.array([FLAT, *bent])[nearest]
    return _Cells(shapely.orient_polygons(areas), tuple(named), places)


def _bare_net(panel: Panel) -> Polygon:
    face = unrolled(panel)  # whose frame may be moved
    (x, y), (moved_x, moved_y) = panel.outline[0], face.panel.outline[0]
    return translate(face.outline, x - moved_x, y - moved_y)


def _deviation(hole: Hole) -> float:
    # The paint ends at the very rim of hardware that stays without a margin.
    return FACET if hole.stays else SEEN


@dataclass(frozen=True, slots=True)
class _Rings:
    """The rings of all cells as numbered vertices: edge i runs from `a[i]` to `b[i]`, its cell
    on its left, in ring `ring[i]` of cell `cell[ring[i]]`.
    """

    points: Array
    a: Ints
    b: Ints
    ring: Ints
    cell: Ints


def _numbered(areas: Areas) -> _Rings:
    rings, cell = shapely.get_rings(areas, return_index=True)
    spots, ring = shapely.get_coordinates(rings, return_index=True)
    points, ids = np.unique(_keys(spots), return_inverse=True)
    same = ring[:-1] == ring[1:]
    return _Rings(
        np.column_stack((points.real, points.imag)),
        ids[:-1][same],
        ids[1:][same],
        ring[:-1][same],
        cell,
    )


def _keys(spots: Array) -> NDArray[np.complex128]:
    # Complex numbers sort by x, then y: one array to look vertices up in. 0.0 frees -0.0.
    keys: NDArray[np.complex128] = (spots[:, 0] + 0.0) + 1j * (spots[:, 1] + 0.0)
    return keys


def _loops(rings: _Rings) -> list[Ints]:
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


def _outer_parts(
    board: Board, points: Array, outer: Ints
) -> tuple[list[tuple[Ints, Ints]], list[Ints]]:
    """By edge: the two sides of its strips, each from the flat edge to the brink, and the brink."""
    marks = []
    for edge, profile in enumerate(board.profiles):
        for end, reach in ((0, 0.0), (0, profile.brink), (1, profile.brink), (1, 0.0)):
            apart = np.linalg.norm(points[outer] - board.laid(edge, end, reach), axis=1)
            if apart.min() > ON_CORNER:
                raise ValueError(
                    f"{board.panel.name}: the paint ends {apart.min():.3f} mm from its net's corner"
                )
            marks.append(int(apart.argmin()))
    walk = np.roll(outer, -marks[0])
    steps = [(mark - marks[0]) % len(outer) for mark in marks]
    steps[-2:] = [step or len(outer) for step in steps[-2:]]  # the walk ends where it starts
    walk = np.append(walk, walk[0])
    if steps != sorted(steps):
        raise ValueError(f"{board.panel.name}: the paint's rim does not follow its net")
    sides, brinks = [], []
    for edge in range(len(board.profiles)):
        flat, low, high, back = steps[4 * edge : 4 * edge + 4]
        sides.append((walk[flat : low + 1], walk[high : back + 1][::-1]))
        brinks.append(walk[low : high + 1])
    return sides, brinks


def _straightened(cells: _Cells, rings: _Rings, sides: list[tuple[Ints, Ints]]) -> _Cells:
    """The cells with straight seams between their corners.

    Left in, three vertices of a seam could be a triangle on both its sides: a flap that no
    reader takes for closed.
    """
    pairs = np.unique(np.column_stack((rings.a, rings.cell[rings.ring])), axis=0)
    alone = np.bincount(pairs[:, 0], minlength=len(rings.points)) == 1
    dropped = np.zeros(len(rings.points), dtype=bool)
    for side in itertools.chain.from_iterable(sides):
        dropped[side[1:-1]] = alone[side[1:-1]]
    areas = cells.areas.copy()
    for cell in np.unique(rings.cell[rings.ring[dropped[rings.a]]]).tolist():
        rest = [
            rings.points[rings.a[(rings.ring == ring) & ~dropped[rings.a]]]
            for ring in np.flatnonzero(rings.cell == cell)
        ]
        straight = Polygon(rest[0], rest[1:])
        if straight.is_valid:  # a border that hugs the bow of a seam keeps it
            areas[cell] = straight
    return _Cells(areas, cells.colours, cells.places)


def _seams(board: Board, points: Array, sides: list[tuple[Ints, Ints]]) -> list[_Seam]:
    found = []
    for corner in range(len(sides)):
        exact = [0.0, board.panel.thickness]
        wanted: list[float] = []
        for edge, end in ((corner - 1, 1), (corner, 0)):
            exact.append(board.panel.edges[edge].section.points[-2][1])
            wanted.extend(_depths(board, edge, points[sides[edge][end]]))
        depths: list[float] = []
        for depth in (*exact, *wanted):
            if all(abs(depth - known) > SAME for known in depths):
                depths.append(depth)
        depths.sort()
        flat = np.array([level(board.panel, depth)[corner] for depth in depths])
        found.append(_Seam(np.array(depths), board.raised(flat, np.array(depths)), flat))
    return found


def _depths(board: Board, edge: int, spots: Array) -> list[float]:
    depths: list[float] = board.profiles[edge].at(board.reach(edge, spots))[1].tolist()
    return depths


def _rolled(board: Board, cells: _Cells, rings: _Rings) -> Array:
    spots = board.raised(rings.points, 0.0)
    place = cells.places[rings.cell[rings.ring]]
    for edge in np.unique(place[place != FLAT]).tolist():
        on_it = np.unique(rings.a[place == edge])
        spots[on_it] = board.rolled(edge, rings.points[on_it])
    return spots


@dataclass(frozen=True, slots=True)
class _Sewn:
    """The net's vertices after its seams were matched: all `points` and `spots`, and those
    `added` between the two ends of an edge of the net.
    """

    points: Array
    spots: Array
    added: dict[tuple[int, int], list[int]]


def _sewn(
    board: Board,
    points: Array,
    spots: Array,
    seaming: tuple[list[tuple[Ints, Ints]], list[_Seam]],
) -> _Sewn:
    """Give both sides of each seam the same vertices, at the same spots."""
    sides, seams = seaming
    spots = spots.copy()
    new_points: list[Array] = []
    new_spots: list[Array] = []
    added: dict[tuple[int, int], list[int]] = {}
    for edge, end in itertools.product(range(len(sides)), (0, 1)):
        seam = seams[(edge + end) % len(seams)]
        side = sides[edge][end]
        depths = np.array(_depths(board, edge, points[side]))
        nearest = np.abs(seam.depths[:, None] - depths).argmin(axis=0)
        spots[side] = seam.spots[nearest]
        for upper, (first, last) in enumerate(itertools.pairwise(nearest.tolist())):
            between = list(range(first + 1, last))
            if not between:
                continue
            a, b = int(side[upper]), int(side[upper + 1])
            numbers = [len(points) + len(new_points) + step for step in range(len(between))]
            share = (seam.depths[between] - seam.depths[first]) / (
                seam.depths[last] - seam.depths[first]
            )
            new_points.extend(points[a] + share[:, None] * (points[b] - points[a]))
            new_spots.extend(seam.spots[between])
            if end == 0:
                added[a, b] = numbers
            else:
                added[b, a] = numbers[::-1]
    if not added:
        return _Sewn(points, spots, {})
    return _Sewn(np.vstack([points, *new_points]), np.vstack([spots, *new_spots]), added)


def _painted(cells: _Cells, rings: _Rings, sewn: _Sewn) -> tuple[Array, str | list[str]]:
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
    keys = _keys(points)
    order = np.argsort(keys, kind="stable")  # which is quick where most are in order already
    found = np.searchsorted(keys[order], _keys(corners.reshape(-1, 2)))
    numbers = order[found].reshape(-1, 3)
    (ax, ay), (bx, by) = (corners[:, 1] - corners[:, 0]).T, (corners[:, 2] - corners[:, 0]).T
    clockwise = ax * by - ay * bx < 0
    numbers[clockwise] = numbers[clockwise][:, ::-1]
    return numbers, owners


def _end(board: Board, edge: int, points: Array, around: tuple[Ints, Array, list[_Seam]]) -> Array:
    """The end of the board below the strips of one edge, flat in (along the edge, -down)."""
    brink, spots, seams = around
    top, low = board.panel.edges[edge].section.points[-2][1], board.panel.thickness
    flat: list[Array] = []
    solid: list[Array] = []
    for end in (0, 1):
        seam = seams[(edge + end) % len(seams)]
        part = seam.between(top, low)
        beside = (seam.flat[part] - board.start[edge]) @ board.along[edge]
        way = 1 if end == 0 else -1
        flat.append(np.column_stack((beside, -seam.depths[part]))[::way])
        solid.append(seam.spots[part][::way])
    inner = brink[1:-1][::-1]
    beside = (points[inner] - board.start[edge]) @ board.along[edge]
    flat.append(np.column_stack((beside, np.full(len(inner), -top))))
    solid.append(spots[inner])
    corners = np.concatenate(flat)
    numbers, _ = _triangulated(np.array([Polygon(corners)]), corners)
    triangles: Array = np.concatenate(solid)[numbers]
    return triangles


def _below(
    board: Board, points: Array, around: tuple[list[Ints], Array, list[_Seam]]
) -> list[Array]:
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
    found.append(_inside(board, seams, through))
    return found


def _inside(board: Board, seams: list[_Seam], holes: list[Array]) -> Array:
    outline = np.array([seam.flat[-1] for seam in seams])
    every = np.concatenate([outline, *holes])
    mirror = np.array([-1.0, 1.0])  # seen from inside
    area = Polygon(outline * mirror, [hole * mirror for hole in holes])
    numbers, _ = _triangulated(np.array([area]), every * mirror)
    lifted = [board.raised(hole, board.panel.thickness) for hole in holes]
    triangles: Array = np.concatenate([[seam.spots[-1] for seam in seams], *lifted])[numbers]
    return triangles


def _apart(hole: Hole, rim: Array) -> float:
    return float(np.linalg.norm(rim.mean(axis=0) - hole.centre))


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
