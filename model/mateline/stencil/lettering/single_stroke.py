"""Single-stroke lettering: what a knife or a pen can write in one line, our own design.

Stands beside board. Letters are lines and arcs, six units high; lower case is written as
capitals. A sign that has no letter here gets an empty box, so that it is seen to be missing.

A letter is a few strokes. Each is a start and then points to go to: `x,y` straight, `(cx,cy)x,y`
counter-clockwise round (cx, cy), `[cx,cy]x,y` clockwise.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING
from unicodedata import normalize

from mateline.curves import Chain, Point, Segment

if TYPE_CHECKING:
    from collections.abc import Iterator

CAP = 6.0  # units: height of a capital, and so of every digit
GAP = 1.6  # units between letters
SPACE = 1.2  # units: width of a space

# Text to (width, strokes), in units. Round letters have corners of radius 2.
_O = "4,2 4,4 (2,4)0,4 0,2 (2,2)4,2"
_P = "0,0 0,6 2.3,6 [2.3,4.4]2.3,2.8 0,2.8"
_STROKES: MappingProxyType[str, tuple[float, tuple[str, ...]]] = MappingProxyType(
    {
        "0": (4, (_O, "1.2,1.6 2.8,4.4")),
        "1": (2.4, ("0,4.6 1.2,6 1.2,0", "0,0 2.4,0")),
        "2": (4, ("0,4 [2,4]3.6,2.8 0,0 4,0",)),
        "3": (4, ("0.2,6 3.6,6 2,4 [2,2]0.4,0.8",)),
        "4": (4, ("3,0 3,6 0,2 4,2",)),
        "5": (4, ("3.6,6 0.4,6 0.4,3.2 [2,2]0.4,0.8",)),
        "6": (4, ("2.8,6 0.4,3.2 (2,2)3.6,0.8 (2,2)0.4,3.2",)),
        "7": (4, ("0,6 4,6 1.4,0",)),
        "8": (4, ("2,3.3 (2,4.65)2,6 (2,4.65)2,3.3 [2,1.65]2,0 [2,1.65]2,3.3",)),
        "9": (4, ("1.2,0 3.6,2.8 (2,4)0.4,5.2 (2,4)3.6,2.8",)),
        "A": (4, ("0,0 2,6 4,0", "0.7,2.1 3.3,2.1")),
        "B": (3.9, ("0,3.2 2.3,3.2 (2.3,4.6)2.3,6 0,6 0,0 2.3,0 (2.3,1.6)2.3,3.2",)),
        "C": (3.8, ("3.6,5.2 (2,4)0,4 0,2 (2,2)3.6,0.8",)),
        "D": (4, ("0,0 0,6 1,6 [1,3]1,0 0,0",)),
        "E": (3.6, ("3.6,6 0,6 0,0 3.6,0", "0,3.2 3,3.2")),
        "F": (3.6, ("0,0 0,6 3.6,6", "0,3.2 3,3.2")),
        "G": (4, ("3.6,5.2 (2,4)0,4 0,2 (2,2)4,2 4,2.8 2.4,2.8",)),
        "H": (4, ("0,0 0,6", "0,3.2 4,3.2", "4,6 4,0")),
        "I": (2, ("0,6 2,6", "1,6 1,0", "0,0 2,0")),
        "J": (3.5, ("3.5,6 3.5,1.75 [1.75,1.75]0,1.75",)),
        "K": (4, ("0,0 0,6", "3.8,6 0,2.4", "1.33,3.66 4,0")),
        "L": (3.6, ("0,6 0,0 3.6,0",)),
        "M": (4.6, ("0,0 0,6 2.3,2.2 4.6,6 4.6,0",)),
        "N": (4, ("0,0 0,6 4,0 4,6",)),
        "O": (4, (_O,)),
        "P": (3.9, (_P,)),
        "Q": (4.2, (_O, "2.4,1.6 4.2,-0.2")),
        "R": (4, (_P, "2.2,2.8 4,0")),
        "S": (3.2, ("2.8,5.4 (1.6,4.5)1.6,3 [1.6,1.5]0.4,0.6",)),
        "T": (4, ("0,6 4,6", "2,6 2,0")),
        "U": (4, ("0,6 0,2 (2,2)4,2 4,6",)),
        "V": (4, ("0,6 2,0 4,6",)),
        "W": (5.2, ("0,6 1.3,0 2.6,4.2 3.9,0 5.2,6",)),
        "X": (4, ("0,0 4,6", "0,6 4,0")),
        "Y": (4, ("0,6 2,3 4,6", "2,3 2,0")),
        "Z": (4, ("0,6 4,6 0,0 4,0",)),
        "-": (2.6, ("0,3 2.6,3",)),
        "_": (4, ("0,0 4,0",)),
        "+": (3, ("0,3 3,3", "1.5,4.5 1.5,1.5")),
        "/": (3, ("0,0 3,6",)),
        ".": (0.4, ("0.2,0 (0.2,0.2)0.2,0.4 (0.2,0.2)0.2,0",)),
        ",": (0.6, ("0.6,0.6 0,-0.8",)),
        ":": (0.4, ("0.2,1 0.2,1.4", "0.2,4 0.2,4.4")),
        "'": (0.4, ("0.2,6 0.2,4.6",)),
        '"': (1.4, ("0.2,6 0.2,4.6", "1.2,6 1.2,4.6")),
        "(": (1.7, ("1.7,6.6 (4.7,3)1.7,-0.6",)),
        ")": (1.7, ("0,6.6 [-3,3]0,-0.6",)),
        "↑": (3, ("1.5,0 1.5,6", "0,4.2 1.5,6 3,4.2")),
        " ": (SPACE, ()),
    }
)
_MISSING = (4.0, ("0,0 4,0 4,6 0,6 0,0",))
_POINT = re.compile(r"([(\[]?)(?:([-.\d]+),([-.\d]+)[)\]])?([-.\d]+),([-.\d]+)")


def lettered(text: str) -> tuple[Chain, ...]:
    """The strokes of `text`, in units: baseline y = 0, left edge x = 0, capitals `CAP` high."""
    return tuple(_shifted(shape, x) for x, shapes in letters(text) for shape in shapes)


def letters(text: str) -> Iterator[tuple[float, tuple[Chain, ...]]]:
    """Each sign's left edge in `text` and its strokes as if that were x = 0, in units."""
    x = 0.0
    for sign in _plain(text):
        width, shapes = _letter(sign)
        yield x, shapes
        x += width + GAP


def text_width(text: str) -> float:
    """Width of `text`, in units, from the first letter's left edge to the last one's right."""
    if not text:
        return 0.0
    words = text.split(" ")  # few words make up all the labels of a face
    return sum(map(_advance, words)) + (len(words) - 1) * (SPACE + GAP) - GAP


def overshoot(text: str) -> float:
    """How far signs such as brackets and commas stand above or below capitals, units."""
    return max(map(_overshoot, text.split(" ")))


@lru_cache(4096)
def _advance(word: str) -> float:
    return sum(_letter(sign)[0] + GAP for sign in _plain(word))


@lru_cache(4096)
def _overshoot(word: str) -> float:
    return max(map(_beyond, _plain(word)), default=0.0)


@cache
def _beyond(sign: str) -> float:
    heights = [y for stroke in _letter(sign)[1] for _, y in stroke.points]
    return max([0.0, *(-y for y in heights), *(y - CAP for y in heights)])


def _plain(text: str) -> str:
    """Capitals without accents: é is written E."""
    if text.isascii():
        return text.upper()
    return "".join(
        sign for sign in normalize("NFKD", text.upper()) if not 0x300 <= ord(sign) < 0x370
    )


@cache
def _letter(sign: str) -> tuple[float, tuple[Chain, ...]]:
    width, strokes = _STROKES.get(sign, _MISSING)
    return width, tuple(_stroke(stroke) for stroke in strokes)


def _stroke(text: str) -> Chain:
    points = [_POINT.fullmatch(part) for part in text.split()]
    first, *rest = [found for found in points if found is not None]
    segments = []
    for found in rest:
        bracket, cx, cy, x, y = found.groups()
        centre = (float(cx), float(cy)) if bracket else None
        segments.append(Segment((float(x), float(y)), centre, bracket != "["))
    return Chain((float(first[4]), float(first[5])), tuple(segments))


def _shifted(chain: Chain, by: float) -> Chain:
    def right(point: Point) -> Point:
        return point[0] + by, point[1]

    return Chain(
        right(chain.start),
        tuple(
            Segment(
                right(segment.to),
                None if segment.centre is None else right(segment.centre),
                segment.counterclockwise,
            )
            for segment in chain.segments
        ),
    )
