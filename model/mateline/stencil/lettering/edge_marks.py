"""Registration marks: where the board meets the cabinet's edges.

Stands after label_placement. Every straight side of the face gets a tick near each end, and one
with a short cross bar at its middle, all square to the side and inside the board. Places are
counted along the cabinet's sharp edge, which two faces share: where both have the whole of it,
their ticks meet across it.

    sharp edge  --------------------------------------
    board's rim   --+---------------+---------------+--   short of the edge: "19 mm to edge"
                    |              -+-              |

A mark never moves: where a tack, a hole or a join is in its way it is made shorter, and left out if
that does not help.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import LineString, Point, Polygon

from mateline.cabinet.hole import kept_area, open_area
from mateline.cabinet.panel import curved_edges, edge_axes, edge_length
from mateline.curves import Chain, Segment
from mateline.stencil.lettering.label_placement import (
    CLEARANCE,
    Label,
    label_box,
    label_strokes,
    readable,
    tack_box,
)
from mateline.tape.reading import printed, printed_exact

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray
    from shapely import Geometry

    from mateline.cabinet.faces import Face
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape

    Floats = NDArray[np.float64]

FROM_END = 50.0  # mm along the sharp edge: clear of what the neighbours' boards take of it
SHORTEST = 30.0  # mm: a shorter edge has no mark
LENGTHS = (6.0, 4.0, 3.0)  # mm of a tick: the longest that is clear is taken
BAR = 4.0  # mm: length of the middle's cross bar
CLEAR = 1.0  # mm between marks and tacks, holes or scores
FLUSH = 0.1  # mm: a board that ends this near to the sharp edge ends at it
LETTERS = (4.0, 3.0, 2.0)  # mm: height of the distance's capitals
RIM = 1e-6  # mm: how exactly a tick starts on the board's rim


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark in the face frame, mm: the panel's edge that it is for, its place on the sharp
    edge, its strokes, and the distance between the two where the board ends short of the edge.
    """

    edge: int
    at: tuple[float, float]
    strokes: tuple[Chain, ...]
    label: Label | None = None


def marks_of(stencil: Stencil, tape: Tape | None = None) -> tuple[Mark, ...]:
    """The marks of the stencil's face, edge by edge; distances as on `tape`, or in mm."""
    face = stencil.face
    gone = shapely.STRtree(list(_gone(stencil)))
    pieces = shapely.STRtree([piece.area for piece in stencil.pieces])
    found: list[Mark] = []
    curved = curved_edges(face.panel)
    for edge in range(len(face.panel.edges)):
        if edge in curved:  # a facet has no middle that anybody could measure
            continue
        marks = [
            mark
            for along, middle in _places(edge_length(face.panel, edge))
            if (mark := _mark(face, edge, along, gone, middle=middle)) is not None
        ]
        short = short_of_edge(face, edge)
        if short is not None:
            distance = printed_exact(short, "mm") if tape is None else printed(short, tape)
            marks = _lettered(marks, f"{distance} to edge", face, gone, pieces)
        found += marks
    return tuple(found)


def short_of_edge(face: Face, edge: int) -> float | None:
    """How far the face ends from the cabinet's sharp edge, mm.

    None where it ends at the edge, or is folded over it by a bevel's or round's strip.
    """
    start, unit, _ = edge_axes(face.panel, edge)
    short = _short(face, edge, start + edge_length(face.panel, edge) / 2 * unit)
    return None if face.panel.edges[edge].strips or short <= FLUSH else short


def _short(face: Face, edge: int, at: Floats) -> float:
    """How far the face ends from a spot on a sharp edge; less than 0 where strips fold over it."""
    made = face.panel.edges[edge]
    if (face.beyond or face.covered) and not made.strips:  # it may end elsewhere than its board
        return face.outline.distance(Point(at))
    return made.section.start[0] - made.strip_width


def mark_strokes(mark: Mark) -> Iterator[Chain]:
    """All that is written for one mark."""
    yield from mark.strokes
    if mark.label is not None:
        yield from label_strokes(mark.label)


def mark_areas(marks: Sequence[Mark]) -> tuple[Polygon, ...]:
    """What other lettering keeps clear of."""
    ticks = [_line(chain).buffer(CLEAR / 2) for mark in marks for chain in mark.strokes]
    return (*ticks, *(label_box(mark.label) for mark in marks if mark.label is not None))


def _places(length: float) -> list[tuple[float, bool]]:
    """How far along the edge its marks are, and which is the middle."""
    if length < SHORTEST:
        return []
    middle = (length / 2, True)
    # Ticks nearer to the middle than to their end would be taken for it.
    return [middle] if length < 4 * FROM_END else [
        (FROM_END, False), middle, (length - FROM_END, False)
    ]  # fmt: skip


def _mark(
    face: Face, edge: int, along: float, gone: shapely.STRtree, *, middle: bool
) -> Mark | None:
    start, unit, inward = edge_axes(face.panel, edge)
    at = start + along * unit
    rim = at + _short(face, edge, at) * inward
    if face.outline.exterior.distance(Point(rim)) > RIM:
        return None
    board = face.outline.buffer(RIM)
    for long in LENGTHS:
        strokes = [_chain(rim, rim + long * inward)]
        if middle:
            half = BAR / 2 * unit
            strokes.append(_chain(rim + long / 2 * inward - half, rim + long / 2 * inward + half))
        lines = [_line(chain) for chain in strokes]
        if all(board.covers(line) and _clear(line, gone) for line in lines):
            x, y = at.tolist()
            return Mark(edge, (x, y), tuple(strokes))
    return None


def _lettered(
    marks: list[Mark], text: str, face: Face, gone: shapely.STRtree, pieces: shapely.STRtree
) -> list[Mark]:
    """The marks with `text` beside the one where it fits in largest, the middle one first."""
    _, unit, inward = edge_axes(face.panel, marks[0].edge) if marks else (None, None, None)
    if unit is None or inward is None:
        return marks
    first = sorted(range(len(marks)), key=lambda at: len(marks[at].strokes), reverse=True)
    turn = readable(math.atan2(unit[1], unit[0]))
    for height in LETTERS:
        for index in first:
            rim = np.array(marks[index].strokes[0].start)
            for side in (1, -1):
                label = _beside(Label((text,), (0.0, 0.0), height, turn), rim, side * unit, inward)
                box = label_box(label)
                if _clear(box, gone) and len(pieces.query(box, predicate="within")):
                    marked = replace(marks[index], label=label)
                    return [*marks[:index], marked, *marks[index + 1 :]]
    return marks


def _beside(label: Label, rim: Floats, unit: Floats, inward: Floats) -> Label:
    """The label moved beside a tick at `rim`, in the direction `unit`, just inside the board."""
    low_x, _, high_x, _ = label_box(replace(label, turn=0.0)).bounds
    wide = high_x - low_x
    centre = rim + (BAR / 2 + CLEAR + wide / 2) * unit
    centre = centre + (label.height / 2 + CLEARANCE + CLEAR / 2) * inward
    x, y = centre.tolist()
    return replace(label, centre=(x, y))


def _gone(stencil: Stencil) -> Iterator[Geometry]:
    """What is no board, or no place to write: tacks, holes, folds, the tape over joins."""
    for piece in stencil.pieces:
        yield from (tack_box(tack) for tack in piece.tacks)
    for hole in stencil.face.holes:
        yield kept_area(hole) if hole.stays else open_area(hole)
    yield from (strip.score for strip in stencil.face.strips)
    yield from (join.band for join in stencil.grid.joins)


def _clear(shape: Geometry, gone: shapely.STRtree) -> bool:
    return len(gone.query(shape, predicate="dwithin", distance=CLEAR)) == 0


def _chain(start: Floats, end: Floats) -> Chain:
    (ax, ay), (bx, by) = start.tolist(), end.tolist()
    return Chain((ax, ay), (Segment((bx, by)),))


def _line(chain: Chain) -> LineString:
    return LineString(chain.points)
