"""Labels: what is written on a piece, where, and how large it can be written there.

Stands after pieces and wording. A label is one to three lines and an arrow that points up on
the cabinet however the lines are turned. It lies inside its piece, clear of the piece's tacks
and of whatever else is named; a small piece says less, and one with no room for its number gets
no label and is told by the picture of its face.

    body-left B3       the whole of it; then, as room gets less: without the face, the id alone
    ^ blue             with its arrow, letter and number with colour and arrow, without colour,
    this side out      without arrow, the number alone
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from mateline.curves import Chain, Segment
from mateline.stencil.lettering.single_stroke import CAP, letters
from mateline.stencil.lettering.wording import ARROW_ROOM, LINE, Wording, size_of, widths, wordings

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.curves import Point
    from mateline.stencil.board import Tack
    from mateline.stencil.pieces import Piece

    Areas = NDArray[np.object_]
    Floats = NDArray[np.float64]

TOLERANCE = 0.5  # mm: how exactly the widest place is found
SLACK = 1e-6  # mm: bounds that differ by less are equal
TURN_FOR = 1.3  # no unit: how much larger lettering must get to be worth turning one's head
CLEARANCE = 1.0  # mm between lettering and borders, tacks or other marks
_ARROW = ("0,-3 0,3", "-1.5,1.2 0,3 1.5,1.2")  # units from its middle: within CAP / 2 of it


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
class _Spots:
    """Rooms (n,), prepared, and where in each a label is tried: centres (n, 6, 2), turns (n, 3).

    What bounds a label there: `deep` (n, 6), no less than how far each centre is from the room's
    border, and `spans` (n, 3, 2), the piece's length along each turn and its width across.
    """

    rooms: Areas
    centres: Floats
    deep: Floats
    turns: Floats
    spans: Floats


def label_for(
    piece: Piece, clear: Sequence[Polygon] = (), *, turned_over: bool = False
) -> Label | None:
    """The fullest label that fits, as large as fits; None where not even the number does.

    `clear` is kept clear: holes that are open under the board, where it gives way under a pen,
    and other marks. A piece that is `turned_over` for another face has no side that is always
    out, so it says which is only together with the face's name.
    """
    return labels_for([piece], clear, [turned_over])[0]


def labels_for(
    pieces: Sequence[Piece], clear: Sequence[Polygon], turned_over: Sequence[bool]
) -> list[Label | None]:
    """As `label_for`, for each of `pieces`."""
    texts = [
        wordings(piece, turned_over=over) for piece, over in zip(pieces, turned_over, strict=True)
    ]
    return labels_in(rooms_in(pieces, clear), areas_of(pieces), texts)


def labels_in(
    rooms: Areas, areas: Areas, texts: Sequence[Sequence[Sequence[Wording]]]
) -> list[Label | None]:
    """The first of `texts` that fits into each room, a part of the piece that is its area.

    Of its layouts the one that can be written largest; None where none fits.
    """
    found: list[Label | None] = [None] * len(rooms)
    some = np.flatnonzero(~shapely.is_empty(rooms))
    if not len(some):
        return found
    spots = _spots(rooms[some], areas[some])
    left = list(enumerate(some.tolist()))
    level = 0
    while left:
        rows = [(k, layout) for k, at in left for layout in texts[at][level]]
        for k, label in _fitted(rows, spots):
            found[some[k]] = label
        level += 1
        left = [(k, at) for k, at in left if found[at] is None and level < len(texts[at])]
    return found


def rooms_in(
    pieces: Sequence[Piece],
    holes: Sequence[Polygon] = (),
    own: Mapping[int, Polygon] = MappingProxyType({}),
) -> Areas:
    """Each piece without the punched holes of its tacks and without `holes`.

    `own` are holes of a single one, by its place.
    """
    areas = areas_of(pieces)
    tacks = [tack for piece in pieces for tack in piece.tacks]
    boxes = iter(shapely.polygons([_corners(tack) for tack in tacks]).tolist() if tacks else ())
    gone = [[next(boxes) for _ in piece.tacks] for piece in pieces]
    at, hole = shapely.STRtree(list(holes)).query(areas, predicate="intersects")
    for k in np.lexsort((hole, at)).tolist():
        gone[at[k]].append(holes[hole[k]])
    for k, box in own.items():
        gone[k].append(box)
    less = np.array([k for k, found in enumerate(gone) if found], dtype=np.intp)
    if not len(less):
        return areas
    table = np.full((len(less), max(map(len, gone))), None, dtype=object)
    for row, k in zip(table, less.tolist(), strict=True):
        row[: len(gone[k])] = gone[k]
    left = shapely.difference(areas[less], shapely.union_all(table, axis=1))
    parts, of = shapely.get_parts(left, return_index=True)
    area = (shapely.get_type_id(parts) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(parts)
    rooms = areas.copy()
    rooms[less] = MultiPolygon()
    shapely.multipolygons(parts[area], indices=less[of[area]], out=rooms)
    return rooms


def areas_of(pieces: Sequence[Piece]) -> Areas:
    """The areas of `pieces` as an array."""
    return np.array([piece.area for piece in pieces], dtype=object)


def label_box(label: Label) -> Polygon:
    """The box round the lettering, with the clearance that it needs, mm."""
    wide, high = (
        size * label.height / CAP + 2 * CLEARANCE
        for size in size_of(Wording(label.lines, label.arrow))
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
    return Polygon(_corners(tack))


def readable(turn: float) -> float:
    """`turn`, or half a turn more: the one at which lettering reads from below or the right."""
    turn %= math.pi
    return turn - math.pi if turn > math.pi / 2 + 1e-9 else turn


def label_strokes(label: Label) -> Iterator[Chain]:
    """The label's chains in the frame it was made for, mm."""
    wide_lines = widths(label.lines, arrow=label.arrow)
    scale = label.height / CAP
    cos, sin = scale * math.cos(label.turn), scale * math.sin(label.turn)
    foot = (len(label.lines) - 1) * LINE / 2 - CAP / 2
    x, y = label.centre
    for at, (line, wide) in enumerate(zip(label.lines, wide_lines, strict=True)):
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


@cache
def _arrow() -> tuple[Chain, ...]:
    chains = []
    for stroke in _ARROW:
        start, *rest = [tuple(map(float, point.split(","))) for point in stroke.split()]
        chains.append(Chain((start[0], start[1]), tuple(Segment((x, y)) for x, y in rest)))
    return tuple(chains)


def _spots(rooms: Areas, areas: Areas) -> _Spots:
    """Where labels are tried: the rooms' widest places, the middles of the areas' boxes, and as
    far from these as those, above, below and beside: round a hole all places are as wide, and the
    widest is any of them.
    """
    poles = shapely.maximum_inscribed_circle(rooms, tolerance=TOLERANCE)
    boxes = shapely.minimum_rotated_rectangle(areas)
    radii = shapely.length(poles)
    # A strip's widest place may be at its end, where it has no room along itself.
    middles = shapely.get_coordinates(shapely.centroid(boxes))
    widest = shapely.get_coordinates(poles)[::2]
    off = np.hypot(*(widest - middles).T)[:, None]
    around = [middles + off * np.array(way) for way in ((0, 1), (0, -1), (1, 0), (-1, 0))]
    centres = np.stack([widest, middles, *around], axis=1)
    corners = shapely.get_coordinates(boxes).reshape(len(areas), 5, 2)
    long, short, along = np.array([_sides(box) for box in corners.tolist()]).T
    zero = np.zeros_like(along)
    left, low, right, high = shapely.bounds(areas).T
    wide, tall = right - left, high - low
    shapely.prepare(rooms)
    return _Spots(
        rooms,
        centres,
        np.stack([radii, *[radii + TOLERANCE] * 5], axis=1),
        np.stack([zero, along, zero + math.pi / 2], axis=1),
        np.stack([np.stack([wide, long, tall], 1), np.stack([tall, short, wide], 1)], axis=2),
    )


def _fitted(rows: Sequence[tuple[int, Wording]], spots: _Spots) -> Iterator[tuple[int, Label]]:
    """The label of each piece into whose room one of its layouts fits, by its place."""
    of = np.array([k for k, _ in rows], dtype=np.intp)
    sizes = np.array([size_of(text) for _, text in rows]) / CAP
    most = max(len(text.heights) for _, text in rows)
    heights = np.array(
        [(math.nan,) * (most - len(text.heights)) + text.heights for _, text in rows]
    )
    # A box that does not fit where it is smallest fits nowhere larger.
    shape = (len(rows), spots.turns.shape[1], spots.centres.shape[1])
    row, turn, centre = (each.ravel() for each in np.indices(shape))
    least = sizes[row] * heights[row, -1:]
    fits = _contained(spots, of[row], turn, centre, least)
    row, turn, centre = row[fits], turn[fits], centre[fits]
    each = np.repeat(np.arange(len(row)), most)
    row, turn, centre = row[each], turn[each], centre[each]
    height = heights[row, np.tile(np.arange(most), len(each) // most)]
    fits = _contained(spots, of[row], turn, centre, sizes[row] * height[:, None])
    row, turn, centre, height = row[fits], turn[fits], centre[fits], height[fits]
    # The largest at each turn of each piece: of those as large the first layout and centre.
    order = np.lexsort((centre, row, -height, turn, of[row]))
    first = np.diff(of[row[order]] * spots.turns.shape[1] + turn[order], prepend=-1) > 0
    labels: dict[int, list[Label]] = defaultdict(list)
    for k in order[first].tolist():
        at, text = rows[row[k]]
        x, y = spots.centres[at, centre[k]].tolist()
        angle = float(spots.turns[at, turn[k]])
        labels[at].append(Label(text.lines, (x, y), float(height[k]), angle, text.arrow))
    for at, turned in labels.items():
        yield at, _much_larger(turned)


def _much_larger(turned: Sequence[Label]) -> Label:
    """Upright or along the piece where that fits, unless another turn lets it be much larger."""
    first, *others = turned
    larger = [label for label in others if label.height > TURN_FOR * first.height]
    return max(larger, key=lambda label: label.height, default=first)


def _contained(
    spots: _Spots,
    of: NDArray[np.intp],
    turn: NDArray[np.intp],
    centre: NDArray[np.intp],
    sizes: Floats,
) -> NDArray[np.bool_]:
    """Which boxes of `sizes` (n, 2), mm, lie in their rooms with their clearance, (n,)."""
    halves = sizes / 2 + CLEARANCE
    possible = (halves.min(axis=1) < spots.deep[of, centre] + SLACK) & (
        2 * halves < spots.spans[of, turn] + SLACK
    ).all(axis=1)
    able = np.flatnonzero(possible)
    corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * halves[able, None, :]
    angle = spots.turns[of[able], turn[able], None]
    cos, sin = np.cos(angle), np.sin(angle)
    x, y = corners[..., 0], corners[..., 1]
    boxes = np.stack([x * cos - y * sin, x * sin + y * cos], axis=-1)
    boxes += spots.centres[of[able], centre[able], None]
    rooms = spots.rooms[of[able]]
    # Most that do not fit have a corner outside: cheaper than to make them polygons.
    inside = shapely.intersects_xy(rooms[:, None], boxes[..., 0], boxes[..., 1]).all(axis=1)
    able = able[inside]
    fits = np.zeros(len(of), dtype=bool)
    fits[able] = shapely.contains(rooms[inside], shapely.polygons(boxes[inside]))
    return fits


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


def _sides(box: Sequence[Sequence[float]]) -> tuple[float, float, float]:
    """Long and short side of a turned box, and the long one's direction to read from below."""
    (short, _), (long, along) = sorted(
        (math.dist(a, b), math.atan2(b[1] - a[1], b[0] - a[0])) for a, b in (box[0:2], box[1:3])
    )
    return long, short, readable(along)


def _corners(tack: Tack) -> list[Point]:
    return boxed(tack.centre, tack.punch.length, tack.punch.width, tack.turn)
