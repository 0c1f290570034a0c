r"""Grooves and rabbets along the edges of boards, and holes into their ends.

Stands after tools and sound, before carcase.

     _________            _________
    |                    |
    |___                 |             outside above: a groove in the end of a board, for trim,
     ___|  groove        |______       and a rabbet along its inside, that another board lies in
    |                           |
    |_________                  |__

Where the outline is curved they follow it: a groove is as deep all along an arc, and a hole goes
towards the arc's centre, or away from it. Where two sides run on into each other without a corner
a groove goes on, or is refused.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import TYPE_CHECKING

from shapely import Point, Polygon
from shapely.affinity import scale

from mateline.cabinet.edges.sound import STRAIGHT, holds_together
from mateline.cabinet.edges.tools import (
    bore_area,
    curved_end,
    groove_depths,
    groove_rings,
    sagitta,
)
from mateline.cabinet.faces import end_area
from mateline.cabinet.panel import (
    CURVED,
    Bore,
    Groove,
    curved_run,
    edge_axes,
    grouped,
    level,
    sharp_sides,
    side_of,
    squarely_cut,
)
from mateline.cabinet.volume import bent_ends
from mateline.planar.offsets import TANGENT, NoCornerError, sweep_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from shapely import MultiPolygon

    from mateline.cabinet.panel import Edge, Panel
    from mateline.cabinet.specification import Carcase, CutEdge, EdgeHole
    from mateline.errors import Faults

    Said = Callable[[float], str]  # writes a length, mm, in the unit of the job

LEAST = 0.5  # mm: wood that is left beside a groove
ROUNDING = 1e-6  # mm
SHARPEST = 2.0  # no unit: radius of a curve, in those of a drill that does not slip on it


def with_cuts(carcase: Carcase, panels: Sequence[Panel], faults: Faults) -> tuple[Panel, ...]:
    """The panels of a carcase with their grooves, rabbets and holes; wrong ones go to `faults`."""
    found = list(panels)
    places: dict[str, dict[int, str]] = {}  # of the cuts of each board, by their edges
    for cut in carcase.cuts:
        where = f"{cut.place}, {cut.kind}"
        spot = _spot(cut, found, faults, where)
        if spot is None:
            continue
        at, index = spot
        groove, wrong = _groove(cut, found[at], index, faults.said)
        edge = replace(found[at].edges[index], groove=groove)
        wrong = wrong or _off_bent(cut, _with_edge(found[at], index, edge), index)
        if wrong := wrong or _too_narrow(cut, edge, found, faults.said):
            faults.add(where, wrong, "Give it another size or place.")
        else:
            found[at] = _with_edge(found[at], index, edge)
            places.setdefault(found[at].name, {})[index] = where
    for at, panel in enumerate(found):
        wrongs = list(_unsound(panel)) if panel.name in places else []
        for index, what, remedy in wrongs:
            faults.add(places[panel.name][index], what, remedy)
        found[at] = panels[at] if wrongs else panel
    for hole in carcase.edge_holes:
        where = f"{hole.place}, holes"
        spot = _spot(hole, found, faults, where)
        if spot is None:
            continue
        at, index = spot
        bore, wrong = _bore(hole, found[at], index, faults.said)
        if bore is None or wrong:
            faults.add(where, wrong, "Give it another size or place.")
            continue
        edges = list(found[at].edges)
        edges[index] = replace(edges[index], bores=(*edges[index].bores, bore))
        found[at] = replace(found[at], edges=tuple(edges))
    return tuple(found)


def _spot(
    cut: CutEdge | EdgeHole, panels: Sequence[Panel], faults: Faults, where: str
) -> tuple[int, int] | None:
    """The number of the board that is meant, and of the first edge of its side."""
    places = [
        (at, index)
        for at, panel in enumerate(panels)
        for index, _, _ in grouped(panel)
        if panel.edges[index].end is not None
        and {panel.name, panel.edges[index].neighbour} == set(cut.boards)
    ]
    if len(places) != 1:
        many = "Both boards end openly" if places else "No end of a board is seen"
        faults.add(where, f"{many} there.", "Name an edge where one board lies over another.")
    else:
        return places[0]
    return None


def _with_edge(panel: Panel, index: int, edge: Edge) -> Panel:
    """The board with another edge; along a curve all its facets are such edges."""
    run = curved_run(panel, index)
    last = index + (1 if run is None else run.count)
    edges = (*panel.edges[:index], *((edge,) * (last - index)), *panel.edges[last:])
    return replace(panel, edges=edges)


def _bore(hole: EdgeHole, panel: Panel, index: int, said: Said) -> tuple[Bore | None, str]:
    """The hole in the end at an edge, and what is wrong with it."""
    name, distance = hole.start
    size, ends = _length_and_ends(panel, index)
    if name not in ends or ends[0] == ends[1]:
        return None, f"This edge does not end at {name}, but at {ends[0]} and {ends[1]}."
    down = panel.thickness / 2 if hole.offset is None else hole.offset
    at = distance if name == ends[0] else size - distance
    bore = Bore(hole.name, at, down, hole.diameter, hole.depth)
    slips = _slips(panel, index, bore)
    if slips:
        return None, slips
    mouth = _mouth(panel, index, bore)
    if not _end_of(panel, index).contains(mouth) or _jumps(panel, index, mouth):
        return None, "It runs out of the end of the board, or into a groove."
    if any(_meet((panel, index, bore), other) for other in _bores(panel)):
        return None, "It runs into another hole in the edges of this board."
    if not _has_room(panel, index, bore):
        return None, f"At {said(hole.depth)} it goes through the board."
    return bore, ""


def _slips(panel: Panel, index: int, bore: Bore) -> str:
    """Why a drill would slip at an edge."""
    (foot, _), (low, _) = panel.edges[index].section.points[-2:]
    if panel.bend is not None and index not in CURVED:
        return f"{panel.name} is bent, and into such an end this tool drills no hole."
    if abs(low - foot) > ROUNDING:
        return "The end of the board is not square here, and a drill would slip."
    run = curved_run(panel, index)
    if run is None:
        return ""
    if abs(side_of(panel, index).radius) < SHARPEST * (bore.diameter / 2 + LEAST):
        return "The curve is too sharp there for such a hole."
    beyond = index - 1, (index + run.count) % len(panel.edges)
    slanted = [panel.edges[at] for at in beyond if not squarely_cut(panel.edges[at])]
    return f"The edge at {slanted[0].neighbour}, beside it, is not square." if slanted else ""


def _end_of(panel: Panel, index: int) -> Polygon | MultiPolygon:
    """The end of a board at a side, (along it, -down), mm."""
    run = curved_run(panel, index)
    return end_area(panel, index) if run is None else curved_end(panel, run)[0]


def _mouth(panel: Panel, index: int, bore: Bore) -> Polygon:
    """What the mouth of a hole takes of that end, and a bit around it."""
    half = bore.diameter / 2 + LEAST
    mouth = Point(bore.at, -bore.down).buffer(half)
    if panel.bend is not None:  # laid flat, what lies inside of an arc is longer
        reach = abs(panel.bend.radius)
        return scale(mouth, max(1.0, reach / abs(panel.bend.radius - panel.thickness)))
    if curved_run(panel, index) is None:
        return mouth
    reach = abs(side_of(panel, index).radius)
    return scale(mouth, reach * math.asin(min(half / reach, 1.0)) / half)


def _jumps(panel: Panel, index: int, mouth: Polygon) -> bool:
    """Whether facets of a curve that the mouth of a hole lies on end at a groove beside it; of a
    bent board, whether there is any at the end of its curve.
    """
    run, (left, low, right, high) = curved_run(panel, index), mouth.bounds
    if panel.bend is not None:
        across = [edge.groove for at, edge in enumerate(panel.edges) if at not in CURVED]
        return any(each and each.top < -low and -high < each.bottom for each in across)
    if run is None:
        return False
    size, _ = _length_and_ends(panel, index)
    first, last = math.floor(left / size * run.count), math.ceil(right / size * run.count)
    facets = [
        (index + at) % len(panel.edges)
        for at in range(max(first - 1, 0), min(last + 1, run.count) + 1)
    ]
    return any(
        bool((level(panel, side) != level(panel, side, below=True))[facets].any())
        for side in groove_depths(panel)[1:-1]
        if low < -side < high
    )


def _length_and_ends(panel: Panel, index: int) -> tuple[float, tuple[str, str]]:
    """How long a side is, mm, and the boards at its start and its end."""
    run, side = curved_run(panel, index), side_of(panel, index)
    size = math.dist(side.start, side.to) if run is None else side.radius * sweep_of(side)
    after = (index + (1 if run is None else run.count)) % len(panel.edges)
    return size, (panel.edges[index - 1].neighbour, panel.edges[after].neighbour)


def _bores(panel: Panel) -> Iterator[tuple[int, Bore]]:
    return ((index, bore) for index, edge in enumerate(panel.edges) for bore in edge.bores)


def _meet(one: tuple[Panel, int, Bore], other: tuple[int, Bore]) -> bool:
    """Whether two holes of a board run into each other."""
    (panel, index, bore), (there, met) = one, other
    apart, reach = abs(bore.down - met.down), (bore.diameter + met.diameter) / 2
    if index == there and curved_run(panel, index) is None:  # side by side
        return math.hypot(bore.at - met.at, apart) < reach + LEAST
    areas = bore_area(panel, index, bore, LEAST), bore_area(panel, there, met)
    return apart < reach + LEAST and areas[0].intersects(areas[1])


def _has_room(panel: Panel, index: int, bore: Bore) -> bool:
    """Whether a hole ends in the board."""
    if not panel.runs:
        return bore.deep <= _room(panel, index) - LEAST
    # Beside its mouth, where a curve falls away, there is no wood.
    wider = replace(bore, diameter=bore.diameter + 2 * LEAST)
    start = max(sagitta(panel, index, wider), 0.0) + LEAST
    area = bore_area(panel, index, bore, LEAST, start)
    return all(
        Polygon(level(panel, top, below=top > 0)).contains(area)
        for top, low in itertools.pairwise(groove_depths(panel))
        if top < bore.down + bore.diameter / 2 and bore.down - bore.diameter / 2 < low
    )


def _groove(cut: CutEdge, panel: Panel, index: int, said: Said) -> tuple[Groove, str]:
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
        wrong = f"It runs out of the end, which is {said(thick - foot)} wide."
    elif groove.deep > (room := _room(panel, index)) - LEAST:
        wrong = f"At {said(groove.deep)} it goes through the board."
        if curved_run(panel, index) is not None:
            wrong = (
                f"At {said(groove.deep)} it is too deep for the round there, whose radius is "
                f"{said(room)}."
            )
    elif edge.groove is not None:
        wrong = "This edge has a groove or a rabbet already."
    elif edge.end == "art" and cut.kind == "groove":
        wrong = "Art is painted over this end, and a groove would cut it."
    elif any(turn < -TANGENT for turn, _ in _turns(panel, index)):
        wrong = "The outline turns in at an end of this edge, where no cutter runs out."
    else:
        for _, other in _turns(panel, index):
            beside = panel.edges[other]
            if groove.top < beside.section.points[-2][1] + LEAST:
                wrong = f"It would run out through the bevel or round at {beside.neighbour}."
    return groove, wrong


def _unsound(panel: Panel) -> Iterator[tuple[int, str, str]]:
    """What is wrong with a board whose grooves are all there: at which edge, what, the remedy."""
    unjoined = list(_unjoined(panel))
    yield from unjoined
    if unjoined:
        return
    last = max(at for at, _, _ in grouped(panel) if panel.edges[at].groove is not None)
    if panel.bend is not None and _cross(panel):
        what = f"{panel.name} is bent, and grooves along and across it meet."
        yield last, what, "Keep one of them, or let one lie deeper than the other."
        return
    try:
        whole = holds_together(panel)
        if panel.runs:
            list(groove_rings(panel))
    except NoCornerError:
        whole = False
    if not whole:
        what = f"{panel.name} has nothing left of one of its edges as deep as that."
        yield last, what, "Make the groove or the rabbet less deep, or the one beside it."


def _unjoined(panel: Panel) -> Iterator[tuple[int, str, str]]:
    """The same of grooves that end where a side runs on into the next one without a corner."""
    for index, _, _ in grouped(panel):
        edge = panel.edges[index]
        for turn, other in _turns(panel, index):
            beside = panel.edges[other]
            if edge.groove is None or beside.groove == edge.groove:
                continue
            if abs(turn) < math.sin(STRAIGHT):
                what = f"The edge runs on without a corner to that at {beside.neighbour}."
                pair = f"“{panel.name} and {beside.neighbour}”"
                yield index, what, f"Give {pair} the same groove or rabbet, or cut it by hand."


def _too_narrow(cut: CutEdge, edge: Edge, panels: Sequence[Panel], said: Said) -> str:
    """Why the board that goes into a rabbet would not."""
    inside = next((panel for panel in panels if panel.name == edge.neighbour), None)
    if cut.kind != "rabbet" or inside is None or edge.apart:
        return ""
    (foot, top), (low, bottom) = edge.section.points[-2:]
    needed = inside.thickness * math.hypot(1.0, (low - foot) / (bottom - top)) + edge.proud
    if cut.width >= needed - ROUNDING:
        return ""
    wide = said(cut.width)
    return f"{inside.name} lies in it, which takes {said(needed)}, and it is {wide} wide."


def _cross(panel: Panel) -> bool:
    """Whether a groove along a bent board lies as deep as one across it."""
    grooves = [(at in CURVED, edge.groove) for at, edge in enumerate(panel.edges) if edge.groove]
    return any(
        one.top - LEAST < other.bottom and other.top - LEAST < one.bottom
        for along, one in grooves
        for also, other in grooves
        if along and not also
    )


def _room(panel: Panel, index: int) -> float:
    """How far the board goes on from an edge, mm; from a round, to its centre."""
    run = curved_run(panel, index)
    if run is not None:
        return side_of(panel, index).radius if run.bulging else math.inf
    start, _, inward = edge_axes(panel, index)
    return max(
        float((x - start[0]) * inward[0] + (y - start[1]) * inward[1]) for x, y in panel.outline
    )


def _off_bent(cut: CutEdge, panel: Panel, index: int) -> str:
    """Why a bent board gets no such groove, which is one already."""
    bend = panel.bend
    if bend is None or index in CURVED:
        return ""
    if cut.kind == "rabbet":
        return f"{panel.name} is bent, and across a bent board this tool cuts no rabbet."
    for end in bent_ends(panel):
        for x, y in end[1:-1]:  # the corners of a flat groove between two arcs
            away = math.hypot(x, y + bend.radius)
            down = bend.radius - math.copysign(away, bend.radius)
            if not LEAST <= down <= panel.thickness - LEAST:
                return f"{panel.name} bends away from it: at its floor it comes out of the board."
    return ""


def _turns(panel: Panel, index: int) -> Iterator[tuple[float, int]]:
    """By end of a side: the sine of the angle by which the outline turns there, and the first edge
    of the side beyond. It is less than 0 where it turns in.
    """
    groups, sides = grouped(panel), sharp_sides(panel)
    number = [first for first, _, _ in groups].index(index)
    for before in (number - 1, number):
        after = (before + 1) % len(sides)
        corner = sides[after].start
        (ax, ay), (bx, by) = sides[before].way(corner), sides[after].way(corner)
        yield ax * by - ay * bx, groups[after if before == number else before][0]
