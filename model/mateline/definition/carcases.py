"""The definition's carcases, settled: readings between corners, boards, joints, edges, places.

Stands after lengths.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from mateline.cabinet.joints import Bevel, Round
from mateline.cabinet.specification import (
    Board,
    Carcase,
    CutEdge,
    EdgeHole,
    EndFinish,
    Joint,
    Moulding,
    Position,
    ShapedEdge,
    Standing,
)
from mateline.definition.curves import curves_of
from mateline.definition.effect import refuse
from mateline.definition.lengths import METRIC, Ruler
from mateline.definition.readings import angles_between, known_corner, read_between
from mateline.definition.schema import MeasuredTable
from mateline.errors import Faults
from mateline.tape.outline import Corners
from mateline.tape.readings import Readings

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from mateline.definition.schema import CarcaseTable
    from mateline.definition.tables.edges import EdgeTable, GrooveTable, RabbetTable
    from mateline.definition.tables.part import Reading
    from mateline.tape.accuracy import Tape

    Measured = Readings | Corners

_JOINT = re.compile(r"(\S+)\s+(over|mitre)\s+(\S+)")
_EDGE = re.compile(r"(\S+)\s+and\s+(\S+)")


def carcases_of(tables: tuple[CarcaseTable, ...], ruler: Ruler) -> tuple[Carcase, ...]:
    """All carcases whose outlines can be told; faults go to the ruler."""
    found = []
    for number, table in enumerate(tables, start=1):
        place = f"carcase {number} ({table.name})"
        outlines = _outlines(table, ruler, place)
        thickness = ruler.size(table.board, f"{place}, board")
        carcase = Carcase(
            name=table.name,
            view=table.view,
            width=ruler.size(table.width, f"{place}, width"),
            thickness=thickness,
            outlines=outlines or (Corners((), ()),),
            boards=tuple(_boards(table, thickness, ruler, place)),
            joints=tuple(_joints(table, ruler, place)),
            edges=tuple(_edges(table, ruler, place)),
            where=_where(table, ruler, place),
            ends=table.ends,
            finishes=tuple(_finishes(table, place)),
            mouldings=tuple(_mouldings(table, ruler, place)),
            cuts=tuple(_cuts(table, ruler, place)),
            edge_holes=tuple(_edge_holes(table, ruler, place)),
            place=place,
        )
        if outlines:
            found.append(carcase)
    return tuple(found)


def readings_of(
    corners: Sequence[str],
    readings: Mapping[str, Reading | tuple[Reading, ...]],
    tape: Tape = METRIC,
    *,
    square: Sequence[str] = (),
    reflex: Sequence[str] = (),
    angles: Mapping[str, float] = MappingProxyType({}),
) -> Readings:
    """What was read on one outline, as one writes it down: {"A-B": "24 1/2", "C above A-B": "3'"}.

    `corners` run counter-clockwise; numbers are in the tape's unit; `square` and `reflex` name
    corners; `angles` are in degrees: {"B": 91.5, "C-D to A-B": 12.4}. Raises InputError or
    InputFaultsError for what is no reading between corners.
    """
    faults = Faults()
    table = MeasuredTable(
        readings=dict(readings), square=tuple(square), reflex=tuple(reflex), angles=dict(angles)
    )
    found = _measured(tuple(corners), table, Ruler(tape, faults), "readings")
    faults.settle()
    if not isinstance(found, Readings):
        raise TypeError("readings settled without a fault are readings")
    return found


def outlines_only(tables: tuple[CarcaseTable, ...], ruler: Ruler) -> tuple[Carcase, ...]:
    """The carcases as far as the tape needs them: names, views and outlines."""
    found = []
    for number, table in enumerate(tables, start=1):
        place = f"carcase {number} ({table.name})"
        outlines = _outlines(table, ruler, place)
        if outlines:
            found.append(Carcase(table.name, table.view, 1.0, 1.0, outlines, (), place=place))
    return tuple(found)


def _outlines(
    table: CarcaseTable, ruler: Ruler, place: str
) -> tuple[Measured] | tuple[Measured, Measured] | None:
    sides = {"left": table.left, "right": table.right}
    both = {side: each for side, each in sides.items() if each is not None}
    before = len(ruler.faults)
    if len(set(table.corners)) != len(table.corners):
        ruler.faults.add(place, "Two corners have one name.", "Give each corner its own name.")
        return None
    if table.outline is not None and not both:
        shared = _measured(table.corners, table.outline, ruler, f"{place}, outline")
        return None if shared is None or len(ruler.faults) > before else (shared,)
    if table.outline is None and len(both) == 2 and table.view == "side":
        left, right = (
            _measured(table.corners, each, ruler, f"{place}, {side}") for side, each in both.items()
        )
        return None if left is None or right is None else (left, right)
    ruler.faults.add(
        place,
        "It has no single way in which its outline was measured.",
        "Give [carcase.outline], or [carcase.left] and [carcase.right] of a side view.",
    )
    return None


def _measured(
    corners: tuple[str, ...], measured: MeasuredTable, ruler: Ruler, place: str
) -> Measured | None:
    before = len(ruler.faults)
    for corner in (*measured.square, *measured.reflex, *measured.points):
        known_corner(corner, corners, ruler, place)
    curves = curves_of(measured.curves, corners, ruler, f"{place}, curves")
    if measured.points:
        beside = "beside points: where the corners are is known"
        refuse(measured, ("square", "about", "reflex", "angles"), ruler.faults, place, beside)
        stated = _stated(corners, measured, ruler, place)
        return None if len(ruler.faults) > before else replace(stated, curves=curves)
    read = read_between(measured.readings, corners, ruler, f"{place}, readings")
    angles = angles_between(measured.angles, corners, ruler, f"{place}, angles")
    about = read_between(measured.about, corners, ruler, f"{place}, about")
    for name in (*about.heights, *about.alongs):
        ruler.faults.add(place, f"“{name[0]} …” can't be rough.", "Give it as a reading.")
    if len(ruler.faults) > before:
        return None
    return replace(
        read,
        square=measured.square,
        reflex=measured.reflex,
        about=about.distances,
        angles=angles,
        curves=curves,
    )


def _stated(corners: tuple[str, ...], measured: MeasuredTable, ruler: Ruler, place: str) -> Corners:
    missing = [corner for corner in corners if corner not in measured.points]
    if missing:
        what = f"Corner {missing[0]} has no point."
        ruler.faults.add(place, what, "Give a point for each corner.")
    if measured.readings:
        ruler.faults.add(place, "It has both readings and points.", "Keep one of them.")
    points = {
        corner: (
            ruler.length(x, f"{place}, points, {corner}"),
            ruler.length(y, f"{place}, points, {corner}"),
        )
        for corner, (x, y) in measured.points.items()
    }
    return Corners(corners, tuple(points.get(corner, (0.0, 0.0)) for corner in corners))


def _boards(table: CarcaseTable, common: float, ruler: Ruler, place: str) -> Iterator[Board]:
    for name, board in table.panels.items():
        where = f"{place}, panels, {name}"
        thick = common if board.board is None else ruler.size(board.board, f"{where}, board")
        edge = None
        if board.edge is not None:
            ends = board.edge.split("-")
            if len(ends) > 2 or (len(ends) == 1 and ends[0] not in table.corners):
                ruler.faults.add(where, f"“{board.edge}” names no edge.", 'Write "A-B".')
            else:
                edge = ends[0], ends[-1]  # a round corner is both of its ends
        gone = board.missing or board.shared is not None
        if gone:
            why = "on a board that is not there"
            refuse(board, ("set_back", "short"), ruler.faults, where, why)
        if board.shared is not None:
            refuse(board, ("missing", "board"), ruler.faults, where, "beside shared")
        back = board.set_back
        yield Board(
            name,
            thick,
            edge,
            gone,
            0.0 if back is None else ruler.size(back, f"{where}, set_back"),
            tuple(
                (other, ruler.size(reading, f"{where}, short, {other}"))
                for other, reading in board.short.items()
            ),
            board.shared,
        )


def _joints(table: CarcaseTable, ruler: Ruler, place: str) -> Iterator[Joint]:
    for number, text in enumerate(table.joints, start=1):
        where = f"{place}, joints {number}"
        found = _JOINT.fullmatch(text.strip())
        if found is None:
            example = 'Write "front over bottom" or "top mitre back".'
            ruler.faults.add(where, "This names no two panels that meet.", example)
        else:
            kind = "over" if found[2] == "over" else "mitre"
            yield Joint(found[1], kind, found[3], where)  # type: ignore[arg-type]


def _edges(table: CarcaseTable, ruler: Ruler, place: str) -> Iterator[ShapedEdge]:
    for text, edge in table.edges.items():
        where = f"{place}, edges, {text}"
        found = _EDGE.fullmatch(text.strip())
        if found is None:
            example = 'Write "left and front".'
            ruler.faults.add(where, "This names no two panels that meet.", example)
        elif edge.bevel is None and edge.round is None and _is_more(edge):
            refuse(edge, ("angle",), ruler.faults, where, "without bevel")
        elif (edge.bevel is None) == (edge.round is None):
            ruler.faults.add(where, "An edge has a bevel or a round.", "Give one of the two.")
        elif edge.round is not None:
            refuse(edge, ("angle",), ruler.faults, where, "beside round")
            radius = ruler.size(edge.round, f"{where}, round")
            yield ShapedEdge((found[1], found[2]), Round(radius), where)
        elif edge.bevel is not None:
            lean = None if edge.angle is None else math.radians(edge.angle)
            width = ruler.size(edge.bevel, f"{where}, bevel")
            yield ShapedEdge((found[1], found[2]), Bevel(width, lean), where)


def _finishes(table: CarcaseTable, place: str) -> Iterator[EndFinish]:
    for text, edge in table.edges.items():
        found = _EDGE.fullmatch(text.strip())
        if edge.end is not None and found is not None:  # what names no edge has been told
            yield EndFinish((found[1], found[2]), edge.end, f"{place}, edges, {text}")


def _is_more(edge: EdgeTable) -> bool:
    """Whether an edge says something else than its shape."""
    return any((edge.end, edge.moulding, edge.groove, edge.rabbet, edge.holes))


def _cuts(table: CarcaseTable, ruler: Ruler, place: str) -> Iterator[CutEdge]:
    for text, edge in table.edges.items():
        found = _EDGE.fullmatch(text.strip())
        if found is None:
            continue
        where, boards = f"{place}, edges, {text}", (found[1], found[2])
        if edge.groove is not None and edge.rabbet is not None:
            ruler.faults.add(where, "An edge has a groove or a rabbet.", "Give one of the two.")
        elif edge.groove is not None:
            width, depth = _sizes(edge.groove, ruler, f"{where}, groove")
            offset = edge.groove.offset
            middle = None if offset is None else ruler.size(offset, f"{where}, groove, offset")
            yield CutEdge(boards, "groove", width, depth, middle, where)
        elif edge.rabbet is not None:
            width, depth = _sizes(edge.rabbet, ruler, f"{where}, rabbet")
            yield CutEdge(boards, "rabbet", width, depth, None, where)


def _edge_holes(table: CarcaseTable, ruler: Ruler, place: str) -> Iterator[EdgeHole]:
    for text, edge in table.edges.items():
        found = _EDGE.fullmatch(text.strip())
        for number, hole in enumerate(edge.holes, start=1):
            where = f"{place}, edges, {text}"
            own = f"{where}, holes {number} ({hole.name})"
            if found is None or len(hole.start) != 1:
                what = "A hole in an edge takes one distance along it."
                ruler.faults.add(own, what, 'Write from = { bottom = "4" }.')
                continue
            ((start, reading),) = hole.start.items()
            middle = None if hole.offset is None else ruler.size(hole.offset, f"{own}, offset")
            yield EdgeHole(
                (found[1], found[2]),
                hole.name,
                ruler.size(hole.diameter, f"{own}, diameter"),
                ruler.size(hole.depth, f"{own}, depth"),
                (start, ruler.size(reading, f"{own}, from")),
                middle,
                where,
            )


def _sizes(cut: GrooveTable | RabbetTable, ruler: Ruler, where: str) -> tuple[float, float]:
    width = ruler.size(cut.width, f"{where}, width")
    return width, ruler.size(cut.depth, f"{where}, depth")


def _mouldings(table: CarcaseTable, ruler: Ruler, place: str) -> Iterator[Moulding]:
    for text, edge in table.edges.items():
        found = _EDGE.fullmatch(text.strip())
        where = f"{place}, edges, {text}"
        if edge.moulding is not None and found is not None:
            covers = tuple(
                (name, ruler.size(width, f"{where}, moulding, {name}"))
                for name, width in edge.moulding.items()
            )
            yield Moulding((found[1], found[2]), covers, where)


def _where(table: CarcaseTable, ruler: Ruler, place: str) -> Position | Standing:
    at, standing = table.at, table.stands_on
    if at is not None and standing is not None:
        ruler.faults.add(place, "It has both at and stands_on.", "Keep one of them.")
    if standing is not None:
        where = f"{place}, stands_on"
        first, _, second = standing.edge.partition("-")
        return Standing(
            standing.carcase,
            (first, second),
            ruler.length(standing.offset, f"{where}, offset"),
            ruler.length(standing.across, f"{where}, across"),
        )
    if at is None:
        return Position()
    x, y, z = (ruler.length(getattr(at, axis), f"{place}, at, {axis}") for axis in ("x", "y", "z"))
    return Position(x, y, z, math.radians(at.turn))
