"""Hardware at its places: from distances that a tape takes on the cabinet to holes on faces.

Stands after faces and specification. A distance from an edge is taken from the cabinet's sharp
edge, where the outsides of two boards meet, whichever of the two boards ends there.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from mateline.cabinet.carcase import ENDS
from mateline.cabinet.hole import Hole, open_area
from mateline.cabinet.panel import curved_edges, edge_axes
from mateline.products import determinant, inverted, norm, product

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face
    from mateline.cabinet.specification import Hardware
    from mateline.curves import Point
    from mateline.errors import Faults

    Array = NDArray[np.float64]

PARALLEL = math.sin(math.radians(5))  # no unit: edges nearer to parallel fix no place
STRETCHED = 0.05  # mm: by which a hole may be longer along a curve than it is wide
ON_FACE = 1e-6  # mm: rounding allowed at a face's rim


def with_hardware(
    faces: Iterable[Face], hardware: Sequence[Hardware], faults: Faults
) -> tuple[Face, ...]:
    """The faces with their holes; what lies nowhere, or beyond its board, goes to `faults`."""
    by_name = {face.name: face for face in faces}
    holes: dict[str, list[Hole]] = {name: [] for name in by_name}
    for each in hardware:
        for face, mirrored in _on(each, by_name, faults):
            found = _placed(each, face, faults, mirrored=mirrored)
            holes[face.name].extend(found)
    for name, face in by_name.items():
        _refuse_misfits(face, holes[name], faults)
    return tuple(
        replace(face, panel=replace(face.panel, holes=tuple(holes[name])))
        for name, face in by_name.items()
    )


def opposite(face: Face, faces: Mapping[str, Face]) -> Face | None:
    """The other side of the carcase, for its left or right side."""
    left, right = ENDS["side"]
    other = {left: right, right: left}.get(face.panel.name)
    return faces.get(f"{face.panel.carcase}-{other}")


def _on(
    hardware: Hardware, faces: Mapping[str, Face], faults: Faults
) -> Iterable[tuple[Face, bool]]:
    face = faces.get(hardware.on)
    if face is None:
        faults.unknown(f"{hardware.called}, on", hardware.on, "face", faces)
        return
    yield face, False
    if hardware.both_sides:
        other = opposite(face, faces)
        if other is None:
            faults.add(
                f"{hardware.called}, both_sides",
                f"{hardware.on} has no opposite side.",
                "Only left and right sides mirror each other; give each face its own hardware.",
            )
        else:
            yield other, True


def _placed(hardware: Hardware, face: Face, faults: Faults, *, mirrored: bool) -> tuple[Hole, ...]:
    where = f"{hardware.called}, from"
    spot = (_from_corners if hardware.corners else _from_edges)(hardware, face, faults, where)
    if spot is None:
        return ()
    (x, y), deviation = spot
    sign = -1 if mirrored else 1
    form, many = hardware.form, len(hardware.spots) > 1
    return tuple(
        Hole(
            name=f"{hardware.name} {number}" if many else hardware.name,
            kind=form.kind,
            centre=(x + sign * right, y + up),
            length=form.length,
            width=form.width,
            turn=sign * hardware.turn,
            corner=form.corner,
            head=form.head,
            head_angle=form.head_angle,
            stays=hardware.stays,
            margin=hardware.margin,
            deviation=deviation,
        )
        for number, (right, up) in enumerate(hardware.spots, start=1)
    )


def _from_edges(
    hardware: Hardware, face: Face, faults: Faults, where: str
) -> tuple[Point, Point] | None:
    panel = face.panel
    names = [edge.neighbour for edge in panel.edges]
    normals, offsets, deviations = [], [], []
    for name, distance in hardware.distances:
        if name not in names:
            faults.unknown(where, name, f"edge of {face.name}", names)
            return None
        if names.index(name) in curved_edges(panel):
            faults.add(
                where,
                f"{face.name} is curved where it meets {name}: no distance is square to it.",
                "Take the distances from straight edges, or from two corners.",
            )
            return None
        start, _, inward = edge_axes(panel, names.index(name))
        normals.append(inward)
        offsets.append(float(product(inward, start)) + distance.length)
        deviations.append(distance.deviation)
    matrix = np.array(normals)
    if abs(determinant(matrix)) < PARALLEL:
        (first, _), (second, _) = hardware.distances
        faults.add(
            where,
            f"{first} and {second} run alongside each other on {face.name}.",
            "Take the distances from two edges that cross.",
        )
        return None
    return _solved(matrix, np.array(offsets), deviations)


def _from_corners(
    hardware: Hardware, face: Face, faults: Faults, where: str
) -> tuple[Point, Point] | None:
    panel = face.panel
    known = [name for name in panel.corners if name is not None]
    for name, _ in hardware.distances:
        if name not in known:
            faults.unknown(where, name, f"corner of {face.name}", known)
            return None
    (one, first), (two, second) = hardware.distances
    a, b = (np.array(panel.outline[panel.corners.index(name)]) for name in (one, two))
    ra, rb = first.length, second.length
    apart = norm(b - a)
    along = (b - a) / apart
    reach = (apart**2 + ra**2 - rb**2) / (2 * apart)
    if ra**2 <= reach**2:
        faults.add(
            where,
            f"{faults.said(ra)} and {faults.said(rb)} don't meet: "
            f"the corners are {faults.said(apart)} apart.",
            "Measure both again.",
        )
        return None
    rise = math.sqrt(ra**2 - reach**2)
    left = np.array([-along[1], along[0]])
    both = [a + reach * along + way * rise * left for way in (1.0, -1.0)]
    inside = [spot for spot in both if shapely.contains_xy(face.outline, *spot)]
    if len(inside) != 1:
        many = "Both crossings lie" if inside else "Neither crossing lies"
        faults.add(where, f"{many} on {face.name}.", "Measure from two other corners.")
        return None
    spot = inside[0]
    matrix = np.array([(spot - a) / ra, (spot - b) / rb], dtype=np.float64)
    deviations = [first.deviation, second.deviation]
    return (float(spot[0]), float(spot[1])), _spread(inverted(matrix), deviations)


def _solved(matrix: Array, offsets: Array, deviations: list[float]) -> tuple[Point, Point]:
    inverse = inverted(matrix)
    x, y = product(inverse, offsets)
    return (float(x), float(y)), _spread(inverse, deviations)


def _spread(inverse: NDArray[np.floating[Any]], deviations: list[float]) -> Point:
    # Propagation of uncertainty, JCGM 100:2008 (GUM) 5.1.2, readings independent.
    x, y = np.sqrt(product(inverse**2, np.array(deviations) ** 2))
    return float(x), float(y)


def _refuse_misfits(face: Face, holes: list[Hole], faults: Faults) -> None:
    _refuse_wide(face, holes, faults)
    room = face.flat.buffer(ON_FACE)
    openings = [open_area(hole) for hole in holes]
    for hole, area in zip(holes, openings, strict=True):
        if not room.contains(area):
            beyond = "lies off" if not face.outline.intersects(area) else "reaches over the rim of"
            x, y = (faults.said(number) for number in hole.centre)
            faults.add(
                f"hardware ({hole.name})",
                f"It {beyond} {face.name}: its centre is {x} from the left and {y} up.",
                "Check its distances and size; a hole lies whole on the flat of a board.",
            )
    for (one, a), (two, b) in combinations(zip(holes, openings, strict=True), 2):
        if a.intersects(b):
            faults.add(
                f"hardware ({two.name})",
                f"It runs into {one.name} on {face.name}.",
                "Check the distances of both.",
            )


def _refuse_wide(face: Face, holes: list[Hole], faults: Faults) -> None:
    """Refuse holes of a bent board that are not their size along it, as they are cut straight.

    One of width w in a radius R is w^3 / 24 R^2 longer along the outside (2 R asin(w / 2 R) - w).
    """
    bend = face.panel.bend
    if bend is None:
        return
    for hole in holes:
        low_x, low_y, high_x, high_y = open_area(hole).bounds
        wide = (high_y - low_y) if bend.upright else (high_x - low_x)
        if wide**3 / (24 * bend.radius**2) > STRETCHED:
            faults.add(
                f"hardware ({hole.name})",
                f"At {faults.said(wide)} it is too wide for the curve of {face.name}, whose radius "
                f"is {faults.said(abs(bend.radius))}: cut straight, its rim would be longer.",
                "Use two smaller holes, or cut this one by hand from a template.",
            )
