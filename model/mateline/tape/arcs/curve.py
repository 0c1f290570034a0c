r"""Curves of an outline: what was read of one, and the arc that it turns out to be.

Stands first in the room. An outline runs counter-clockwise, so outside is right of a side.

              middle
            .---o---.          rise   of the middle off the chord, positive outward
       a o-'----+----'-o b     bend   the arc's angle; tan(bend / 4) = 2 rise / chord
             chord

    radius  = chord^2 / (8 rise) + rise / 2      elementary (intersecting chords); negative where
                                                 the curve is hollow, as the rise is
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fractions import Fraction

    from mateline.tape.solving.observations import XY
    from mateline.tape.solving.statistics import Ellipse

FULLEST = math.radians(270)  # of one arc; more is no side between two corners


@dataclass(frozen=True, slots=True)
class Curve:
    """What was read of one curve, mm: its rise at the middle, or its radius from a template, or
    points along it (from the first corner along the chord, and off it).

    `tangent` names the ends at which it runs on into its neighbour without a corner. All lengths
    are positive; `hollow` says that it runs inside its chord.
    """

    rise: Fraction | None = None
    radius: Fraction | None = None
    points: tuple[tuple[Fraction, Fraction], ...] = ()
    tangent: tuple[str, ...] = ()
    hollow: bool = False


@dataclass(frozen=True, slots=True)
class ArcReading:
    """One reading of a curve and how it fits: mm, or radians where it says a tangent.

    `w` is its residual over its own deviation; None where nothing else checks it.
    """

    label: str
    angle: bool
    read: float
    residual: float
    deviation: float
    w: float | None


@dataclass(frozen=True, slots=True)
class Arc:
    """One curve as it fits best, mm, in the outline's frame.

    `ends` are the corners it runs between; of a round corner both are that corner, and `start`
    and `to` lie on its two sides. `rise` is signed. `deviation` is that of the rise alone, and
    `ellipse` where the middle is with a chance of 95 %.
    """

    ends: tuple[str, str]
    start: XY
    to: XY
    middle: XY
    rise: float
    deviation: float
    ellipse: Ellipse
    readings: tuple[ArcReading, ...] = ()

    @property
    def label(self) -> str:
        """What a person calls it: `C-D`, or `C` for a round corner."""
        return "-".join(dict.fromkeys(self.ends))

    @property
    def chord(self) -> float:
        """Length of its chord, mm."""
        return math.dist(self.start, self.to)

    @property
    def bulge(self) -> float:
        """Tangent of a quarter of its bend, no unit; negative where it is hollow."""
        return 2 * self.rise / self.chord

    @property
    def radius(self) -> float:
        """Its radius, mm; negative where it is hollow."""
        return radius_of(self.chord, self.rise)

    @property
    def length(self) -> float:
        """Length along it, mm."""
        return abs(self.radius * 4 * math.atan(self.bulge))


def radius_of(chord: float, rise: float) -> float:
    """Radius of the arc with this chord and rise, mm, with the sign of the rise."""
    return chord**2 / (8 * rise) + rise / 2


def rise_of(chord: float, radius: float) -> float:
    """Rise of the arc of less than half a circle with this chord and radius, mm, both positive.

    (r - sqrt(r^2 - c^2/4)), written so that nothing is lost where the arc is flat.
    """
    half = chord / 2
    return half**2 / (radius + math.sqrt((radius - half) * (radius + half)))
