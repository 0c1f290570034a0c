"""The sketch of an outline on the wall's page: its data drawn as a figure of its own size.

Stands beside sheet.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mateline.curves import Chain, Segment
from mateline.exports.print.figure import DARK, Area, Figure, Words
from mateline.exports.print.pdf_file import POINT

if TYPE_CHECKING:
    from mateline.curves import Point
    from mateline.exports.picture.outline_sketch import Lettering, Sketch

LEAST = 6.5 / POINT  # mm: lettering
LINE = 0.4  # mm
PAPER = "#f4f1ea"
INKS = {"corner": DARK, "length": "#1a4f9c", "way": "#5d6570"}


def sketch_figure(sketch: Sketch, wide: float, high: float) -> Figure:
    """The sketch as large as `wide` and `high` mm let it be."""
    left, top, across, down = sketch.box
    scale = min(wide / across, high / down)

    def at(point: Point) -> Point:
        return (point[0] - left) * scale, (top + down - point[1]) * scale

    first, *others = (at(point) for point in sketch.ring)
    ring = Chain(first, tuple(map(Segment, (*others, first))))
    words = (_words(each, at(each.at), each.size * scale) for each in sketch.letters)
    size = (across * scale, down * scale)
    return Figure(sketch.told, size, (Area((ring,), PAPER, (DARK, LINE)), *words))


def _words(letters: Lettering, at: Point, size: float) -> Words:
    return Words(
        at,
        max(size, LEAST),
        letters.words,
        "middle",
        INKS[letters.kind],
        bold=letters.kind == "corner",
        turn=-math.radians(letters.turn_deg),
    )
