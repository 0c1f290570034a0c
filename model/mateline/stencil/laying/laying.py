"""All that a page about laying a set tells: order, sides, corner letters, ticks, a diagonal.

Stands last in the room.

    letter    a corner of the tape readings, where it is on the face
    diagonal  two corners of the laid set far apart, and how far: measured before tacks are pressed
    tick      a mark on the board's rim, and where on the cabinet's edge its twin is pencilled
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from mateline.cabinet.panel import edge_length
from mateline.curves import moved
from mateline.stencil.laying.order import Step, laying_order
from mateline.stencil.laying.sides import on_sharp_edge, sides_of
from mateline.stencil.laying.touching import touching

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face
    from mateline.cabinet.specification import Carcase
    from mateline.curves import Chain, Point
    from mateline.stencil.laying.sides import Side
    from mateline.stencil.lettering.edge_marks import Mark
    from mateline.stencil.stencil import Stencil

    Floats = NDArray[np.float64]

CORNER = math.sin(math.radians(20))  # no unit: a rim that turns less has no corner there


@dataclass(frozen=True, slots=True)
class Letter:
    """A corner of the tape readings, on the cabinet's sharp edges; face frame, mm."""

    name: str
    at: Point


@dataclass(frozen=True, slots=True)
class Diagonal:
    """Two corners of the laid set, face frame, mm, and what each is called."""

    ends: tuple[Point, Point]
    names: tuple[str, str]

    @property
    def length(self) -> float:
        """Between the two, mm."""
        return math.dist(*self.ends)


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark of the board's rim: its strokes, and where its twin on side `side` of the cabinet is.

    `along` is from the nearer end of that edge, mm, None for the one in the middle; `at` is there.
    """

    side: int
    at: Point
    along: float | None
    strokes: tuple[Chain, ...]


@dataclass(frozen=True, slots=True)
class Laying:
    """How the set of one face is laid. `turned_from` is the face whose set it is, turned over."""

    face: str
    sides: tuple[Side, ...]
    steps: tuple[Step, ...]
    letters: tuple[Letter, ...]
    ticks: tuple[Tick, ...]
    diagonal: Diagonal | None
    turned_from: str | None = None


@dataclass(frozen=True, slots=True)
class Around:
    """What a face is part of: the names of all faces that are there, the cabinet's lowest place,
    mm, and the carcase whose corners have letters.
    """

    faces: frozenset[str]
    floor: float
    carcase: Carcase | None = None


def laying_of(stencil: Stencil, around: Around, marks: Sequence[Mark]) -> Laying:
    """How the pieces of `stencil` are laid; `marks` are those to the cabinet's edges."""
    face = stencil.face
    sides = sides_of(face, around.faces, around.floor)
    letters = tuple(_letters(face, around.carcase))
    return Laying(
        face.name,
        sides,
        laying_order(stencil, sides, touching(stencil, sides)),
        letters,
        tuple(_ticks(stencil, sides, marks)),
        _diagonal(face, sides, letters),
    )


def turned_laying(laying: Laying, other: Face, around: Around, matrix: Floats) -> Laying:
    """How the same set is laid on the opposite face, turned over.

    `matrix` (2, 3) takes the frame of the set's own face to that of `other`. Order and ticks are
    those of the set, which is one; sides and letters are those of the face that it lies on.
    """
    sides = sides_of(other, around.faces, around.floor)
    letters = tuple(_letters(other, around.carcase))
    place = [_same_side(side, sides, matrix) for side in laying.sides]
    diagonal = None
    if laying.diagonal is not None:
        one, two = (_carried(end, matrix) for end in laying.diagonal.ends)
        names = _called(one, other, sides, letters), _called(two, other, sides, letters)
        diagonal = Diagonal((one, two), names)
    ticks = (
        Tick(
            place[tick.side],
            _carried(tick.at, matrix),
            tick.along,
            tuple(moved(chain, matrix) for chain in tick.strokes),
        )
        for tick in laying.ticks
    )
    steps = (
        Step(step.piece, step.against, tuple(place[at] for at in step.sides))
        for step in laying.steps
    )
    return Laying(other.name, sides, tuple(steps), letters, tuple(ticks), diagonal, laying.face)


def _same_side(side: Side, sides: Sequence[Side], matrix: Floats) -> int:
    """The side of the opposite face that a side comes to lie on."""
    spot = _carried(_middle(side), matrix)
    return min(range(len(sides)), key=lambda at: (round(math.dist(spot, _middle(sides[at]))), at))


def _middle(side: Side) -> Point:
    (ax, ay), (bx, by) = side.ends
    return (ax + bx) / 2, (ay + by) / 2


def _carried(at: Point, matrix: Floats) -> Point:
    (a, c, e), (b, d, f) = matrix.tolist()
    return a * at[0] + c * at[1] + e, b * at[0] + d * at[1] + f


def _letters(face: Face, carcase: Carcase | None) -> Iterator[Letter]:
    """The letters of the readings where they are on the face, each corner once."""
    panel = face.panel
    for name, at in zip(panel.corners, panel.outline, strict=True):
        if name is not None:
            yield Letter(name, at)
    if carcase is None or any(name is not None for name in panel.corners):
        return
    stands = {board.name: frozenset(board.edge or ()) for board in carcase.boards}
    own = stands.get(panel.name, frozenset())
    for index, edge in enumerate(panel.edges):
        for name in sorted(own & stands.get(edge.neighbour, frozenset())):
            if len(own & stands[edge.neighbour]) == 1:
                yield Letter(name, panel.outline[index])
                yield Letter(name, panel.outline[(index + 1) % len(panel.outline)])


def _ticks(stencil: Stencil, sides: Sequence[Side], marks: Sequence[Mark]) -> Iterator[Tick]:
    place = {edge: at for at, side in enumerate(sides) for edge in side.edges}
    for mark in marks:
        along = on_sharp_edge(stencil.face, mark.edge, mark.at)
        long = edge_length(stencil.face.panel, mark.edge)
        middle = len(mark.strokes) > 1
        end = None if middle else min(along, long - along)
        yield Tick(place[mark.edge], mark.at, end, mark.strokes)


def _diagonal(face: Face, sides: Sequence[Side], letters: Sequence[Letter]) -> Diagonal | None:
    """The longest line between corners of the board that are not beside each other.

    Of those alike to the mm the one whose ends come first round the board.
    """
    corners = _board_corners(face)
    count = len(corners)
    pairs = [
        (one, other) for one, other in combinations(range(count), 2) if 1 < other - one < count - 1
    ] or list(combinations(range(count), 2))
    if not pairs:
        return None
    best = max(pairs, key=lambda pair: (round(math.dist(corners[pair[0]], corners[pair[1]])),
                                        -pair[0], -pair[1]))  # fmt: skip
    ends = corners[best[0]], corners[best[1]]
    names = _called(ends[0], face, sides, letters), _called(ends[1], face, sides, letters)
    return Diagonal(ends, names)


def _board_corners(face: Face) -> list[Point]:
    """The corners of the whole board, counter-clockwise: where its rim turns."""
    ring = [(x, y) for x, y in face.outline.exterior.coords[:-1]]
    if not face.outline.exterior.is_ccw:
        ring.reverse()
    found = []
    for before, here, after in zip((ring[-1], *ring[:-1]), ring, (*ring[1:], ring[0]), strict=True):
        ax, ay = here[0] - before[0], here[1] - before[1]
        bx, by = after[0] - here[0], after[1] - here[1]
        turn = (ax * by - ay * bx) / (math.hypot(ax, ay) * math.hypot(bx, by))
        if turn > CORNER:
            found.append(here)
    return found


def _called(at: Point, face: Face, sides: Sequence[Side], letters: Sequence[Letter]) -> str:
    """What a corner of the board is called: by the letter that is there, or by the two sides."""
    corners = face.panel.outline
    nearest = min(range(len(corners)), key=lambda k: (round(math.dist(corners[k], at), 3), k))
    here = [letter.name for letter in letters if letter.at == corners[nearest]]
    if here and [letter.name for letter in letters].count(here[0]) == 1:
        return f"the corner at {here[0]}"
    owner = {edge: side for side in sides for edge in side.edges}
    beside = owner[(nearest - 1) % len(corners)], owner[nearest]
    names = [side.way or side.beyond or "" for side in beside]
    return f"the corner of {' and '.join(name for name in names if name)}"
