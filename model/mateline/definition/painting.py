"""The definition's painting, settled: the shop, and each colour's paint as it is planned with.

Stands after lengths. What a label does not state takes its default from paint/shop.py.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mateline.paint.done import EXAMPLE, PLACE, done_of
from mateline.paint.shop import (
    CAN_COVER,
    CAN_COVER_SIZE,
    DRY,
    FILM,
    LABEL,
    LABEL_DEGREES,
    RECOAT,
    SOLIDS,
    TRANSFER,
    WEEK,
    Coating,
    Figure,
    Shop,
)
from mateline.tape.quantities import is_inches

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mateline.definition.lengths import Ruler
    from mateline.definition.schema import PaintingTable, PaintTable
    from mateline.paint.done import Done
    from mateline.paint.shop import Method


COLDEST, WARMEST = -20.0, 60.0  # °C


def shop_of(table: PaintingTable, colours: Mapping[str, PaintTable], ruler: Ruler) -> Shop:
    """The shop, and a coating for each of `colours`; faults go to the ruler."""
    opens = table.day_starts.hour * 60 + table.day_starts.minute
    closes = opens + round(60 * table.hours_a_day)
    if closes > 24 * 60:
        ruler.faults.add(
            "painting, hours_a_day",
            f"A day of {table.hours_a_day:g} hours from {table.day_starts:%H:%M} ends after "
            "midnight.",
            "Start earlier or work less.",
        )
    days_off = frozenset(WEEK.index(day) for day in table.days_off)
    if len(days_off) == len(WEEK):
        ruler.faults.add(
            "painting, days_off", "All seven days are off.", "Leave a day to paint on."
        )
    if (table.air is None) != (table.humidity_percent is None) or (
        table.surface is not None and table.air is None
    ):
        ruler.faults.add(
            "painting",
            "The dew point takes both the air's temperature and its humidity.",
            "State `air` and `humidity_percent` (and `surface`), or none of them.",
        )
    return Shop(
        start=table.start,
        opens=opens,
        closes=closes,
        days_off=days_off,
        minutes_a_piece=table.minutes_a_piece,
        minutes_a_face=table.minutes_a_face,
        air=_celsius(table.air, table, ruler, "air"),
        surface=_celsius(table.surface, table, ruler, "surface"),
        humidity=None if table.humidity_percent is None else table.humidity_percent / 100,
        fahrenheit=_fahrenheit(table, ruler),
        play=ruler.not_negative(table.put_back_play, "painting, put_back_play"),
        angle=math.radians(table.spray_angle_deg),
        bleed=ruler.not_negative(table.edge_bleed, "painting, edge_bleed"),
        waste=table.waste_percent / 100,
        can_size=table.can_size_ml / 1000,
        can_covers=_can_covers(table),
        coatings={name: coating_of(name, paint, table) for name, paint in colours.items()},
        unit=ruler.unit,
    )


def _fahrenheit(table: PaintingTable, ruler: Ruler) -> bool:
    """Whether °F come first: as stated, else as goes with the tape."""
    stated = "degrees" in table.model_fields_set
    return table.degrees == "F" if stated else is_inches(ruler.unit)


def done_in(table: PaintingTable, ruler: Ruler) -> tuple[Done, ...]:
    """What is finished already; faults go to the ruler."""
    said = (table.done,) if isinstance(table.done, str) else table.done
    found = []
    for each in said:
        try:
            found.append(done_of(each))
        except ValueError as error:
            remedy = f'Write the colour, or “base coat”, and the day: done = "{EXAMPLE}".'
            ruler.faults.add(PLACE, str(error), remedy)
    return tuple(found)


def coating_of(colour: str, paint: PaintTable, table: PaintingTable) -> Coating:
    """One paint, the label's figures where it states them, defaults where not."""
    method: Method = paint.method or table.method
    return Coating(
        colour=colour,
        label=paint.label or colour,
        method=method,
        coats=paint.coats,
        solids=_stated(paint.volume_solids_percent, 0.01, SOLIDS),
        film=_stated(paint.dry_film_um, 1e-3, FILM),
        transfer=_stated(getattr(table.transfer_percent, method), 0.01, TRANSFER[method]),
        recoat=_stated(paint.recoat_hours, 1.0, RECOAT),
        dry=_slowed(_stated(paint.dry_hours, 1.0, DRY), table),
    )


def _stated(value: float | None, unit: float, default: Figure) -> Figure:
    if value is None:
        return default
    return Figure(value, value, value, LABEL).times(unit)


def _slowed(dry: Figure, table: PaintingTable) -> Figure:
    """Drying in cold air: `slower_per_10c` times as long for each 10 °C below the label's 25 °C.

    A chemist's rule of thumb, in no paint standard, so the factor is 1 unless it is stated.
    Warmth above 25 °C shortens nothing here.
    """
    if table.air is None or table.slower_per_10c == 1.0:
        return dry
    air = celsius(table.air) if table.degrees == "F" else table.air
    slower = table.slower_per_10c ** (max(0.0, LABEL_DEGREES - air) / 10)
    return dry.times(slower, f"{dry.source}, and slower_per_10c")


def _can_covers(table: PaintingTable) -> Figure:
    if table.can_covers_m2 is not None:
        return _stated(table.can_covers_m2, 1e6, CAN_COVER)
    return CAN_COVER.times(table.can_size_ml / 1000 / CAN_COVER_SIZE)


def celsius(fahrenheit: float) -> float:
    """Degrees Celsius from Fahrenheit, by definition of the two."""
    return (fahrenheit - 32) / 1.8


def _celsius(degrees: float | None, table: PaintingTable, ruler: Ruler, word: str) -> float | None:
    if degrees is None:
        return None
    value = celsius(degrees) if table.degrees == "F" else degrees
    # Beyond it nobody paints, and the dew point formula is not for it.
    if not COLDEST <= value <= WARMEST:
        ruler.faults.add(
            f"painting, {word}",
            f"{degrees:g} °{table.degrees} is not between {_bounds(table.degrees)}.",
            "Check the number, and whether `degrees` is C or F.",
        )
    return value


def _bounds(degrees: str) -> str:
    if degrees == "C":
        return f"{COLDEST:.0f} and {WARMEST:.0f} °C"
    return f"{COLDEST * 1.8 + 32:.0f} and {WARMEST * 1.8 + 32:.0f} °F"
