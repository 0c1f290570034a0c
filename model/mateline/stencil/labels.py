"""Labels: where a piece's id goes, and how large it can be written there.

Stands after pieces and lettering. A label lies inside its piece, clear of the piece's tacks; a
piece that has no room for one gets none, and is told by the picture of its face.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from mateline.curves import Chain, Segment
from mateline.stencil.lettering import CAP, lettered, text_width

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray
    from shapely import Geometry

    from mateline.curves import Point
    from mateline.stencil.board import Tack
    from mateline.stencil.pieces import Piece

HEIGHTS = (12.0, 10.0, 8.0, 6.0, 5.0, 4.0)  # mm: of capitals; the largest that fits is taken
SMALL = (3.0, 2.0)  # mm: for the short id alone, where no other fits
TURN_FOR = 1.3  # no unit: how much larger lettering must get to be worth turning one's head
CLEARANCE = 1.0  # mm between lettering and borders or tacks


@dataclass(frozen=True, slots=True)
class Label:
    """Text written in capitals `height` mm high, centred at `centre`, turned by `turn` radians."""

    text: str
    centre: Point
    height: float
    turn: float


def label_for(piece: Piece, holes: Sequence[Polygon] = ()) -> Label | None:
    """The piece's id, or letter and number alone, as large as fits; None where neither does.

    `holes` are open under the board, where it gives way under a pen; they are kept clear.
    """
    room = room_in(piece, holes)
    if room.is_empty:
        return None
    pole = shapely.maximum_inscribed_circle(room, tolerance=0.5)
    long_box = shapely.minimum_rotated_rectangle(piece.area)
    # A strip's widest place may be at its end, where it has no room along itself.
    centres = shapely.get_coordinates([pole, long_box.centroid])[[0, 2]]
    turns = (0.0, _long_side(long_box), math.pi / 2)
    shapely.prepare(room)
    short = f"{piece.letter}{piece.number}"
    for text, heights in ((piece.id, HEIGHTS), (short, (*HEIGHTS, *SMALL))):
        # Not even a point of the text fits where half its height is more than the widest circle.
        possible = [height for height in heights if height / 2 < pole.length]
        fits = _fitting(text, possible, centres, turns, room)
        if fits:
            first, *others = fits
            larger = [label for label in others if label.height > TURN_FOR * first.height]
            return max(larger, key=lambda label: label.height, default=first)
    return None


def room_in(piece: Piece, holes: Sequence[Polygon] = ()) -> Polygon | MultiPolygon:
    """The piece without the punched holes of its tacks and without `holes`."""
    gone = [_tack_box(tack) for tack in piece.tacks]
    gone += [hole for hole in holes if hole.intersects(piece.area)]
    if not gone:
        return piece.area
    left = shapely.get_parts(shapely.difference(piece.area, shapely.union_all(gone)))
    return MultiPolygon([part for part in left if isinstance(part, Polygon)])


def label_box(label: Label) -> Polygon:
    """The box round the lettering, with the clearance that it needs, mm."""
    wide = text_width(label.text) * label.height / CAP
    high = label.height + 2 * CLEARANCE
    return Polygon(boxed(label.centre, wide + 2 * CLEARANCE, high, label.turn))


def boxed(centre: Point, length: float, width: float, turn: float) -> list[Point]:
    """Corners of the rectangle about `centre` with `length` along `turn`, counter-clockwise."""
    cos, sin = math.cos(turn), math.sin(turn)
    half, side = length / 2, width / 2
    return [
        (centre[0] + u * cos - v * sin, centre[1] + u * sin + v * cos)
        for u, v in ((-half, -side), (half, -side), (half, side), (-half, side))
    ]


def label_strokes(label: Label) -> Iterator[Chain]:
    """The label's chains in the face frame, mm."""
    scale = label.height / CAP
    cos, sin = scale * math.cos(label.turn), scale * math.sin(label.turn)
    middle = text_width(label.text) / 2

    def placed(point: Point) -> Point:
        u, v = point[0] - middle, point[1] - CAP / 2
        return label.centre[0] + u * cos - v * sin, label.centre[1] + u * sin + v * cos

    for chain in lettered(label.text):
        yield Chain(
            placed(chain.start),
            tuple(
                Segment(
                    placed(segment.to),
                    None if segment.centre is None else placed(segment.centre),
                    segment.counterclockwise,
                )
                for segment in chain.segments
            ),
        )


def _fitting(
    text: str,
    heights: Sequence[float],
    centres: NDArray[np.float64],
    turns: Sequence[float],
    room: Polygon | MultiPolygon,
) -> list[Label]:
    """The largest label that fits at each turn, where one does; `heights` from the largest down."""
    if not heights:
        return []
    high = np.array(heights)
    sides = np.column_stack([text_width(text) * high / CAP, high]) / 2 + CLEARANCE
    corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * sides[:, None, :]
    turned = np.array([[(math.cos(t), math.sin(t)), (-math.sin(t), math.cos(t))] for t in turns])
    # Boxes by turn, height and centre: (t, h, c, 4, 2).
    boxes = (corners @ turned[:, None])[:, :, None] + centres[:, None]
    inside = shapely.contains(room, shapely.polygons(boxes)).reshape(len(turns), -1)
    labels = []
    for turn, fits in zip(turns, inside, strict=True):
        if fits.any():
            height, centre = divmod(int(fits.argmax()), len(centres))
            x, y = centres[centre].tolist()
            labels.append(Label(text, (x, y), heights[height], turn))
    return labels


def _tack_box(tack: Tack) -> Polygon:
    return Polygon(boxed(tack.centre, tack.punch.length, tack.punch.width, tack.turn))


def _long_side(long_box: Geometry) -> float:
    """Direction of the long side of a turned box, so that it can be read from below."""
    corners = shapely.get_coordinates(long_box).tolist()
    sides = [
        (math.dist(a, b), math.atan2(b[1] - a[1], b[0] - a[0]))
        for a, b in (corners[0:2], corners[1:3])
    ]
    turn = max(sides)[1] % math.pi
    return turn - math.pi if turn > math.pi / 2 + 1e-9 else turn
