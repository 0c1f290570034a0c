"""What was read on one outline, and the observations that it gives.

Stands after the observations, before the outline.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import TYPE_CHECKING

from mateline.errors import InputError
from mateline.tape.accuracy import LONGEST, Tape, angular_deviation, deviation
from mateline.tape.reading import printed_exact
from mateline.tape.solving.observations import (
    Along,
    Angle,
    Distance,
    Height,
    Lean,
    Observation,
    Square,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from fractions import Fraction

    from mateline.tape.arcs.curve import Curve

# 1.5 mm in 600 mm: how far from square a corner may be that somebody calls square. Common
# practice, no source.
SQUARE_DEVIATION = 0.0025  # radians
ROUGH_SHARE = 0.05  # no unit: one standard deviation of a rough reading, as a share of it


@dataclass(frozen=True, slots=True)
class Readings:
    """What was read on one outline, mm. `corners` run counter-clockwise.

    `distances` go from corner to corner, `heights` (corner, a, b) from a corner square to the line
    through a and b; `alongs` (corner, "along", a, b) say how far from a, or "past" b, along that
    line one comes square to a corner. `repeats` are second readings and more of any of these.
    `angles` are those between the sides at a corner (corner,), and from the line c-d to the line
    a-b (c, d, a, b), each in radians with the most that it may be out by. `square` corners are
    square by assumption, `reflex` ones are over 180° inside. `about` holds rough distances, which
    choose between figures and weigh nothing. `curves` are sides (a, b) that are curved, and round
    corners (c,), whose own place is the sharp one.
    """

    corners: tuple[str, ...]
    distances: Mapping[tuple[str, str], Fraction]
    heights: Mapping[tuple[str, str, str], Fraction] = field(default_factory=dict)
    square: tuple[str, ...] = ()
    about: Mapping[tuple[str, str], Fraction] = field(default_factory=dict)
    reflex: tuple[str, ...] = ()
    alongs: Mapping[tuple[str, str, str, str], Fraction] = field(default_factory=dict)
    repeats: Mapping[tuple[str, ...], tuple[Fraction, ...]] = field(default_factory=dict)
    angles: Mapping[tuple[str, ...], tuple[float, float]] = field(default_factory=dict)
    curves: Mapping[tuple[str, ...], Curve] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Where:
    """The file, and the table of it, that a fault is in."""

    file: str
    place: str

    def fault(self, reading: str, what: str, remedy: str) -> InputError:
        """The fault of one reading, or of the whole table."""
        return InputError(self.file, ", ".join(filter(None, (self.place, reading))), what, remedy)


def refuse_names(readings: Readings, where: Where) -> None:
    """Raises InputError where a reading names what is no corner, or one corner twice."""
    corners = readings.corners
    if len(corners) < 3 or len(set(corners)) < len(corners):
        what = f"An outline has three corners or more, each named once, not {', '.join(corners)}."
        raise where.fault("", what, "Name each corner once.")
    named = [
        *((label_of(key), key) for key in (*readings.distances, *readings.heights)),
        *((label_of(key), key) for key in readings.about),
        *((label_of(key), (key[0], *key[2:])) for key in readings.alongs),
        *((_label_of_angle(key), key[at : at + 2]) for key in readings.angles for at in (0, 2)),
        *((name, (name,)) for name in (*readings.square, *readings.reflex)),
    ]
    for label, names in named:
        for name in names:
            if name not in corners:
                near = get_close_matches(name, corners, n=1)
                remedy = f"Did you mean {near[0]}?" if near else f"There are {', '.join(corners)}."
                raise where.fault(label, f"There is no corner {name}.", remedy)
        if len(set(names)) < len(names):
            raise where.fault(label, "It names one corner twice.", "Name different corners.")


def label_of(key: tuple[str, ...]) -> str:
    """What a person calls the length with this key: "A-B", "C above A-B", "D along A-B"."""
    if len(key) == 2:
        return "-".join(key)
    corner, *words, a, b = key
    return f"{corner} {words[0] if words else 'above'} {a}-{b}"


def _label_of_angle(key: tuple[str, ...]) -> str:
    return f"angle {key[0]}" if len(key) == 1 else f"{key[0]}-{key[1]} to {key[2]}-{key[3]}"


def observations_of(readings: Readings, tape: Tape, where: Where) -> list[Observation]:
    """All readings but rough ones. Raises InputError for one that no tape or gauge can read."""
    once = (*readings.distances.items(), *readings.heights.items(), *readings.alongs.items())
    found: list[Observation] = []
    for key, first in once:
        lengths = (first, *readings.repeats.get(key, ()))
        for time, length in enumerate(lengths, start=1):
            label = label_of(key) if time == 1 else f"{label_of(key)}, read again ({time})"
            if not 0 < length <= LONGEST:
                what = f"A reading is over 0 and up to {printed_exact(LONGEST, tape.unit)}"
                got = f"this one is {printed_exact(length, tape.unit)}"
                raise where.fault(label, f"{what}; {got}.", "Check its number and unit.")
            spread = deviation(length, tape, len(lengths))
            found.append(_observation(key, float(length), spread, label))
    return [*found, *_angles(readings, where)]


def _observation(key: tuple[str, ...], length: float, spread: float, label: str) -> Observation:
    if len(key) == 2:
        return Distance(*key, length, spread, label)
    if len(key) == 3:
        return Height(*key, length, spread, label)
    corner, word, a, b = key
    return Along(corner, a, b, length, spread, label, word == "past")


def _angles(readings: Readings, where: Where) -> Iterator[Observation]:
    for key, (angle, most) in readings.angles.items():
        label, spread = _label_of_angle(key), angular_deviation(most)
        widest = math.pi if len(key) == 1 else math.pi / 2
        if not (0 < angle < widest if len(key) == 1 else 0 <= angle <= widest):
            what = f"It is between 0° and {math.degrees(widest):.0f}°"
            remedy = "At a reflex corner a gauge has the angle outside."
            raise where.fault(label, f"{what}, not {math.degrees(angle):.2f}°.", remedy)
        if len(key) == 1:
            yield Angle(*_with_neighbours(readings.corners, key[0]), angle, spread, label)
        else:
            c, d, a, b = key
            yield Lean((c, d, a, b), angle, spread, label)


def _with_neighbours(corners: tuple[str, ...], corner: str) -> tuple[str, str, str]:
    at = corners.index(corner)
    return corner, corners[at - 1], corners[(at + 1) % len(corners)]


def squares_of(readings: Readings) -> list[Square]:
    """The corners that somebody calls square."""
    return [
        Square(
            *_with_neighbours(readings.corners, corner), SQUARE_DEVIATION, f"square corner {corner}"
        )
        for corner in readings.square
    ]


def rough_of(readings: Readings) -> list[Distance]:
    """The rough distances."""
    return [
        Distance(a, b, float(length), ROUGH_SHARE * float(length), f"about {a}-{b}")
        for (a, b), length in readings.about.items()
    ]
