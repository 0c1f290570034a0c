r"""Faces: the outside of each panel unrolled flat, with the bevel and round strips it owns.

Stands after panel, before placing. Knows no drawing and no solid.

    +--------------------+  strip of the top edge, at its true width
    +---score------------+
    |                    |  flat part
    +--------------------+

The net of a face is its flat part and its strips, laid out by true lengths. Its frame is the
face frame: the viewer's x and y, (0, 0) at the lower-left corner of the net's bounding box.
A hollow strip, of wood that stands out before the face, is laid out like any other; its depths
are less than 0. A cell is a part of the net that is flat on the cabinet too: the flat part, a
bevel strip, or one facet of a round. The face of a bent board is as long as its outside, and its
flat part is that; its cells are facets.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import LineString, Polygon, box
from shapely.affinity import translate

from mateline.cabinet.panel import corner_at, edge_axes, frame_at, inset, level, raised
from mateline.curves import FACET, facet_count, radius, sweep
from mateline.planar.unions import polygons
from mateline.products import norm, product

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon

    from mateline.cabinet.hole import Hole
    from mateline.cabinet.panel import Edge, Frame, Panel

    Array = NDArray[np.float64]


SLIT = 0.02  # mm: no knife cuts what is narrower
FINE = 1e-9  # mm: rounding between areas that were worked out in two frames
LAP = 1e-3  # mm²: what two areas share by rounding


@dataclass(frozen=True, slots=True)
class Strip:
    """A bevel or round strip beyond one flat edge, in the face frame, mm.

    `score` is the fold between it and what lies before it. `segment` is its place in the
    section of the panel's edge `edge`.
    """

    edge: int
    segment: int
    area: Polygon
    score: LineString


@dataclass(frozen=True, slots=True)
class Cell:
    """A flat part of the net. `lift` (3, 3) takes (x, y, 1) of the net to the cabinet frame, mm.

    On a facet of a round, true widths shrink to the facet's chord: a share of about 1e-4.
    """

    area: Polygon
    lift: Array

    @property
    def outward(self) -> Array:
        """Unit normal, cabinet frame."""
        normal = np.cross(self.lift[:, 0], self.lift[:, 1])
        unit: Array = normal / norm(normal)
        return unit


@dataclass(frozen=True, slots=True)
class Face:
    """The outside of one panel, unrolled. `outline` is the whole net without its holes, mm.

    `beyond` are ends of other boards that lie in its plane and are painted with it; the outline
    goes round them too, and no cell holds them. The outline leaves out what is `covered`.
    """

    name: str
    panel: Panel
    flat: Polygon
    strips: tuple[Strip, ...]
    outline: Polygon
    cells: tuple[Cell, ...]
    beyond: tuple[Polygon, ...] = ()
    covered: tuple[Polygon, ...] = ()

    @property
    def holes(self) -> tuple[Hole, ...]:
        """Hardware on the face, in the face frame."""
        return self.panel.holes


class NetError(ValueError):
    """A panel whose net laps over itself: at an inside corner, or where strips are too wide."""


class CoveredError(NetError):
    """A panel of whose face several parts are left, or one with a hole."""


class HiddenError(NetError):
    """A panel that nobody sees anything of."""


def unrolled(panel: Panel, beyond: Sequence[Polygon] = (), covered: Sequence[Polygon] = ()) -> Face:
    """The face of `panel`, whose frame is moved so that the net's lower-left corner is (0, 0).

    `beyond` are the ends of other boards that it is painted over, and `covered` is what nobody
    paints of all that, both in the panel's frame. The face's panel carries the moved frame,
    outline and holes. Raises NetError, HiddenError where all of it is covered.
    """
    low = _left(_joined(_net(panel), beyond), covered).bounds[:2]
    shifted = _shifted(panel, low)
    ends = tuple(translate(end, -low[0], -low[1]) for end in beyond)
    hidden = tuple(translate(area, -low[0], -low[1]) for area in covered)
    net = _net(shifted)
    for ring in (net, *_slits_shut(shifted)):
        if not ring.is_valid or ring.area <= 0:
            raise NetError(shapely.is_valid_reason(ring))
    outline = _left(_joined(net, ends), hidden)
    flat = Polygon(_corners(shifted))
    if shifted.bend is not None:
        return Face(
            _name(panel), shifted, flat, (), outline, tuple(bent_cells(shifted)), ends, hidden
        )
    cells = [Cell(flat, _lift(shifted.frame))]
    strips: list[Strip] = []
    for index, edge in enumerate(shifted.edges):
        depth = 0.0
        for segment in range(edge.strips):
            bottom = edge.section.segments[segment].to[1]
            area = Polygon(_strip_ring(shifted, index, depth, bottom))
            fold = LineString([_laid(shifted, index, 0, depth), _laid(shifted, index, 1, depth)])
            strips.append(Strip(index, segment, area, fold))
            cells.extend(_strip_cells(shifted, index, segment, depth))
            depth = bottom
    return Face(_name(panel), shifted, flat, tuple(strips), outline, tuple(cells), ends, hidden)


def reach_beyond(edge: Edge) -> float:
    """Distance from an edge's flat line to the seam with its neighbour, unrolled, mm.

    The strips the face owns and, where its board lies over the neighbour, what is left of its
    end: a drawing that is wrapped round the corner passes over it. Where the board stands proud
    of a neighbour that is set back, it goes on over what is seen of the board's inside.
    """
    end = edge.section.segments[-1]
    before = edge.section.points[-2]
    beyond = math.dist(before, end.to) + edge.proud if edge.shows_end else 0.0
    return edge.strip_width + beyond


def _joined(net: Polygon, ends: Sequence[Polygon]) -> Polygon:
    """The net and the ends beside it as one area, without corners where it runs on straight."""
    if not ends or not net.is_valid:
        return net
    whole = shapely.union_all([net, *ends], grid_size=FINE)
    if not isinstance(whole, Polygon) or whole.interiors:
        raise NetError("the ends of other boards that it is painted over don't lie beside it")
    lost = net.area + sum(end.area for end in ends) - whole.area
    if lost > LAP:
        raise NetError("the ends of other boards that it is painted over lap over its strips")
    return shapely.orient_polygons(shapely.simplify(whole, FINE))


def _left(area: Polygon, covered: Sequence[Polygon]) -> Polygon:
    """What is left of a face without what is covered."""
    if not covered or not area.is_valid:
        return area
    rest = shapely.difference(area, shapely.union_all(covered), grid_size=FINE)
    parts = [part for part in shapely.get_parts(rest) if part.area > LAP]
    if not parts:
        raise HiddenError("all of it is covered")
    if len(parts) > 1 or parts[0].interiors:
        raise CoveredError("what covers a part of it would leave several parts, or one with a hole")
    kept: Polygon = shapely.orient_polygons(shapely.simplify(parts[0], FINE))
    return kept


def _name(panel: Panel) -> str:
    return f"{panel.carcase}-{panel.name}"


def _corners(panel: Panel) -> list[tuple[float, float]]:
    """The corners of the flat part."""
    if panel.runs:
        return [(x, y) for x, y in level(panel, 0.0).tolist()]
    return [corner_at(panel, index, 0.0) for index in range(len(panel.edges))]


def bent_at(panel: Panel, deviation: float = FACET) -> list[float]:
    """Where the facets of a bent board start and end along its outside, mm, in its frame."""
    if panel.bend is None:
        raise ValueError(f"{panel.name} is not bent")
    around = level(panel, 0.0)[:, 1 if panel.bend.upright else 0]
    first, last = float(around.min()), float(around.max())
    reach = abs(panel.bend.radius)
    count = facet_count(reach, (last - first) / reach, deviation)
    places: list[float] = np.linspace(first, last, count + 1).tolist()
    return places


def bent_cells(panel: Panel, deviation: float = FACET) -> Iterator[Cell]:
    """The facets of a bent board: chords of its outside that leave it by `deviation` at most."""
    upright = panel.bend is not None and panel.bend.upright
    (low_x, low_y), (high_x, high_y) = (
        fold(level(panel, 0.0), axis=0).tolist() for fold in (np.min, np.max)
    )
    for low, high in itertools.pairwise(bent_at(panel, deviation)):
        ends = (low_x, low, high_x, high) if upright else (low, low_y, high, high_y)
        corners = np.array([(ends[0], ends[1]), (ends[2], ends[1]), (ends[0], ends[3])])
        origin, right, up = raised(panel, corners, 0.0)
        along_x = (right - origin) / (ends[2] - ends[0])
        along_y = (up - origin) / (ends[3] - ends[1])
        corner = origin - ends[0] * along_x - ends[1] * along_y
        yield Cell(box(*ends), np.column_stack([along_x, along_y, corner]))


def _lift(frame: Frame) -> Array:
    return np.column_stack([frame.along_x, frame.along_y, frame.corner])


def _shifted(panel: Panel, low: tuple[float, float]) -> Panel:
    x, y = low
    frame = panel.frame
    if panel.bend is not None:
        frame = frame_at(panel, low)
    else:
        far = np.array(frame.corner) + x * np.array(frame.along_x) + y * np.array(frame.along_y)
        frame = replace(frame, corner=(float(far[0]), float(far[1]), float(far[2])))
    return replace(
        panel,
        frame=frame,
        runs=tuple(
            run
            if run.centre is None
            else replace(run, centre=(run.centre[0] - x, run.centre[1] - y))
            for run in panel.runs
        ),
        outline=tuple((px - x, py - y) for px, py in panel.outline),
        holes=tuple(
            replace(hole, centre=(hole.centre[0] - x, hole.centre[1] - y)) for hole in panel.holes
        ),
    )


def _net(panel: Panel, longer: Sequence[float] = ()) -> Polygon:
    """The net; the last corner of strips is `longer` beyond the outline's corners, mm."""
    ring: list[tuple[float, float]] = []
    corners = _corners(panel)
    for index, edge in enumerate(panel.edges):
        ring.append(corners[index])
        if edge.strips:
            first = [_laid(panel, index, 0, depth) for depth in _depths(panel, index, 0)[1:]]
            second = [_laid(panel, index, 1, depth) for depth in _depths(panel, index, 1)[1:]]
            if longer:
                (x, y), (then_x, then_y) = first[-1], second[-1]
                _, (ax, ay), _ = edge_axes(panel, index)
                back, on = longer[index], longer[(index + 1) % len(longer)]
                first[-1] = (x - back * ax, y - back * ay)
                second[-1] = (then_x + on * ax, then_y + on * ay)
            ring.extend((*first, *reversed(second)))
    return Polygon(ring)


def _slits_shut(panel: Panel) -> Iterator[Polygon]:
    """The net as it would lap if slits of no width were open at its inside corners.

    At a corner of 270° the end of a strip lies along the flat part, and the last bits would tell
    whether they lap.
    """
    ways = [edge_axes(panel, index)[1] for index in range(len(panel.edges))]
    inside = [
        SLIT if before[0] * after[1] - before[1] * after[0] < 0 else 0.0
        for before, after in zip((ways[-1], *ways[:-1]), ways, strict=True)
    ]
    if any(inside) and any(edge.strips for edge in panel.edges):
        yield _net(panel, inside)


def _strip_ring(panel: Panel, index: int, top: float, bottom: float) -> list[tuple[float, float]]:
    """The part of an edge's strips between two depths: down its first end, up its second."""
    low, high = min(top, bottom), max(top, bottom)
    first = [d for d in _depths(panel, index, 0) if low <= d <= high]
    second = [d for d in _depths(panel, index, 1) if low <= d <= high]
    return [
        *(_laid(panel, index, 0, depth) for depth in first),
        *(_laid(panel, index, 1, depth) for depth in reversed(second)),
    ]


def _depths(panel: Panel, index: int, end: int) -> list[float]:
    """Depths at which the end of edge `index` (0 first, 1 second) bends in the net."""
    count = len(panel.edges)
    beside = panel.edges[(index + 1) % count if end else index - 1]
    own = _samples(panel.edges[index])
    return sorted(
        {*own, *(depth for depth in _samples(beside) if 0 < depth < own[-1])}, key=abs
    )  # which a hollow strip and no other has less than 0


def _samples(edge: Edge) -> list[float]:
    """Depths of the strips' facets, from 0 to where the end cut starts."""
    depths = [0.0]
    at = edge.section.start
    for segment in edge.section.segments[:-1]:
        if segment.centre is not None:
            reach, turn = radius(segment), abs(sweep(at, segment))
            count = facet_count(reach, turn)
            way = 1.0 if segment.to[1] > at[1] else -1.0
            top = segment.centre[1] - way * reach
            depths.extend(
                top + way * reach * (1 - math.cos(turn * step / count)) for step in range(1, count)
            )
        depths.append(segment.to[1])
        at = segment.to
    return depths


def _laid(panel: Panel, index: int, end: int, depth: float) -> tuple[float, float]:
    """Where the surface's corner at `depth` comes to lie in the net, on the strips of one edge."""
    edge = panel.edges[index]
    count = len(panel.edges)
    x, y = corner_at(panel, (index + end) % count, depth)
    (sx, sy), (ex, ey) = panel.outline[index], panel.outline[(index + 1) % count]
    size = math.hypot(ex - sx, ey - sy)
    ax, ay = (ex - sx) / size, (ey - sy) / size
    beside = (x - sx) * ax + (y - sy) * ay
    out = edge.section.start[0] - _unrolled_to(edge, depth)
    return sx + beside * ax - out * ay, sy + beside * ay + out * ax


def _unrolled_to(edge: Edge, depth: float) -> float:
    """True width of an edge's strips down to `depth`, mm. A round starts tangent to the face."""
    total, at = 0.0, edge.section.start
    for segment in edge.section.segments[:-1]:
        down = min(abs(depth), abs(segment.to[1]))
        if segment.centre is None:
            drop = abs(segment.to[1] - at[1])
            total += math.dist(at, segment.to) * (down - abs(at[1])) / drop
        else:
            reach = radius(segment)
            total += reach * math.acos(max(-1.0, 1 - (down - abs(at[1])) / reach))
        at = segment.to
        if abs(depth) <= abs(at[1]):
            break
    return total


def end_area(panel: Panel, index: int) -> Polygon | MultiPolygon:
    """The end of the board at an edge, below its strips: (along the sharp edge, -down), mm.

    With the ends of hollow strips that run out there, and notches where the grooves of other edges
    do; without the mouth of a groove along it.
    """
    start, along, _ = edge_axes(panel, index)
    groove = panel.edges[index].groove
    count, ring = len(panel.edges), []
    for end in (0, 1):
        beside = panel.edges[index + 1 - count if end else index - 1]
        for depth, below in _end_depths(panel, index, beside, end):
            corner = np.array(corner_at(panel, (index + end) % count, depth, below=below))
            ring.append((float(product(corner - start, along)), -depth))
    whole = Polygon(ring)
    if groove is None:
        return whole
    low, _, high, _ = whole.bounds
    mouth = shapely.box(low - 1, -min(groove.bottom, panel.thickness + 1), high + 1, -groove.top)
    return polygons(whole.difference(mouth))


def _end_depths(panel: Panel, index: int, beside: Edge, end: int) -> list[tuple[float, bool]]:
    """Depths where an end's side bends, down at its first end and up at its second, and whether
    what lies below each is meant. In the mouth of a groove there are none.
    """
    top, low = panel.edges[index].section.points[-2][1], panel.thickness
    if beside.rise > 0:  # up along its strip, and down from there
        path = [(depth, False) for depth in _samples(beside)] + [(low, True)]
        return path if end == 0 else path[::-1]
    found = {(top, False), (low, False)}
    found |= {(depth, False) for depth in _samples(beside) if max(top, 0.0) < depth < low}
    own = panel.edges[index].groove
    for groove in (own, beside.groove):
        if groove is not None:
            sides = (side for side in (groove.top, groove.bottom) if top < side < low)
            found |= {(side, below) for side in sides for below in (False, True)}
    if own is not None:
        found = {(depth, below) for depth, below in found if not own.holds(depth, below=below)}
    return sorted(found, reverse=end == 1)


def end_lift(panel: Panel, index: int) -> Array:
    """(3, 3): takes (along the sharp edge, -down, 1) of an end to the cabinet frame, mm."""
    edge, frame = panel.edges[index], panel.frame
    start, along, inward = edge_axes(panel, index)
    (foot, top), (low, bottom) = edge.section.points[-2:]
    if panel.bend is not None:  # its ends are cut flat from the outside to the inside
        spots = np.array([start, start + along, start]) + np.outer((foot, foot, low), inward)
        origin, on, deep = raised(panel, spots, np.array([top, top, bottom]))
        return np.column_stack([on - origin, (origin - deep) / (bottom - top), origin])
    slope = (low - foot) / (bottom - top)
    flat = np.column_stack([frame.along_x, frame.along_y])
    inward3 = product(flat, inward)
    origin = np.array(frame.corner) + product(flat, start) + (foot - slope * top) * inward3
    down = np.array(frame.outward) - slope * inward3
    return np.column_stack([product(flat, along), down, origin])


def _strip_cells(panel: Panel, index: int, segment: int, top: float) -> list[Cell]:
    edge = panel.edges[index]
    bottom = edge.section.segments[segment].to[1]
    low, high = min(top, bottom), max(top, bottom)
    depths = [depth for depth in _samples(edge) if low <= depth <= high]
    cells = []
    for upper, lower in itertools.pairwise(depths):
        area = Polygon(_strip_ring(panel, index, upper, lower))
        cells.append(Cell(area, _strip_lift(panel, index, upper, lower)))
    return cells


def _strip_lift(panel: Panel, index: int, upper: float, lower: float) -> Array:
    """Lift of one facet: along the edge as it is, across it down the section's chord."""
    edge, frame = panel.edges[index], panel.frame
    start, along, inward = edge_axes(panel, index)
    first, last = _unrolled_to(edge, upper), _unrolled_to(edge, lower)
    # Down the chord for each mm of true width.
    slope_in = (inset(edge, lower) - inset(edge, upper)) / (last - first)
    slope_down = (lower - upper) / (last - first)
    flat = np.column_stack([frame.along_x, frame.along_y])
    inward3, along3 = product(flat, inward), product(flat, along)
    across3 = slope_in * inward3 - slope_down * np.array(frame.outward)
    # In the net a point is start + q along + (a - s) inward; q and s from x and y:
    to_q, to_s = along, -inward
    q0 = -float(product(start, along))
    s0 = float(product(start, inward)) + edge.section.start[0] - first
    origin = (
        np.array(frame.corner)
        + product(flat, start)
        + inset(edge, upper) * inward3
        - upper * np.array(frame.outward)
    )
    turned = np.outer(along3, to_q) + np.outer(across3, to_s)
    offset = origin + q0 * along3 + s0 * across3
    return np.column_stack([turned, offset])
