"""The drawing of a window of a sheet that is cut by hand, as large as a page holds it.

Stands after strokes, before pages.

    c12   a mark, beside its dot
    (7)   a stroke's number, on the stroke near its start
    R3    a piece, in its widest place
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from shapely import box

from mateline.curves import Chain, Segment, circle, flattened, moved
from mateline.exports.print.figure import (
    DARK,
    Area,
    Boxes,
    Clipped,
    Lines,
    Words,
    width_of,
)
from mateline.exports.print.label_room import FINE, MUCH, LabelRoom, beside

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.curves import Point
    from mateline.exports.by_hand.runs import Run
    from mateline.exports.by_hand.strokes import HandSheet
    from mateline.exports.print.figure import Mark
    from mateline.stencil.stencil import Stencil

    Array = NDArray[np.float64]

Box = tuple[float, float, float, float]  # left, bottom, right, top, mm

MARGIN = 10.0  # mm of the page
HEAD = 9.0  # mm above the drawing, for the title
EDGE = 5.0  # mm round the drawing, for the names of the board's edges
PT = 25.4 / 72  # mm
NAME, NUMBER, ID = 6 * PT, 6.5 * PT, 7 * PT  # mm: lettering of marks, strokes and pieces
INK = {"stroke": "#000000", "name": "#8a2be2", "number": "#b3261e", "id": "#6b7280"}
LEAD_INK = "#7a7f87"
TACK, FOLD, OPEN, BOARD = "#9aa1a9", "#1a5fb4", "#9aa1a9", "#c8ccd1"
RINGS = (0.0, 1.2, 2.6, 4.4, 6.5)  # mm: how much farther from its dot a name may stand
ALONG = (4.0, 6.0, 2.5, 9.0, 13.0, 18.0)  # mm from its start: where on a stroke its number is
BLEED = 0.5  # mm: how far lines at the rim of a window are seen beyond it
RIM = 0.05  # mm: a true arc goes beyond the bounds of its facets
ROUGH = 0.1  # mm: facets of arcs that labels keep off
LED = 1.6  # mm: a name that is farther from its dot is led to it


@dataclass(frozen=True, slots=True)
class Drawn:
    """What is drawn of a sheet: it, and its pieces' ids with their places; on which paper.

    `bounds` are those of its strokes.
    """

    sheet: HandSheet
    ids: tuple[tuple[str, Point], ...]
    paper: tuple[float, float]
    bounds: tuple[Box, ...]


def drawn_of(
    sheet: HandSheet,
    stencil: Stencil,
    places: Mapping[str, Point],
    paper: tuple[float, float],
) -> Drawn:
    """A sheet with its pieces' ids; `places` are where these go, in the face frame."""
    ids = tuple(_ids(sheet, stencil, places))
    return Drawn(sheet, ids, paper, tuple(_bounds(stroke.run) for stroke in sheet.strokes))


@dataclass(frozen=True, slots=True)
class Drawing:
    """A page's size, the drawing on it, and the box that it takes."""

    size: tuple[float, float]
    marks: tuple[Mark | Clipped, ...]
    taken: Box


def inside(at: Point, window: Box) -> bool:
    """Whether a place is in a window, or on its rim."""
    left, low, right, high = window
    return left - RIM <= at[0] <= right + RIM and low - RIM <= at[1] <= high + RIM


def laid(
    window: Box, paper: tuple[float, float], below: float = 0.0
) -> tuple[tuple[float, float], float, Point]:
    """The page as it is turned, the scale, and where the window's lower-left corner comes to lie.

    The way that shows the window larger; upright where both are alike, or where room is left
    `below`, mm.
    """
    left, low, right, high = window
    best: tuple[float, tuple[float, float]] | None = None
    for size in (paper, paper[::-1]) if below == 0 else (paper,):
        room = (size[0] - 2 * (MARGIN + EDGE), size[1] - 2 * (MARGIN + EDGE) - HEAD - below)
        scale = min(room[0] / (right - left), room[1] / (high - low), 1.0)
        if best is None or scale > best[0] * 1.02:
            best = scale, size
    if best is None:
        raise ValueError("paper has two sides")
    scale, size = best
    top = size[1] - MARGIN - HEAD - EDGE
    return size, scale, (MARGIN + EDGE, top - (high - low) * scale)


def drawing_of(
    drawn: Drawn, window: Box, below: float = 0.0, *, final: bool = False
) -> Drawing | None:
    """A window of a sheet with all its labels, as large as the paper holds it, with room left
    `below`, mm. None where labels have no room, unless it is `final`.
    """
    sheet = drawn.sheet
    size, matrix, frame = _framed(window, drawn.paper, below)
    taken = _wider(frame, EDGE)
    room = LabelRoom(taken)
    strokes = [
        _paged(stroke.run, matrix)
        for stroke, bounds in zip(sheet.strokes, drawn.bounds, strict=True)
        if _meet(bounds, window)
    ]
    room.draw(_inked(strokes))
    edges = list(_edges(sheet, window, frame))
    for name in edges:
        if isinstance(name, Words):
            long = width_of(name.text, name.size)
            room.keep(name.at, (name.size, long) if name.turn else (long, name.size))
    labels = _labels(drawn, window, matrix, room, final=final)
    if labels is None:
        return None
    lines = Clipped(_wider(frame, BLEED), _line_work(sheet, strokes, matrix))
    return Drawing(size, (lines, *edges, *labels), taken)


def overview_of(drawn: Drawn, windows: Sequence[Box]) -> Drawing:
    """The whole sheet without its labels, and a frame with its number for each of `windows`."""
    sheet = drawn.sheet
    whole = (0.0, 0.0, *sheet.size)
    size, matrix, frame = _framed(whole, drawn.paper)
    strokes = [_paged(stroke.run, matrix) for stroke in sheet.strokes]
    marks: list[Mark] = [*_line_work(sheet, strokes, matrix), *_edges(sheet, whole, frame)]
    for number, window in enumerate(windows, start=1):
        left, low = _at(window[:2], matrix)
        right, high = _at(window[2:], matrix)
        marks.append(Lines((boxed((left, low, right, high)),), INK["number"], 0.3))
        high_enough = min(6.0, 0.5 * (high - low), 0.4 * (right - left))
        at = ((left + right) / 2, (low + high) / 2)
        name = str(number)
        wide = width_of(name, high_enough) / 2 + 0.5
        ground = (at[0] - wide, at[1] - high_enough / 2, at[0] + wide, at[1] + high_enough / 2)
        marks.append(Boxes((ground,), "#ffffff"))
        marks.append(Words(at, high_enough, name, "middle", INK["number"], bold=True))
    return Drawing(size, tuple(marks), _wider(frame, EDGE))


def _framed(
    window: Box, paper: tuple[float, float], below: float = 0.0
) -> tuple[tuple[float, float], Array, Box]:
    """The page's size, what takes the sheet's frame to it, and where the window comes to lie."""
    size, scale, origin = laid(window, paper, below)
    left, low, right, high = window
    matrix = np.array(
        [[scale, 0.0, origin[0] - left * scale], [0.0, scale, origin[1] - low * scale]]
    )
    (x, y) = origin
    return size, matrix, (x, y, x + (right - left) * scale, y + (high - low) * scale)


def boxed(box_: Box) -> Chain:
    """A closed chain round a box."""
    left, low, right, high = box_
    corners = ((right, low), (right, high), (left, high), (left, low))
    return Chain((left, low), tuple(map(Segment, corners)))


def _wider(frame: Box, by: float) -> Box:
    left, low, right, high = frame
    return left - by, low - by, right + by, high + by


def _bounds(run: Run) -> Box:
    xs, ys = zip(*run.course, strict=True)
    return min(xs) - BLEED, min(ys) - BLEED, max(xs) + BLEED, max(ys) + BLEED


def _meet(one: Box, other: Box) -> bool:
    return one[0] <= other[2] and other[0] <= one[2] and one[1] <= other[3] and other[1] <= one[3]


def _paged(run: Run, matrix: Array) -> Chain:
    """A run where it is on the page, which only moves it and makes it smaller."""
    if run.centre is None:
        return Chain(_at(run.start, matrix), (Segment(_at(run.to, matrix)),))
    centre = _at(run.centre, matrix)
    if run.circle:
        return circle(centre, run.reach * float(matrix[0, 0]))
    to = Segment(_at(run.to, matrix), centre, not run.clockwise)
    return Chain(_at(run.start, matrix), (to,))


def _inked(chains: Sequence[Chain]) -> Array:
    """Points (n, 2) along the chains, less than a cell of the raster apart."""
    if not chains:
        return np.zeros((0, 2))
    walks = [flattened(chain, ROUGH) for chain in chains]
    starts = np.concatenate([walk[:-1] for walk in walks])
    ways = np.concatenate([walk[1:] for walk in walks]) - starts
    counts = np.maximum(np.ceil(np.hypot(ways[:, 0], ways[:, 1]) / FINE).astype(np.int64), 1)
    at = np.repeat(np.arange(len(starts)), counts)
    step = np.arange(len(at)) - np.repeat(np.cumsum(counts) - counts, counts)
    found: Array = starts[at] + ways[at] * (step / counts[at])[:, None]
    return found


def _line_work(
    sheet: HandSheet,
    strokes: Sequence[Chain],
    matrix: Array,
) -> tuple[Mark, ...]:
    def carried(chains: Sequence[Chain]) -> tuple[Chain, ...]:
        return tuple(moved(chain, matrix) for chain in chains)

    found: list[Mark] = [Lines((moved(boxed((0.0, 0.0, *sheet.size)), matrix),), BOARD, 0.5)]
    if sheet.holes:
        found.append(Area(carried(sheet.holes), "#eceef0"))
        found.append(Lines(carried(sheet.holes), TACK, 0.15))
    if sheet.folds:
        found.append(Lines(carried(sheet.folds), FOLD, 0.2, (1.6, 1.0)))
    found.append(Lines(tuple(strokes), INK["stroke"], 0.22))
    return tuple(found)


def _edges(sheet: HandSheet, window: Box, frame: Box) -> Iterator[Mark]:
    """The names of the two edges that are measured from, where the window shows them."""
    left, low, right, high = frame
    if window[0] == 0:
        at = (left - EDGE / 2 - 0.5, (low + high) / 2)
        yield Words(at, NUMBER, "left edge of the board", "middle", DARK, turn=math.pi / 2)
    if window[1] == 0:
        at = ((left + right) / 2, low - EDGE / 2 - 0.5)
        yield Words(at, NUMBER, "bottom edge of the board", "middle", DARK)
    across, up = window[2] - window[0], window[3] - window[1]
    if across < sheet.size[0] or up < sheet.size[1]:
        yield Lines((boxed(frame),), BOARD, 0.15, (1.0, 1.0))


def _labels(
    drawn: Drawn, window: Box, matrix: Array, room: LabelRoom, *, final: bool
) -> list[Mark] | None:
    """Dots, names, numbers and ids; None where one has no room, unless this is `final`."""
    sheet = drawn.sheet
    found: list[Mark] = []
    dots = [(mark.name, _at(mark.at, matrix)) for mark in sheet.marks if inside(mark.at, window)]
    for _, at in dots:
        room.keep(at, (0.8, 0.8))
    for label in _each_label(drawn, window, matrix, room, dots):
        if not label and not final:
            return None
        found += label
    grounds = [box for each in found if isinstance(each, Boxes) for box in each.boxes]
    leads = [line for each in found if isinstance(each, Lines) for line in each.chains]
    return [
        Boxes(tuple(grounds), "#ffffff"),
        Lines(tuple(leads), LEAD_INK, 0.1),
        Boxes(tuple(_dot(at) for _, at in dots), INK["name"]),
        *(each for each in found if isinstance(each, Words)),
    ]


def _each_label(
    drawn: Drawn,
    window: Box,
    matrix: Array,
    room: LabelRoom,
    dots: Sequence[tuple[str, Point]],
) -> Iterator[list[Mark]]:
    """The marks of one label after the other; none of one without room."""
    for stroke in drawn.sheet.strokes:
        if inside(stroke.run.start, window):
            yield _number(stroke.run, str(stroke.number), matrix, room)
    for name, at in dots:
        size = (width_of(name, NAME) + 0.4, 0.78 * NAME)
        place = room.placed(beside(at, size, 0.6, RINGS), size)
        if place is None:
            yield []
        else:
            yield [*_led(at, place, size), Words(place, NAME, name, "middle", INK["name"])]
    for name, spot in drawn.ids:
        if inside(spot, window):
            at = _at(spot, matrix)
            size = (width_of(name, ID) + 0.4, 0.78 * ID)
            place = room.placed(([at], *beside(at, size, 0.0, (0.0, 1.5, 3.5, 6.0))), size)
            if place is None:
                yield []
            else:
                words = Words(place, ID, name, "middle", INK["id"], bold=True)
                yield [*_led(at, place, size), words]


def _dot(at: Point) -> Box:
    return at[0] - 0.3, at[1] - 0.3, at[0] + 0.3, at[1] + 0.3


def _at(point: Point, matrix: Array) -> Point:
    (a, _, e), (_, d, f) = matrix.tolist()
    return a * point[0] + e, d * point[1] + f


def _led(at: Point, place: Point, size: tuple[float, float]) -> list[Mark]:
    """A thin line from a dot to a label that stands away from it."""
    dx = max(0.0, abs(place[0] - at[0]) - size[0] / 2)
    dy = max(0.0, abs(place[1] - at[1]) - size[1] / 2)
    if math.hypot(dx, dy) <= LED:
        return []
    near = (
        min(max(at[0], place[0] - size[0] / 2), place[0] + size[0] / 2),
        min(max(at[1], place[1] - size[1] / 2), place[1] + size[1] / 2),
    )
    return [Lines((Chain(at, (Segment(near),)),), LEAD_INK, 0.1)]


def _number(run: Run, number: str, matrix: Array, room: LabelRoom) -> list[Mark]:
    """A stroke's number on it, near its start, on a white ground."""
    size = (width_of(number, NUMBER) + 0.7, 0.9 * NUMBER)
    long = run.length * float(matrix[0, 0])
    shares = tuple(dict.fromkeys(min(along, 0.6 * long) / long for along in ALONG))
    place: Point | None = None
    led: list[Mark] = []
    if long > 2 * size[0]:
        own = 1.5 * size[0] / FINE + MUCH  # cells of the stroke that the number stands on
        place = room.placed(([_at(run.at(share), matrix)] for share in shares), size, own)
    if place is None:
        far = _at(run.at(shares[-1]), matrix)
        away = beside(far, size, 1.0, (1.0, 3.0, 5.5))
        place = room.placed((_off(run, shares, matrix, size), *away), size)
        if place is None:
            return []
        led = _led(far, place, size)
    (x, y), wide, high = place, size[0] / 2, size[1] / 2
    return [
        *led,
        Boxes(((x - wide, y - high, x + wide, y + high),), "#ffffff"),
        Words(place, NUMBER, number, "middle", INK["number"], bold=True),
    ]


def _off(
    run: Run, shares: Sequence[float], matrix: Array, size: tuple[float, float]
) -> list[Point]:
    """Places just beside a stroke, on both of its sides."""
    found = []
    for share in shares:
        (x, y), (nx, ny) = _at(run.at(share), matrix), _across(run, share)
        across, up = (size[0] / 2 + 0.5) * nx, (size[1] / 2 + 0.5) * ny
        found += [(x + across, y + up), (x - across, y - up)]
    return found


def _across(run: Run, share: float) -> Point:
    """Unit vector square to a run."""
    ax, ay = run.at(max(0.0, share - 0.01))
    bx, by = run.at(min(1.0, share + 0.01))
    long = math.hypot(bx - ax, by - ay) or 1.0
    return -(by - ay) / long, (bx - ax) / long


def _ids(
    sheet: HandSheet, stencil: Stencil, places: Mapping[str, Point]
) -> Iterator[tuple[str, Point]]:
    """Letter and number of each piece on the sheet, and where, in its frame."""
    left, low = sheet.corner
    right, high = left + sheet.size[0], low + sheet.size[1]
    parted = {join.piece for join in stencil.grid.joins}
    for piece in stencil.pieces:
        if sheet.piece not in {None, piece.id}:
            continue
        x, y = places[piece.id]
        if not (left <= x < right and low <= y < high) and piece.id in parted:
            here = piece.area.intersection(box(left, low, right, high))
            if here.is_empty:
                continue
            spot = here.representative_point()
            x, y = spot.x, spot.y
        if left <= x < right and low <= y < high:
            yield f"{piece.letter}{piece.number}", (x - left, y - low)
