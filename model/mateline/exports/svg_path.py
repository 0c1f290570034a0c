"""Chains as SVG path data with true arcs.

Stands after stroke. Files are 1:1 in mm with y flipped: `top` is the y of the picture's top.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from mateline.curves import Segment, sweep
from mateline.exports.stroke import drawn

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mateline.curves import Chain, Point

DECIMALS = 4  # mm: a tenth of a micrometre
# SVG finds an arc's centre from its ends and radius. Near a half circle that is ill-conditioned:
# ends rounded by d move the centre by sqrt(2 r d), 0.1 mm for r = 100 and d = 5e-5. Arcs no
# longer than this are sent, where the centre moves by about d.
LONGEST_ARC = math.radians(100)


def number(value: float, decimals: int = DECIMALS) -> str:
    """`value` with at most `decimals` decimals, without trailing zeros or a signed zero."""
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


@dataclass
class SvgPath:
    """A stroke that writes path data, `parts`; `top` - y becomes the file's y.

    `decimals` suit mm; a drawing whose unit is larger needs more.
    """

    top: float
    decimals: int = DECIMALS
    parts: list[str] = field(default_factory=list)
    _at: Point = (0.0, 0.0)

    def start(self, at: Point) -> None:
        """Move to `at`."""
        self._at = at
        self.parts.append(f"M{self._written(at)}")

    def line(self, to: Point) -> None:
        """Draw a straight line to `to`; the last one of a closed chain is drawn too."""
        self._at = to
        self.parts.append(f"L{self._written(to)}")

    def arc(self, to: Point, centre: Point, *, counterclockwise: bool) -> None:
        """Draw a circular arc to `to`, in as many parts as keep its centre exact."""
        ends = (
            _split(self._at, to, centre)
            if counterclockwise
            else (_split(to, self._at, centre)[::-1])
        )
        size = number(math.dist(to if counterclockwise else self._at, centre), self.decimals)
        flag = 0 if counterclockwise else 1  # SVG 2, 9.3.8: 1 turns clockwise as seen, y down
        here = self._written(self._at)
        for end in (*ends, to):
            there = self._written(end)
            # An arc that ends where it starts is drawn by no program (SVG 2, 9.5.1), and many
            # that read one divide by its chord.
            if there != here:
                self.parts.append(f"A{size} {size} 0 0 {flag} {there}")
            here = there
        self._at = to

    def end(self, *, closed: bool) -> None:
        """Join a closed chain's end to its start."""
        if closed:
            self.parts.append("Z")

    def _written(self, point: Point) -> str:
        x, y = point[0], self.top - point[1]
        return f"{number(x, self.decimals)} {number(y, self.decimals)}"


def _split(start: Point, end: Point, centre: Point) -> list[Point]:
    """Points that part a counter-clockwise arc into parts of at most `LONGEST_ARC`.

    Neighbours walk their border in opposite directions, and must part it at the same points to
    the last digit: so both ask for its counter-clockwise side.
    """
    turn = sweep(start, Segment(end, centre))
    count = math.ceil(turn / LONGEST_ARC)
    reach = math.dist(end, centre)
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    angles = [first + turn * step / count for step in range(1, count)]
    return [(centre[0] + reach * math.cos(a), centre[1] + reach * math.sin(a)) for a in angles]


def path_data(chains: Iterable[Chain], top: float, decimals: int = DECIMALS) -> str:
    """The `d` of one path that draws `chains`, y up in them and y down in the file."""
    stroke = SvgPath(top, decimals)
    for chain in chains:
        drawn(chain, stroke)
    return "".join(stroke.parts)


def opened(width: float, height: float, *attributes: str) -> str:
    """The start tag of a picture `width` by `height` mm, one user unit a mm: true size.

    CSS Values and Units 3, 6.2: 1 mm is 96/25.4 px; the viewBox makes the user unit 1 mm.
    """
    wide, high = number(width), number(height)
    size = f'width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}"'
    return " ".join(['<svg xmlns="http://www.w3.org/2000/svg"', size, *attributes]) + ">"
