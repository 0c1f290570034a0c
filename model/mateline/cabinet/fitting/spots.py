"""Places on a face from distances that a tape takes: from edges, from corners, along an edge.

Beside place_words. A distance from an edge is taken from the cabinet's sharp edge, where the
outsides of two boards meet, whichever of the two boards ends there. What can't be fulfilled goes
to `faults` and gives no spot.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from mateline.cabinet.panel import curved_edges, edge_axes, edge_length
from mateline.products import determinant, inverted, norm, product

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face
    from mateline.cabinet.hole import Measured
    from mateline.cabinet.specification import Along, Distance, Hardware
    from mateline.curves import Point
    from mateline.errors import Faults

    Array = NDArray[np.float64]
    Naming = Callable[[str], str]
    Pair = tuple[tuple[str, Distance], tuple[str, Distance]]

PARALLEL = math.sin(math.radians(5))  # no unit: edges nearer to parallel fix no place
MOST = 200  # pieces of hardware along one edge
SAME = 1e-6  # mm: rounding allowed where the last one along an edge just fits


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in the face frame, mm, how sure it is in x and y, and what it was measured from.

    Hardware there has its own x at the angle `along`, radians: that of the edge it lies along.
    """

    at: Point
    deviation: Point
    measured: Measured
    along: float = 0.0


def spots_of(
    hardware: Hardware, face: Face, faults: Faults, opposite: Naming = str
) -> tuple[Spot, ...]:
    """Where `hardware` lies on `face`, which is the one that it names or, with the names that
    `opposite` gives, the one across the middle plane.
    """
    if hardware.along is not None:
        return _along(hardware.along, face, faults, f"{hardware.called}, along", opposite)
    if hardware.distances is None:
        raise ValueError(f"{hardware.name} has no place")
    where = f"{hardware.called}, from"
    (one, first), (two, second) = hardware.distances
    pair = (opposite(one), first), (opposite(two), second)
    spot = (_from_corners if hardware.corners else _from_edges)(pair, face, faults, where)
    return () if spot is None else (spot,)


def _from_edges(pair: Pair, face: Face, faults: Faults, where: str) -> Spot | None:
    panel = face.panel
    names = [edge.neighbour for edge in panel.edges]
    normals, offsets, deviations = [], [], []
    for name, distance in pair:
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
    (first, _), (second, _) = pair
    if abs(determinant(matrix)) < PARALLEL:
        faults.add(
            where,
            f"{first} and {second} run alongside each other on {face.name}.",
            "Take the distances from two edges that cross.",
        )
        return None
    inverse = inverted(matrix)
    x, y = product(inverse, np.array(offsets))
    at = float(x), float(y)
    return Spot(at, _spread(inverse, deviations), ("edges", (first, second)))


def _from_corners(pair: Pair, face: Face, faults: Faults, where: str) -> Spot | None:
    panel = face.panel
    known = [name for name in panel.corners if name is not None]
    for name, _ in pair:
        if name not in known:
            faults.unknown(where, name, f"corner of {face.name}", known)
            return None
    (one, first), (two, second) = pair
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
    spread = _spread(inverted(matrix), [first.deviation, second.deviation])
    return Spot((float(spot[0]), float(spot[1])), spread, ("corners", (one, two)))


def _along(
    stated: Along, face: Face, faults: Faults, where: str, opposite: Naming
) -> tuple[Spot, ...]:
    panel = face.panel
    names = [edge.neighbour for edge in panel.edges]
    edge, corner = opposite(stated.edge), opposite(stated.corner)
    if edge not in names:
        faults.unknown(f"{where}, edge", edge, f"edge of {face.name}", names)
        return ()
    if names.count(edge) > 1:
        what = f"The edge of {face.name} with {edge} is curved, and no row runs along a curve."
        faults.add(f"{where}, edge", what, "Give each piece its distances from two straight edges.")
        return ()
    index = names.index(edge)
    after = (index + 1) % len(names)
    ends = (names[index - 1], panel.corners[index]), (names[after], panel.corners[after])
    if not any(corner in end for end in ends):
        known = [name for end in ends for name in end if name is not None]
        faults.unknown(
            f"{where}, from", corner, f"end of the edge of {face.name} with {edge}", known
        )
        return ()
    start, along, inward = edge_axes(panel, index)
    length = edge_length(panel, index)
    steps = _steps(stated, length, faults, where)
    if corner not in ends[0]:
        steps = [length - step for step in steps]
    spread = _spread(
        np.column_stack([along, inward]), [stated.first.deviation, stated.inside.deviation]
    )
    turn = math.atan2(along[1], along[0])
    places = [start + step * along + stated.inside.length * inward for step in steps]
    return tuple(
        Spot((float(x), float(y)), spread, ("along", (edge, corner)), turn) for x, y in places
    )


def _steps(stated: Along, length: float, faults: Faults, where: str) -> list[float]:
    """How far along the edge the pieces lie from their corner, mm."""
    first, pitch, rest = stated.first.length, stated.pitch, stated.rest
    last = length - (rest or 0.0)
    if rest is not None and last < first - SAME:
        faults.add(
            where,
            f"The edge is {faults.said(length)} long, and the first one lies {faults.said(first)} "
            f"along it: {faults.said(rest)} can't be left at its other end.",
            "Check at and leave.",
        )
        return []
    if stated.count is not None and rest is not None:
        pitch = (last - first) / (stated.count - 1)
    count = stated.count or (1 if pitch is None else math.floor((last - first + SAME) / pitch) + 1)
    if count > MOST:
        faults.add(
            where,
            f"At {faults.said(pitch or 0.0)} from one to the next there would be {count} of them.",
            f"Give a longer pitch; there are {MOST} at most.",
        )
        return []
    return [first + step * (pitch or 0.0) for step in range(count)]


def _spread(inverse: NDArray[np.floating[Any]], deviations: list[float]) -> Point:
    # Propagation of uncertainty, JCGM 100:2008 (GUM) 5.1.2, readings independent.
    x, y = np.sqrt(product(inverse**2, np.array(deviations) ** 2))
    return float(x), float(y)
