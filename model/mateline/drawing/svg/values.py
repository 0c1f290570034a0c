"""Numbers, lengths, colours and transforms as SVG writes them.

Stands before the cascade. Sources: CSS Values 3, 6.2 (1 in = 96 px = 25.4 mm); SVG 2, 8.5
(transform) and 8.9 (percentages); CSS Color 3 and 4. Raises ValueError for what is malformed.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from mateline.drawing.svg.path_data import NUMBER
from mateline.planar.affine import IDENTITY, after

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from mateline.planar.affine import Affine

PX_PER_INCH = 96.0
MM_PER_PX = 25.4 / PX_PER_INCH
UNITS = {
    "": 1.0,
    "px": 1.0,
    "in": PX_PER_INCH,
    "cm": PX_PER_INCH / 2.54,
    "mm": PX_PER_INCH / 25.4,
    "q": PX_PER_INCH / 101.6,
    "pt": PX_PER_INCH / 72,
    "pc": PX_PER_INCH / 6,
}
_LENGTH = re.compile(rf"({NUMBER})\s*([a-zA-Z]*|%)")
_NUMBERS = re.compile(NUMBER)
_CALL = re.compile(r"[\s,]*+([A-Za-z]++)\s*+\(([^()]*+)\)")
_ANGLES = (("deg", 1.0), ("turn", 360.0), ("grad", 0.9), ("rad", 180 / math.pi))
_ICC = re.compile(r"\s+icc-color\([^()]*\)$")  # beside the colour that stands in (SVG 1.1, 4.2)
_HEX = re.compile(r"#(?:[0-9a-fA-F]{3}|[0-9a-fA-F]{6})$")
SPACES = frozenset({"srgb", "hsl", "hwb"})  # of colours: what the reader of CSS takes to sRGB


class Scale(NamedTuple):
    """What a relative length is measured by: viewport (px) and font size (px)."""

    width: float
    height: float
    font: float
    root: float = 16.0  # font size of the outermost svg

    def along(self, axis: str) -> float:
        """The length that 100 % stands for along "x", "y" or neither (SVG 2, 8.9)."""
        if axis == "x":
            return self.width
        if axis == "y":
            return self.height
        return math.hypot(self.width, self.height) / math.sqrt(2)


class Paint(NamedTuple):
    """A colour "#rrggbb" and how much it covers, 0 .. 1."""

    colour: str
    alpha: float


def length(text: str, axis: str, scale: Scale) -> float:
    """A length in px. `axis` is "x", "y" or "" for what percentages refer to."""
    match = _LENGTH.fullmatch(text.strip())
    if match is None:
        raise ValueError(f"{text[:24]!r} is no length")
    value, unit = float(match[1]), match[2].lower()
    if not math.isfinite(value):
        raise ValueError(f"{text[:24]!r} is too large")
    if unit == "%":
        return value / 100 * scale.along(axis)
    if unit == "em":
        return value * scale.font
    if unit == "rem":
        return value * scale.root
    if unit == "ex":
        return value * scale.font / 2
    if unit not in UNITS:
        raise ValueError(
            f"{text[:24]!r} has an unknown unit; known are {', '.join(UNITS)[2:]} and %"
        )
    return value * UNITS[unit]


def numbers(text: str) -> list[float]:
    """Numbers parted by spaces or commas."""
    left = _NUMBERS.sub("", text).strip(" \t\r\n\f,")
    if left:
        raise ValueError(f"{left[:24]!r} is no number")
    values = [float(number) for number in _NUMBERS.findall(text)]
    if not all(map(math.isfinite, values)):
        raise ValueError(f"a number in {text[:24]!r} is too large")
    return values


def number(text: str) -> float:
    """The one number that a text is."""
    found = numbers(text)
    if len(found) != 1:
        raise ValueError(f"{text[:24]!r} is not one number")
    return found[0]


@lru_cache(maxsize=4096)
def share(text: str) -> float:
    """A number or a percentage as a share, cut to 0 .. 1."""
    text = text.strip()
    percent = text.endswith("%")
    value = number(text.removesuffix("%"))
    return min(1.0, max(0.0, value / 100 if percent else value))


@lru_cache(maxsize=4096)
def paint(text: str, current: str = "#000000") -> Paint | None:
    """A colour in any notation; None for `none`. `current` stands in for currentColor."""
    text = _ICC.sub("", text.strip())
    if _HEX.match(text):
        digits = text[1:] if len(text) == 7 else "".join(digit * 2 for digit in text[1:])
        return Paint("#" + digits.lower(), 1.0)
    word = text.lower()
    if word == "none":
        return None
    if word == "currentcolor":
        return Paint(current, 1.0)
    from tinycss2.color4 import parse_color  # noqa: PLC0415  # most drawings have hex colours only

    colour = parse_color(text)
    if colour is None or isinstance(colour, str):
        raise ValueError(f"{text[:32]!r} is no colour")
    if colour.space not in SPACES:
        raise ValueError(f"{text[:32]!r} is in a colour space that is not read")
    parts = colour.to("srgb").coordinates
    red, green, blue = (min(255, max(0, math.floor(255 * part + 0.5))) for part in parts)
    return Paint(f"#{red:02x}{green:02x}{blue:02x}", float(colour.alpha))


def mixed(over: Paint, under: str) -> str:
    """The colour of `over` laid on an opaque colour, reckoned in sRGB as renderers do."""
    top, low = _channels(over.colour), _channels(under)
    parts = [
        math.floor(over.alpha * a + (1 - over.alpha) * b + 0.5)
        for a, b in zip(top, low, strict=True)
    ]
    return "#{:02x}{:02x}{:02x}".format(*parts)


def luminance(colour: str) -> float:
    """How much a colour lets through as a mask, 0 .. 1 (CSS Masking 1, 7.10.1)."""
    red, green, blue = _channels(colour)
    return (0.2125 * red + 0.7154 * green + 0.0721 * blue) / 255


def _channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def transform(text: str, scale: Scale) -> Affine:
    """The map of a `transform` attribute or property; the first function is the outermost."""
    matrix, end = IDENTITY, 0
    if text.strip() in {"", "none"}:
        return matrix
    while call := _CALL.match(text, end):  # not searched for: a search would try every letter
        end = call.end()
        matrix = after(matrix, _function(call[1], call[2], scale))
    if text[end:].strip(" \t\r\n\f,"):
        raise ValueError(f"{text[end : end + 24]!r} is no transform")
    if not all(map(math.isfinite, matrix)):
        raise ValueError(f"{text[:40]!r} is too large")
    return matrix


def _function(name: str, text: str, scale: Scale) -> Affine:
    values = [_argument(part, name, scale) for part in re.split(r"[\s,]+", text.strip()) if part]
    made = _FUNCTIONS.get((name.lower(), len(values)))
    if made is None:
        raise ValueError(f"'{name}({text[:24]})' is no transform")
    return made(*values)


def about(matrix: Affine, x: float, y: float) -> Affine:
    """The same map with (x, y) as its origin."""
    there = (1.0, 0.0, 0.0, 1.0, x, y)
    back = (1.0, 0.0, 0.0, 1.0, -x, -y)
    return after(there, after(matrix, back))


def angle(text: str) -> float:
    """An angle in any unit, in degrees."""
    for unit, factor in _ANGLES:
        if text.endswith(unit):
            return number(text.removesuffix(unit)) * factor
    return number(text)


def _argument(text: str, name: str, scale: Scale) -> float:
    if text.endswith(tuple(unit for unit, _ in _ANGLES)):
        return angle(text)
    return length(text, "y" if name.lower() == "translatey" else "x", scale)


def _rotation(angle_deg: float) -> Affine:
    quarter, odd = divmod(angle_deg, 90.0)
    if odd == 0:  # exact, so that turned copies meet to the bit
        cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
    else:
        cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return cos, sin, -sin, cos, 0.0, 0.0


_FUNCTIONS: Mapping[tuple[str, int], Callable[..., Affine]] = MappingProxyType({
    ("matrix", 6): lambda a, b, c, d, e, f: (a, b, c, d, e, f),
    ("translate", 1): lambda x: (1.0, 0.0, 0.0, 1.0, x, 0.0),
    ("translate", 2): lambda x, y: (1.0, 0.0, 0.0, 1.0, x, y),
    ("translatex", 1): lambda x: (1.0, 0.0, 0.0, 1.0, x, 0.0),
    ("translatey", 1): lambda y: (1.0, 0.0, 0.0, 1.0, 0.0, y),
    ("scale", 1): lambda s: (s, 0.0, 0.0, s, 0.0, 0.0),
    ("scale", 2): lambda x, y: (x, 0.0, 0.0, y, 0.0, 0.0),
    ("scalex", 1): lambda x: (x, 0.0, 0.0, 1.0, 0.0, 0.0),
    ("scaley", 1): lambda y: (1.0, 0.0, 0.0, y, 0.0, 0.0),
    ("rotate", 1): _rotation,
    ("rotate", 3): lambda turn, x, y: about(_rotation(turn), x, y),
    ("skewx", 1): lambda turn: (1.0, 0.0, math.tan(math.radians(turn)), 1.0, 0.0, 0.0),
    ("skewy", 1): lambda turn: (1.0, math.tan(math.radians(turn)), 0.0, 1.0, 0.0, 0.0),
})  # fmt: skip
