"""The definition's hardware, settled: sizes, places, rows and grids, and groups of it.

Stands after lengths. A new kind is one function in `_FORMS`, beside its sizes in
cabinet/hardware.py.
"""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import TYPE_CHECKING

from mateline.cabinet import hardware as sizes
from mateline.cabinet.hardware import SIZES, Form, clearance, head_of
from mateline.cabinet.specification import Along, Distance, Hardware, Part
from mateline.checks.findings import IdleWord
from mateline.definition.effect import refuse
from mateline.definition.tables.hardware import FittingTable

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from mateline.curves import Point
    from mateline.definition.lengths import Ruler
    from mateline.definition.tables.hardware import (
        AlongTable,
        GroupPartTable,
        GroupTable,
        HardwareTable,
        Kind,
    )

    Fitting = HardwareTable | GroupPartTable

WORDS = MappingProxyType(
    {
        "round": frozenset(["diameter"]),
        "slot": frozenset(["length", "width", "turn"]),
        "rectangle": frozenset(["length", "width", "corner", "turn"]),
        "bolt": frozenset(["size", "diameter"]),
        "countersunk": frozenset(["size", "diameter", "head", "head_angle"]),
    }
)  # what says how large a hole of each kind is, and how it is turned
SAME = 1e-6  # mm, or no unit: marks nearer than this are one
NOWHERE = (("", Distance(0.0)), ("", Distance(0.0)))


def hardware_of(
    tables: tuple[HardwareTable, ...], groups: tuple[GroupTable, ...], ruler: Ruler
) -> tuple[Hardware, ...]:
    """All hardware; faults go to the ruler."""
    known: dict[str, tuple[Part, ...]] = {}
    for number, group in enumerate(groups, start=1):
        place = f"group {number} ({group.name})"
        if group.name in known:
            ruler.faults.add(place, "Two groups have this name.", "Give each a name of its own.")
        known[group.name] = _parts(group, ruler, place)
        if not any(table.group == group.name for table in tables):
            ruler.faults.add(
                place, "It has no effect: no hardware is of this group.", "Remove it, or use it."
            )
    return tuple(_hardware(table, known, ruler, n) for n, table in enumerate(tables, start=1))


def _parts(group: GroupTable, ruler: Ruler, place: str) -> tuple[Part, ...]:
    names = [part.name for part in group.part]
    for name in sorted({name for name in names if names.count(name) > 1}):
        ruler.faults.add(place, f"Two of its parts are called “{name}”.", "Name each of them.")
    return tuple(
        _part(part, ruler, f"{place}, part {number} ({part.name})")
        for number, part in enumerate(group.part, start=1)
    )


def _part(table: GroupPartTable, ruler: Ruler, place: str) -> Part:
    _refuse_idle(table, table.kind, ruler, place)
    x, y = (ruler.length(length, f"{place}, at") for length in table.at)
    return Part(
        name=table.name,
        form=_FORMS[table.kind](table, ruler, place),
        spots=tuple((x + across, y + up) for across, up in _spots(table, ruler, place)),
        turn=math.radians(table.turn),
        stays=table.state == "stays",
        margin=ruler.not_negative(table.margin, f"{place}, margin"),
    )


def _hardware(
    table: HardwareTable, groups: Mapping[str, tuple[Part, ...]], ruler: Ruler, number: int
) -> Hardware:
    place = f"hardware {number} ({table.name})"
    form: Form | None = None
    parts: tuple[Part, ...] = ()
    if table.group is not None:
        parts = groups.get(table.group, ())
        if table.group not in groups:
            ruler.faults.unknown(f"{place}, group", table.group, "group", groups)
        idle = ("kind", *sorted(set(FittingTable.model_fields) - {"turn", "row", "grid"}))
        refuse(table, idle, ruler.faults, place, "beside group, whose parts say it")
        if table.row is not None:
            refuse(table, ("grid",), ruler.faults, place, "beside row")
    elif table.kind is not None:
        _refuse_idle(table, table.kind, ruler, place)
        refuse(table, ("mirrored",), ruler.faults, place, "but on a group")
        form = _FORMS[table.kind](table, ruler, place)
    else:
        ruler.faults.add(place, "It has neither a kind nor a group.", "Add one of the two.")
    straddles = table.straddles
    return Hardware(
        name=table.name,
        form=form,
        on=table.on,
        distances=_distances(table, ruler, f"{place}, from"),
        corners=bool(table.from_corners),
        spots=tuple(_spots(table, ruler, place)),
        turn=math.radians(table.turn),
        stays=table.state == "stays",
        margin=ruler.not_negative(table.margin, f"{place}, margin"),
        both_sides=table.both_sides,
        place=place,
        along=None if table.along is None else _along(table.along, ruler, place),
        parts=parts,
        mirrored=table.mirrored,
        straddles=(straddles,) if isinstance(straddles, str) else straddles,
    )


def idle_turns(
    tables: tuple[HardwareTable, ...], hardware: tuple[Hardware, ...]
) -> Iterator[IdleWord]:
    """Groups that look alike when they are turned, or mirrored, as their entries say."""
    for table, each in zip(tables, hardware, strict=True):
        plain = _marks(each.parts, 0.0, 1)
        turned = each.parts and "turn" in table.model_fields_set
        if turned and _alike(_marks(each.parts, each.turn, 1), plain):
            yield IdleWord(f"{each.place}, turn", "the group looks the same when it is turned")
        if each.mirrored and _alike(_marks(each.parts, 0.0, -1), plain):
            yield IdleWord(f"{each.place}, mirrored", "the group is its own mirror image")


def _marks(parts: tuple[Part, ...], turn: float, flip: int) -> list[tuple[float, ...]]:
    """Where the holes of a group lie, and how they are turned: twice the turn, as half is none."""
    cos, sin = math.cos(turn), math.sin(turn)
    return [
        (
            number,
            cos * flip * x - sin * y,
            sin * flip * x + cos * y,
            *_way(part.form, turn + flip * part.turn),
        )
        for number, part in enumerate(parts)
        for x, y in part.spots
    ]


def _way(form: Form, turn: float) -> tuple[float, float]:
    square = form.length == form.width
    if form.kind in {"round", "countersunk"} or (square and 2 * form.corner == form.width):
        return 0.0, 0.0
    halves = 4 if square else 2
    return math.cos(halves * turn), math.sin(halves * turn)


def _alike(one: list[tuple[float, ...]], other: list[tuple[float, ...]]) -> bool:
    """Whether each mark has one of the other in its place."""
    return all(any(math.dist(mark, twin) < SAME for twin in other) for mark in one)


def _refuse_idle(table: Fitting, kind: Kind, ruler: Ruler, place: str) -> None:
    """Faults for sizes that the kind has not, and for what another word of the table outdoes."""
    faults = ruler.faults
    idle = sorted({word for words in WORDS.values() for word in words} - WORDS[kind] - {"turn"})
    refuse(table, idle, faults, place, f"on hardware of the kind {kind}")
    given = table.model_fields_set
    if kind == "bolt" and table.diameter is not None:
        refuse(table, ("size",), faults, place, "beside diameter, which is that of the hole")
    if kind == "countersunk" and {"diameter", "head", "head_angle"} <= given:
        refuse(table, ("size",), faults, place, "beside diameter, head and head_angle")
    if table.row is not None:
        refuse(table, ("grid",), faults, place, "beside row")


def _distances(
    table: HardwareTable, ruler: Ruler, where: str
) -> tuple[tuple[str, Distance], tuple[str, Distance]] | None:
    counts = (len(table.from_edges), len(table.from_corners))
    if table.along is not None:
        beside = "beside along, which says the place"
        refuse(table, ("from_edges", "from_corners", "row", "grid"), ruler.faults, where, beside)
        return None
    if counts not in {(2, 0), (0, 2)}:
        ruler.faults.add(
            where,
            "A place takes two distances.",
            'Write from = { front = "3", bottom = "2 1/2" }, or from_corners with two corners, or '
            'along = { edge = "top", from = "front", at = "3", in = "1" }.',
        )
        return NOWHERE
    read = ruler.distance if table.from_edges else ruler.reach
    first, second = (
        (name, read(reading, f"{where}, {name}"))
        for name, reading in (table.from_edges or table.from_corners).items()
    )
    return first, second


def _along(along: AlongTable, ruler: Ruler, place: str) -> Along:
    where = f"{place}, along"
    said = {"count", "pitch", "leave"} & along.model_fields_set
    if len(said) == 1:
        ruler.faults.add(
            where, f"A {said.pop()} alone makes no row.", "Give two of count, pitch and leave."
        )
    if len(said) == 3:
        refuse(along, ("leave",), ruler.faults, where, "beside count and pitch")
    return Along(
        edge=along.edge,
        corner=along.corner,
        first=ruler.distance(along.at, f"{where}, at"),
        inside=ruler.distance(along.inside, f"{where}, in"),
        count=along.count,
        pitch=None if along.pitch is None else ruler.size(along.pitch, f"{where}, pitch"),
        rest=None if along.leave is None else ruler.length(along.leave, f"{where}, leave"),
    )


def _spots(table: Fitting, ruler: Ruler, place: str) -> Iterator[Point]:
    """Places of a row's or grid's holes from the first one, face frame, mm."""
    if table.row is not None:
        pitch = ruler.size(table.row.pitch, f"{place}, row, pitch")
        turn = math.radians(table.row.turn)
        for step in range(table.row.count):
            yield step * pitch * math.cos(turn), step * pitch * math.sin(turn)
    elif table.grid is not None:
        across = ruler.size(table.grid.across, f"{place}, grid, across")
        up = ruler.size(table.grid.up, f"{place}, grid, up")
        for row in range(table.grid.rows):
            for column in range(table.grid.columns):
                yield column * across, row * up
    else:
        yield 0.0, 0.0


def _round(table: Fitting, ruler: Ruler, place: str) -> Form:
    return sizes.round_hole(_needed(table, "diameter", ruler, place))


def _long(table: Fitting, ruler: Ruler, place: str) -> Form:
    length = _needed(table, "length", ruler, place)
    width = _needed(table, "width", ruler, place)
    corner = ruler.not_negative(table.corner, f"{place}, corner")
    said = ruler.faults.said
    if table.kind == "slot":
        try:
            return sizes.slot(length, width)
        except ValueError:
            ruler.faults.add(
                place,
                f"The slot is {said(length)} long and {said(width)} wide.",
                "A slot is longer than wide; a hole as long as wide is round.",
            )
            return sizes.round_hole(width)
    try:
        return sizes.rectangle(length, width, corner)
    except ValueError:
        ruler.faults.add(
            f"{place}, corner",
            f"A corner radius of {said(corner)} does not fit {said(length)} by {said(width)}.",
            "It is at most half of the shorter side.",
        )
        return sizes.rectangle(length, width)


def _bolt(table: Fitting, ruler: Ruler, place: str) -> Form:
    return sizes.round_hole(_through(table, ruler, place))


def _countersunk(table: Fitting, ruler: Ruler, place: str) -> Form:
    diameter = _through(table, ruler, place)
    listed = head_of(table.size or "")
    head = ruler.size(table.head, f"{place}, head") if table.head is not None else None
    if head is None and listed is None:
        if table.size in SIZES:
            what = f"No head is listed for {table.size}."
            ruler.faults.add(place, what, "Give its diameter as head.")
        return sizes.countersunk(diameter, 2 * diameter, math.pi / 2)
    across, angle = listed or (0.0, math.radians(90))
    across = across if head is None else head
    angle = math.radians(table.head_angle) if table.head_angle is not None else angle
    try:
        return sizes.countersunk(diameter, across, angle)
    except ValueError:
        ruler.faults.add(
            f"{place}, head",
            f"The head is {ruler.faults.said(across)} across and its hole "
            f"{ruler.faults.said(diameter)}.",
            "A countersunk head is wider than the hole.",
        )
        return sizes.round_hole(diameter)


def _through(table: Fitting, ruler: Ruler, place: str) -> float:
    if table.diameter is not None:
        return ruler.size(table.diameter, f"{place}, diameter")
    found = clearance(table.size or "")
    if found is None:
        ruler.faults.unknown(f"{place}, size", table.size or "", "bolt size", SIZES)
        return 1.0
    return found


def _needed(table: Fitting, word: str, ruler: Ruler, place: str) -> float:
    value = getattr(table, word)
    if value is None:
        ruler.faults.add(place, f"A {table.kind} needs a {word}.", f"Add {word} = a reading.")
        return 1.0
    return ruler.size(value, f"{place}, {word}")


_FORMS: MappingProxyType[str, Callable[[Fitting, Ruler, str], Form]] = MappingProxyType(
    {
        "round": _round,
        "slot": _long,
        "rectangle": _long,
        "bolt": _bolt,
        "countersunk": _countersunk,
    }
)
