"""Paint: litres, fluid ounces and cans of each colour, as ranges.

Stands after passes.

    litres = area * coats * dry film / (volume solids * transfer efficiency) * (1 + waste)

The identity behind it is the theoretical spreading rate, 1 m²/L = 10 VS% / DFT um (231 in³ a US
gallon: 1604 ft² mil). Volume solids are what ISO 3233 and ASTM D2697 measure; transfer
efficiency is the mass of solids on the work over that sprayed. What lands on the board around
small pieces is in neither, so many small pieces take the upper figure.

A spray can whose volume solids are not stated is reckoned by what a can covers instead.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.paint.shop import LABEL, Figure
from mateline.tape.quantities import (
    US_FLUID_OUNCE,
    is_inches,
    large_range_said,
    volume_said,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.paint.passes import Pass
    from mateline.paint.shop import Coating, Method, Shop

MICRON = "\u00b5m"
MIL = 25.4  # microns: a thousandth of an inch


@dataclass(frozen=True, slots=True)
class Need:
    """How much of one colour. `area` mm² as cut, one coat; `litres` of paint as it is sprayed.

    `cans` are whole spray cans, least and most; None where it is not sprayed from cans.
    `sources` are (figure, who says so).
    """

    colour: str
    label: str
    method: Method
    coats: int
    area: float
    litres: Figure
    cans: tuple[int, int] | None
    sources: tuple[tuple[str, str], ...]

    @property
    def fluid_ounces(self) -> Figure:
        """The same in US fluid ounces."""
        return self.litres.times(1 / US_FLUID_OUNCE)


def amount(need: Need, unit: str) -> str:
    """What to buy, in words: a range to two figures, never finer.

    "15 to 31 fl oz (430 to 910 ml), likely 21 fl oz (630 ml)" for a tape in inches, without the
    ounces for another; spray cans are named first.
    """
    low, likely, high = need.litres[:3]
    volume = f"{volume_said(low, high, unit)}, likely {volume_said(likely, likely, unit)}"
    return volume if need.cans is None else f"{cans_said(need.cans)}: {volume}"


def cans_said(cans: tuple[int, int]) -> str:
    """Whole spray cans: "2 to 3 spray cans"."""
    least, most = cans
    count = f"{least}" if least == most else f"{least} to {most}"
    return f"{count} spray can{'' if most == 1 else 's'}"


def spreading_rate(solids: float, film: float) -> float:
    """m² that a litre covers in theory. `solids` share of 1, `film` dry, mm."""
    return solids / film


def litres(area: float, coats: int, film: float, solids: float, transfer: float) -> float:
    """Litres for `area` mm² in `coats` of dry `film` mm; shares of 1; without waste."""
    return area * coats * film / (solids * transfer) / 1e6


def wet_film(film: float, solids: float, thinned: float = 0.0) -> float:
    """Wet film that dries to `film`, same unit; `thinned` is thinner added, a share of 1."""
    return film * (1 + thinned) / solids


def needs_of(passes: Sequence[Pass], shop: Shop) -> tuple[Need, ...]:
    """What each pass takes, in the order of passes; a pass that paints nothing needs nothing."""
    return tuple(
        _need(each.area, shop.coatings[each.colour], shop) for each in passes if each.area > 0
    )


def _need(area: float, coating: Coating, shop: Shop) -> Need:
    by_can = coating.method == "can" and coating.solids.source != LABEL
    volume = _by_can(area, coating, shop) if by_can else _by_film(area, coating, shop.waste)
    cans = None
    if coating.method == "can":
        cans = (_whole(volume.low / shop.can_size), _whole(volume.high / shop.can_size))
    return Need(
        coating.colour,
        coating.label,
        coating.method,
        coating.coats,
        area,
        volume,
        cans,
        _sources(coating, shop, by_can=by_can),
    )


def _by_film(area: float, coating: Coating, waste: float) -> Figure:
    film, solids, transfer = coating.film, coating.solids, coating.transfer

    def volume(film: float, solids: float, transfer: float) -> float:
        return litres(area, coating.coats, film, solids, transfer) * (1 + waste)

    return Figure(
        volume(film.low, solids.high, transfer.high),
        volume(film.likely, solids.likely, transfer.likely),
        volume(film.high, solids.low, transfer.low),
        "area * coats * dry film / (volume solids * transfer efficiency) * (1 + waste)",
    )


def _by_can(area: float, coating: Coating, shop: Shop) -> Figure:
    # What a can is said to cover is on the work, so losses in spraying are in it.
    covers = shop.can_covers
    sprayed = area * coating.coats * (1 + shop.waste) * shop.can_size
    return Figure(
        sprayed / covers.high,
        sprayed / covers.likely,
        sprayed / covers.low,
        "area * coats / what a can covers * (1 + waste)",
    )


def _sources(coating: Coating, shop: Shop, *, by_can: bool) -> tuple[tuple[str, str], ...]:
    waste = (f"waste {shop.waste:.0%}", "common practice, no source; painting, waste_percent")
    if by_can:
        covers = shop.can_covers
        size = volume_said(shop.can_size, shop.can_size, shop.unit)
        told = f"a can of {size} covers {large_range_said(covers.low, covers.high, shop.unit)}"
        return ((f"{told} a coat", covers.source), waste)
    return (
        (f"volume solids {_range(coating.solids, 100, '%')}", coating.solids.source),
        (f"dry film a coat {_film(coating.film, shop.unit)}", coating.film.source),
        (f"transfer efficiency {_range(coating.transfer, 100, '%')}", coating.transfer.source),
        waste,
    )


def _film(film: Figure, unit: str) -> str:
    """A dry film as labels have it: in mils, with microns beside them, or in microns."""
    microns = _range(film, 1000, MICRON)
    return f"{_range(film, 1000 / MIL, 'mil')} ({microns})" if is_inches(unit) else microns


def _range(figure: Figure, factor: float, unit: str) -> str:
    low, high = figure.low * factor, figure.high * factor
    if math.isclose(low, high):
        return f"{low:.3g} {unit}"
    return f"{low:.3g} to {high:.3g} {unit}"


def _whole(cans: float) -> int:
    return max(1, math.ceil(cans - 1e-9))  # 2 that came out of float arithmetic is not 3
