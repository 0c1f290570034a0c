# ruff: noqa: INP001  a script beside its drawings, not a module of a package
"""Draws rose.svg and waves.svg. Run it beside them: python draw.py.

The rose is a compass with eight points, each of two colours; the waves go once round the table.
Lengths in mm, y down as in any SVG.
"""

from __future__ import annotations

import math
from pathlib import Path

HERE = Path(__file__).parent
NAVY, TEAL, RED, GOLD, CREAM = "#1c2f4d", "#2d7d80", "#bf3f2e", "#e9b13c", "#f3e7c9"
SIZE = 700.0  # mm: the rose
ROUND, HIGH = 3027.4, 204.0  # mm: the waves, once round the table
CRESTS = 24


def at(angle: float, reach: float) -> tuple[float, float]:
    """The place so far from the middle, clockwise from the top."""
    return SIZE / 2 + reach * math.sin(angle), SIZE / 2 - reach * math.cos(angle)


def path(points: list[tuple[float, float]], paint: str) -> str:
    """A polygon by its corners."""
    text = " ".join(f"{x:.3f},{y:.3f}" for x, y in points)
    return f'<path d="M{text}Z" fill="{paint}"/>'


def disc(reach: float, paint: str) -> str:
    """A disc about the middle."""
    middle = SIZE / 2
    return f'<circle cx="{middle}" cy="{middle}" r="{reach}" fill="{paint}"/>'


def half(number: int, long: float, wide: float, side: int) -> list[tuple[float, float]]:
    """One half of a point of the rose: from the middle to its tip, and out to one side."""
    angle = number * math.pi / 4
    return [at(0.0, 0.0), at(angle, long), at(angle + side * math.pi / 8, wide)]


def rose() -> list[str]:
    """The compass rose."""
    parts = [disc(330, NAVY), disc(300, CREAM), disc(285, TEAL)]
    for numbers, long, paints in (
        ((1, 3, 5, 7), 235, (GOLD, NAVY)),
        ((0, 2, 4, 6), 270, (CREAM, RED)),
    ):
        for number in numbers:
            for side, paint in zip((-1, 1), paints, strict=True):
                parts.append(path(half(number, long, 118, side), paint))
    return [*parts, disc(58, GOLD), disc(40, NAVY)]


def crests(level: float, deep: float, phase: float, paint: str) -> str:
    """A sea up to `level` above the floor, with hollow waves."""
    step = ROUND / CRESTS
    start = -step * phase
    points = f"M{start:.3f},{HIGH + 10:.3f} V{HIGH - level:.3f}"
    for number in range(CRESTS + 2):
        end = start + (number + 1) * step
        reach = (step * step / 4 + deep * deep) / (2 * deep)
        points += f" A{reach:.3f},{reach:.3f} 0 0 0 {end:.3f},{HIGH - level:.3f}"
    return f'<path d="{points} V{HIGH + 10:.3f} Z" fill="{paint}"/>'


def waves() -> list[str]:
    """Two seas and a row of suns."""
    step = ROUND / CRESTS
    parts = [crests(140, 22, 0.0, TEAL), crests(92, 22, 0.5, NAVY)]
    for number in range(CRESTS // 3):
        x = (3 * number + 1.5) * step
        parts.append(f'<circle cx="{x:.3f}" cy="48" r="18" fill="{GOLD if number % 2 else RED}"/>')
    return parts


def write(name: str, wide: float, high: float, parts: list[str]) -> None:
    """One drawing at its true size."""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:g}mm" height="{high:g}mm" '
        f'viewBox="0 0 {wide:g} {high:g}">'
    )
    (HERE / name).write_text("\n".join([head, *parts, "</svg>", ""]), encoding="utf-8")


if __name__ == "__main__":
    write("rose.svg", SIZE, SIZE, rose())
    write("waves.svg", ROUND, HIGH, waves())
