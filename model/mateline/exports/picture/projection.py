r"""A cabinet seen from somewhere: its boards as flat facets, the far ones first.

Stands after the cabinet. Parallel projection; knows no colours. Every board is a closed body of
facets: its outside face, the strips beyond it, the cuts at its edges and its inside.

Which of two facets is nearer is asked where their projections overlap, so that boards stacked on
or beside one another are drawn right; sorting by the distance of centres is not.

        ___            the lid's centre is nearer than that of the head's front,
       |___|__         yet the front stands before the lid
      /__lid_/|
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass, replace
from heapq import heapify, heappop, heappush
from itertools import groupby, pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from shapely import Polygon, box

from mateline.cabinet.bent.rings import in_facets
from mateline.cabinet.edges.ends import seen_insides
from mateline.cabinet.faces import Cell, bent_cells, end_area, end_lift
from mateline.cabinet.panel import curved_edges, level
from mateline.cabinet.panel import raised as raised_on
from mateline.planar.unions import polygons
from mateline.products import inverted, norm, product

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon

    from mateline.cabinet.edges.ends import SeenEnd
    from mateline.cabinet.faces import Face
    from mateline.cabinet.panel import Finish, Panel

    Array = NDArray[np.float64]

Kind = Literal["flat", "strip", "cut", "curve", "inside", "proud"]

EDGE_ON = 1e-6  # no unit: facets whose normal is this square to the view are not seen
ONE_CORNER = 1e-6  # mm: corners that are nearer than this are one
TOUCHING = 1e-3  # mm², mm: overlap and depth below which two facets only touch
CURVE_FACETS = 12  # and a curve as this many
STRIP_FACETS = 4  # a round is shown as this many flat facets at most


@dataclass(frozen=True, slots=True)
class View:
    """Where one looks from. Rows are unit vectors, cabinet frame: right and up on the picture,
    and towards whoever looks.
    """

    axes: Array  # (3, 3)


@dataclass(frozen=True, slots=True)
class Facet:
    """A flat part of a board. `points` (n, 3), cabinet frame, mm, counter-clockwise from outside.

    A "curve" is a facet of a cut that runs round a curve: a cut without lines at its ends.

    `area` and `lift` are those of a cell of the face's net; None for what isn't painted. A cut
    that is the end of a board has its `end`; one that is painted with the face in whose plane it
    lies has that face as its `skin`, and area and lift in that face's frame.
    """

    kind: Kind
    face: str
    points: Array
    area: Polygon | None = None
    lift: Array | None = None
    end: Finish | None = None
    skin: str | None = None

    @property
    def outward(self) -> Array:
        """Unit normal, cabinet frame: Newell's sum, which any flat polygon allows."""
        total = np.cross(self.points, np.roll(self.points, -1, axis=0)).sum(axis=0)
        unit: Array = total / norm(total)
        return unit


def view_from(azimuth: float, elevation: float) -> View:
    """A view from `azimuth` (0 is the player's, to the player's right positive) and `elevation`.

    Both in radians.
    """
    (ca, sa), (ce, se) = [(math.cos(a), math.sin(a)) for a in (azimuth, elevation)]
    return View(np.array([[ca, sa, 0.0], [-sa * se, ca * se, ce], [sa * ce, -ca * ce, se]]))


def facets(faces: Sequence[Face]) -> tuple[Facet, ...]:
    """All facets of the boards behind `faces`."""
    by_name = {face.name: face for face in faces}
    insides = seen_insides(faces)
    return tuple(facet for face in faces for facet in _facets(face, by_name, insides))


def ordered(facets: Sequence[Facet], view: View) -> tuple[Facet, ...]:
    """The facets that face the viewer, the farthest first.

    Where three or more facets hide one another in a circle, which boards of a cabinet hardly ever
    do, the farthest goes first and one of them is drawn wrong.
    """
    seen = [facet for facet in facets if product(facet.outward, view.axes[2]) > EDGE_ON]
    shapes = [product(facet.points, view.axes.T) for facet in seen]
    hides: dict[int, set[int]] = {index: set() for index in range(len(seen))}
    for one, other in _overlapping(shapes):
        gap = _nearer(one, other, shapes)
        if gap > TOUCHING:
            hides[one].add(other)
        elif gap < -TOUCHING:
            hides[other].add(one)
    middle = [float(shape[:, 2].mean()) for shape in shapes]
    return tuple(seen[index] for index in _sorted(hides, middle))


def raised(points: Array, lift: Array) -> Array:
    """Points (n, 2) of a net in the cabinet frame, (n, 3), by the `lift` of their cell. mm."""
    solid: Array = product(np.column_stack([points, np.ones(len(points))]), lift.T)
    return solid


def _facets(face: Face, faces: Mapping[str, Face], insides: Sequence[SeenEnd]) -> Iterator[Facet]:
    panel = face.panel
    if panel.bend is not None:
        yield from _bent_facets(face)
        return
    yield Facet("flat", face.name, _lifted(face.cells[0]), face.flat, face.cells[0].lift)
    for cell in _strip_cells(face):
        yield Facet("strip", face.name, _lifted(cell), cell.area, cell.lift)
    inside = _at(panel, panel.thickness)
    yield from _insides(face, inside, insides)
    curved = curved_edges(panel)
    for index, after in _cuts(panel):
        edge = panel.edges[index]
        top = _at(panel, edge.section.points[-2][1])
        ends, kind = [index, after], _cut_kind(curved=index in curved)
        points = np.vstack([top[ends][::-1], inside[ends]])
        if panel.edges[index - 1].rise > 0 or panel.edges[after].rise > 0:
            points = _with_hollows(panel, index)
        owner = faces.get(f"{panel.carcase}-{edge.neighbour}")
        if owner is None or edge.end is None or not (edge.shows_end and edge.proud == 0):
            yield Facet(kind, face.name, points, end=edge.end)
            continue
        lift = owner.cells[0].lift
        flat = Polygon(product(points - lift[:, 2], lift[:, :2]))
        covered = shapely.union_all(owner.covered).covers(flat.buffer(-TOUCHING))
        if covered:  # by a moulding, say
            yield Facet(kind, face.name, points, end="left")
        elif edge.end == "art":
            yield Facet(kind, face.name, points, flat, lift, edge.end, owner.name)
        else:
            yield Facet(kind, face.name, points, end=edge.end)


def _with_hollows(panel: Panel, index: int) -> Array:
    """The end of a board at an edge, with those of the hollow strips that run out there."""
    plain = replace(panel, edges=tuple(replace(edge, groove=None) for edge in panel.edges))
    ring = shapely.get_coordinates(shapely.orient_polygons(end_area(plain, index)))[:-1]
    return raised(ring, end_lift(panel, index))


def _cut_kind(*, curved: bool) -> Kind:
    return "curve" if curved else "cut"


def _cuts(panel: Panel) -> Iterator[tuple[int, int]]:
    """From corner to corner of the board's ends; a curved side has a few facets only."""
    runs = {run.first: run for run in panel.runs}
    at, count = 0, len(panel.edges)
    while at < count:
        run = runs.get(at)
        parts = 1 if run is None else min(CURVE_FACETS, run.count)
        length = 1 if run is None else run.count
        stops = [at + round(step * length / parts) for step in range(parts + 1)]
        yield from ((here, after % count) for here, after in pairwise(stops))
        at += length


def _bent_facets(face: Face) -> Iterator[Facet]:
    """The same of a bent board: its outside and inside are a few flat facets."""
    bend = face.panel.bend
    if bend is None:
        raise ValueError(f"{face.name} is not bent")
    across = 0 if bend.upright else 1
    size = face.flat.bounds
    turn = (size[3 - across] - size[1 - across]) / abs(bend.radius)
    # So many that the pictures' facets are as long as the whole number of them allows.
    deviation = abs(bend.radius) * (1 - math.cos(turn / 2 / CURVE_FACETS)) * (1 + EDGE_ON)
    cells = list(bent_cells(face.panel, deviation))
    for cell in cells:
        yield Facet("strip", face.name, _lifted(cell), cell.area, cell.lift)
    board = in_facets(face.panel, len(cells))
    outside, inside = (_at(board, down) for down in (0.0, board.thickness))
    count = len(board.edges)
    for at in range(len(cells)):  # from the one curved edge to the other, which runs back
        ring = [at, at + 1, count - 2 - at, count - 1 - at]
        yield Facet("inside", face.name, inside[ring][::-1])
    for at in range(count):
        ends = [at, (at + 1) % count]
        straight = at in {len(cells), count - 1}
        around = np.vstack([outside[ends][::-1], inside[ends]])
        yield Facet(_cut_kind(curved=not straight), face.name, around, end=board.edges[at].end)


def _insides(face: Face, whole: Array, seen: Sequence[SeenEnd]) -> Iterator[Facet]:
    """The inside of a board, and apart from it what is seen of it beside a neighbour set back."""
    strips = [each for each in seen if each.board == face.name]
    if not strips:
        yield Facet("inside", face.name, whole[::-1])
        return
    left: Polygon | MultiPolygon = Polygon(level(face.panel, face.panel.thickness))
    for each in strips:
        for part in shapely.get_parts(each.area):
            yield Facet("proud", face.name, _turned(part, each.lift), end=each.finish)
        left = polygons(left.difference(each.area))
    for part in _without_holes(left):
        yield Facet("inside", face.name, _turned(part, strips[0].lift))


def _without_holes(area: Polygon | MultiPolygon) -> Iterator[Polygon]:
    """The parts of an area, cut through their holes: a facet has a rim only."""
    for part in shapely.get_parts(area).tolist():
        if not part.interiors:
            yield part
            continue
        low_x, low_y, high_x, high_y = part.bounds
        middle = part.interiors[0].centroid.x
        for half in (box(low_x, low_y, middle, high_y), box(middle, low_y, high_x, high_y)):
            yield from _without_holes(polygons(part.intersection(half)))


def _turned(area: Polygon, lift: Array) -> Array:
    """The ring of a part of the inside, counter-clockwise for whoever looks at it."""
    # Corners that differ by rounding only could make a ring that crosses itself in the picture.
    plain = shapely.orient_polygons(shapely.remove_repeated_points(area, ONE_CORNER))
    ring = shapely.get_coordinates(plain.exterior)[:-1]
    return raised(ring[::-1], lift)


def _at(panel: Panel, down: float) -> Array:
    """Corners (n, 3) of the board at depth `down`, cabinet frame."""
    if panel.bend is not None:
        return raised_on(panel, level(panel, down), down)
    frame = panel.frame
    flat = level(panel, down)
    axes = np.array([frame.along_x, frame.along_y])
    points: Array = product(flat, axes) + np.array(frame.corner) - down * np.array(frame.outward)
    return points


def _lifted(cell: Cell) -> Array:
    points = shapely.get_coordinates(shapely.orient_polygons(cell.area))[:-1]
    return raised(points, cell.lift)


def _strip_cells(face: Face) -> Iterator[Cell]:
    """The cells of the strips, those of a round joined into a few."""
    rest = face.cells[1:]
    if not rest:
        return
    tree = shapely.STRtree([strip.area for strip in face.strips])
    home = tree.nearest([cell.area.representative_point() for cell in rest]).tolist()
    for _, group in groupby(zip(home, rest, strict=True), key=lambda pair: pair[0]):
        cells = [cell for _, cell in group]
        for part in np.array_split(np.arange(len(cells)), min(STRIP_FACETS, len(cells))):
            yield _joined([cells[index] for index in part])


def _joined(cells: list[Cell]) -> Cell:
    """One flat cell for several that follow each other round a round: the best fit to them."""
    if len(cells) == 1:
        return cells[0]
    net = [shapely.get_coordinates(cell.area)[:-1] for cell in cells]
    solid = [raised(points, cell.lift) for points, cell in zip(net, cells, strict=True)]
    ring = shapely.convex_hull(shapely.union_all([cell.area for cell in cells]))
    return Cell(
        Polygon(shapely.get_coordinates(ring)), _best_lift(np.vstack(net), np.vstack(solid))
    )


def _best_lift(flat: Array, solid: Array) -> Array:
    """The affine map, (3, 3) on (x, y, 1), that takes `flat` (n, 2) nearest to `solid` (n, 3)."""
    middle, there = flat.mean(axis=0), solid.mean(axis=0)
    away, beyond = flat - middle, solid - there
    square = np.array([[(one * other).sum() for other in away.T] for one in away.T])
    across = np.array([[(one * other).sum() for other in away.T] for one in beyond.T])
    linear = product(across, inverted(square))
    return np.column_stack([linear, there - product(linear, middle)])


def _overlapping(shapes: Sequence[Array]) -> Iterator[tuple[int, int]]:
    """Pairs of facets whose projections may overlap, each pair once."""
    areas = [Polygon(shape[:, :2]) for shape in shapes]
    first, second = shapely.STRtree(areas).query(areas, predicate="intersects")
    for one, other in zip(first.tolist(), second.tolist(), strict=True):
        if one < other:
            yield one, other


def _nearer(one: int, other: int, shapes: Sequence[Array]) -> float:
    """How much nearer facet `one` is than `other` where they overlap, mm; 0 where they don't.

    Two flat facets that don't pass through each other keep their order all over the overlap, so
    the corner of the overlap where they are farthest apart decides.
    """
    lap = shapely.intersection(Polygon(shapes[one][:, :2]), Polygon(shapes[other][:, :2]))
    if lap.area < TOUCHING:
        return 0.0
    corners = shapely.get_coordinates(lap)
    gaps = _depths(shapes[one], corners) - _depths(shapes[other], corners)
    return float(gaps[np.argmax(np.abs(gaps))])


def _depths(shape: Array, corners: Array) -> Array:
    """Depth of a facet's plane at `corners` (n, 2) of the picture."""
    normal = np.cross(shape, np.roll(shape, -1, axis=0)).sum(axis=0)
    depths: Array = (product(normal, shape[0]) - product(corners, normal[:2])) / normal[2]
    return depths


def _sorted(hides: Mapping[int, set[int]], middle: Sequence[float]) -> Iterator[int]:
    """Indices so that each comes after all that it hides; among free ones the farthest first."""
    waits = {index: len(hidden) for index, hidden in hides.items()}
    hidden_by = defaultdict(list)
    for index, hidden in hides.items():
        for other in hidden:
            hidden_by[other].append(index)
    free = [(middle[index], index) for index, count in waits.items() if not count]
    heapify(free)
    while waits:
        if not free:  # a circle: go on with the farthest
            free = [min((middle[index], index) for index in waits)]
        _, index = heappop(free)
        del waits[index]
        yield index
        for other in hidden_by[index]:
            if other in waits:
                waits[other] -= 1
                if not waits[other]:
                    heappush(free, (middle[other], other))
