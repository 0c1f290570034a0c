"""Paths of lines, Béziers and elliptical arcs, as every reader makes them.

Stands before flattening. Units are those of the reader; nothing is transformed here.
"""

from __future__ import annotations

from typing import NamedTuple

MOST_STEPS = 250_000  # segments of one path
MOST_CONTROL = 20_000  # control points of one spline
MOST_CURVES = 50_000  # and curves among them: reading one takes the time of five lines


class Line(NamedTuple):
    """A straight segment to (x, y)."""

    x: float
    y: float


class Cubic(NamedTuple):
    """A cubic Bézier by two control points and its end (x, y)."""

    x1: float
    y1: float
    x2: float
    y2: float
    x: float
    y: float


class Arc(NamedTuple):
    """An elliptical arc to (x, y): radii, turn of the x radius (rad), and the two flags."""

    rx: float
    ry: float
    turn: float
    large: bool
    sweep: bool
    x: float
    y: float


Step = Line | Cubic | Arc


class Subpath(NamedTuple):
    """Segments from (x, y) on. A closed one ends where it starts."""

    x: float
    y: float
    steps: list[Step]
    closed: bool


def refuse_more(steps: int, curves: int = 0) -> None:
    """Raise ValueError for more segments, or curves among them, than one path may have."""
    if steps > MOST_STEPS:
        raise ValueError(f"the path has more than {MOST_STEPS} segments, {steps} at least")
    if curves > MOST_CURVES:
        raise ValueError(f"the path has more than {MOST_CURVES} curves, {curves} at least")
