"""Open paths joined end to end into closed loops.

Stands between the DXF entities and areas. Ends that are no farther apart than the join
distance meet; of several the nearest one is taken.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.artwork.dxf_steps import Open, backwards
from mateline.artwork.svg_path import Line, Subpath

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.artwork.svg_path import Step

    Point = tuple[float, float]

MOST_COMPARED = 3_000_000  # ends looked at for one that is near
CLOSED = 1e-9  # share of the join distance: a gap smaller than this is rounding


@dataclass(frozen=True, slots=True)
class Loop:
    """A closed path; `gap` is the largest distance that had to be closed, at `gap_at`."""

    subpath: Subpath
    element: str
    gap: float
    gap_at: Point


class _Ends:
    """Ends of paths not used yet, found by where they are."""

    def __init__(self, paths: Sequence[Open], join: float) -> None:
        self._join = join
        self._cells: dict[tuple[int, int], list[tuple[Point, int, bool]]] = {}
        self._used = [False] * len(paths)
        self._same: dict[Point, list[tuple[int, bool]]] = {}  # where ends meet exactly
        self._passed: dict[Point, int] = {}  # how many of those are known to be used
        self._compared = 0
        for number, path in enumerate(paths):
            for point, at_end in ((path.start, False), (path.end, True)):
                self._cells.setdefault(self._cell(point), []).append((point, number, at_end))
                self._same.setdefault(point, []).append((number, at_end))

    def take(self, number: int) -> bool:
        """Use a path; False when it is used already."""
        if self._used[number]:
            return False
        self._used[number] = True
        return True

    def nearest(self, point: Point) -> tuple[int, bool] | None:
        """The unused path with an end near `point`, and whether that is its last one."""
        same = self._same.get(point, ())
        for at in range(self._passed.get(point, 0), len(same)):
            number, at_end = same[at]
            if not self._used[number]:
                return number, at_end
            self._passed[point] = at + 1
        near = [
            (math.dist(point, place), number, at_end)
            for place, number, at_end in self._around(point)
            if not self._used[number] and math.dist(point, place) <= self._join
        ]
        return min(near)[1:] if near else None

    def _around(self, point: Point) -> Iterator[tuple[Point, int, bool]]:
        x, y = self._cell(point)
        for column in (x - 1, x, x + 1):
            for row in (y - 1, y, y + 1):
                found = self._cells.get((column, row), ())
                self._compared += len(found)
                if self._compared > MOST_COMPARED:
                    raise ValueError("too many ends of lines lie where they could meet")
                yield from found

    def _cell(self, point: Point) -> tuple[int, int]:
        return math.floor(point[0] / self._join), math.floor(point[1] / self._join)


def closed_loops(paths: Sequence[Open], join: float) -> tuple[list[Loop], list[Open]]:
    """Loops that the paths make, and the paths that are part of none."""
    ends = _Ends(paths, join)
    loops: list[Loop] = []
    left: list[Open] = []
    for number, path in enumerate(paths):
        if not ends.take(number):
            continue
        run = [path]
        while math.dist(run[-1].end, path.start) > join:
            found = ends.nearest(run[-1].end)
            if found is None:
                break
            following, at_end = found
            ends.take(following)
            run.append(backwards(paths[following]) if at_end else paths[following])
        else:
            if len(run) > 1 or len(path.steps) > 1:
                loops.append(_loop(run, join))
                continue
        left.extend(run)
    return loops, left


def _loop(run: list[Open], join: float) -> Loop:
    start = run[0].start
    steps: list[Step] = []
    worst, at = 0.0, start
    for path, following in zip(run, [*run[1:], run[0]], strict=True):
        steps.extend(path.steps)
        gap = math.dist(path.end, following.start)
        if gap > 0:
            steps.append(Line(*following.start))
        if gap > worst:
            worst, at = gap, path.end
    return Loop(
        Subpath(*start, steps, closed=True),
        run[0].element,
        worst if worst > CLOSED * join else 0.0,
        at,
    )
