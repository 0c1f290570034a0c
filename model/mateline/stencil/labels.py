"""Labels: what is written on a piece, where, and how large it can be written there.

Stands after pieces and lettering. A label is one to three lines and an arrow that points up on
the cabinet however the lines are turned. It lies inside its piece, clear of the piece's tacks
and of whatever else is named; a small piece says less, and one with no room for its number gets
no label and is told by the picture of its face.

    body-left B3       the whole of it; then, as room gets less: without the face, the id alone
    ^ blue             with its arrow, letter and number with colour and arrow, without colour,
    this side out      without arrow, the number alone
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from mateline.curves import Chain, Segment
from mateline.stencil.lettering import CAP, GAP, letters, overshoot, text_width

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from mateline.curves import Point
    from mateline.stencil.board import Tack
    from mateline.stencil.pieces import Piece

    Floats = NDArray[np.float64]
    Room = Polygon | MultiPolygon

HEIGHTS = (12.0, 10.0, 8.0, 6.0, 5.0, 4.0)  # mm: of capitals; the largest that fits is taken
SMALL = (3.0, 2.0)  # mm: for letter and number, where nothing larger fits
TURN_FOR = 1.3  # no unit: how much larger lettering must get to be worth turning one's head
CLEARANCE = 1.0  # mm between lettering and borders, tacks or other marks
LINE = 1.6 * CAP  # units from one line's foot to the next one's
OUT = "this side out"
_ARROW = ("0,-3 0,3", "-1.5,1.2 0,3 1.5,1.2")  # units from its middle: within CAP / 2 of it
ARROW_ROOM = CAP + 2 * GAP  # units: the arrow in any turn, and the gap to the first letter


@dataclass(frozen=True, slots=True)
class Label:
    """Lines in capitals `height` mm high, centred at `centre`, turned by `turn` radians.

    `arrow` says that an arrow along +y of the frame stands before the first line.
    """

    lines: tuple[str, ...]
    centre: Point
    height: float
    turn: float
    arrow: bool = False


@dataclass(frozen=True, slots=True)
class Wording:
    """What a label may say, and the heights of capitals to write it in, largest first, mm."""

    lines: tuple[str, ...]
    arrow: bool
    heights: tuple[float, ...] = HEIGHTS


def label_for(
    piece: Piece, clear: Sequence[Polygon] = (), *, turned_over: bool = False
) -> Label | None:
    """The fullest label that fits, as large as fits; None where not even the number does.

    `clear` is kept clear: holes that are open under the board, where it gives way under a pen,
    and other marks. A piece that is `turned_over` for another face has no side that is always
    out, so it says which is only together with the face's name.
    """
    return label_in(room_in(piece, clear), piece.area, wordings(piece, turned_over=turned_over))


def wordings(piece: Piece, *, turned_over: bool = False) -> tuple[tuple[Wording, ...], ...]:
    """All that a label of `piece` may say, the fullest first, each in all its layouts."""
    short, number = f"{piece.letter}{piece.number}", str(piece.number)
    any_size = (*HEIGHTS, *SMALL)
    return (
        _laid_out(piece.id, piece.colour, OUT),
        *(() if turned_over else (_laid_out(short, piece.colour, OUT),)),
        (Wording((piece.id,), arrow=True),),
        _laid_out(short, piece.colour),
        (Wording((short,), arrow=True, heights=any_size),),
        (Wording((short,), arrow=False, heights=any_size),),
        (Wording((number,), arrow=False, heights=any_size),),
    )


def label_in(room: Room, area: Polygon, texts: Sequence[Sequence[Wording]]) -> Label | None:
    """The first of `texts` that fits into `room`, a part of the piece `area`; None if none does.

    Of its layouts the one that can be written largest.
    """
    if room.is_empty:
        return None
    pole = shapely.maximum_inscribed_circle(room, tolerance=0.5)
    long_box = shapely.minimum_rotated_rectangle(area)
    # A strip's widest place may be at its end, where it has no room along itself.
    centres = shapely.get_coordinates([pole, long_box.centroid])[[0, 2]]
    diagonal, along = _diagonal(long_box)
    turns = np.array([0.0, along, math.pi / 2])
    # No box is longer than the piece's diagonal, or wider both ways than its widest circle.
    layouts = [
        (level, layout)
        for level, text in enumerate(texts)
        for layout in text
        if layout.heights[-1] < 2 * pole.length
    ]
    if not layouts:
        return None
    least = np.array([_size(layout) for _, layout in layouts])
    least *= np.array([layout.heights[-1] / CAP for _, layout in layouts])[:, None]
    possible = np.flatnonzero((least.min(axis=1) < 2 * pole.length) & (least[:, 0] < diagonal))
    if not len(possible):
        return None
    shapely.prepare(room)
    fits = possible[_contained(room, least[possible], turns, centres).any(axis=(1, 2))]
    if not len(fits):
        return None
    fullest = layouts[fits[0]][0]
    same = [layouts[at][1] for at in fits.tolist() if layouts[at][0] == fullest]
    return _largest(same, room, turns, centres)


def room_in(piece: Piece, holes: Sequence[Polygon] = ()) -> Room:
    """The piece without the punched holes of its tacks and without `holes`."""
    gone = [tack_box(tack) for tack in piece.tacks]
    if len(holes):
        near = shapely.intersects(np.asarray(holes, dtype=object), piece.area)
        gone += [holes[at] for at in np.flatnonzero(near).tolist()]
    if not gone:
        return piece.area
    left = shapely.get_parts(shapely.difference(piece.area, shapely.union_all(gone)))
    return MultiPolygon([part for part in left if isinstance(part, Polygon)])


def label_box(label: Label) -> Polygon:
    """The box round the lettering, with the clearance that it needs, mm."""
    wide, high = (
        size * label.height / CAP + 2 * CLEARANCE
        for size in _size(Wording(label.lines, label.arrow))
    )
    return Polygon(boxed(label.centre, wide, high, label.turn))


def boxed(centre: Point, length: float, width: float, turn: float) -> list[Point]:
    """Corners of the rectangle about `centre` with `length` along `turn`, counter-clockwise."""
    cos, sin = math.cos(turn), math.sin(turn)
    half, side = length / 2, width / 2
    return [
        (centre[0] + u * cos - v * sin, centre[1] + u * sin + v * cos)
        for u, v in ((-half, -side), (half, -side), (half, side), (-half, side))
    ]


def tack_box(tack: Tack) -> Polygon:
    """The hole of `tack`, or the square round it, mm."""
    return Polygon(boxed(tack.centre, tack.punch.length, tack.punch.width, tack.turn))


def readable(turn: float) -> float:
    """`turn`, or half a turn more: the one at which lettering reads from below or the right."""
    turn %= math.pi
    return turn - math.pi if turn > math.pi / 2 + 1e-9 else turn


def label_strokes(label: Label) -> Iterator[Chain]:
    """The label's chains in the frame it was made for, mm."""
    widths = _widths(label.lines, arrow=label.arrow)
    scale = label.height / CAP
    cos, sin = scale * math.cos(label.turn), scale * math.sin(label.turn)
    foot = (len(label.lines) - 1) * LINE / 2 - CAP / 2
    x, y = label.centre
    for at, (line, wide) in enumerate(zip(label.lines, widths, strict=True)):
        left, low = -wide / 2, foot - at * LINE
        if label.arrow and at == 0:
            u, v = left + CAP / 2, low + CAP / 2
            middle = (x + u * cos - v * sin, y + u * sin + v * cos)
            yield from (_moved(stroke, (scale, 0.0), middle) for stroke in _arrow())
            left += ARROW_ROOM
        for over, strokes in letters(line):
            u = left + over
            corner = (x + u * cos - low * sin, y + u * sin + low * cos)
            yield from (_moved(stroke, (cos, sin), corner) for stroke in strokes)


def _laid_out(*words: str) -> tuple[Wording, ...]:
    """The same words under one another, and on one line for a strip, all with the arrow."""
    stacked = [words, (" ".join(words[:2]), *words[2:])] if len(words) > 2 else [words]
    return tuple(Wording(lines, arrow=True) for lines in (*stacked, ("  ".join(words),)))


@cache
def _arrow() -> tuple[Chain, ...]:
    chains = []
    for stroke in _ARROW:
        start, *rest = [tuple(map(float, point.split(","))) for point in stroke.split()]
        chains.append(Chain((start[0], start[1]), tuple(Segment((x, y)) for x, y in rest)))
    return tuple(chains)


def _widths(lines: tuple[str, ...], *, arrow: bool) -> tuple[float, ...]:
    first = ARROW_ROOM if arrow else 0.0
    return tuple(text_width(line) + (0.0 if at else first) for at, line in enumerate(lines))


def _size(text: Wording) -> tuple[float, float]:
    """Width and height of the lettering, units."""
    high = (len(text.lines) - 1) * LINE + CAP + 2 * max(map(overshoot, text.lines))
    return max(_widths(text.lines, arrow=text.arrow)), high


def _contained(room: Room, sizes: Floats, turns: Floats, centres: Floats) -> NDArray[np.bool_]:
    """Which boxes of `sizes` (n, 2), mm, lie in `room` with their clearance: (n, turn, centre)."""
    corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * (sizes / 2 + CLEARANCE)[:, None, :]
    cos, sin = np.cos(turns), np.sin(turns)
    turned = np.stack([np.stack([cos, sin], -1), np.stack([-sin, cos], -1)], 1)  # (t, 2, 2)
    boxes = (corners[:, None] @ turned)[:, :, None] + centres[:, None]  # (n, t, c, 4, 2)
    inside: NDArray[np.bool_] = shapely.contains(room, shapely.polygons(boxes))
    return inside


def _largest(layouts: Sequence[Wording], room: Room, turns: Floats, centres: Floats) -> Label:
    """Upright or along the piece where that fits, unless another turn lets it be much larger."""
    best: dict[int, Label] = {}
    for text in layouts:
        sizes = np.outer(np.array(text.heights) / CAP, np.array(_size(text)))
        inside = _contained(room, sizes, turns, centres)
        for turn in range(len(turns)):
            fits = inside[:, turn].ravel()
            height, centre = divmod(int(fits.argmax()), len(centres))
            if fits.any() and (turn not in best or text.heights[height] > best[turn].height):
                x, y = centres[centre].tolist()
                angle = float(turns[turn])
                best[turn] = Label(text.lines, (x, y), text.heights[height], angle, text.arrow)
    first, *others = [best[turn] for turn in sorted(best)]
    larger = [label for label in others if label.height > TURN_FOR * first.height]
    return max(larger, key=lambda label: label.height, default=first)


def _moved(chain: Chain, turn: Point, to: Point) -> Chain:
    """The chain turned and scaled by the complex number `turn`, its origin moved to `to`."""
    (cos, sin), (x, y) = turn, to

    def placed(point: Point) -> Point:
        u, v = point
        return x + u * cos - v * sin, y + u * sin + v * cos

    return Chain(
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


def _diagonal(long_box: shapely.Geometry) -> tuple[float, float]:
    """Diagonal of a turned box, and its long side's direction so that it reads from below."""
    corners = shapely.get_coordinates(long_box).tolist()
    sides = [
        (math.dist(a, b), math.atan2(b[1] - a[1], b[0] - a[0]))
        for a, b in (corners[0:2], corners[1:3])
    ]
    return math.dist(corners[0], corners[2]), readable(max(sides)[1])
