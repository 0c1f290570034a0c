"""The shop: how and when it is painted, and every paint, with what was not stated filled in.

Stands first in paint. mm, radians, hours, shares of 1 and litres; text becomes lengths here.
A figure that the definition states is exact; a default is a range, with its source beside it.

    default                         source
    volume solids 25-45 %, 35 %     common practice for sprayed enamels, no source
    dry film 30.5-42.5 um, 36.5 um  ASTM D1640-03 table 1, enamels, 36.5 +- 6 um a test film
    gun 50-70 %, 65 %               60-70 % on large panels, down to 50 % on small (trade journals);
                                    65 % is the legal floor for HVLP (Utah R307-343-5)
    can 30-70 %, 50 %               no official figure exists; taken wide on purpose
    brush 85-95 %, 90 %             common practice, no source
    a 400 mL can 0.9-2.3 m², 1.5    quoted 10-25 ft² a 12 oz can; weak sources
    dry to tape 6-16 h, 12 h        half a day to overnight: common practice, no source
    recoat 0.5 h                    common practice, no source
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from mateline.definition.lengths import Ruler
from mateline.definition.schema import FILE

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from mateline.definition.schema import Definition, Method, Paint, PaintingTable

LABEL = "your definition"
PRACTICE = "common practice, no source; the label comes first"
WEEK = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
LABEL_DEGREES = 25.0  # °C: what the drying times of labels refer to, at 50 % humidity


class Figure(NamedTuple):
    """A number with its range, and who says so. `low` == `likely` == `high` where it is stated."""

    low: float
    likely: float
    high: float
    source: str

    def times(self, factor: float, source: str | None = None) -> Figure:
        """The figure and its range, `factor` times as large."""
        low, likely, high = (factor * value for value in self[:3])
        return Figure(low, likely, high, source or self.source)


SOLIDS = Figure(0.25, 0.35, 0.45, PRACTICE)
FILM = Figure(30.5e-3, 36.5e-3, 42.5e-3, "ASTM D1640-03, table 1, enamels")  # mm
TRANSFER: Mapping[Method, Figure] = MappingProxyType(
    {
        "gun": Figure(
            0.5, 0.65, 0.7, "legal floor 65 % for HVLP (Utah R307-343-5); trade journals"
        ),
        "can": Figure(0.3, 0.5, 0.7, "no official figure found; taken wide on purpose"),
        "brush": Figure(0.85, 0.9, 0.95, "common practice, no source"),
    }
)
CAN_COVER = Figure(0.93e6, 1.5e6, 2.32e6, "10 to 25 ft² a can as often quoted; weak")  # mm² a can
CAN_COVER_SIZE = 0.4  # litres: the can that CAN_COVER is about
DRY = Figure(6.0, 12.0, 16.0, PRACTICE)  # hours
RECOAT = Figure(0.25, 0.5, 1.0, PRACTICE)  # hours


@dataclass(frozen=True, slots=True)
class Coating:
    """One colour's paint as it is planned with. `film` is mm a coat, `transfer` a share of 1."""

    colour: str
    label: str
    method: Method
    coats: int
    solids: Figure
    film: Figure
    transfer: Figure
    recoat: Figure  # hours
    dry: Figure  # hours


@dataclass(frozen=True, slots=True)
class Shop:
    """How and when it is painted. Minutes of the day, °C, mm, radians, shares of 1.

    `can_covers` is mm² a can of `can_size` litres; `inches` says that texts are in inches.
    """

    start: date | None
    opens: int
    closes: int
    days_off: frozenset[int]  # 0 is Monday
    minutes_a_piece: float
    minutes_a_face: float
    air: float | None
    surface: float | None
    humidity: float | None
    fahrenheit: bool
    play: float
    angle: float
    bleed: float
    waste: float
    can_size: float
    can_covers: Figure
    coatings: Mapping[str, Coating]
    unit: str


def shop_of(definition: Definition, file: str = FILE) -> Shop:
    """The shop that `definition` states; `file` is for messages.

    Raises InputError or InputFaultsError where `[painting]` can't be worked with.
    """
    ruler = Ruler(definition, file)
    table = definition.painting
    opens = table.day_starts.hour * 60 + table.day_starts.minute
    closes = opens + round(60 * table.hours_a_day)
    if closes > 24 * 60:
        ruler.fault(
            "painting, hours_a_day",
            f"A day of {table.hours_a_day:g} hours from {table.day_starts:%H:%M} ends after "
            "midnight.",
            "Start earlier or work less.",
        )
    days_off = frozenset(WEEK.index(day) for day in table.days_off)
    if len(days_off) == len(WEEK):
        ruler.fault("painting, days_off", "All seven days are off.", "Leave a day to paint on.")
    if (table.air is None) != (table.humidity_percent is None) or (
        table.surface is not None and table.air is None
    ):
        ruler.fault(
            "painting",
            "The dew point takes both the air's temperature and its humidity.",
            "State `air` and `humidity_percent` (and `surface`), or none of them.",
        )
    shop = Shop(
        start=table.start,
        opens=opens,
        closes=closes,
        days_off=days_off,
        minutes_a_piece=table.minutes_a_piece,
        minutes_a_face=table.minutes_a_face,
        air=_celsius(table.air, table, ruler, "air"),
        surface=_celsius(table.surface, table, ruler, "surface"),
        humidity=None if table.humidity_percent is None else table.humidity_percent / 100,
        fahrenheit=table.degrees == "F",
        play=ruler.not_negative(table.put_back_play, "painting, put_back_play"),
        angle=math.radians(table.spray_angle_deg),
        bleed=ruler.not_negative(table.edge_bleed, "painting, edge_bleed"),
        waste=table.waste_percent / 100,
        can_size=table.can_size_ml / 1000,
        can_covers=_can_covers(table),
        coatings={
            name: coating_of(name, paint, table)
            for name, paint in definition.palette.colours.items()
        },
        unit=definition.tape.unit,
    )
    ruler.settle()
    return shop


def coating_of(colour: str, paint: Paint, table: PaintingTable) -> Coating:
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
    if not -20 <= value <= 60:  # beyond it nobody paints, and the dew point formula is not for it
        ruler.fault(
            f"painting, {word}",
            f"{degrees:g} °{table.degrees} is not between -20 and 60 °C.",
            "Check the number, and whether `degrees` is C or F.",
        )
    return value
