"""DXF entities as open or closed paths of lines, arcs and Béziers.

Stands before loops. Frame: world coordinates, y up. Source: DXF Reference, group codes of the
entities; bulge = tan(a quarter of the arc's angle), positive counter-clockwise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from mateline.drawing.dxf.splines import spline_steps
from mateline.drawing.flattening import LARGEST
from mateline.drawing.path import Arc, Cubic, Line, refuse_more
from mateline.planar.affine import IDENTITY, carried, determinant, is_similarity, stretch

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.drawing.path import Step
    from mateline.planar.affine import Affine

    Point = tuple[float, float]

TEXTS = frozenset(["ATTDEF", "ATTRIB", "MTEXT", "TEXT"])
FLAT = frozenset(["ARC", "CIRCLE", "ELLIPSE", "INSERT", "LWPOLYLINE", "POLYLINE"])
FRAME = 16  # flag of a vertex that only governs the curve through the others (VERTEX, code 70)
TURN_TOL = 1e-9  # rad: an ellipse that lacks less than this is whole


@dataclass(frozen=True, slots=True)
class Open:
    """Steps from `start` on; `element` is the entity's kind and handle."""

    start: Point
    steps: tuple[Step, ...]
    element: str

    @property
    def end(self) -> Point:
        """Where the last step ends."""
        last = self.steps[-1]
        return last.x, last.y


def open_path(entity: Any, matrix: Affine = IDENTITY) -> Open | None:
    """The path of an entity carried by `matrix`; None for what is no line or curve, or no length.

    Raises ValueError for one that can't be drawn.
    """
    kind = entity.dxftype()
    made = _MAKERS.get(kind)
    if made is None:
        return None
    start, steps = made(entity)
    if not steps:
        return None
    refuse_more(len(steps))
    if matrix != IDENTITY:
        if not all(abs(number) <= LARGEST for number in matrix):
            raise ValueError("its block is drawn at too large a scale, or too far away")
        start, steps = carried(matrix, *start), [_carried(step, matrix) for step in steps]
    for step in (start, *steps):
        if not all(abs(number) <= LARGEST for number in step):  # what is none is not below it
            raise ValueError("one of its numbers is too large, or is none")
    return Open(start, tuple(steps), label_of(entity))


def legible(text: str) -> str:
    """A name that any file can hold: what is no printed character, or none at all, becomes "?"."""
    return "".join(one if one.isprintable() else "?" for one in text)


def label_of(entity: Any) -> str:
    """How messages call an entity: by its kind and handle."""
    kind = legible(entity.dxftype())
    return f"{kind} {entity.dxf.handle}" if entity.dxf.handle else kind


def is_tilted(entity: Any) -> bool:
    """Whether a flat entity stands in a plane that is not the drawing's."""
    if entity.dxftype() not in FLAT:
        return False
    x, y, z = (float(value) for value in entity.dxf.extrusion)
    return math.hypot(x, y) > TURN_TOL * abs(z)


def is_wide(entity: Any) -> bool:
    """Whether a polyline is drawn as a band."""
    if entity.dxftype() == "LWPOLYLINE":
        widths = [width for point in entity.get_points("se") for width in point]
        return bool(entity.dxf.get("const_width", 0.0)) or any(widths)
    names = ("start_width", "end_width", "default_start_width", "default_end_width")
    parts = [entity, *entity.vertices] if entity.dxftype() == "POLYLINE" else []
    return any(
        one.dxf.get(name, 0.0) for one in parts for name in names if one.dxf.is_supported(name)
    )


def is_blank(entity: Any) -> bool:
    """Whether a text says nothing."""
    kind = entity.dxftype()
    if kind == "MTEXT":
        return not entity.text.strip()
    return kind in TEXTS and not str(entity.dxf.get("text", "")).strip()


def backwards(path: Open) -> Open:
    """The same path from its end to its start."""
    points = [path.start, *((step.x, step.y) for step in path.steps)]
    steps = [_back(step, points[at]) for at, step in enumerate(path.steps)]
    return Open(path.end, tuple(reversed(steps)), path.element)


def _back(step: Step, to: Point) -> Step:
    if isinstance(step, Line):
        return Line(*to)
    if isinstance(step, Cubic):
        return Cubic(step.x2, step.y2, step.x1, step.y1, *to)
    return Arc(step.rx, step.ry, step.turn, step.large, not step.sweep, *to)


def _carried(step: Step, matrix: Affine) -> Step:
    end = carried(matrix, step.x, step.y)
    if isinstance(step, Line):
        return Line(*end)
    if isinstance(step, Cubic):
        controls = carried(matrix, step.x1, step.y1), carried(matrix, step.x2, step.y2)
        return Cubic(*controls[0], *controls[1], *end)
    sweep = step.sweep == (determinant(matrix) > 0)
    if step.rx == step.ry and is_similarity(matrix):
        reach = step.rx * stretch(matrix)
        return Arc(reach, reach, 0.0, step.large, sweep, *end)
    rx, ry, turn = _axes(step, matrix)
    return Arc(rx, ry, turn, step.large, sweep, *end)


def _axes(arc: Arc, matrix: Affine) -> tuple[float, float, float]:
    """Half axes and turn of the carried ellipse p cos t + q sin t, which has them where its
    distance from the centre is largest: at tan 2t = 2 p q / (p p - q q).
    """
    cos, sin = math.cos(arc.turn), math.sin(arc.turn)
    a, b, c, d, _, _ = matrix
    px, py = arc.rx * (a * cos + c * sin), arc.rx * (b * cos + d * sin)
    qx, qy = arc.ry * (c * cos - a * sin), arc.ry * (d * cos - b * sin)
    at = math.atan2(2 * (px * qx + py * qy), px * px + py * py - qx * qx - qy * qy) / 2
    x, y = px * math.cos(at) + qx * math.sin(at), py * math.cos(at) + qy * math.sin(at)
    long = math.hypot(x, y)
    # The area of an ellipse is pi times the product of its half axes.
    return long, abs(px * qy - py * qx) / long, math.atan2(y, x)


def bulged(start: Point, end: Point, bulge: float) -> Step:
    """The line or arc of a polyline's vertex."""
    if abs(bulge) < 1e-12 or start == end:
        return Line(*end)
    # Chord c and bulge b give the radius c (1 + b²) / (4 |b|) (from the sagitta b c / 2).
    reach = math.dist(start, end) * (1 + bulge * bulge) / (4 * abs(bulge))
    return Arc(reach, reach, 0.0, abs(bulge) > 1, bulge > 0, *end)


def _line(entity: Any) -> tuple[Point, list[Step]]:
    start, end = _flat(entity.dxf.start), _flat(entity.dxf.end)
    return start, [] if start == end else [Line(*end)]


def _arc(entity: Any) -> tuple[Point, list[Step]]:
    centre, reach = _centre(entity), float(entity.dxf.radius)
    first, last = math.radians(entity.dxf.start_angle), math.radians(entity.dxf.end_angle)
    return _swept(entity, centre, (reach, reach, 0.0), (first, last))


def _circle(entity: Any) -> tuple[Point, list[Step]]:
    reach = float(entity.dxf.radius)
    return _swept(entity, _centre(entity), (reach, reach, 0.0), (0.0, math.tau))


def _ellipse(entity: Any) -> tuple[Point, list[Step]]:
    axis = entity.dxf.major_axis
    reach = math.hypot(axis.x, axis.y)
    turn = math.atan2(axis.y, axis.x)
    span = (float(entity.dxf.start_param), float(entity.dxf.end_param))
    if entity.dxf.extrusion.z < 0:  # its minor axis is extrusion cross major axis
        span = (-span[1], -span[0])
    centre = _flat(entity.dxf.center)
    return _elliptic(centre, (reach, reach * float(entity.dxf.ratio), turn), span)


def _swept(
    entity: Any, centre: Point, ellipse: tuple[float, float, float], span: tuple[float, float]
) -> tuple[Point, list[Step]]:
    """An arc in its object frame: seen from behind it is mirrored about the y axis."""
    if entity.dxf.extrusion.z < 0:
        span = (math.pi - span[1], math.pi - span[0])
    return _elliptic(centre, ellipse, span)


def _elliptic(
    centre: Point, ellipse: tuple[float, float, float], span: tuple[float, float]
) -> tuple[Point, list[Step]]:
    rx, ry, turn = ellipse
    if not all(map(math.isfinite, (*centre, *ellipse, *span))):
        raise ValueError("one of its numbers is too large, or is none")
    if rx <= 0 or ry <= 0:
        return centre, []
    given = span[1] - span[0]
    sweep = given % math.tau
    # More than a whole turn is one whose end was rounded up, 6.28319, and no sliver of an arc.
    whole = given > math.tau or sweep < TURN_TOL or sweep > math.tau - TURN_TOL
    sweep = math.tau if whole else sweep
    count = math.ceil(sweep / (math.pi / 2) - TURN_TOL)
    cos, sin = math.cos(turn), math.sin(turn)

    def at(angle: float) -> Point:
        x, y = rx * math.cos(angle), ry * math.sin(angle)
        return centre[0] + cos * x - sin * y, centre[1] + sin * x + cos * y

    points = [at(span[0] + sweep * k / count) for k in range(count + 1)]
    if whole:
        points[-1] = points[0]
    return points[0], [Arc(rx, ry, turn, False, True, *point) for point in points[1:]]


def _lwpolyline(entity: Any) -> tuple[Point, list[Step]]:
    vertices = [(float(x), float(y), float(b)) for x, y, b in entity.get_points("xyb")]
    return _polyline(entity, vertices, closed=bool(entity.closed))


def _polyline2d(entity: Any) -> tuple[Point, list[Step]]:
    if entity.is_polygon_mesh or entity.is_poly_face_mesh:
        return (0.0, 0.0), []
    vertices = [
        (*_located(v), float(v.dxf.get("bulge", 0.0)))
        for v in entity.vertices
        if not v.dxf.flags & FRAME
    ]
    return _polyline(entity, vertices, closed=bool(entity.is_closed))


def _located(vertex: Any) -> Point:
    place = vertex.dxf.get("location")
    if place is None:
        raise ValueError("one of its corners has no place")
    return _flat(place)


def _polyline(
    entity: Any, vertices: Sequence[tuple[float, float, float]], *, closed: bool
) -> tuple[Point, list[Step]]:
    if len(vertices) < 2:
        return (0.0, 0.0), []
    if entity.dxf.extrusion.z < 0:
        vertices = [(-x, y, -bulge) for x, y, bulge in vertices]
    points = [(x, y) for x, y, _ in vertices]
    bulges = [bulge for _, _, bulge in vertices]
    ends = [*points[1:], points[0]] if closed else points[1:]
    steps = [
        bulged(a, b, bulge) for a, b, bulge in zip(points, ends, bulges, strict=False) if a != b
    ]
    return points[0], steps


def _flat(point: Any) -> Point:
    return float(point[0]), float(point[1])


def _centre(entity: Any) -> Point:
    x, y = _flat(entity.dxf.center)
    return (-x if entity.dxf.extrusion.z < 0 else x), y


_MAKERS = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _circle,
    "ELLIPSE": _ellipse,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline2d,
    "SPLINE": spline_steps,
}
