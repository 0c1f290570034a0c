"""The definition's hardware, settled: sizes, places, rows and grids.

Stands after lengths. A new kind is one function in `_FORMS`, beside its sizes in
cabinet/hardware.py.
"""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import TYPE_CHECKING

from mateline.cabinet import hardware as sizes
from mateline.cabinet.hardware import SIZES, Form, clearance, head_of
from mateline.cabinet.specification import Distance, Hardware
from mateline.definition.effect import refuse

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from mateline.curves import Point
    from mateline.definition.lengths import Ruler
    from mateline.definition.schema import HardwareTable

WORDS = MappingProxyType(
    {
        "round": frozenset(["diameter"]),
        "slot": frozenset(["length", "width", "turn"]),
        "rectangle": frozenset(["length", "width", "corner", "turn"]),
        "bolt": frozenset(["size", "diameter"]),
        "countersunk": frozenset(["size", "diameter", "head", "head_angle"]),
    }
)  # what says how large a hole of each kind is, and how it is turned
NOWHERE = (("", Distance(0.0)), ("", Distance(0.0)))


def hardware_of(tables: tuple[HardwareTable, ...], ruler: Ruler) -> tuple[Hardware, ...]:
    """All hardware; faults go to the ruler."""
    return tuple(_hardware(table, ruler, n) for n, table in enumerate(tables, start=1))


def _hardware(table: HardwareTable, ruler: Ruler, number: int) -> Hardware:
    place = f"hardware {number} ({table.name})"
    _refuse_idle(table, ruler, place)
    return Hardware(
        name=table.name,
        form=_FORMS[table.kind](table, ruler, place),
        on=table.on,
        distances=_distances(table, ruler, f"{place}, from"),
        corners=bool(table.from_corners),
        spots=tuple(_spots(table, ruler, place)),
        turn=math.radians(table.turn),
        stays=table.state == "stays",
        margin=ruler.not_negative(table.margin, f"{place}, margin"),
        both_sides=table.both_sides,
        place=place,
    )


def _refuse_idle(table: HardwareTable, ruler: Ruler, place: str) -> None:
    """Faults for sizes that the kind has not, and for what another word of the table outdoes."""
    faults = ruler.faults
    idle = sorted(
        {word for words in WORDS.values() for word in words} - WORDS[table.kind] - {"turn"}
    )
    refuse(table, idle, faults, place, f"on hardware of the kind {table.kind}")
    given = table.model_fields_set
    if table.kind == "bolt" and table.diameter is not None:
        refuse(table, ("size",), faults, place, "beside diameter, which is that of the hole")
    if table.kind == "countersunk" and {"diameter", "head", "head_angle"} <= given:
        refuse(table, ("size",), faults, place, "beside diameter, head and head_angle")
    if table.row is not None:
        refuse(table, ("grid",), faults, place, "beside row")


def _distances(
    table: HardwareTable, ruler: Ruler, where: str
) -> tuple[tuple[str, Distance], tuple[str, Distance]]:
    counts = (len(table.from_edges), len(table.from_corners))
    if counts not in {(2, 0), (0, 2)}:
        ruler.faults.add(
            where,
            "A place takes two distances.",
            'Write from = { front = "3", bottom = "2 1/2" }, or from_corners with two corners.',
        )
        return NOWHERE
    read = ruler.distance if table.from_edges else ruler.reach
    first, second = (
        (name, read(reading, f"{where}, {name}"))
        for name, reading in (table.from_edges or table.from_corners).items()
    )
    return first, second


def _spots(table: HardwareTable, ruler: Ruler, place: str) -> Iterator[Point]:
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


def _round(table: HardwareTable, ruler: Ruler, place: str) -> Form:
    return sizes.round_hole(_needed(table, "diameter", ruler, place))


def _long(table: HardwareTable, ruler: Ruler, place: str) -> Form:
    length = _needed(table, "length", ruler, place)
    width = _needed(table, "width", ruler, place)
    corner = ruler.not_negative(table.corner, f"{place}, corner")
    if table.kind == "slot":
        try:
            return sizes.slot(length, width)
        except ValueError:
            ruler.faults.add(
                place,
                f"The slot is {length:.1f} mm long and {width:.1f} mm wide.",
                "A slot is longer than wide; a hole as long as wide is round.",
            )
            return sizes.round_hole(width)
    try:
        return sizes.rectangle(length, width, corner)
    except ValueError:
        ruler.faults.add(
            f"{place}, corner",
            f"A corner radius of {corner:.1f} mm does not fit {length:.1f} by {width:.1f} mm.",
            "It is at most half of the shorter side.",
        )
        return sizes.rectangle(length, width)


def _bolt(table: HardwareTable, ruler: Ruler, place: str) -> Form:
    return sizes.round_hole(_through(table, ruler, place))


def _countersunk(table: HardwareTable, ruler: Ruler, place: str) -> Form:
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
            f"The head is {across:.1f} mm across and its hole {diameter:.1f} mm.",
            "A countersunk head is wider than the hole.",
        )
        return sizes.round_hole(diameter)


def _through(table: HardwareTable, ruler: Ruler, place: str) -> float:
    if table.diameter is not None:
        return ruler.size(table.diameter, f"{place}, diameter")
    found = clearance(table.size or "")
    if found is None:
        ruler.faults.unknown(f"{place}, size", table.size or "", "bolt size", SIZES)
        return 1.0
    return found


def _needed(table: HardwareTable, word: str, ruler: Ruler, place: str) -> float:
    value = getattr(table, word)
    if value is None:
        ruler.faults.add(place, f"A {table.kind} needs a {word}.", f"Add {word} = a reading.")
        return 1.0
    return ruler.size(value, f"{place}, {word}")


_FORMS: MappingProxyType[str, Callable[[HardwareTable, Ruler, str], Form]] = MappingProxyType(
    {
        "round": _round,
        "slot": _long,
        "rectangle": _long,
        "bolt": _bolt,
        "countersunk": _countersunk,
    }
)
