"""What each line of a stencil on paper means, in the order of the work, with a sample of it.

Stands after pdf_file. Only lines that are on the stencil are named.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from mateline.curves import Chain, Segment, circle
from mateline.exports.cut.svg import INK
from mateline.exports.print.pdf_file import ink, stroked, text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.curves import Point

LINE = 0.25  # mm: can be seen on paper, and is thinner than a knife's cut wanders
DASHES = MappingProxyType({"score": (4.0, 2.0), "hole": (1.5, 1.5), "join": (8.0, 2.0)})  # mm
PAPER = "paper"  # the frames of the sheets of paper, on their map
FRAME = "#cc2200"
LETTERS, ROW = 3.0, 4.6  # mm: height of the words, and from row to row
ITEM, SAMPLE = 92.0, 9.0  # mm: width of an item, and of its sample
MEANING = MappingProxyType(
    {
        "tack": "hole for a tape tack: punch it out",
        "label": "name of the piece, arrow up on the cabinet",
        "label-back": "the same name, to be written on the back",
        "register": "edge tick: lay it on its mark on the cabinet",
        "mark": "tick across a join: let both halves meet",
        "score": "fold: score it, do not cut through",
        "join": "join of two sheets of board: tape over it",
        "cut": "cut: with the knife, through the board",
        "hole": "open hole under the board: do not cut",
        PAPER: "frame of a sheet of paper, with its name",
    }
)


def named(layers: Sequence[str]) -> list[tuple[str, str]]:
    """The layers that are named, in the order of the legend, with what each means."""
    return [(layer, words) for layer, words in MEANING.items() if layer in layers]


def height_of(layers: Sequence[str], wide: float) -> float:
    """How high the legend is on paper `wide` mm, mm."""
    return ROW * -(-len(named(layers)) // _columns(wide))


def legend(layers: Sequence[str], corner: Point, wide: float) -> Iterator[str]:
    """Operators for the legend, row by row from its upper-left `corner`."""
    (x, y), columns = corner, _columns(wide)
    for at, (layer, words) in enumerate(named(layers)):
        row, column = divmod(at, columns)
        left, middle = x + column * ITEM, y - (row + 0.5) * ROW
        yield ink(INK.get(layer, FRAME), LINE, DASHES.get(layer, ()))
        yield stroked(_sample(layer, left, middle))
        yield text((left + SAMPLE + 2, middle - 0.36 * LETTERS), LETTERS, words)


def _columns(wide: float) -> int:
    return max(1, int(wide / ITEM))


def _sample(layer: str, x: float, y: float) -> list[Chain]:
    if layer == "tack":
        corners = ((x + 6, y - 1), (x + 6, y + 1), (x + 2, y + 1), (x + 2, y - 1))
        return [Chain(corners[-1], tuple(map(Segment, corners)))]
    if layer in {"register", "mark"}:
        return [Chain((x + 4, y - 1.6), (Segment((x + 4, y + 1.6)),))]
    if layer == "hole":
        return [circle((x + 4, y), 1.7)]
    if layer in {"label", "label-back"}:  # an arrow and strokes like those of letters
        turn = -1 if layer == "label-back" else 1
        middle = x + 4.5
        strokes = (((-3, -1.4), (-3, 1.4), (-3.8, 0.3)), ((-3, 1.4), (-2.2, 0.3)),
                   ((0, -1.4), (1, 1.4), (2, -1.4)), ((0.4, -0.4), (1.6, -0.4)))  # fmt: skip
        return [
            Chain(
                (middle + turn * first[0], y + first[1]),
                tuple(Segment((middle + turn * u, y + v)) for u, v in rest),
            )
            for first, *rest in strokes
        ]
    return [Chain((x, y), (Segment((x + SAMPLE, y)),))]
