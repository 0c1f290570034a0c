"""Loci: what one observation leaves of a corner once the other points it names are placed.

Stands after the observations, before the start figure. A distance leaves a circle; a height leaves
two lines beside its edge, or two tangents where the corner is an end of the edge; a length along
an edge leaves a line square to it, or two lines through its start; a square corner leaves a line,
or a circle where the corner itself is wanted, and so, on both sides, does another angle; the angle
between two lines leaves two lines.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from mateline.tape.solving.observations import (
    XY,
    Along,
    Angle,
    Distance,
    Height,
    Lean,
    Observation,
    Square,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

PARALLEL = 1e-12  # no unit: lines whose directions cross at a smaller sine never cross
NEAR = 1e-6  # mm: points that are closer are one; a circle smaller than this is none


@dataclass(frozen=True, slots=True)
class Circle:
    """All points `radius` away from (x, y)."""

    x: float
    y: float
    radius: float


@dataclass(frozen=True, slots=True)
class Line:
    """The line through (x, y) along the unit vector (ux, uy)."""

    x: float
    y: float
    ux: float
    uy: float


Locus = Circle | Line


@dataclass(frozen=True, slots=True)
class Crossing:
    """A point common to two loci, and the sine of the angle at which they cross there.

    Loci that miss each other give the point midway between them, with sine 0.
    """

    at: XY
    sine: float


def loci(observation: Observation, corner: str, placed: Mapping[str, XY]) -> tuple[Locus, ...]:
    """Where `observation` lets `corner` be, as alternatives; none if another point is missing."""
    others = [name for name in observation.names if name != corner]
    if len(others) == len(observation.names) or any(name not in placed for name in others):
        return ()
    if isinstance(observation, Distance):
        return (Circle(*placed[others[0]], observation.length),)
    return _OF[type(observation)](observation, corner, placed)


def crossings(one: Locus, two: Locus) -> tuple[Crossing, ...]:
    """Where two loci cross: two points, one, or none for parallel lines and equal centres."""
    if isinstance(one, Circle) and isinstance(two, Circle):
        return _of_circles(one, two)
    if isinstance(one, Circle) and isinstance(two, Line):
        return _of_circle_and_line(one, two)
    if isinstance(one, Line) and isinstance(two, Circle):
        return _of_circle_and_line(two, one)
    if isinstance(one, Line) and isinstance(two, Line):
        return _of_lines(one, two)
    raise TypeError("a locus is a circle or a line")


def _of_height(height: Height, corner: str, placed: Mapping[str, XY]) -> tuple[Locus, ...]:
    if corner == height.corner:
        (ax, ay), (bx, by) = placed[height.a], placed[height.b]
        length = math.hypot(bx - ax, by - ay)
        if length < NEAR:
            return ()
        ux, uy = (bx - ax) / length, (by - ay) / length
        beside = (height.length, -height.length)
        return tuple(Line(ax - uy * h, ay + ux * h, ux, uy) for h in beside)
    end = placed[height.b if corner == height.a else height.a]
    (x, y), (px, py) = end, placed[height.corner]
    away = math.hypot(px - x, py - y)
    if away < NEAR:
        return ()
    towards, lean = math.atan2(py - y, px - x), math.asin(min(1.0, height.length / away))
    turns = (towards + lean, towards - lean)
    return tuple(Line(x, y, math.cos(turn), math.sin(turn)) for turn in turns)


def _of_square(square: Square, corner: str, placed: Mapping[str, XY]) -> tuple[Locus, ...]:
    if corner == square.corner:  # Thales: the circle over its two neighbours
        (ax, ay), (bx, by) = placed[square.before], placed[square.after]
        return (Circle((ax + bx) / 2, (ay + by) / 2, math.hypot(bx - ax, by - ay) / 2),)
    other = square.after if corner == square.before else square.before
    (x, y), (ox, oy) = placed[square.corner], placed[other]
    length = math.hypot(ox - x, oy - y)
    return (Line(x, y, (y - oy) / length, (ox - x) / length),) if length > NEAR else ()


def _of_along(along: Along, corner: str, placed: Mapping[str, XY]) -> tuple[Locus, ...]:
    start, end = (along.b, along.a) if along.past else (along.a, along.b)
    if corner == along.corner:
        (sx, sy), (ex, ey) = placed[start], placed[end]
        reach = math.hypot(ex - sx, ey - sy)
        if reach < NEAR:
            return ()
        ux, uy = (ex - sx) / reach, (ey - sy) / reach
        away = -along.length if along.past else along.length
        return (Line(sx + away * ux, sy + away * uy, -uy, ux),)
    if corner == start:
        return ()  # neither a line nor a circle
    (x, y), (px, py) = placed[start], placed[along.corner]
    far = math.hypot(px - x, py - y)
    if far < NEAR:
        return ()
    towards, lean = math.atan2(py - y, px - x), math.acos(min(1.0, along.length / far))
    turns = (towards + lean, towards - lean)
    return tuple(Line(x, y, math.cos(turn), math.sin(turn)) for turn in turns)


def _of_angle(angle: Angle, corner: str, placed: Mapping[str, XY]) -> tuple[Locus, ...]:
    if corner == angle.corner:  # inscribed angles: two circles through its two neighbours
        (ax, ay), (bx, by) = placed[angle.before], placed[angle.after]
        wide = math.hypot(bx - ax, by - ay)
        if wide < NEAR:
            return ()
        radius = wide / (2 * math.sin(angle.angle))
        up = radius * math.cos(angle.angle) / wide
        return tuple(
            Circle(
                (ax + bx) / 2 - side * up * (by - ay),
                (ay + by) / 2 + side * up * (bx - ax),
                radius,
            )
            for side in (1, -1)
        )
    other = angle.after if corner == angle.before else angle.before
    (x, y), (ox, oy) = placed[angle.corner], placed[other]
    if math.hypot(ox - x, oy - y) < NEAR:
        return ()
    return _ways(x, y, math.atan2(oy - y, ox - x), angle.angle)


def _of_lean(lean: Lean, corner: str, placed: Mapping[str, XY]) -> tuple[Locus, ...]:
    one, other = lean.lines[:2], lean.lines[2:]
    if corner in one and corner in other:
        return ()
    own, base = (one, other) if corner in one else (other, one)
    (x, y) = placed[own[1] if own[0] == corner else own[0]]
    (ax, ay), (bx, by) = (placed[name] for name in base)
    if math.hypot(bx - ax, by - ay) < NEAR:
        return ()
    return _ways(x, y, math.atan2(by - ay, bx - ax), lean.angle)


def _ways(x: float, y: float, base: float, angle: float) -> tuple[Line, ...]:
    """The lines through a point that lean by `angle` to either side of a direction."""
    turns = (base + angle, base - angle)
    return tuple(Line(x, y, math.cos(turn), math.sin(turn)) for turn in turns)


def _of_circles(one: Circle, two: Circle) -> tuple[Crossing, ...]:
    x, y = two.x - one.x, two.y - one.y
    apart = math.hypot(x, y)
    if min(apart, one.radius, two.radius) < NEAR:
        return ()
    x, y = x / apart, y / apart
    along = (apart**2 + one.radius**2 - two.radius**2) / (2 * apart)
    square = one.radius**2 - along**2
    if square <= 0:
        if apart > one.radius + two.radius:
            along = (apart + one.radius - two.radius) / 2
        elif one.radius > two.radius:
            along = (apart + one.radius + two.radius) / 2
        else:
            along = (apart - one.radius - two.radius) / 2
        return (Crossing((one.x + along * x, one.y + along * y), 0.0),)
    up = math.sqrt(square)
    foot_x, foot_y = one.x + along * x, one.y + along * y
    sine = up * apart / (one.radius * two.radius)
    return (
        Crossing((foot_x - up * y, foot_y + up * x), sine),
        Crossing((foot_x + up * y, foot_y - up * x), sine),
    )


def _of_circle_and_line(circle: Circle, line: Line) -> tuple[Crossing, ...]:
    along = (circle.x - line.x) * line.ux + (circle.y - line.y) * line.uy
    foot_x, foot_y = line.x + along * line.ux, line.y + along * line.uy
    square = circle.radius**2 - (circle.x - foot_x) ** 2 - (circle.y - foot_y) ** 2
    if square <= 0:
        return (Crossing((foot_x, foot_y), 0.0),)
    half = math.sqrt(square)
    return tuple(
        Crossing((foot_x + step * line.ux, foot_y + step * line.uy), half / circle.radius)
        for step in (half, -half)
    )


def _of_lines(one: Line, two: Line) -> tuple[Crossing, ...]:
    cross = one.ux * two.uy - one.uy * two.ux
    if abs(cross) < PARALLEL:
        return ()
    along = ((two.x - one.x) * two.uy - (two.y - one.y) * two.ux) / cross
    return (Crossing((one.x + along * one.ux, one.y + along * one.uy), abs(cross)),)


_OF: Mapping[type, Callable[[Any, str, Mapping[str, XY]], tuple[Locus, ...]]] = MappingProxyType(
    {
        Height: _of_height,
        Square: _of_square,
        Along: _of_along,
        Angle: _of_angle,
        Lean: _of_lean,
    }
)
