"""Borders written as an SVG that any program shows: thin lines, and a dot of its colour for a seed.

Stands after the data. The same borders are the same bytes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.sax.saxutils import quoteattr

from mateline.drawing.borders.borders import Circle
from mateline.drawing.path import Line

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mateline.drawing.borders.borders import Border, Borders, Step

KIND = "borders"  # the root's data-kind
# mm. An arc's centre follows from its ends and radius: near a half circle, rounding by d moves it
# by sqrt(2 r d), here a ten-thousandth of a millimetre for r = 100.
DECIMALS = 10
SHOWN = 2.0  # mm: the radius of a seed's dot
LOOK = {
    "outline": 'fill="none" stroke="#808080" stroke-width="0.5"',
    "border": 'fill="none" stroke="#000000" stroke-width="0.5"',
    "guessed": 'fill="none" stroke="none"',
}


def borders_svg(borders: Borders) -> str:
    """The text of a borders file; `reader.borders_in` gives back what was written, if no number
    has more than `DECIMALS` decimals.
    """
    wide, high = _number(borders.width), _number(borders.height)
    size = f'width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}"'
    lines = [f'<svg xmlns="http://www.w3.org/2000/svg" data-kind="{KIND}" {size}>']
    if borders.outline is not None:
        lines.append(_drawn(borders.outline, "outline"))
    lines += [_drawn(each, "border") for each in borders.borders]
    lines += [
        f'<circle class="seed"{_id(seed.name)} cx="{_number(seed.at[0])}" '
        f'cy="{_number(seed.at[1])}" r="{_number(SHOWN)}" fill="{seed.colour}"/>'
        for seed in borders.seeds
    ]
    lines += [_drawn(each, "guessed") for each in borders.marks]
    return "\n".join([*lines, "</svg>", ""])


def _drawn(border: Border | Circle, kind: str) -> str:
    name, look = _id(border.name), LOOK[kind]
    if isinstance(border, Circle):
        x, y, reach = (_number(value) for value in (*border.centre, border.radius))
        return f'<circle class="{kind}"{name} cx="{x}" cy="{y}" r="{reach}" {look}/>'
    data = " ".join([f"M{_pair(*border.start)}", *map(_step, border.steps)])
    return f'<path class="{kind}"{name} d="{data}" {look}/>'


def _id(name: str | None) -> str:
    return "" if name is None else f" id={quoteattr(name)}"


def _step(step: Step) -> str:
    if isinstance(step, Line):
        return f"L{_pair(step.x, step.y)}"
    flags = f"{int(step.large)} {int(step.sweep)}"
    return f"A{_pair(step.rx, step.ry)} 0 {flags} {_pair(step.x, step.y)}"


def _pair(x: float, y: float) -> str:
    return f"{_number(x)} {_number(y)}"


def _number(value: float) -> str:
    text = f"{value:.{DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def rounded(values: Iterator[float]) -> list[float]:
    """Numbers as they come back from a file."""
    return [round(value, DECIMALS) + 0.0 for value in values]
