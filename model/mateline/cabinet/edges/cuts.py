r"""Grooves and rabbets along the edges of boards.

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

from mateline.cabinet.panel import Groove, edge_axes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.cabinet.panel import Edge, Panel
    from mateline.cabinet.specification import Carcase, CutEdge
    from mateline.errors import Faults

LEAST = 0.5  # mm: wood that is left beside a groove
ROUNDING = 1e-6  # mm


def with_cuts(carcase: Carcase, panels: Sequence[Panel], faults: Faults) -> tuple[Panel, ...]:
    """The panels of a carcase with their grooves and rabbets; wrong ones go to `faults`."""
    found = list(panels)
    for cut in carcase.cuts:
        where = f"{cut.place}, {cut.kind}"
        places = [
            (at, index)
            for at, panel in enumerate(found)
            for index, edge in enumerate(panel.edges)
            if edge.end is not None and {panel.name, edge.neighbour} == set(cut.boards)
        ]
        if len(places) != 1:
            many = "Both boards end openly" if places else "No end of a board is seen"
            faults.add(where, f"{many} there.", "Name an edge where one board lies over another.")
            continue
        at, index = places[0]
        groove, wrong = _groove(cut, found[at], index)
        wrong = wrong or _too_narrow(cut, found[at].edges[index], found)
        if wrong:
            faults.add(where, wrong, "Give it another size or place.")
        else:
            edges = list(found[at].edges)
            edges[index] = replace(edges[index], groove=groove)
            found[at] = replace(found[at], edges=tuple(edges))
    return tuple(found)


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


def _turns_in(panel: Panel, corner: int) -> bool:
    (_, before, _), (_, after, _) = edge_axes(panel, corner - 1), edge_axes(panel, corner)
    return float(before[0] * after[1] - before[1] * after[0]) < 0
