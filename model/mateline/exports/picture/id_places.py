"""Where the ids of a face's pieces stand in a drawing on a screen, and where what is marked is led.

Stands after widest. The picture of a face and the book's drawing both ask here, each in a unit of
its own: px or mm, y down.

    inside  an id in its piece's widest place, as large as that lets it be
    led     an id, or a finding's disc, that stands beside its place, clear of what is taken
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from mateline.curves import Point
    from mateline.exports.picture.widest import Lines
    from mateline.stencil.pieces import Piece
    from mateline.stencil.stencil import Stencil

ROOM = 0.8  # no unit: share of the widest circle that an id may fill
WIDE, HIGH = 0.6, 0.72  # no unit: about how wide and high a sign is, as shares of its size
MOST_CALLED = 40  # ids led aside; more would hide the drawing, and are read when it is enlarged
RINGS = 12  # round a place, that are looked at for one that is clear


@dataclass(frozen=True, slots=True)
class IdPlace:
    """A piece, the middle of its widest place, and the size of lettering that fits there."""

    piece: Piece
    at: Point
    size: float


def id_places(stencil: Stencil, widest: Lines, scale: float = 1.0) -> list[IdPlace]:
    """One for each piece of the face, at `scale`."""
    top = stencil.face.outline.bounds[3]
    found = []
    for piece, circle in zip(stencil.pieces, widest, strict=True):
        (x, y), _ = circle.coords
        signs = math.hypot(WIDE / 2 * len(piece.short), HIGH / 2)
        size = ROOM * circle.length * scale / signs
        found.append(IdPlace(piece, (x * scale, (top - y) * scale), size))
    return found


def to_be_led(places: Iterable[IdPlace], least: float) -> frozenset[str]:
    """The pieces whose ids can't be read in them, lettered smaller than `least`; none where there
    are so many that they would hide the drawing.
    """
    small = frozenset(each.piece.id for each in places if each.size < least)
    return frozenset() if len(small) > MOST_CALLED else small


def led(places: Iterable[Point], taken: Sequence[Point], radius: float) -> Iterator[Point]:
    """For each place the nearest one where a disc is clear of all that is taken, which it takes.

    All discs have one `radius`. Where all is taken it stands on its place.
    """
    all_taken = list(taken)
    for place in places:
        at = _clear(place, all_taken, radius)
        all_taken.append(at)
        yield at


def _clear(place: Point, taken: Sequence[Point], radius: float) -> Point:
    steps = [(0.0, 0.0)]
    for ring in range(1, RINGS):
        reach, count = 1.2 * radius * ring, 6 * ring
        turns = [math.tau * step / count - math.pi / 4 for step in range(count)]
        steps += [(reach * math.cos(turn), reach * math.sin(turn)) for turn in turns]
    for step in steps:
        at = (place[0] + step[0], place[1] + step[1])
        if all(math.dist(at, other) >= 2.2 * radius for other in taken):
            return at
    return place
