"""Open paths joined end to end into closed loops.

Stands between end_matching and areas. What hangs on a loop by one end is no part of it. Loops
that share nodes are one figure, whose inside doesn't depend on the order or direction in which
its paths were drawn: where an even number of them meets at every node it is the even-odd
one, and where three meet somewhere, all that they enclose, since such lines part an area.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.drawing.dxf.end_matching import CLOSED, Ends
from mateline.drawing.dxf.entities import Open, backwards
from mateline.drawing.path import Line, Subpath

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.drawing.path import Step

    Point = tuple[float, float]

MOST_LOOSE = 400  # ends that are compared with one another
MISSED = 20  # times the join distance: ends that are farther apart were not meant to meet


@dataclass(frozen=True, slots=True)
class Figure:
    """Paths that hang together, closed ones or, where it is `parted`, open ones.

    `gap` is the largest distance that had to be closed, at `gap_at`; 0 for rounding.
    """

    subpaths: tuple[Subpath, ...]
    element: str
    parted: bool
    gap: float
    gap_at: Point


@dataclass(frozen=True, slots=True)
class Joined:
    """What paths make; those `left` are part of nothing, and of `twice` there is another one."""

    figures: tuple[Figure, ...]
    left: tuple[Open, ...]
    twice: tuple[Open, ...]


def joined(paths: Sequence[Open], join: float) -> Joined:
    """Figures that the paths make, and the paths that are part of none.

    Raises ValueError where too many ends are near one another.
    """
    graph = _Graph(paths, join)
    parts = [[number] for number in graph.closed()]
    twice = graph.doubled()
    left = graph.pruned()
    parts += graph.parts()
    return Joined(
        tuple(graph.figure(part, CLOSED * join) for part in sorted(parts)),
        tuple(paths[number] for number in left),
        tuple(paths[number] for number in twice),
    )


class _Graph:
    """Nodes, and at each the ends of paths that are not taken away yet."""

    def __init__(self, paths: Sequence[Open], join: float) -> None:
        self._paths = paths
        self._ends = Ends(paths, join)
        self._nodes = [self._ends.node(end) for end in range(2 * len(paths))]
        self._at: dict[int, list[int]] = {}
        for end, node in enumerate(self._nodes):
            self._at.setdefault(node, []).append(end)
        self._used = [False] * len(paths)

    def closed(self) -> list[int]:
        """Takes away the paths that are loops by themselves; their numbers."""
        return [n for n in self._rings() if not self._ends.goes_nowhere(n, 0.0) and self._take(n)]

    def doubled(self) -> list[int]:
        """Takes away all but the first of the paths that are the same; their numbers."""
        known: set[object] = set()
        found = []
        for number, path in enumerate(self._paths):
            if self._used[number]:
                continue
            key: object = min((path.start, path.steps), _reversed(path))
            if len(path.steps) == 1 and isinstance(path.steps[0], Line):
                key = frozenset(self._nodes[2 * number : 2 * number + 2])
            if key in known and self._take(number):
                found.append(number)
            known.add(key)
        return found

    def pruned(self) -> list[int]:
        """Takes away what hangs by one end or goes nowhere; the numbers of those paths."""
        left = [number for number in self._rings() if self._take(number)]
        waiting = [ends[0] for ends in self._at.values() if len(ends) == 1]
        while waiting:
            end = waiting.pop()
            if self._used[end // 2]:
                continue
            self._take(end // 2)
            left.append(end // 2)
            beyond = self._at[self._nodes[end ^ 1]]
            if len(beyond) == 1:
                waiting.append(beyond[0])
        return sorted(left)

    def parts(self) -> list[list[int]]:
        """The numbers of paths that hang together, part by part."""
        seen = list(self._used)
        found = []
        for first in range(len(self._paths)):
            part, waiting = [], [first]
            while waiting:
                number = waiting.pop()
                if seen[number]:
                    continue
                seen[number] = True
                part.append(number)
                for end in (2 * number, 2 * number + 1):
                    waiting.extend(other // 2 for other in self._at[self._nodes[end]])
            if part:
                found.append(sorted(part))
        return found

    def figure(self, part: Sequence[int], rounding: float) -> Figure:
        """The figure of the paths of one part."""
        ends = [end for number in part for end in (2 * number, 2 * number + 1)]
        parted = any(len(self._at[self._nodes[end]]) % 2 for end in ends)
        if len(part) == 1:
            runs = [[self._paths[part[0]]]]
        elif parted:
            runs = [[self._paths[number]] for number in part]
        else:
            runs = list(self._walked(part))
        gaps = [gap for run in runs for gap in _gaps(run)]
        subpaths = [_subpath(run, closed=not parted) for run in runs]
        if parted:
            points = self._ends.points
            gaps = [(points[end], points[self._nodes[end]]) for end in ends]
            subpaths += [Subpath(*at, [Line(*to)], closed=False) for at, to in gaps if at != to]
        worst, at = max((math.dist(*gap), gap[0]) for gap in gaps)
        return Figure(
            tuple(subpaths),
            self._paths[part[0]].element,
            parted,
            worst if worst > rounding else 0.0,
            at,
        )

    def _rings(self) -> list[int]:
        return [
            number
            for number, used in enumerate(self._used)
            if not used and self._nodes[2 * number] == self._nodes[2 * number + 1]
        ]

    def _take(self, number: int) -> bool:
        self._used[number] = True
        for end in (2 * number, 2 * number + 1):
            self._at[self._nodes[end]].remove(end)
        return True

    def _walked(self, part: Sequence[int]) -> Iterator[list[Open]]:
        """Loops of a part where an even number of ends meets at every node.

        A walk that comes to a node again has closed a loop, which is taken off it.
        """
        unused = {node: self._at[node][::-1] for number in part for node in self._both(number)}
        walked: set[int] = set()
        for first in part:
            run: list[int] = []  # the ends that the walk's paths start with
            place: dict[int, int] = {}  # in it, of the node where they do
            end: int | None = 2 * first
            while end is not None and end // 2 not in walked:
                walked.add(end // 2)
                place[self._nodes[end]] = len(run)
                run.append(end)
                here = self._nodes[end ^ 1]
                if here in place:
                    at = place[here]
                    for taken in run[at:]:
                        del place[self._nodes[taken]]
                    yield [self._from(taken) for taken in run[at:]]
                    del run[at:]
                while unused[here] and unused[here][-1] // 2 in walked:
                    unused[here].pop()
                end = unused[here][-1] if unused[here] else None

    def _both(self, number: int) -> list[int]:
        return self._nodes[2 * number : 2 * number + 2]

    def _from(self, end: int) -> Open:
        path = self._paths[end // 2]
        return backwards(path) if end % 2 else path


def nearly_closed(paths: Sequence[Open], join: float) -> dict[Open, str]:
    """For paths of no loop with an end near another's: by how much they miss one another."""
    ends = [(end, path) for path in paths for end in (path.start, path.end)]
    if len(ends) > MOST_LOOSE:
        return {}
    found: dict[Open, str] = {}
    for at, (end, path) in enumerate(ends):
        apart = [math.dist(end, other) for k, (other, _) in enumerate(ends) if k != at]
        gap = min(apart)
        if join < gap <= MISSED * join:
            found[path] = (
                f"; its end at ({end[0]:g}, {end[1]:g}) misses another one by {gap:.3g}, and only "
                f"ends within {join:.3g} are joined"
            )
    return found


def _reversed(path: Open) -> tuple[Point, tuple[Step, ...]]:
    back = backwards(path)
    return back.start, back.steps


def _gaps(run: Sequence[Open]) -> list[tuple[Point, Point]]:
    """From the end of each path of a loop to the start of the one after it."""
    return [(a.end, b.start) for a, b in zip(run, [*run[1:], run[0]], strict=True)]


def _subpath(run: Sequence[Open], *, closed: bool) -> Subpath:
    steps: list[Step] = []
    for path, (end, start) in zip(run, _gaps(run), strict=True):
        steps.extend(path.steps)
        if closed and end != start:
            steps.append(Line(*start))
    return Subpath(*run[0].start, steps, closed=closed)
