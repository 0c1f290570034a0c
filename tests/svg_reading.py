"""An SVG reader of the tests' own: path data back to lines and arcs, as the standard says.

Knows M, L, A and Z only, which is all that the exports write. Arcs are recovered by the formulas of
SVG 2, appendix F.6.5 (end points to centre) and F.6.6 (radii that are too small).
"""

import math
import re
from dataclasses import dataclass

from lxml import etree

SVG = "{http://www.w3.org/2000/svg}"
_TOKEN = re.compile(r"[MLAZ]|[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_COUNT = {"M": 2, "L": 2, "A": 7, "Z": 0}


@dataclass(frozen=True)
class Line:
    start: tuple[float, float]
    end: tuple[float, float]

    @property
    def length(self):
        return math.dist(self.start, self.end)


@dataclass(frozen=True)
class Arc:
    start: tuple[float, float]
    end: tuple[float, float]
    centre: tuple[float, float]
    radii: tuple[float, float]
    turn: float  # radians, positive from x to y

    @property
    def length(self):
        assert math.isclose(*self.radii)
        return self.radii[0] * abs(self.turn)


def along(part, share):
    """A place on a line or an arc."""
    if isinstance(part, Line):
        pairs = zip(part.start, part.end, strict=True)
        return tuple(first + share * (last - first) for first, last in pairs)
    (cx, cy), (x, y) = part.centre, part.start
    turn = share * part.turn
    x, y = x - cx, y - cy
    return (
        cx + x * math.cos(turn) - y * math.sin(turn),
        cy + x * math.sin(turn) + y * math.cos(turn),
    )


def parsed(text):
    return etree.fromstring(text.encode())


def paths(root):
    """Every path element below `root`."""
    return list(root.iter(f"{SVG}path"))


def segments(data):
    """Lines and arcs of path data; a closing line of no length is left out."""
    tokens = _TOKEN.findall(data)
    assert "".join(tokens) == re.sub(r"[\s,]", "", data)
    found, first, at = [], (0.0, 0.0), (0.0, 0.0)
    while tokens:
        command = tokens.pop(0)
        numbers = [float(tokens.pop(0)) for _ in range(_COUNT[command])]
        to = first if command == "Z" else tuple(numbers[-2:])
        if command == "M":
            first = to
        elif command == "A":
            found.append(arc(at, to, numbers[:2], math.radians(numbers[2]), *numbers[3:5]))
        elif to != at:
            found.append(Line(at, to))
        at = to
    return found


def arc(start, end, radii, lean, large, sweep):
    """End points to centre: F.6.5.1 to F.6.5.6, radii mended as in F.6.6."""
    cos, sin = math.cos(lean), math.sin(lean)
    dx, dy = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
    x, y = cos * dx + sin * dy, -sin * dx + cos * dy
    rx, ry = map(abs, radii)
    stretch = (x / rx) ** 2 + (y / ry) ** 2
    if stretch > 1:
        rx, ry = rx * math.sqrt(stretch), ry * math.sqrt(stretch)
    rest = max(0.0, (rx * ry) ** 2 - (rx * y) ** 2 - (ry * x) ** 2)
    root = math.sqrt(rest / ((rx * y) ** 2 + (ry * x) ** 2))
    root *= 1 if bool(large) != bool(sweep) else -1
    cx, cy = root * rx * y / ry, -root * ry * x / rx
    first = math.atan2((y - cy) / ry, (x - cx) / rx)
    turn = math.atan2((-y - cy) / ry, (-x - cx) / rx) - first
    if sweep and turn < 0:
        turn += math.tau
    if not sweep and turn > 0:
        turn -= math.tau
    centre = (
        cos * cx - sin * cy + (start[0] + end[0]) / 2,
        sin * cx + cos * cy + (start[1] + end[1]) / 2,
    )
    return Arc(start, end, centre, (rx, ry), turn)
