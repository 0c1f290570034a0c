"""Dew point: whether water settles on the work before the paint does.

Stands first in paint. Magnus formula over water with the constants of the WMO Guide, annex 4.B;
other published constants differ by less than 0.03 °C at 5 to 30 °C. Practice as ISO 8502-4,
ISO 12944-7 and data sheets have it: surface 3 °C above the dew point, humidity 85 % at most.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from mateline.tape.quantities import degrees_said

A = 17.62
B = 243.12  # °C
ABOVE = 3.0  # °C that the surface is to be above the dew point
DAMPEST = 0.85  # relative humidity, share of 1


@dataclass(frozen=True, slots=True)
class Dew:
    """The dew point, °C, how far the surface is above it, and what follows."""

    point: float
    above: float
    paint: bool
    text: str


def dew_point(air: float, humidity: float) -> float:
    """Dew point, °C, of air at `air` °C and relative `humidity`, a share of 1 above 0."""
    gamma = math.log(humidity) + A * air / (B + air)
    return B * gamma / (A - gamma)


def dew_of(
    air: float,
    humidity: float,
    surface: float | None,
    *,
    fahrenheit: bool = False,
    both: bool = False,
) -> Dew:
    """Whether to paint on a surface at `surface` °C.

    The text is in °F where the job is in `fahrenheit`, and has the other degrees too for `both`.
    Without a surface its temperature is taken as the air's, and the text says so.
    """
    point = dew_point(air, humidity)
    work = air if surface is None else surface
    above = work - point

    def shown(degrees: float, *, apart: bool = False) -> str:
        return degrees_said(degrees, fahrenheit=fahrenheit, both=both, apart=apart)

    least = shown(ABOVE, apart=True)
    told = (
        f"The dew point is {shown(point)}; the surface, {shown(work)}"
        f"{' as the air, since none is stated' if surface is None else ''}, is "
        f"{shown(abs(above), apart=True)} {'above' if above >= 0 else 'below'} it."
    )
    if above < ABOVE:
        what = f"Do not paint: it should be at least {least} above. Warm the work or dry the air."
    elif humidity > DAMPEST:
        what = f"Do not paint: {humidity:.0%} humidity is over {DAMPEST:.0%}. Dry the air."
    else:
        what = f"That is at least {least}, so paint. Measure again before each pass."
    return Dew(point, above, above >= ABOVE and humidity <= DAMPEST, f"{told} {what}")
