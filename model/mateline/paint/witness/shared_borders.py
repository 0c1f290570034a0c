"""Where colours meet: the borders between two colours of a face, and how long each is.

Stands after lightness. The order of passes and the witness lines both read this.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from numpy.typing import NDArray

    from mateline.curves import Point
    from mateline.stencil.stencil import Stencil


@dataclass(frozen=True, slots=True)
class Meeting:
    """One border between two pieces: its place in the pattern, the pieces' places among the
    stencil's pieces, and their colours.

    `length` in mm; `at` is a point on it, half-way along, in the face frame.
    """

    face: str
    border: int
    pieces: tuple[int, int]
    colours: tuple[str, str]
    length: float
    at: Point


def meetings_of(stencil: Stencil) -> tuple[Meeting, ...]:
    """Every border of the face that has a piece on each side; none where no board is laid."""
    return tuple(_meetings(stencil)) if stencil.has_board else ()


def _meetings(stencil: Stencil) -> Iterator[Meeting]:
    place = {piece.region: at for at, piece in enumerate(stencil.pieces)}
    for index, border in enumerate(stencil.pattern.borders):
        if border.left < 0 or border.right < 0:
            continue
        length, at = _middle(border.points)
        one, other = place[border.left], place[border.right]
        yield Meeting(
            stencil.face.name,
            index,
            (one, other),
            (stencil.pieces[one].colour, stencil.pieces[other].colour),
            length,
            at,
        )


def _middle(points: NDArray[np.float64]) -> tuple[float, Point]:
    """Length of a chain of facets (n, 2), and the point half-way along it. mm."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    along = np.append(0.0, np.cumsum(steps))
    half = along[-1] / 2
    x, y = (float(np.interp(half, along, points[:, axis])) for axis in (0, 1))
    return float(along[-1]), (x, y)


def shared_lengths(meetings: Iterable[Meeting]) -> dict[frozenset[str], float]:
    """For each two colours that meet, the length of all their borders, mm."""
    total: dict[frozenset[str], float] = defaultdict(float)
    for meeting in meetings:
        total[frozenset(meeting.colours)] += meeting.length
    return dict(total)
