"""Breaks in lines, closed where the line goes on.

Stands in pen lines before basins. Where a stroke ends, another that ends across the gap and points
back at it is its other half; else the stroke goes on straight to the line that it falls short of.
The thinned lines say only where strokes end and which way they point; what is closed is no ink and
is measured nowhere.

    ====>  - - -  <====      ====> - - ||
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

LONGEST = 4.4  # mm between the ends of thinned strokes: 3.2 and a pen's round ends
ALONG = 2.5  # mm of a stroke that say which way it points
SPUR = 1.3  # pens: what is thinned to a twig no longer than this is the ink's ragged edge
ASKEW = 0.6  # rad: how far off its way the other half may be
STEP = 0.5  # squares, along a stroke drawn on

Place = tuple[int, int]


@dataclass(frozen=True, slots=True)
class _End:
    """The last square of a stroke (row, column), the unit vector that it points along, and whether
    it is long: a short one may be a blot's ragged edge, and is drawn on to no line.
    """

    at: Place
    way: tuple[float, float]
    long: bool


def bridged(lines: Bools, pitch: float, pen: float) -> Bools:
    """Squares that close the breaks of `lines`, in squares of `pitch` mm; not the lines' own."""
    ends = _ends(lines, pitch, pen)
    bridges = np.zeros(lines.shape, dtype=bool)
    free = set(range(len(ends)))
    for _, one, other in _halves(ends, pitch):
        if one in free and other in free:
            free -= {one, other}
            _drawn(bridges, ends[one].at, ends[other].at)
    for at in sorted(free):
        if not ends[at].long:
            continue
        to = _met(lines, ends[at], LONGEST / pitch, 0.7 * pen / pitch)
        if to is not None:
            _drawn(bridges, ends[at].at, to)
    return bridges & ~lines


def _ends(lines: Bools, pitch: float, pen: float) -> list[_End]:
    """Where strokes end."""
    from scipy import ndimage  # noqa: PLC0415  slow to import
    from skimage.morphology import skeletonize  # noqa: PLC0415  slow to import

    thin = skeletonize(lines)  # type: ignore[no-untyped-call]
    count = ndimage.convolve(
        thin.astype(np.int16), np.ones((3, 3), dtype=np.int16), mode="constant"
    )
    rows, columns = np.nonzero(thin & (count == 2))
    far = max(3, int(ALONG / pitch))
    found = []
    for row, column in zip(rows.tolist(), columns.tolist(), strict=True):
        path, split = _walk(thin, (row, column), far)
        if len(path) < 3 or (split and len(path) * pitch < SPUR * pen):
            continue
        start = path[min(len(path) - 1, max(1, int(0.3 * pen / pitch)))]
        back = np.array(start) - np.array(path[-1])
        size = float(np.hypot(back[0], back[1]))
        if size > 0:
            way = (float(back[0]) / size, float(back[1]) / size)
            found.append(_End((row, column), way, not split))
    return found


def _walk(thin: Bools, start: Place, far: int) -> tuple[list[Place], bool]:
    """The thinned stroke from its end for `far` squares, and whether it came to a fork first."""
    path = [start]
    before = {start}
    while len(path) < far:
        row, column = path[-1]
        near = [
            (row + down, column + right)
            for down in (-1, 0, 1)
            for right in (-1, 0, 1)
            if (down or right)
            and 0 <= row + down < thin.shape[0]
            and 0 <= column + right < thin.shape[1]
            and thin[row + down, column + right]
            and (row + down, column + right) not in before
        ]
        if not near:
            return path, False
        # corners of a staircase are no fork
        steps = sorted(near, key=lambda at: abs(at[0] - row) + abs(at[1] - column))
        if len(near) > 1 and not all(
            max(abs(at[0] - steps[0][0]), abs(at[1] - steps[0][1])) <= 1 for at in near
        ):
            return path, True
        before.update(near)
        path.append(steps[0])
    return path, False


def _halves(ends: list[_End], pitch: float) -> list[tuple[float, int, int]]:
    """Pairs of ends that may be one stroke's, the likeliest first: how far, and how far askew."""
    found = []
    reach = LONGEST / pitch
    for one, a in enumerate(ends):
        for other in range(one + 1, len(ends)):
            b = ends[other]
            down, right = b.at[0] - a.at[0], b.at[1] - a.at[1]
            if abs(down) > reach or abs(right) > reach:
                continue
            gap = float(np.hypot(down, right))
            if gap > reach or gap == 0:
                continue
            turns = [
                _angle(a.way, (down / gap, right / gap)),
                _angle(b.way, (-down / gap, -right / gap)),
            ]
            if max(turns) < ASKEW or (gap * pitch < 1.0 and max(turns) < 2 * ASKEW):
                found.append((round(gap * (1 + sum(turns)), 3), one, other))
    return sorted(found)


def _angle(one: tuple[float, float], other: tuple[float, float]) -> float:
    cosine = one[0] * other[0] + one[1] * other[1]
    return float(np.arccos(min(1.0, max(-1.0, cosine))))


def _met(lines: Bools, end: _End, reach: float, own: float) -> Place | None:
    """The first square of a line that a stroke comes to when it is drawn on; `own` squares from
    its end are still itself.
    """
    left = False
    for step in np.arange(own, reach, STEP).tolist():
        row = int(np.floor(end.at[0] + step * end.way[0] + 0.5))
        column = int(np.floor(end.at[1] + step * end.way[1] + 0.5))
        if not (0 <= row < lines.shape[0] and 0 <= column < lines.shape[1]):
            return None
        left |= not lines[row, column]
        if left and lines[row, column]:
            return row, column
    return None


def _drawn(board: Bools, one: Place, other: Place) -> None:
    """A line of squares that hang together by their sides."""
    count = 2 * max(abs(one[0] - other[0]), abs(one[1] - other[1])) + 1
    share = np.linspace(0, 1, count)
    rows = np.floor(one[0] + share * (other[0] - one[0]) + 0.5).astype(np.int64)
    columns = np.floor(one[1] + share * (other[1] - one[1]) + 0.5).astype(np.int64)
    board[rows, columns] = True
    board[rows[1:], columns[:-1]] = True
