"""A page as plain data: lines, areas and words in mm, and its writers for SVG and PDF.

Stands after pdf_file. What is composed once is the same on paper, on a screen and in a book. The
frame of a figure is that of its page: (0, 0) at the lower left, y up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from html import escape
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal

from mateline.exports.print.pdf_file import POINT, Page, beziers, ink, written
from mateline.exports.print.pdf_file import number as pdf_number
from mateline.exports.svg_path import number, opened, path_data

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.curves import Chain, Point

DARK = "#1f2328"
DECIMALS = 2  # mm in a picture: finer than a printer's dots
# Adobe Core 14 AFM, Helvetica: thousandths of the size; 556 for a digit and most small letters.
WIDTHS = MappingProxyType(
    {
        sign: wide
        for wide, signs in (
            (191, "'"),
            (222, "ijl"),
            (278, " !,./:;I[]\\ft·"),
            (333, "()-r“”"),
            (355, '"'),
            (400, "°"),
            (500, "Jcksvxyz"),
            (584, "+<=>~"),
            (611, "FTZ"),
            (667, "&ABEKPSVXY"),
            (722, "CDHNRUw"),
            (778, "GOQ"),
            (833, "Mm"),
            (889, "%"),
            (944, "W"),
        )
        for sign in signs
    }
)
USUAL = 556
FONT = "Helvetica, Arial, sans-serif"


@dataclass(frozen=True, slots=True)
class Lines:
    """Chains in one ink, `width` mm wide; `dash` in mm."""

    chains: tuple[Chain, ...]
    colour: str = DARK
    width: float = 0.2
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Area:
    """What closed chains hold, by the even-odd rule, filled; with an `edge` of a colour and width
    in mm, if any.
    """

    chains: tuple[Chain, ...]
    colour: str
    edge: tuple[str, float] | None = None


@dataclass(frozen=True, slots=True)
class Boxes:
    """Filled boxes: left, bottom, right, top, mm."""

    boxes: tuple[tuple[float, float, float, float], ...]
    colour: str


@dataclass(frozen=True, slots=True)
class Words:
    """One line of words; `at` is on the middle of its height, at its start, middle or end."""

    at: Point
    size: float  # mm
    text: str
    anchor: Literal["start", "middle", "end"] = "start"
    colour: str = DARK
    bold: bool = False
    turn: float = 0.0  # radians


Mark = Lines | Area | Boxes | Words


@dataclass(frozen=True, slots=True)
class Clipped:
    """Marks seen through a window: left, bottom, right, top, mm."""

    window: tuple[float, float, float, float]
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Figure:
    """A page of `size`, mm, called `title`."""

    title: str
    size: tuple[float, float]
    marks: tuple[Mark | Clipped, ...]


@lru_cache(maxsize=8192)  # a table is set once to find its columns, and again to be drawn
def width_of(text: str, size: float) -> float:
    """Width of words in Helvetica, mm."""
    return size * sum(WIDTHS.get(sign, USUAL) for sign in text) / 1000


def figure_svg(figure: Figure) -> str:
    """The figure as an SVG file of its true size."""
    wide, high = figure.size
    title = escape(figure.title, quote=False)
    paper = f'<rect width="{number(wide)}" height="{number(high)}" fill="#ffffff"/>'
    body = [opened(wide, high, f'font-family="{FONT}"'), f"<title>{title}</title>", paper]
    return "\n".join([*body, *svg_marks(figure), "</svg>", ""])


def svg_marks(figure: Figure) -> Iterator[str]:
    """The elements of a figure, without the `svg` round them."""
    top = figure.size[1]
    for at, mark in enumerate(mark for mark in figure.marks if isinstance(mark, Clipped)):
        left, low, right, high = mark.window
        name = f"window-{at}"
        yield (
            f'<clipPath id="{name}"><rect x="{number(left)}" y="{number(top - high)}" '
            f'width="{number(right - left)}" height="{number(high - low)}"/></clipPath>'
            f'<g clip-path="url(#{name})">'
        )
        yield from _elements(mark.marks, top)
        yield "</g>"
    yield from _elements([mark for mark in figure.marks if not isinstance(mark, Clipped)], top)


def _elements(marks: Sequence[Mark], top: float) -> Iterator[str]:
    """Marks in their order; words in a row that look alike share their look."""
    look = ""
    for mark in marks:
        wanted = _look(mark) if isinstance(mark, Words) else ""
        if wanted != look:
            if look:
                yield "</g>"
            if wanted:
                yield wanted
            look = wanted
        yield _element(mark, top)
    if look:
        yield "</g>"


def _look(mark: Words) -> str:
    weight = ' font-weight="bold"' if mark.bold else ""
    anchor = "" if mark.anchor == "start" else f' text-anchor="{mark.anchor}"'
    return f'<g font-size="{number(mark.size, 2)}" fill="{mark.colour}"{anchor}{weight}>'


def _element(mark: Mark, top: float) -> str:
    if isinstance(mark, Area):
        data = path_data(mark.chains, top, DECIMALS)
        edge = ""
        if mark.edge is not None:
            edge = f' stroke="{mark.edge[0]}" stroke-width="{number(mark.edge[1])}"'
        return f'<path fill="{mark.colour}" fill-rule="evenodd"{edge} d="{data}"/>'
    if isinstance(mark, Boxes):
        data = "".join(
            f"M{left:.2f} {top - low:.2f}H{right:.2f}V{top - high:.2f}H{left:.2f}Z"
            for left, low, right, high in mark.boxes
        )
        return f'<path fill="{mark.colour}" d="{data}"/>'
    if isinstance(mark, Lines):
        dash = ""
        if mark.dash:
            dash = f' stroke-dasharray="{" ".join(number(each) for each in mark.dash)}"'
        return (
            f'<path fill="none" stroke="{mark.colour}" stroke-width="{number(mark.width)}" '
            f'stroke-linecap="round" stroke-linejoin="round"{dash} '
            f'd="{path_data(mark.chains, top, DECIMALS)}"/>'
        )
    x, y = mark.at[0], top - mark.at[1]
    turn = ""
    if mark.turn:
        turn = f' transform="rotate({number(-math.degrees(mark.turn))} {number(x)} {number(y)})"'
    foot = number(y + 0.36 * mark.size, 2)
    words = escape(mark.text, quote=False)
    return f'<text x="{number(x, 2)}" y="{foot}"{turn}>{words}</text>'


def figure_page(figure: Figure) -> Page:
    """The figure as a page of a small PDF."""
    parts: list[str] = []
    for mark in figure.marks:
        if isinstance(mark, Clipped):
            left, low, right, high = mark.window
            corner, size = written((left, low)), written((right - left, high - low))
            parts += [f"q {corner} {size} re W n", *_operators(mark.marks), "Q"]
    parts += _operators([mark for mark in figure.marks if not isinstance(mark, Clipped)])
    return Page(figure.title, figure.size, "\n".join(parts))


def _operators(marks: Sequence[Mark]) -> Iterator[str]:
    """Marks in their order; words in a row that look alike share their setting."""
    setting = ""
    for mark in marks:
        if isinstance(mark, Words):
            wanted = _set(mark)
            if wanted != setting:
                yield from ("ET Q", wanted) if setting else (wanted,)
                setting = wanted
            yield _shown(mark)
            continue
        if setting:
            yield "ET Q"
            setting = ""
        yield _drawn(mark)
    if setting:
        yield "ET Q"


def _drawn(mark: Lines | Area | Boxes) -> str:
    """Operators for what is no words."""
    if isinstance(mark, Boxes):
        boxes = "\n".join(
            f"{left * POINT:.2f} {low * POINT:.2f} {(right - left) * POINT:.2f} "
            f"{(high - low) * POINT:.2f} re"
            for left, low, right, high in mark.boxes
        )
        return f"q {_channels(mark.colour)} rg\n{boxes}\nf Q"
    paths = "\n".join(_path(chain) for chain in mark.chains)
    if isinstance(mark, Lines):
        return f"{ink(mark.colour, mark.width, mark.dash)}\n{paths}\nS"
    fill = f"q {_channels(mark.colour)} rg"
    if mark.edge is None:
        return f"{fill}\n{paths}\nf* Q"
    return f"{fill}\n{ink(*mark.edge)}\n{paths}\nB* Q"


def _path(chain: Chain) -> str:
    """Path operators of one chain, to a hundredth of a point: these are drawings, not templates."""
    (x, y), at = chain.start, chain.start
    parts = [f"{x * POINT:.2f} {y * POINT:.2f} m"]
    for segment in chain.segments:
        x, y = segment.to
        if segment.centre is None:
            parts.append(f"{x * POINT:.2f} {y * POINT:.2f} l")
        else:
            for (ax, ay), (bx, by), (cx, cy) in beziers(at, segment):
                parts.append(
                    f"{ax * POINT:.2f} {ay * POINT:.2f} {bx * POINT:.2f} {by * POINT:.2f} "
                    f"{cx * POINT:.2f} {cy * POINT:.2f} c"
                )
        at = segment.to
    if chain.closed:
        parts.append("h")
    return " ".join(parts)


@lru_cache(maxsize=64)
def _setting(colour: str, size: float, *, bold: bool) -> str:
    """Operators that words of one look begin with.

    No bold font is in the file: bold letters are filled and stroked (9.3.6).
    """
    channels = _channels(colour)
    heavy = f"2 Tr {channels} RG {pdf_number(0.035 * size * POINT)} w" if bold else "0 Tr"
    return f"q BT {channels} rg {heavy} /F1 {pdf_number(size * POINT)} Tf"


def _set(mark: Words) -> str:
    return _setting(mark.colour, mark.size, bold=mark.bold)


def _shown(mark: Words) -> str:
    """Operators that show one line of words where it belongs."""
    back = 0.0
    if mark.anchor != "start":
        back = width_of(mark.text, mark.size) * (0.5 if mark.anchor == "middle" else 1.0)
    drop = 0.36 * mark.size
    if mark.turn == 0:
        x, y = mark.at[0] - back, mark.at[1] - drop
        return f"1 0 0 1 {x * POINT:.2f} {y * POINT:.2f} Tm ({_escaped(mark.text)}) Tj"
    cos, sin = math.cos(mark.turn), math.sin(mark.turn)
    x = mark.at[0] - back * cos + drop * sin
    y = mark.at[1] - back * sin - drop * cos
    matrix = " ".join(map(pdf_number, (cos, sin, -sin, cos)))
    return f"{matrix} {written((x, y))} Tm ({_escaped(mark.text)}) Tj"


def _escaped(words: str) -> str:
    """A string of a PDF in code page 1252; signs that it lacks become question marks."""
    if words.isascii() and "(" not in words and ")" not in words and "\\" not in words:
        return words
    return "".join(
        chr(code) if 32 <= code < 127 and chr(code) not in "()\\" else f"\\{code:03o}"
        for code in words.encode("cp1252", "replace")
    )


def _channels(colour: str) -> str:
    return " ".join(pdf_number(int(colour[at : at + 2], 16) / 255) for at in (1, 3, 5))


def draw_page(canvas: Any, page: Page) -> None:
    """Draw a figure's page with its lower-left corner at (0, 0) of a reportlab canvas.

    Its own operators go into the page as they are: curves stay curves, and it takes a tenth of the
    time. The font is the canvas's Helvetica, in the same encoding.
    """
    font = canvas._doc.getInternalFontName("Helvetica")  # noqa: SLF001  has no public name
    canvas.saveState()
    canvas._code.append(page.content.replace("/F1 ", f"{font} "))  # noqa: SLF001
    canvas.restoreState()
