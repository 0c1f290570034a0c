"""Labels: where a piece's id goes, and how large it can be written there.

Stands after pieces and lettering. A label lies inside its piece, clear of the piece's tacks; a
piece that has no room for one gets none, and is told by the picture of its face.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely
from shapely import MultiPolygon, Polygon

from mateline.curves import Chain, Segment
from mateline.stencil.lettering import CAP, lettered, text_width

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.curves import Point
    from mateline.stencil.board import Tack
    from mateline.stencil.pieces import Piece

HEIGHTS = (12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0)  # mm: capitals, the largest that fits is taken
LEAST_HEIGHT = 2.0  # mm: for the short id alone, where no other fits
TURN_FOR = 1.3  # no unit: how much larger lettering must get to be worth turning one's head
CLEARANCE = 1.0  # mm between lettering and borders or tacks


@dataclass(frozen=True, slots=True)
class Label:
    """Text written in capitals `height` mm high, centred at `centre`, turned by `turn` radians."""

    text: str
    centre: Point
    height: float
    turn: float


def label_for(piece: Piece) -> Label | None:
    """The piece's id, or letter and number alone, as large as fits; None where neither does."""
    room = room_in(piece)
    if room.is_empty:
        return None
    pole = shapely.maximum_inscribed_circle(room, tolerance=0.5)
    middle = shapely.minimum_rotated_rectangle(
        piece.area
    ).centroid  # a strip's pole may be at its end
    centres = [(x, y) for x, y, *_ in (pole.coords[0], middle.coords[0])]
    turns = (0.0, _long_side(piece.area), math.pi / 2)
    shapely.prepare(room)
    short = f"{piece.letter}{piece.number}"
    for text, heights in ((piece.id, HEIGHTS), (short, (*HEIGHTS, LEAST_HEIGHT))):
        # Not even a point of the text fits where half its height is more than the widest circle.
        possible = [height for height in heights if height / 2 < pole.length]
        found = [_largest(text, possible, centres, turn, room) for turn in turns]
        fits = [label for label in found if label is not None]
        if fits:
            first, *others = fits
            larger = [label for label in others if label.height > TURN_FOR * first.height]
            return max(larger, key=lambda label: label.height, default=first)
    return None


def room_in(piece: Piece) -> Polygon | MultiPolygon:
    """The piece without the holes of its tacks."""
    if not piece.tacks:
        return piece.area
    tacks = shapely.union_all([_tack_box(tack) for tack in piece.tacks])
    left = shapely.get_parts(shapely.difference(piece.area, tacks))
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


def _largest(
    text: str,
    heights: Sequence[float],
    centres: Sequence[Point],
    turn: float,
    room: Polygon | MultiPolygon,
) -> Label | None:
    labels = (Label(text, centre, height, turn) for height in heights for centre in centres)
    return next((label for label in labels if room.contains(label_box(label))), None)


def _tack_box(tack: Tack) -> Polygon:
    return Polygon(boxed(tack.centre, tack.punch.length, tack.punch.width, tack.turn))


def _long_side(area: Polygon) -> float:
    """Direction of the long side of the smallest box round `area`, readable from below."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(area)).tolist()
    sides = [
        (math.dist(a, b), math.atan2(b[1] - a[1], b[0] - a[0]))
        for a, b in (corners[0:2], corners[1:3])
    ]
    turn = max(sides)[1] % math.pi
    return turn - math.pi if turn > math.pi / 2 + 1e-9 else turn
