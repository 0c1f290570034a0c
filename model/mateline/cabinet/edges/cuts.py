r"""Grooves and rabbets along the edges of boards, and holes into their ends.

Stands beside rules, before carcase.

     _________            _________
    |                    |
    |___                 |             outside above: a groove in the end of a board, for trim,
     ___|  groove        |______       and a rabbet along its inside, that another board lies in
    |                           |
    |_________                  |__
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import shapely
from shapely import Point, Polygon

from mateline.cabinet.faces import end_area
from mateline.cabinet.panel import Bore, Groove, edge_axes, edge_length, end_line
from mateline.cabinet.specification import CutEdge, EdgeHole
from mateline.curves import Chain, Segment

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry.base import BaseGeometry

    from mateline.cabinet.panel import Edge, Panel
    from mateline.cabinet.specification import Carcase
    from mateline.errors import Faults

LEAST = 0.5  # mm: wood that is left beside a groove
ROUNDING = 1e-6  # mm
BEYOND = 1.0  # mm: how far a cutting tool stands out of the board


def with_cuts(carcase: Carcase, panels: Sequence[Panel], faults: Faults) -> tuple[Panel, ...]:
    """The panels of a carcase with their grooves and rabbets; wrong ones go to `faults`."""
    found = list(panels)
    wanted: tuple[CutEdge | EdgeHole, ...] = (*carcase.cuts, *carcase.edge_holes)
    for cut in wanted:
        kind = "holes" if isinstance(cut, EdgeHole) else cut.kind
        where = f"{cut.place}, {kind}"
        places = [
            (at, index)
            for at, panel in enumerate(found)
            for index, edge in enumerate(panel.edges)
            if edge.end is not None and {panel.name, edge.neighbour} == set(cut.boards)
        ]
        curved = [found[at].name for at, _ in places if found[at].runs or found[at].bend]
        if curved:
            what = f"{curved[0]} is curved, and curved boards get none by this tool."
            faults.add(where, what, "Remove it from the definition, and cut it by hand.")
            continue
        if len(places) != 1:
            many = "Both boards end openly" if places else "No end of a board is seen"
            faults.add(where, f"{many} there.", "Name an edge where one board lies over another.")
            continue
        at, index = places[0]
        edge, wrong = _worked(cut, found[at], index)
        if isinstance(cut, CutEdge):
            wrong = wrong or _too_narrow(cut, edge, found)
        if wrong:
            faults.add(where, wrong, "Give it another size or place.")
        else:
            edges = list(found[at].edges)
            edges[index] = edge
            found[at] = replace(found[at], edges=tuple(edges))
    return tuple(found)


def drilled(panel: Panel) -> BaseGeometry:
    """Where holes go into the ends of a board, seen from outside, in the face frame."""
    found = []
    for index, edge in enumerate(panel.edges):
        start, along, inward = edge_axes(panel, index)
        for bore in edge.bores:
            end, reach = edge.section.points[-1][0], bore.diameter / 2
            spots = ((-reach, 0.0), (reach, 0.0), (reach, bore.deep), (-reach, bore.deep))
            ring = [
                start + (bore.at + aside) * along + (end + deep) * inward for aside, deep in spots
            ]
            found.append(Polygon(ring))
    return shapely.union_all(found)


def _worked(cut: CutEdge | EdgeHole, panel: Panel, index: int) -> tuple[Edge, str]:
    """The edge with a cut or a hole more, and what is wrong with that."""
    edge = panel.edges[index]
    if isinstance(cut, EdgeHole):
        bore, wrong = _bore(cut, panel, index)
        return (edge if bore is None else replace(edge, bores=(*edge.bores, bore))), wrong
    groove, wrong = _groove(cut, panel, index)
    return replace(edge, groove=groove), wrong


def _bore(hole: EdgeHole, panel: Panel, index: int) -> tuple[Bore | None, str]:
    edge, (name, distance) = panel.edges[index], hole.start
    count, size = len(panel.edges), edge_length(panel, index)
    ends = (panel.edges[index - 1].neighbour, panel.edges[(index + 1) % count].neighbour)
    if name not in ends or ends[0] == ends[1]:
        return None, f"This edge does not end at {name}, but at {ends[0]} and {ends[1]}."
    (foot, _), (low, _) = edge.section.points[-2:]
    if abs(low - foot) > ROUNDING:
        return None, "The end of the board is not square here, and a drill would slip."
    down = panel.thickness / 2 if hole.offset is None else hole.offset
    at = distance if name == ends[0] else size - distance
    bore = Bore(hole.name, at, down, hole.diameter, hole.depth)
    mouth = Point(at, -down).buffer(hole.diameter / 2 + LEAST)
    clear = end_area(panel, index)
    others = [Point(one.at, -one.down).buffer(one.diameter / 2) for one in edge.bores]
    if not clear.contains(mouth):
        return None, "It runs out of the end of the board, or into a groove."
    if any(mouth.intersects(other) for other in others):
        return None, "It runs into another hole of this edge."
    if hole.depth > _room(panel, index) - LEAST:
        return None, f"At {hole.depth:.1f} mm it goes through the board."
    return bore, ""


def _groove(cut: CutEdge, panel: Panel, index: int) -> tuple[Groove, str]:
    """The groove of an edge, and what is wrong with it."""
    edge, thick = panel.edges[index], panel.thickness
    foot = edge.section.points[-2][1]
    if cut.kind == "rabbet":
        groove = Groove(thick - cut.depth, math.inf, cut.width)
    else:
        middle = thick / 2 if cut.offset is None else cut.offset
        groove = Groove(middle - cut.width / 2, middle + cut.width / 2, cut.depth)
    low = thick if cut.kind == "rabbet" else groove.bottom + LEAST
    wrong = ""
    if groove.top < foot + LEAST or low > thick:
        wrong = f"It runs out of the end, which is {thick - foot:.1f} mm wide."
    elif groove.deep > _room(panel, index) - LEAST:
        wrong = f"At {groove.deep:.1f} mm it goes through the board."
    elif groove.top < max(beside.section.points[-2][1] for beside in _beside(panel, index)):
        wrong = "It runs out through the bevel or round of an edge beside it."
    elif edge.groove is not None:
        wrong = "This edge has a groove or a rabbet already."
    elif edge.end == "art" and cut.kind == "groove":
        wrong = "Art is painted over this end, and a groove would cut it."
    elif any(_turns_in(panel, corner) for corner in (index, (index + 1) % len(panel.edges))):
        wrong = "The outline turns in at an end of this edge, where no cutter runs out."
    return groove, wrong


def _too_narrow(cut: CutEdge, edge: Edge, panels: Sequence[Panel]) -> str:
    """Why the board that goes into a rabbet would not."""
    inside = next((panel for panel in panels if panel.name == edge.neighbour), None)
    if cut.kind != "rabbet" or inside is None or edge.apart:
        return ""
    (foot, top), (low, bottom) = edge.section.points[-2:]
    needed = inside.thickness * math.hypot(1.0, (low - foot) / (bottom - top)) + edge.proud
    if cut.width >= needed - ROUNDING:
        return ""
    return f"{inside.name} lies in it, which takes {needed:.1f} mm, and it is {cut.width:.1f} wide."


def _room(panel: Panel, index: int) -> float:
    """How far the board goes on from an edge, mm."""
    start, _, inward = edge_axes(panel, index)
    return max(
        float((x - start[0]) * inward[0] + (y - start[1]) * inward[1]) for x, y in panel.outline
    )


def _beside(panel: Panel, index: int) -> tuple[Edge, Edge]:
    return panel.edges[index - 1], panel.edges[(index + 1) % len(panel.edges)]


def _turns_in(panel: Panel, corner: int) -> bool:
    (_, before, _), (_, after, _) = edge_axes(panel, corner - 1), edge_axes(panel, corner)
    return float(before[0] * after[1] - before[1] * after[0]) < 0


def groove_levels(panel: Panel, index: int, groove: Groove) -> list[tuple[Chain, float]]:
    """The prism that a groove or a rabbet takes of a board, longer than its edge."""
    start, along, inward = edge_axes(panel, index)
    long = 2 * panel.thickness + groove.deep + BEYOND
    first, last = -long, edge_length(panel, index) + long
    levels = []
    for down in (groove.top, min(groove.bottom, panel.thickness + BEYOND)):
        end = end_line(panel.edges[index], down)
        ring = [(first, end - BEYOND), (last, end - BEYOND), (last, end + groove.deep),
                (first, end + groove.deep)]  # fmt: skip
        spots = [start + at * along + deep * inward for at, deep in ring]
        (x, y), *rest = [(float(x), float(y)) for x, y in (*spots, spots[0])]
        levels.append((Chain((x, y), tuple(Segment(spot) for spot in rest)), down))
    return levels
