# ruff: noqa: INP001  a script beside its drawings, not a module of a package
"""Draws side.svg, front.svg and marquee.svg. Run it beside them: python draw.py.

A ferry under the moon for the sides, its wake for the bowed front, and bunting for the marquee.
Lengths in mm, y down as in any SVG.
"""

from __future__ import annotations

import math
from pathlib import Path

NAVY, TEAL, GOLD, RED, CREAM = "#1d2c4c", "#2b7f86", "#ecb440", "#b93b30", "#f2e6ca"


def rectangle(x: float, y: float, wide: float, high: float, colour: str) -> str:
    """A rectangle by its upper left corner."""
    return f'<rect fill="{colour}" x="{x:g}" y="{y:g}" width="{wide:g}" height="{high:g}"/>'


def disc(x: float, y: float, radius: float, colour: str) -> str:
    """A disc by its middle."""
    return f'<circle fill="{colour}" cx="{x:g}" cy="{y:g}" r="{radius:g}"/>'


def polygon(points: list[tuple[float, float]], colour: str) -> str:
    """A polygon by its corners."""
    listed = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
    return f'<polygon fill="{colour}" points="{listed}"/>'


def waves(wide: float, top: float, low: float, step: float, colour: str) -> str:
    """A sea of hollow arcs from `top` down to `low`."""
    count = math.ceil(wide / step) + 1
    reach = step * 0.6
    arcs = "".join(
        f" A{reach:g},{reach:g} 0 0 0 {(at + 1) * step:g},{top:g}" for at in range(count)
    )
    return f'<path fill="{colour}" d="M0,{low:g} V{top:g}{arcs} V{low:g} Z"/>'


def side() -> list[str]:
    """The ferry on a dark sea; 720 by 1800, larger than the side."""
    return [
        rectangle(0, 0, 720, 1800, NAVY),
        disc(205, 330, 130, GOLD),
        disc(250, 304, 104, NAVY),
        polygon([(110, 1010), (620, 1010), (560, 1140), (170, 1140)], RED),
        rectangle(200, 900, 330, 110, CREAM),
        rectangle(400, 790, 70, 110, RED),
        *(disc(250 + 75 * at, 955, 24, GOLD) for at in range(4)),
        waves(720, 1120, 1800, 120, TEAL),
        waves(720, 1330, 1800, 120, NAVY),
        waves(720, 1540, 1800, 120, TEAL),
    ]


def front() -> list[str]:
    """The wake: chevrons that narrow upwards; 620 by 930."""
    parts = [rectangle(0, 0, 620, 930, TEAL)]
    for number, colour in ((0, NAVY), (2, CREAM), (3, GOLD)):  # the coin door lies in between
        top = 120 + 190 * number
        points = [(0, top + 120), (310, top), (620, top + 120), (620, top + 200), (310, top + 80)]
        parts.append(polygon([*points, (0, top + 200)], colour))
    return parts


def marquee() -> list[str]:
    """Bunting under a night sky; 620 by 350."""
    parts = [rectangle(0, 0, 620, 350, NAVY), disc(310, 190, 92, GOLD)]
    for number in range(6):
        x = 10 + 100 * number
        colour = (RED, CREAM, TEAL)[number % 3]
        parts.append(polygon([(x + 8, -1), (x + 92, -1), (x + 50, 84)], colour))
    return parts


def write(name: str, wide: float, high: float, parts: list[str]) -> None:
    """One drawing at its true size."""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:g}mm" height="{high:g}mm" '
        f'viewBox="0 0 {wide:g} {high:g}">'
    )
    text = "\n".join([head, *(f"  {part}" for part in parts), "</svg>", ""])
    Path(__file__).with_name(name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    write("side.svg", 720, 1800, side())
    write("front.svg", 620, 930, front())
    write("marquee.svg", 620, 350, marquee())
