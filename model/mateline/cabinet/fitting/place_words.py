r"""Where on a face a place is, as one finds it with a tape: from the edges that the file names.

Stands first in the room. Edges are the cabinet's sharp ones, where the outsides of two boards
meet, as in the definition: a board that ends under another starts a thickness inside of them.

    edges    3 from its edge with front and 2 1/2 from its edge with bottom
    corners  150 from corner A and 330 from corner B
    along    3 along its edge with top from left, and 2 in from it

Hardware is told from what it was measured from. Other places are told from two edges that cross
and that a square from the place meets: first those that the face's hardware is measured from, then
the nearest. On a bevel or a round the distance is taken over its surface, from the fold.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.cabinet.panel import edge_axes, edge_length
from mateline.products import comparable, product

if TYPE_CHECKING:
    from collections.abc import Callable

    from mateline.cabinet.faces import Face
    from mateline.cabinet.hole import Hole
    from mateline.cabinet.panel import Panel
    from mateline.curves import Point

    Said = Callable[[float], str]

CROSSING = math.sin(math.radians(30))  # no unit: edges nearer to parallel make a poor fix
ON = 1e-6  # mm: rounding allowed where a square from a place meets the end of an edge


@dataclass(frozen=True, slots=True)
class _Reach:
    """How far a place is inside of one sharp edge, mm, and whether a square meets it there."""

    index: int
    distance: float
    meets: bool


def place_words(face: Face, at: Point, said: Said, hole: Hole | None = None) -> str:
    """The place `at` (face frame, mm) on `face`, or of its `hole`; `said` prints a length."""
    if hole is not None and hole.measured is not None:
        how, (first, second) = hole.measured
        return {"edges": _by_edges, "corners": _by_corners, "along": _by_corner}[how](
            face.panel, (first, second), at, said
        )
    for strip in face.strips:
        if shapely.intersects_xy(strip.area, *at):
            fold = shapely.distance(strip.score, shapely.Point(at))
            edge = face.panel.edges[strip.edge]
            beside = [each for each in _reaches(face, at) if each.index != strip.edge]
            other = _crossing(face.panel, strip.edge, beside)
            return (
                f"{said(float(fold))} from the fold of its edge with {edge.neighbour}, beyond it, "
                f"and {_from(face.panel, other, said)}"
            )
    first_edge = _reaches(face, at)[0]
    beside = [each for each in _reaches(face, at) if each.index != first_edge.index]
    other = _crossing(face.panel, first_edge.index, beside)
    one, two = sorted((first_edge, other), key=lambda each: _upright(face.panel, each.index))
    return f"{_from(face.panel, one, said)} and {_from(face.panel, two, said)}"


def _reaches(face: Face, at: Point) -> list[_Reach]:
    """All edges of a face, those first that a place is best told from."""
    used = {
        name
        for hole in face.holes
        if hole.measured is not None and hole.measured[0] == "edges"
        for name in hole.measured[1]
    }
    off = not shapely.intersects_xy(face.outline, *at)
    found = [_reach(face.panel, index, at, off=off) for index in range(len(face.panel.edges))]
    return sorted(
        found,
        key=lambda each: (
            not each.meets,
            face.panel.edges[each.index].neighbour not in used,
            float(comparable(np.array(abs(each.distance)))),
            each.index,
        ),
    )


def _reach(panel: Panel, index: int, at: Point, *, off: bool = False) -> _Reach:
    """Of one edge; a place `off` the face may lie beyond it."""
    start, along, inward = edge_axes(panel, index)
    step = np.array(at) - start
    foot, distance = float(product(step, along)), float(product(step, inward))
    meets = -ON <= foot <= edge_length(panel, index) + ON and (distance >= -ON or off)
    return _Reach(index, distance, meets)


def _crossing(panel: Panel, index: int, beside: list[_Reach]) -> _Reach:
    """The first of `beside` whose edge crosses that of `index` well, or else the first."""
    _, along, _ = edge_axes(panel, index)
    for each in beside:
        _, _, inward = edge_axes(panel, each.index)
        if abs(float(product(along, inward))) >= CROSSING:
            return each
    return beside[0]


def _upright(panel: Panel, index: int) -> float:
    """0 for an edge up and down, 1 for a level one: distances across are told first."""
    _, along, _ = edge_axes(panel, index)
    return float(comparable(np.array(abs(along[0]))))


def _from(panel: Panel, reach: _Reach, said: Said) -> str:
    way = "from" if reach.distance >= 0 else "beyond"
    return f"{said(abs(reach.distance))} {way} its edge with {panel.edges[reach.index].neighbour}"


def _by_edges(panel: Panel, names: tuple[str, str], at: Point, said: Said) -> str:
    known = [edge.neighbour for edge in panel.edges]
    return " and ".join(_from(panel, _reach(panel, known.index(name), at), said) for name in names)


def _by_corners(panel: Panel, names: tuple[str, str], at: Point, said: Said) -> str:
    spots = [panel.outline[panel.corners.index(name)] for name in names]
    return " and ".join(
        f"{said(math.dist(spot, at))} from corner {name}"
        for spot, name in zip(spots, names, strict=True)
    )


def _by_corner(panel: Panel, names: tuple[str, str], at: Point, said: Said) -> str:
    edge, corner = names
    index = [each.neighbour for each in panel.edges].index(edge)
    start, along, inward = edge_axes(panel, index)
    step = np.array(at) - start
    reach, inside = float(product(step, along)), float(product(step, inward))
    first = corner in {panel.edges[index - 1].neighbour, panel.corners[index]}
    reach = reach if first else edge_length(panel, index) - reach
    way = "in from" if inside >= 0 else "beyond"
    along_it = f"{said(reach)} along its edge with {edge} from {corner}"
    return f"{along_it}, and {said(abs(inside))} {way} it"
