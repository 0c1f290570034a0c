# ruff: noqa: INP001  a script beside its drawing, not a module of a package
"""Draws quilt.svg: a patchwork of 15 by 9 blocks in a frame. Run it beside the drawing.

    python draw.py

Neighbouring blocks take their colours from different halves of the palette, so that no patch
runs on into the next block. Lengths in mm, y down as in any SVG.
"""

from __future__ import annotations

import math
from pathlib import Path

WARM = {"cream": "#f3e9d2", "ochre": "#d9a441", "rust": "#b5472f", "rose": "#d98c84"}
COOL = {"indigo": "#27385f", "sky": "#9dbfcb", "olive": "#77804a", "teal": "#2f7671"}
WALNUT = "#4b3529"
ACROSS, UP, BLOCK, FRAME = 15, 9, 100, 50


def number(value: float) -> str:
    """`value` to 0.01 mm, without zeros at its end."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def rectangle(x: float, y: float, wide: float, high: float, colour: str) -> str:
    """A rectangle by its upper left corner."""
    size = f'width="{number(wide)}" height="{number(high)}"'
    return f'<rect fill="{colour}" x="{number(x)}" y="{number(y)}" {size}/>'


def polygon(points: list[tuple[float, float]], colour: str) -> str:
    """A polygon by its corners."""
    listed = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return f'<polygon fill="{colour}" points="{listed}"/>'


def disc(x: float, y: float, radius: float, colour: str) -> str:
    """A disc by its middle."""
    return f'<circle fill="{colour}" cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"/>'


def quarters(one: str, two: str) -> list[str]:
    """The four quarter squares of a block, chequered."""
    return [rectangle(x, y, 50, 50, one if x == y else two) for y in (0, 50) for x in (0, 50)]


def pinwheel(one: str, two: str, three: str) -> list[str]:
    """Eight triangles that turn about the middle."""
    turned = [
        [(0, 0), (50, 0), (50, 50)],
        [(100, 0), (100, 50), (50, 50)],
        [(100, 100), (50, 100), (50, 50)],
        [(0, 100), (0, 50), (50, 50)],
    ]
    return [rectangle(0, 0, 100, 100, one), *(polygon(each, two) for each in turned),
            disc(50, 50, 13, three)]  # fmt: skip


def leaves(one: str, two: str, three: str) -> list[str]:
    """Four leaves from the corners to the middle.

    A leaf's tip has 60°: its arcs' radius is its length.
    """
    reach = number(50 * math.sqrt(2))
    made = [rectangle(0, 0, 100, 100, one)]
    for x, y in ((0, 0), (100, 0), (100, 100), (0, 100)):
        arc = f"A{reach} {reach} 0 0 1"
        made.append(f'<path fill="{two}" d="M{x} {y} {arc} 50 50 {arc} {x} {y} Z"/>')
    return [*made, disc(50, 50, 12, three)]


def paths(one: str, two: str, three: str) -> list[str]:
    """Quarter discs in chequered quarters."""
    made = quarters(one, two)
    for x, y, sweep in ((0, 0, 0), (100, 0, 1), (100, 100, 0), (0, 100, 1)):
        ends = f"M{x} {y} H{abs(x - 36)} A36 36 0 0 {1 - sweep} {x} {abs(y - 36)} Z"
        made.append(f'<path fill="{two if x == y else one}" d="{ends}"/>')
    return [*made, disc(50, 50, 14, three)]


def geese(one: str, two: str, three: str) -> list[str]:
    """Four geese that fly up, one of them in another colour."""
    made = [rectangle(0, 0, 100, 100, one)]
    for row in range(4):
        foot = 25 * (row + 1)
        colour = three if row == 0 else two
        made.append(polygon([(0, foot), (50, foot - 25), (100, foot)], colour))
    return made


def star(one: str, two: str, three: str) -> list[str]:
    """A sawtooth star of eight tips."""
    made = [rectangle(0, 0, 100, 100, one), rectangle(25, 25, 50, 50, three)]
    for turn in range(4):
        for tip in ([(25, 0), (50, 25), (25, 25)], [(75, 0), (75, 25), (50, 25)]):
            points: list[tuple[float, float]] = list(tip)
            for _ in range(turn):
                points = [(100 - y, x) for x, y in points]
            made.append(polygon(points, two))
    return [*made, disc(50, 50, 16, one)]


def sun(one: str, two: str, three: str) -> list[str]:
    """Two discs, parted into quarters of two colours."""
    made = quarters(one, three)
    made.append(disc(50, 50, 40, two))
    return [*made, disc(50, 50, 22, one)]


def hourglass(one: str, two: str, three: str) -> list[str]:
    """Four triangles, tip to tip, round a square that stands on its corner."""
    return [
        rectangle(0, 0, 100, 100, one),
        polygon([(0, 0), (50, 50), (0, 100)], two),
        polygon([(100, 0), (50, 50), (100, 100)], two),
        polygon([(50, 26), (74, 50), (50, 74), (26, 50)], three),
    ]


RINGS = (
    (star, leaves, geese, star, paths),
    (leaves, pinwheel, leaves, hourglass, star),
    (sun, star, paths, leaves, pinwheel),
    (pinwheel, paths, star, geese, leaves),
    (star, leaves, pinwheel, paths, star),
    (geese, star, leaves, star, hourglass),
    (leaves, hourglass, star, pinwheel, leaves),
    (star, paths, geese, leaves, star),
)  # by columns and rows from the middle block


def colours(column: int, row: int) -> tuple[str, str, str]:
    """Ground, figure and accent of one block."""
    half = list((WARM if (column + row) % 2 == 0 else COOL).values())
    start = (abs(column - ACROSS // 2) + 2 * abs(row - UP // 2)) % 4
    one, two, three = (half[(start + step) % 4] for step in range(3))
    return one, two, three


def drawing() -> str:
    """The whole SVG."""
    wide, high = ACROSS * BLOCK + 2 * FRAME, UP * BLOCK + 2 * FRAME
    ground = rectangle(-10, -10, wide + 20, high + 20, WALNUT)
    size = f'width="{wide + 20}mm" height="{high + 20}mm"'
    box = f'viewBox="-10 -10 {wide + 20} {high + 20}"'
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box}>',
        "  <!-- Written by draw.py. The frame runs 10 mm past the board on each side. -->",
        "  " + ground.replace("<rect", '<rect id="frame"'),
    ]
    for row in range(UP):
        for column in range(ACROSS):
            block = RINGS[abs(column - ACROSS // 2)][abs(row - UP // 2)]
            x, y = FRAME + column * BLOCK, FRAME + row * BLOCK
            name = f"{block.__name__}-{chr(97 + row)}{column + 1}"
            lines.append(f'  <g id="{name}" transform="translate({x} {y})">')
            lines += ["    " + shape for shape in block(*colours(column, row))]
            lines.append("  </g>")
    return "\n".join([*lines, "</svg>", ""])


if __name__ == "__main__":
    Path(__file__).with_name("quilt.svg").write_text(drawing(), encoding="utf-8")
