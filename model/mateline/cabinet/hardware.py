"""Hardware: the true sizes of the holes that it takes.

Stands after hole, before specification. A new kind is one function here, and one in
definition/hardware.py that reads it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mateline.cabinet.hole import Kind

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


SIZES = (*ISO_273_MEDIUM, *ASME_NORMAL)


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


def round_hole(diameter: float) -> Form:
    """A round hole."""
    return Form("round", diameter, diameter)


def slot(length: float, width: float) -> Form:
    """A slot with round ends. Raises ValueError where it is not longer than wide."""
    if length <= width:
        raise ValueError("a slot is longer than wide; a hole as long as wide is round")
    return Form("slot", length, width, 0.0)


def rectangle(length: float, width: float, corner: float = 0.0) -> Form:
    """A rectangle with rounded corners. Raises ValueError for a radius that does not fit."""
    if 2 * corner > min(length, width):
        raise ValueError("a corner's radius is at most half of the shorter side")
    return Form("rectangle", length, width, corner)


def bolt(size: str) -> Form:
    """The hole for a bolt of a metric or inch size. Raises ValueError for one that isn't listed."""
    diameter = clearance(size)
    if diameter is None:
        raise ValueError(f"{size!r} is none of {', '.join(SIZES)}")
    return round_hole(diameter)


def countersunk(diameter: float, head: float, head_angle: float) -> Form:
    """A hole with a countersunk head. Raises ValueError where the head is not wider."""
    if head <= diameter:
        raise ValueError("a countersunk head is wider than the hole")
    return Form("countersunk", diameter, diameter, head=head, head_angle=head_angle)
