"""Where the ends of open paths meet: nodes.

Stands before loops. Ends that meet as closely as numbers are written do so first; only an end
that is then alone, a loose end, is joined to another one, the nearest within the join distance.
So the pieces of a curve may be shorter than that.
"""

from __future__ import annotations

import math
from collections import Counter
from itertools import chain, product
from typing import TYPE_CHECKING

from mateline.drawing.path import Arc

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

    from mateline.drawing.dxf.entities import Open

    Point = tuple[float, float]
    Cells = dict[tuple[int, int], list[int]]

MOST_COMPARED = 3_000_000  # ends looked at for one that is near, each time they are
CLOSED = 2e-3  # share of the join distance: a gap smaller than this is rounding


class Ends:
    """The nodes of paths. An end is 2 * the path's number, + 1 where the path ends.

    Raises ValueError where too many ends are near one another.
    """

    def __init__(self, paths: Sequence[Open], join: float) -> None:
        self._paths = paths
        self.points = [end for path in paths for end in (path.start, path.end)]
        self._node = list(range(len(self.points)))
        self._meet_exactly()
        self._meet_nearly(CLOSED * join)
        self._join_loose(join)

    def node(self, end: int) -> int:
        """The node of an end: the lowest end of those that meet there."""
        node = self._node
        while node[end] != end:
            node[end] = node[node[end]]
            end = node[end]
        return end

    def goes_nowhere(self, number: int, reach: float = math.inf) -> bool:
        """Whether a path stays within `reach` of its start, and could enclose next to nothing."""
        path = self._paths[number]
        if any(isinstance(step, Arc) and step.large for step in path.steps):
            return False
        if len(path.steps) == 1:
            return True
        return all(math.dist(path.start, (step.x, step.y)) <= reach for step in path.steps)

    def _meet_exactly(self) -> None:
        first: dict[Point, int] = {}
        for end, point in enumerate(self.points):
            self._merge(end, first.setdefault(point, end))

    def _meet_nearly(self, reach: float) -> None:
        nodes = {self.node(end) for end in range(len(self.points))}
        for _, one, other in self._pairs(nodes, nodes, reach):
            if self._may_meet(one, other, reach):
                self._merge(one, other)

    def _join_loose(self, join: float) -> None:
        loose = self._loose()
        for _, one, other in self._pairs(loose, loose, join):
            if one in loose and other in loose and self._may_meet(one, other, join):
                self._merge(one, other)
                loose -= {one, other}
        nodes = {self.node(end) for end in range(len(self.points))}
        for _, one, other in self._pairs(loose, nodes, join):
            if one in loose and self._may_meet(one, other, join):
                self._merge(one, other)
                loose -= {one, other}

    def _merge(self, one: int, other: int) -> None:
        one, other = self.node(one), self.node(other)
        self._node[max(one, other)] = min(one, other)

    def _loose(self) -> set[int]:
        count: dict[int, int] = {}
        for end in range(len(self.points)):
            node = self.node(end)
            count[node] = count.get(node, 0) + 1
        return {node for node, ends in count.items() if ends == 1}

    def _may_meet(self, one: int, other: int, reach: float) -> bool:
        return one // 2 != other // 2 or not self.goes_nowhere(one // 2, reach)

    def _pairs(
        self, some: Collection[int], others: Collection[int], reach: float
    ) -> list[tuple[float, int, int]]:
        """Distance and ends of those of `some` and `others` that are near, the nearest first."""
        cells: Cells = {}
        for end in sorted(others):
            cells.setdefault(self._cell(end, reach), []).append(end)
        _refuse_many(cells, Counter(self._cell(end, reach) for end in some))
        found = []
        for end in sorted(some):
            point = self.points[end]
            for near in chain.from_iterable(_around(cells, self._cell(end, reach))):
                far = math.dist(point, self.points[near])
                if near != end and far <= reach:
                    found.append((far, end, near))
        return sorted(found)

    def _cell(self, end: int, reach: float) -> tuple[int, int]:
        x, y = self.points[end]
        return math.floor(x / reach), math.floor(y / reach)


def _around(cells: Cells, cell: tuple[int, int]) -> Iterator[list[int]]:
    """The ends in a cell and the eight about it."""
    x, y = cell
    return (cells[at] for at in product((x - 1, x, x + 1), (y - 1, y, y + 1)) if at in cells)


def _refuse_many(cells: Cells, ends: Counter[tuple[int, int]]) -> None:
    """Count how often ends are compared, of which so many are in each cell, before any is.

    Raises ValueError where that is too often.
    """
    count = sum(many * sum(map(len, _around(cells, cell))) for cell, many in ends.items())
    if count > MOST_COMPARED:
        raise ValueError(
            "too many ends of lines lie where they could meet: they would be compared "
            f"{count} times, more than {MOST_COMPARED}"
        )
