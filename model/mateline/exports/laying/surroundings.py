"""What is drawn round a face that is laid: the cabinet's edges by name, letters, ticks, diagonal.

Stands after words. `page` (2, 3) takes the face's frame to the page, mm; labels take their room.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mateline.curves import Chain, Segment, circle, moved
from mateline.exports.laying.words import SPACE, said, side_name
from mateline.exports.print.figure import Area, Boxes, Lines, Words, width_of
from mateline.exports.print.label_room import beside

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from mateline.curves import Point
    from mateline.exports.laying.sets import LaidSet
    from mateline.exports.print.figure import Mark
    from mateline.exports.print.label_room import LabelRoom
    from mateline.stencil.laying.sides import Side
    from mateline.tape.accuracy import Tape

    Array = NDArray[np.float64]

PT = 25.4 / 72  # mm
TICK, EDGE = 6.5 * PT, 8.5 * PT  # mm: lettering of distances and of edges
BROAD = 1.35  # no unit: how much wider than in Helvetica bold words may be in a browser's font
INK, RED, GREY, BLUE = "#1f2328", "#b3261e", "#6b7280", "#1a5fb4"
UPRIGHT = math.radians(100)  # steeper words read from the right, upright ones all alike


def surroundings(laid: LaidSet, tape: Tape, page: Array, room: LabelRoom) -> Iterator[Mark]:
    """All of it, those first whose places are least free."""
    yield from _sharp_edges(laid, page)
    yield from _letters(laid, page, room)
    yield from _ticks(laid, tape, page, room)
    yield from _diagonal(laid, tape, page, room)
    yield from _edges(laid, page, room)


def _sharp_edges(laid: LaidSet, page: Array) -> Iterator[Mark]:
    """The edges of the cabinet, where the board ends short of them."""
    lines = tuple(
        line(at_page(side.ends[0], page), at_page(side.ends[1], page))
        for side in laid.laying.sides
        if side.straight
    )
    if any(side.short > 0 for side in laid.laying.sides) and lines:
        yield Lines(lines, GREY, 0.25)


def _ticks(laid: LaidSet, tape: Tape, page: Array, room: LabelRoom) -> Iterator[Mark]:
    """Each tick, and its twin across the edge with its distance."""
    for tick in laid.laying.ticks:
        side = laid.laying.sides[tick.side]
        at, (x, y) = at_page(tick.at, page), side.out
        yield Lines((line(at, (at[0] + 2.2 * x, at[1] + 2.2 * y)),), BLUE, 0.4)
        inward = [moved(chain, page) for chain in tick.strokes]
        yield Lines(tuple(inward), BLUE, 0.3)
        along = math.dist(*side.ends) / 2 if tick.along is None else tick.along
        name = said(along, tape).replace(SPACE, " ")
        size = (width_of(name, TICK) + 0.6, 0.8 * TICK)
        foot = (at[0] + 1.2 * x, at[1] + 1.2 * y)
        across = _box_reach(size, (x, y))
        places = [[(foot[0] + (2.0 + across) * x, foot[1] + (2.0 + across) * y)]]
        places += list(beside(foot, size, 1.2, (0.0, 1.0, 2.0)))
        place = room.placed(places, size)
        if place is not None:
            yield Words(place, TICK, name, "middle", BLUE)


def _box_reach(size: tuple[float, float], way: Point) -> float:
    """How far a box reaches from its middle in a direction."""
    return abs(way[0]) * size[0] / 2 + abs(way[1]) * size[1] / 2


def _diagonal(laid: LaidSet, tape: Tape, page: Array, room: LabelRoom) -> Iterator[Mark]:
    diagonal = laid.laying.diagonal
    if diagonal is None:
        return
    one, two = (at_page(end, page) for end in diagonal.ends)
    yield Lines((line(one, two),), RED, 0.35, (2.4, 1.6))
    yield Area((circle(one, 0.8), circle(two, 0.8)), RED)
    name = said(diagonal.length, tape).replace(SPACE, " ")
    size = (width_of(name, EDGE) + 1.2, EDGE)
    shares = (0.5, 0.45, 0.55, 0.4, 0.6, 0.35, 0.65, 0.3, 0.7)
    at = [(one[0] + s * (two[0] - one[0]), one[1] + s * (two[1] - one[1])) for s in shares]
    place = room.placed((at,), size) or at[0]
    x, y = place
    ground = (x - size[0] / 2, y - size[1] / 2, x + size[0] / 2, y + size[1] / 2)
    yield Boxes((ground,), "#ffffff")
    yield Words(place, EDGE, name, "middle", RED, bold=True)


def _letters(laid: LaidSet, page: Array, room: LabelRoom) -> Iterator[Mark]:
    """Corner letters in rings, outside of the corners."""
    for letter in laid.laying.letters:
        at = at_page(letter.at, page)
        way = _outside(letter.at, laid.laying.sides)
        size = (5.0, 5.0)
        places = [
            (at[0] + far * math.cos(turn + way), at[1] + far * math.sin(turn + way))
            for far in (6.0, 7.5, 9.0, 11.0, 13.0)
            for turn in (0.0, 0.5, -0.5, 1.0, -1.0)
        ]
        place = room.placed((places,), size)
        if place is not None:
            yield Area((circle(place, 2.1),), "#ffffff")
            yield Lines((circle(place, 2.1),), INK, 0.25)
            yield Words(place, 3.0, letter.name, "middle", INK, bold=True)


def _outside(corner: Point, sides: Sequence[Side]) -> float:
    """The direction that lies outside of a corner: that of its two sides together."""
    nearest = sorted(
        sides, key=lambda side: round(min(math.dist(corner, end) for end in side.ends), 6)
    )
    x, y = (sum(side.out[at] for side in nearest[:2]) for at in (0, 1))
    return math.atan2(y, x)


def _edges(laid: LaidSet, page: Array, room: LabelRoom) -> Iterator[Mark]:
    """The names of the cabinet's edges, along them and outside."""
    for side in laid.laying.sides:
        name = side_name(side)
        head, *rest = name.split(" ", 1)
        name = " ".join([head.upper() if side.way else head, *rest])
        one, two = (at_page(end, page) for end in side.ends)
        along = math.atan2(two[1] - one[1], two[0] - one[0])
        turn = along % math.pi
        turn = turn - math.pi if turn > UPRIGHT else turn
        wide, high = BROAD * width_of(name, EDGE) + 1.0, EDGE
        cos, sin = abs(math.cos(turn)), abs(math.sin(turn))
        size = (wide * cos + high * sin, wide * sin + high * cos)
        (x, y), long = side.out, math.dist(one, two)
        feet = [
            (one[0] + share * (two[0] - one[0]), one[1] + share * (two[1] - one[1]))
            for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
        ]
        level = (wide, high)
        beside_it = [
            (foot[0] + (off + _box_reach(level, (x, y))) * x,
             foot[1] + (off + _box_reach(level, (x, y))) * y)
            for off in (1.5, 3.0, 5.0, 8.0)
            for foot in feet
        ]  # fmt: skip
        along_it = [
            (foot[0] + off * x, foot[1] + off * y)
            for off in (8.0, 9.5, 5.0, 12.0, 14.0)
            for foot in feet
        ]
        place = room.placed(([at] for at in along_it), size) if wide <= long else None
        if place is None:
            turn = 0.0
            place = room.placed(([at] for at in beside_it), level)
        if place is None:  # a name over another is better than none
            place = beside_it[0]
        yield Words(place, EDGE, name, "middle", INK, bold=True, turn=turn)


def at_page(point: Point, matrix: Array) -> Point:
    """Where a point comes to lie."""
    (a, c, e), (b, d, f) = matrix.tolist()
    return a * point[0] + c * point[1] + e, b * point[0] + d * point[1] + f


def line(one: Point, two: Point) -> Chain:
    """A straight line."""
    return Chain(one, (Segment(two),))
