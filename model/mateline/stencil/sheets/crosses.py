"""Registration marks of a sheet: crosses to lay it square on a bed, or back where it was.

Stands beside joins. Three of four corners have one, so that a turned sheet is seen at once.
They are drawn, never cut.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.curves import Chain, Segment

if TYPE_CHECKING:
    from mateline.curves import Point
    from mateline.stencil.sheets.clipping import Bounds

INSET = 15.0  # mm from the sheet's edges to the middle of a cross, and a quarter at most
ARM = 5.0  # mm


def registration(bounds: Bounds) -> tuple[Chain, ...]:
    """Six lines: crosses at the lower left, the lower right and the upper left."""
    left, low, right, high = bounds
    x, y = min(INSET, (right - left) / 4), min(INSET, (high - low) / 4)
    arm = min(ARM, x, y)
    middles = ((left + x, low + y), (right - x, low + y), (left + x, high - y))
    return tuple(line for middle in middles for line in cross(middle, arm))


def cross(middle: Point, arm: float = ARM) -> tuple[Chain, Chain]:
    """Two lines through `middle`, level and upright, each `arm` mm to both sides."""
    x, y = middle
    return (
        Chain((x - arm, y), (Segment((x + arm, y)),)),
        Chain((x, y - arm), (Segment((x, y + arm)),)),
    )
