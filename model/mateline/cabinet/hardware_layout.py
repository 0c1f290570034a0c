"""Hardware at its places: from distances that a tape takes on the cabinet to holes on faces.

Stands after faces and hardware. A distance from an edge is taken from the cabinet's sharp edge,
where the outsides of two boards meet, whichever of the two boards ends there.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from mateline.cabinet.carcase import ENDS
from mateline.cabinet.hardware import holes_of
from mateline.cabinet.hole import open_area
from mateline.cabinet.panel import edge_axes
from mateline.tape.accuracy import deviation
from mateline.tape.reading import printed_exact

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face
    from mateline.cabinet.hole import Hole
    from mateline.curves import Point
    from mateline.definition.lengths import Ruler
    from mateline.definition.schema import HardwareTable

    Array = NDArray[np.float64]

PARALLEL = math.sin(math.radians(5))  # no unit: edges nearer to parallel fix no place
ON_FACE = 1e-6  # mm: rounding allowed at a face's rim


def fitted(
    faces: Iterable[Face], hardware: tuple[HardwareTable, ...], ruler: Ruler
) -> tuple[Face, ...]:
    """The faces with their holes; faults go to `ruler`."""
    by_name = {face.name: face for face in faces}
    holes: dict[str, list[Hole]] = {name: [] for name in by_name}
    for number, table in enumerate(hardware, start=1):
        place = f"hardware {number} ({table.name})"
        for face, mirrored in _on(table, by_name, ruler, place):
            found = _placed(table, face, ruler, place, mirrored=mirrored)
            holes[face.name].extend(found)
    for name, face in by_name.items():
        _refuse_misfits(face, holes[name], ruler)
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
    table: HardwareTable, faces: Mapping[str, Face], ruler: Ruler, place: str
) -> Iterable[tuple[Face, bool]]:
    face = faces.get(table.on)
    if face is None:
        ruler.unknown(f"{place}, on", table.on, "face", faces)
        return
    yield face, False
    if table.both_sides:
        other = opposite(face, faces)
        if other is None:
            ruler.fault(
                f"{place}, both_sides",
                f"{table.on} has no opposite side.",
                "Only left and right sides mirror each other; give each face its own hardware.",
            )
        else:
            yield other, True


def _placed(
    table: HardwareTable, face: Face, ruler: Ruler, place: str, *, mirrored: bool
) -> tuple[Hole, ...]:
    where = f"{place}, from"
    if (len(table.from_edges), len(table.from_corners)) == (2, 0):
        spot = _from_edges(table, face, ruler, where)
    elif (len(table.from_edges), len(table.from_corners)) == (0, 2):
        spot = _from_corners(table, face, ruler, where)
    else:
        ruler.fault(
            where,
            "A place takes two distances.",
            'Write from = { front = "3", bottom = "2 1/2" }, or from_corners with two corners.',
        )
        return ()
    if spot is None:
        return ()
    centre, spread = spot
    return holes_of(table, ruler, place, centre, spread, mirrored=mirrored)


def _from_edges(
    table: HardwareTable, face: Face, ruler: Ruler, where: str
) -> tuple[Point, Point] | None:
    panel = face.panel
    names = [edge.neighbour for edge in panel.edges]
    normals, offsets, deviations = [], [], []
    for name, reading in table.from_edges.items():
        if name not in names:
            ruler.unknown(where, name, f"edge of {face.name}", names)
            return None
        start, _, inward = edge_axes(panel, names.index(name))
        distance = ruler.length(reading, f"{where}, {name}")
        normals.append(inward)
        offsets.append(float(inward @ start) + distance)
        deviations.append(deviation(abs(distance), ruler.tape))
    matrix = np.array(normals)
    if abs(np.linalg.det(matrix)) < PARALLEL:
        first, second = table.from_edges
        ruler.fault(
            where,
            f"{first} and {second} run alongside each other on {face.name}.",
            "Take the distances from two edges that cross.",
        )
        return None
    return _solved(matrix, np.array(offsets), deviations)


def _from_corners(
    table: HardwareTable, face: Face, ruler: Ruler, where: str
) -> tuple[Point, Point] | None:
    panel = face.panel
    known = [name for name in panel.corners if name is not None]
    for name in table.from_corners:
        if name not in known:
            ruler.unknown(where, name, f"corner of {face.name}", known)
            return None
    (one, first), (two, second) = table.from_corners.items()
    a, b = (np.array(panel.outline[panel.corners.index(name)]) for name in (one, two))
    ra, rb = (ruler.size(reading, where) for reading in (first, second))
    apart = float(np.linalg.norm(b - a))
    along = (b - a) / apart
    reach = (apart**2 + ra**2 - rb**2) / (2 * apart)
    if ra**2 <= reach**2:
        ruler.fault(
            where,
            f"{printed_exact(ra, ruler.unit)} and {printed_exact(rb, ruler.unit)} don't meet: "
            f"the corners are {printed_exact(apart, ruler.unit)} apart.",
            "Measure both again.",
        )
        return None
    rise = math.sqrt(ra**2 - reach**2)
    left = np.array([-along[1], along[0]])
    both = [a + reach * along + way * rise * left for way in (1.0, -1.0)]
    inside = [spot for spot in both if shapely.contains_xy(face.outline, *spot)]
    if len(inside) != 1:
        many = "Both crossings lie" if inside else "Neither crossing lies"
        ruler.fault(where, f"{many} on {face.name}.", "Measure from two other corners.")
        return None
    spot = inside[0]
    matrix = np.array([(spot - a) / ra, (spot - b) / rb], dtype=np.float64)
    sizes = [deviation(ra, ruler.tape), deviation(rb, ruler.tape)]
    return (float(spot[0]), float(spot[1])), _spread(np.linalg.inv(matrix), sizes)


def _solved(matrix: Array, offsets: Array, deviations: list[float]) -> tuple[Point, Point]:
    inverse = np.linalg.inv(matrix)
    x, y = inverse @ offsets
    return (float(x), float(y)), _spread(inverse, deviations)


def _spread(inverse: NDArray[np.floating[Any]], deviations: list[float]) -> Point:
    # Propagation of uncertainty, JCGM 100:2008 (GUM) 5.1.2, readings independent.
    x, y = np.sqrt((inverse**2) @ np.array(deviations) ** 2)
    return float(x), float(y)


def _refuse_misfits(face: Face, holes: list[Hole], ruler: Ruler) -> None:
    room = face.flat.buffer(ON_FACE)
    openings = [open_area(hole) for hole in holes]
    for hole, area in zip(holes, openings, strict=True):
        if not room.contains(area):
            beyond = "lies off" if not face.outline.intersects(area) else "reaches over the rim of"
            x, y = (printed_exact(number, ruler.unit) for number in hole.centre)
            ruler.fault(
                f"hardware ({hole.name})",
                f"It {beyond} {face.name}: its centre is {x} from the left and {y} up.",
                "Check its distances and size; a hole lies whole on the flat of a board.",
            )
    for (one, a), (two, b) in combinations(zip(holes, openings, strict=True), 2):
        if a.intersects(b):
            ruler.fault(
                f"hardware ({two.name})",
                f"It runs into {one.name} on {face.name}.",
                "Check the distances of both.",
            )
