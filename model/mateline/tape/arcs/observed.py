r"""What ties the middle of a curve to its ends: its radius, points on it, tangents.

Stands after curve, before fitting. The middle is a point of the network like a corner, kept
square over its chord; a rise is then a height. Derivatives are by hand, and tests hold them
against differences.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from mateline.tape.solving.observations import NOWHERE, Array, Height


@dataclass(frozen=True, slots=True)
class Midway:
    """That `middle` is square over the middle of its chord: how far along it is off, mm."""

    a: str
    b: str
    middle: str
    deviation: float
    label: str

    @property
    def observed(self) -> float:
        """Not off."""
        return 0.0

    @property
    def names(self) -> tuple[str, ...]:
        """The two ends, then the middle."""
        return (self.a, self.b, self.middle)

    def value(self, at: Array) -> tuple[float, Array]:
        """How far along the chord it is off, and its derivative, at points (3, 2)."""
        a, b, middle = at
        chord = _length(a, b)
        along, off = (b - a) / chord, middle - (a + b) / 2
        value = float((along * off).sum())
        swing = (off - value * along) / chord
        return value, np.array([-along / 2 - swing, swing - along / 2, along])


@dataclass(frozen=True, slots=True)
class Radius:
    """The radius of the curve from `a` to `b`, mm; negative where it is hollow."""

    a: str
    b: str
    middle: str
    radius: float
    deviation: float
    label: str

    @property
    def observed(self) -> float:
        """The radius as read."""
        return self.radius

    @property
    def names(self) -> tuple[str, ...]:
        """The two ends, then the middle."""
        return (self.a, self.b, self.middle)

    def value(self, at: Array) -> tuple[float, Array]:
        """Radius through the points of `at` (3, 2), and its derivative."""
        chord, by_chord, rise, by_rise = chord_and_rise(at)
        rise = rise or NOWHERE
        value = chord**2 / (8 * rise) + rise / 2
        slope = by_chord * chord / (4 * rise) + by_rise * (0.5 - chord**2 / (8 * rise**2))
        return value, slope


@dataclass(frozen=True, slots=True)
class OnCurve:
    """A point on the curve: `along` the chord from `a`, and how far `off` it, mm.

    `deviation` is that of what was read off the chord; along it counts by the curve's slope.
    """

    a: str
    b: str
    middle: str
    along: float
    off: float
    deviation: float
    label: str

    @property
    def observed(self) -> float:
        """The distance off the chord as read."""
        return self.off

    @property
    def names(self) -> tuple[str, ...]:
        """The two ends, then the middle."""
        return (self.a, self.b, self.middle)

    def value(self, at: Array) -> tuple[float, Array]:
        """How far off the chord the arc through `at` (3, 2) is there, and its derivative."""
        chord, by_chord, rise, by_rise = chord_and_rise(at)
        value, on_chord, on_rise, _ = offset(self.along, chord, rise)
        return value, by_chord * on_chord + by_rise * on_rise


@dataclass(frozen=True, slots=True)
class Tangent:
    """That two sides run on into each other at `corner`: the angle between them, radians.

    They come from `before` and go to `after`; `bent_before` and `bent_after` are the middles of
    those that are curved.
    """

    before: str
    corner: str
    after: str
    bent_before: str | None
    bent_after: str | None
    deviation: float
    label: str

    @property
    def observed(self) -> float:
        """No angle."""
        return 0.0

    @property
    def names(self) -> tuple[str, ...]:
        """The three corners, then the middles there are."""
        middles = (self.bent_before, self.bent_after)
        return (self.before, self.corner, self.after, *(name for name in middles if name))

    def value(self, at: Array) -> tuple[float, Array]:
        """The turn from the one side into the other, and its derivative, at points (k, 2)."""
        slope = np.zeros_like(at)
        turn = 0.0
        middle = 3
        for (one, two), bent, sign in (
            ((0, 1), self.bent_before, -1),
            ((1, 2), self.bent_after, 1),
        ):
            x, y = at[two] - at[one]
            turn += sign * math.atan2(y, x)
            swing = sign * np.array([-y, x]) / max(x * x + y * y, NOWHERE)
            slope[two] += swing
            slope[one] -= swing
            if bent is not None:
                rows = [one, two, middle]
                angle, by = _half_bend(at[rows])
                turn -= angle
                slope[rows] -= by
                middle += 1
        return math.remainder(turn, math.tau), slope


def chord_and_rise(at: Array) -> tuple[float, Array, float, Array]:
    """Chord and rise of the arc through `at` (a, b, middle), each with its derivative (3, 2)."""
    a, b, _ = at
    chord = _length(a, b)
    along = (b - a) / chord
    # Outside is left of b to a.
    rise, slope = Height("", "", "", 0.0, 1.0, "").value(at[[2, 1, 0]])
    return chord, np.array([-along, along, 0 * along]), rise, slope[[2, 1, 0]]


def offset(along: float, chord: float, rise: float) -> tuple[float, float, float, float]:
    """How far an arc is off its chord at a distance `along` it, mm, and its derivatives.

    They are by the chord, the rise and the distance. With k = c^2/8 - s^2/2 and q = x (c - x) it
    is q s / (k + sqrt(k^2 + q s^2)): the root of the circle's equation, without a difference of
    large radii.
    """
    within = along * (chord - along)
    k = chord**2 / 8 - rise**2 / 2
    root = math.sqrt(max(k * k + within * rise**2, NOWHERE))
    whole = k + root
    value = within * rise / whole

    def slope(by_within: float, by_k: float, by_rise: float) -> float:
        by_root = (k * by_k + (by_within * rise**2) / 2 + within * rise * by_rise) / root
        return (by_within * rise + within * by_rise - value * (by_k + by_root)) / whole

    return (
        value,
        slope(along, chord / 4, 0.0),
        slope(0.0, -rise, 1.0),
        slope(chord - 2 * along, 0.0, 0.0),
    )


def _half_bend(at: Array) -> tuple[float, Array]:
    """The angle between chord and tangent of the arc through `at` (3, 2), and its derivative."""
    chord, by_chord, rise, by_rise = chord_and_rise(at)
    square = chord**2 + 4 * rise**2
    slope = (by_rise * chord - by_chord * rise) * 4 / square
    return 2 * math.atan2(2 * rise, chord), slope


def _length(a: Array, b: Array) -> float:
    x, y = b - a
    return math.hypot(x, y) or NOWHERE
