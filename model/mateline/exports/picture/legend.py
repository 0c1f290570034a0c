"""What stands around a drawing in a picture: words, swatches, a scale bar.

Stands beside svg_path. Pictures are laid out in pixels; only what is drawn in them is in mm.
"""

from __future__ import annotations

from html import escape
from itertools import takewhile
from typing import TYPE_CHECKING

from mateline.exports.svg_path import number
from mateline.paint.lightness import linear
from mateline.tape.accuracy import MM
from mateline.tape.reading import printed_exact

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mateline.tape.accuracy import Tape

FONT = "system-ui, 'Segoe UI', 'Helvetica Neue', 'DejaVu Sans', sans-serif"
DARK, GREY, FAINT = "#1f2328", "#59636e", "#d1d9e0"
ROW = 22  # px: height of a row of a legend
_BARS = {  # lengths that a scale bar may have, in the tape's own unit
    "in": (1, 2, 3, 6, 12, 24, 36),
    "ft": (0.25, 0.5, 1, 2, 3),
    "m": (0.02, 0.05, 0.1, 0.2, 0.5, 1),
    "cm": (2, 5, 10, 20, 50, 100),
    "mm": (20, 50, 100, 200, 500, 1000),
}


def page(width: float, height: float, body: list[str]) -> str:
    """A whole picture, `width` by `height` px, on white."""
    wide, high = number(width, 0), number(height, 0)
    size = f'width="{wide}" height="{high}" viewBox="0 0 {wide} {high}"'
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" {size} font-family="{escape(FONT)}">',
            f'<rect width="{wide}" height="{high}" fill="#ffffff"/>',
            *body,
            "</svg>",
            "",
        ]
    )


def words(
    at: tuple[float, float], content: str, size: float, ink: str = DARK, extra: str = ""
) -> str:
    """A line of text with its baseline at `at`; `extra` are further attributes."""
    x, y = number(at[0], 1), number(at[1], 1)
    more = f" {extra}" if extra else ""
    return (
        f'<text x="{x}" y="{y}" font-size="{number(size, 1)}" fill="{ink}"{more}>'
        f"{escape(content, quote=False)}</text>"
    )


def swatch(at: tuple[float, float], paint: str, label: str) -> str:
    """A square of `paint` with `label` beside it; `at` is the left end of the text's baseline."""
    x, y = at
    square = (
        f'<rect x="{number(x, 1)}" y="{number(y - 11, 1)}" width="14" height="14" rx="2" '
        f'fill="{paint}" stroke="{DARK}" stroke-opacity="0.4" stroke-width="0.7"/>'
    )
    return square + words((x + 22, y), label, 13)


def ink_on(paint: str) -> str:
    """Black or white, whichever reads better on `paint`.

    Relative luminance and contrast as in WCAG 2.1; the two are equal at luminance 0.179.
    """
    red, green, blue = linear(paint)
    return "#000000" if 0.2126 * red + 0.7152 * green + 0.0722 * blue > 0.179 else "#ffffff"


def scale_bar(at: tuple[float, float], scale: float, longest: float, tape: Tape) -> list[str]:
    """A bar of a round length in the tape's unit, at most `longest` px long; `scale` in px a mm."""
    x, y = at
    unit = float(MM[tape.unit])
    lengths = _BARS[tape.unit]
    fitting = list(takewhile(lambda size: size * unit * scale <= longest, lengths))
    length = (fitting or lengths[:1])[-1] * unit
    half = length * scale / 2
    boxes = [
        f'<rect x="{number(x + left, 2)}" y="{number(y, 2)}" width="{number(half, 2)}" height="5" '
        f'fill="{fill}" stroke="{DARK}" stroke-width="0.8"/>'
        for left, fill in ((0, DARK), (half, "#ffffff"))
    ]
    text = printed_exact(length, tape.unit).replace(".00", "").replace(".0 ", " ")
    return [*boxes, words((x + 2 * half + 8, y + 7), text, 12, GREY)]


def palette(paints: Mapping[str, str], base: str) -> list[tuple[str, str]]:
    """Paint and label of each colour, in the palette's order; the base coat is named as such."""
    return [
        (paint, f"{name} (base coat)" if name == base else name) for name, paint in paints.items()
    ]
