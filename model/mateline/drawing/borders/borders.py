"""What is in a borders file: border lines, colour seeds, and the outline that ends them all.

Stands first in borders. Everything is in mm from the picture's upper left corner, y down, as in
the file.

border    a line that parts colours: straight lines and circular arcs end to end, or a whole circle
seed      a point whose colour fills the region round it, as far as the borders
outline   the rim of what is painted; without one it is the picture's
mark      an unpainted line that says where something was guessed ("guessed-14mm-3")
"""

from __future__ import annotations

from dataclasses import dataclass

from mateline.drawing.path import Arc, Line

Point = tuple[float, float]
Step = Line | Arc  # an arc's radii are equal: it is a circle's


@dataclass(frozen=True, slots=True)
class Border:
    """Lines and circular arcs from `start` on; `name` is its id in the file, None without one."""

    start: Point
    steps: tuple[Step, ...]
    name: str | None = None


@dataclass(frozen=True, slots=True)
class Circle:
    """A border that is a whole circle."""

    centre: Point
    radius: float
    name: str | None = None


@dataclass(frozen=True, slots=True)
class Seed:
    """A colour "#rrggbb" for the region that `at` lies in."""

    at: Point
    colour: str
    name: str | None = None


@dataclass(frozen=True, slots=True)
class Borders:
    """What a borders file of `width` by `height` mm holds, in the order of the file."""

    width: float
    height: float
    borders: tuple[Border | Circle, ...] = ()
    seeds: tuple[Seed, ...] = ()
    outline: Border | Circle | None = None
    marks: tuple[Border, ...] = ()
