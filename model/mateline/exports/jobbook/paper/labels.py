"""Where the ids stand on a drawing on paper: in their pieces, or led to them from beside.

Stands first in the room. All lengths are mm on paper, from the drawing's lower-left corner.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from mateline.exports.print.figure import width_of
from mateline.exports.print.label_room import FINE, LabelRoom, beside
from mateline.exports.print.pdf_file import POINT

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    import numpy as np
    from numpy.typing import NDArray

    from mateline.curves import Point

LEAST, LARGEST = 6.5, 13.0  # points: lettering in a piece
CALLED = 7.0  # points: lettering of an id that is led aside
HIGH = 0.72  # no unit: height of a sign by its size
BOLD = 1.08  # no unit: bold signs are wider
ROOM = 0.86  # no unit: share of the widest circle that an id may fill
AROUND = 5.0  # mm round the drawing where ids may stand
RINGS = (0.6, 2.0, 4.0, 6.5, 9.0, 12.0, 15.5)  # mm from a piece's middle to its id


@dataclass(frozen=True, slots=True)
class Label:
    """An id: the middle of its words, their size in points, and the place on its piece that a
    line leads to, if one does. `wide` is the words' width, mm.
    """

    name: str
    at: Point
    size: float
    wide: float
    led: Point | None = None


def labels_of(
    names: Mapping[str, str],
    spots: Mapping[str, tuple[float, float, float]],
    lines: NDArray[np.float64],
    size: tuple[float, float],
) -> tuple[dict[str, Label], tuple[str, ...]]:
    """A label by piece, and the pieces that none has room for.

    `names` are what pieces are called, `spots` the middle and radius of each one's widest circle,
    `lines` are points of the drawing's line work, `size` is the drawing's.
    """
    wide, high = size
    room = LabelRoom((-AROUND, -AROUND, wide + AROUND, high + AROUND))
    room.draw(lines)
    found: dict[str, Label] = {}
    small: list[str] = []
    for piece, name in names.items():
        x, y, radius = spots[piece]
        fitting = min(LARGEST, _fitting(name, radius))
        if fitting < LEAST:
            small.append(piece)
            continue
        across = _wide(name, fitting)
        found[piece] = Label(name, (x, y), fitting, across)
        room.keep((x, y), (across, fitting / POINT * HIGH))
    for piece in small:  # a dot stays clear of the others' words
        room.keep(spots[piece][:2], (0.8, 0.8))
    missed: list[str] = []
    for piece in small:
        label = _led(names[piece], spots[piece][:2], room)
        if label is None:
            missed.append(piece)
        else:
            found[piece] = label
    return found, tuple(missed)


def line_points(areas: NDArray[np.object_], scale: float) -> NDArray[np.float64]:
    """Points on the borders of areas, close enough for a raster of labels, mm on paper."""
    points: NDArray[np.float64] = shapely.get_coordinates(
        shapely.segmentize(areas, 1.5 * FINE / scale)
    )
    return points * scale


def _led(name: str, at: Point, room: LabelRoom) -> Label | None:
    across = _wide(name, CALLED)
    size = (across + 0.8, CALLED / POINT)
    place = room.placed(beside(at, size, 0.5, RINGS), size)
    return None if place is None else Label(name, place, CALLED, across, at)


def _wide(name: str, size: float) -> float:
    return BOLD * width_of(name, size / POINT)


def _fitting(name: str, radius: float) -> float:
    """The size of words, points, whose box lies in a circle."""
    return ROOM * radius * POINT / math.hypot(_wide(name, POINT) / 2, HIGH / 2)


def leader(label: Label) -> Iterator[tuple[Point, Point]]:
    """The line from a piece to the nearest side of its label's box."""
    if label.led is None:
        return
    (x, y), (u, v) = label.led, label.at
    half, tall = label.wide / 2 + 0.4, label.size / POINT / 2
    near = (min(max(x, u - half), u + half), min(max(y, v - tall), v + tall))
    yield label.led, near
