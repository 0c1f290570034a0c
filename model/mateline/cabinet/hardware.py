"""Hardware: from the definition's words to holes of true size at their places.

Stands after lengths and hole, before carcase. A new kind is one function in `_SHAPES`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from mateline.cabinet.hole import Hole

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from mateline.cabinet.hole import Kind
    from mateline.curves import Point
    from mateline.definition.lengths import Ruler
    from mateline.definition.schema import HardwareTable

INCH = 25.4  # mm

# ISO 273:1979, clearance holes for bolts and screws, medium series (H13), mm.
ISO_273_MEDIUM = MappingProxyType(
    {"M3": 3.4, "M4": 4.5, "M5": 5.5, "M6": 6.6, "M8": 9.0, "M10": 11.0, "M12": 13.5}
)
# ASME B18.2.8-1999 (R2017), clearance holes, normal fit, minimum hole, inches.
ASME_NORMAL = MappingProxyType(
    {
        "#6": 0.170,
        "#8": 0.196,
        "#10": 0.221,
        "1/4": 0.281,
        "5/16": 0.344,
        "3/8": 0.406,
        "7/16": 0.469,
        "1/2": 0.562,
    }
)
# ISO 10642: theoretical sharp diameter of the countersunk head, mm (2.24 times the thread).
ISO_10642_HEAD = MappingProxyType(
    {"M3": 6.72, "M4": 8.96, "M5": 11.20, "M6": 13.44, "M8": 17.92, "M10": 22.40, "M12": 26.88}
)
# ASME B18.3: theoretical sharp diameter of the 82° flat head, inches.
ASME_HEAD = MappingProxyType(
    {
        "#6": 0.307,
        "#8": 0.359,
        "#10": 0.411,
        "1/4": 0.531,
        "5/16": 0.656,
        "3/8": 0.781,
        "1/2": 0.937,
    }
)


@dataclass(frozen=True, slots=True)
class Form:
    """The shape of one hole without its place, mm and radians."""

    kind: Kind
    length: float
    width: float
    corner: float = 0.0
    head: float = 0.0
    head_angle: float = 0.0


def clearance(size: str) -> float | None:
    """Diameter of the hole for a bolt of `size`, mm; None for a size in neither table."""
    if size in ISO_273_MEDIUM:
        return ISO_273_MEDIUM[size]
    inches = ASME_NORMAL.get(size.removesuffix('"'))
    return None if inches is None else inches * INCH


def head_of(size: str) -> tuple[float, float] | None:
    """Diameter (mm) and angle (radians) of the countersunk head of `size`; None if not listed."""
    if size in ISO_10642_HEAD:
        return ISO_10642_HEAD[size], math.radians(90)
    inches = ASME_HEAD.get(size.removesuffix('"'))
    return None if inches is None else (inches * INCH, math.radians(82))


def form_of(table: HardwareTable, ruler: Ruler, place: str) -> Form:
    """The shape that a table states; faults go to `ruler`."""
    return _SHAPES[table.kind](table, ruler, place)


def holes_of(
    table: HardwareTable,
    ruler: Ruler,
    place: str,
    centre: Point,
    deviation: Point,
    *,
    mirrored: bool,
) -> tuple[Hole, ...]:
    """All holes of one table in the face frame, the first one at `centre`; `mirrored` turns
    their directions over, for the opposite side.
    """
    form = form_of(table, ruler, place)
    margin = ruler.not_negative(table.margin, f"{place}, margin")
    turn = math.radians(table.turn)
    spots = list(_spots(table, ruler, place))
    holes = []
    for number, (x, y) in enumerate(spots, start=1):
        holes.append(
            Hole(
                name=table.name if len(spots) == 1 else f"{table.name} {number}",
                kind=form.kind,
                centre=(centre[0] + (-x if mirrored else x), centre[1] + y),
                length=form.length,
                width=form.width,
                turn=-turn if mirrored else turn,
                corner=form.corner,
                head=form.head,
                head_angle=form.head_angle,
                stays=table.state == "stays",
                margin=margin,
                deviation=deviation,
            )
        )
    return tuple(holes)


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
    diameter = _needed(table, "diameter", ruler, place)
    return Form("round", diameter, diameter)


def _long(table: HardwareTable, ruler: Ruler, place: str) -> Form:
    length = _needed(table, "length", ruler, place)
    width = _needed(table, "width", ruler, place)
    if table.kind == "slot" and length <= width:
        ruler.fault(
            place,
            f"The slot is {length:.1f} mm long and {width:.1f} mm wide.",
            "A slot is longer than wide; a hole as long as wide is round.",
        )
    corner = ruler.not_negative(table.corner, f"{place}, corner")
    if table.kind == "rectangle" and 2 * corner > min(length, width):
        ruler.fault(
            f"{place}, corner",
            f"A corner radius of {corner:.1f} mm does not fit {length:.1f} by {width:.1f} mm.",
            "It is at most half of the shorter side.",
        )
    return Form("slot" if table.kind == "slot" else "rectangle", length, width, corner)


def _bolt(table: HardwareTable, ruler: Ruler, place: str) -> Form:
    diameter = _through(table, ruler, place)
    return Form("round", diameter, diameter)


def _countersunk(table: HardwareTable, ruler: Ruler, place: str) -> Form:
    diameter = _through(table, ruler, place)
    listed = head_of(table.size or "")
    head = ruler.size(table.head, f"{place}, head") if table.head is not None else None
    if head is None and listed is None:
        if table.size in (*ISO_273_MEDIUM, *ASME_NORMAL):
            ruler.fault(place, f"No head is listed for {table.size}.", "Give its diameter as head.")
        return Form("countersunk", diameter, diameter, head=diameter * 2, head_angle=math.pi / 2)
    across, angle = listed or (0.0, math.radians(90))
    across = across if head is None else head
    angle = math.radians(table.head_angle) if table.head_angle is not None else angle
    if across <= diameter:
        ruler.fault(
            f"{place}, head",
            f"The head is {across:.1f} mm across and its hole {diameter:.1f} mm.",
            "A countersunk head is wider than the hole.",
        )
    return Form("countersunk", diameter, diameter, head=across, head_angle=angle)


def _through(table: HardwareTable, ruler: Ruler, place: str) -> float:
    if table.diameter is not None:
        return ruler.size(table.diameter, f"{place}, diameter")
    found = clearance(table.size or "")
    if found is None:
        sizes = ", ".join((*ISO_273_MEDIUM, *ASME_NORMAL))
        ruler.unknown(f"{place}, size", table.size or "", "bolt size", sizes.split(", "))
        return 1.0
    return found


def _needed(table: HardwareTable, word: str, ruler: Ruler, place: str) -> float:
    value = getattr(table, word)
    if value is None:
        ruler.fault(place, f"A {table.kind} needs a {word}.", f"Add {word} = a reading.")
        return 1.0
    return ruler.size(value, f"{place}, {word}")


_SHAPES: MappingProxyType[str, Callable[[HardwareTable, Ruler, str], Form]] = MappingProxyType(
    {
        "round": _round,
        "slot": _long,
        "rectangle": _long,
        "bolt": _bolt,
        "countersunk": _countersunk,
    }
)
