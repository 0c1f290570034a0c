"""The shop: how and when it is painted, and every paint, with what was not stated filled in.

Stands first in paint. mm, radians, hours, shares of 1 and litres.
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

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date


Method = Literal["gun", "can", "brush"]
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
CAN_COVER = Figure(0.93e6, 1.5e6, 2.32e6, "what cans are often said to cover; weak")  # mm² a can
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

    `can_covers` is mm² a can of `can_size` litres; `unit` is the tape's, and texts are in it.
    `fahrenheit` says that °F come first.
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
