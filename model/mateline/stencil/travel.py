"""Travel: the order and the directions of strokes, with little way between them.

Stands after eulertrails, before cutpath. Blocks of strokes are put one behind the other by the
nearest end, and then improved until no reversal of a run of strokes, and no move of up to three
strokes to another place, makes the travel shorter (2-opt and Or-opt; Croes 1958, Or 1976).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from mateline.stencil.eulertrails import first_node, last_node, reverse

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.curves import Point
    from mateline.stencil.eulertrails import Ends, Trail

    Points = NDArray[np.complex128]

GAIN = 1e-6  # mm: what a change must save to be made, so that rounding can't make it go on
ROUNDS = 30  # passes over all strokes; each only shortens
RUN = 3  # strokes that are moved together
ROWS = 256  # runs that are looked at together: bounds the memory


class Route:
    """Borders and the points of their nodes: what travel is measured on."""

    def __init__(self, ends: Mapping[int, Ends], places: Sequence[Point]) -> None:
        self.ends, self.places = ends, places

    def gap(self, a: int, b: int) -> float:
        """Distance between two nodes, mm."""
        return math.dist(self.places[a], self.places[b])

    def points(self, strokes: Sequence[Trail]) -> tuple[Points, Points]:
        """First and last points of strokes, as complex numbers: their distances are quick."""
        places = np.array([complex(x, y) for x, y in self.places])
        firsts = [first_node(stroke, self.ends) for stroke in strokes]
        lasts = [last_node(stroke, self.ends) for stroke in strokes]
        return places[firsts], places[lasts]

    def ending_on(self, strokes: list[Trail], nodes: set[int]) -> list[Trail]:
        """The strokes with the last one ending on one of `nodes`, if any end can, at least cost.

        Either the strokes from some one on are reversed, or all after it are put first.
        """
        firsts = [first_node(stroke, self.ends) for stroke in strokes]
        lasts = [last_node(stroke, self.ends) for stroke in strokes]
        if not strokes or lasts[-1] in nodes:
            return strokes
        costs: list[tuple[float, int, bool]] = []
        for at, (first, last) in enumerate(zip(firsts, lasts, strict=True)):
            before = lasts[at - 1] if at else None
            if first in nodes:
                saved = 0.0 if before is None else self.gap(before, first)
                cost = 0.0 if before is None else self.gap(before, lasts[-1])
                costs.append((cost - saved, at, True))
            if last in nodes:
                cost = self.gap(lasts[-1], firsts[0]) - self.gap(last, firsts[at + 1])
                costs.append((cost, at + 1, False))
        if not costs:
            return strokes
        _, at, turned = min(costs)
        if turned:
            return [*strokes[:at], *(reverse(stroke) for stroke in reversed(strokes[at:]))]
        return strokes[at:] + strokes[:at]


def shortened(blocks: Sequence[list[Trail]], route: Route, start: Point) -> list[Trail]:
    """All strokes of `blocks` in one order with little travel from `start` on."""
    strokes = _nearest_first(blocks, route, start)
    if not strokes:
        return []
    order = _Order(complex(*start), *route.points(strokes))
    for _ in range(ROUNDS):
        reversed_some = order.reverse_runs()
        moved_some = order.move_runs()
        if not (reversed_some or moved_some):
            break
    loops = [first_node(each, route.ends) == last_node(each, route.ends) for each in strokes]
    return [
        reverse(strokes[at]) if back and not loops[at] else strokes[at]
        for at, back in zip(order.order.tolist(), order.turned.tolist(), strict=True)
    ]


def _nearest_first(blocks: Sequence[list[Trail]], route: Route, start: Point) -> list[Trail]:
    """Blocks by the nearest free end, each walked from that end."""
    firsts, _ = route.points([block[0] for block in blocks])
    _, lasts = route.points([block[-1] for block in blocks])
    free = np.ones(len(blocks), dtype=bool)
    at = complex(*start)
    strokes: list[Trail] = []
    for _ in blocks:
        gaps = np.abs(np.stack([firsts, lasts]) - at)
        gaps[:, ~free] = np.inf
        back, index = divmod(int(np.argmin(gaps)), len(blocks))
        free[index] = False
        block = blocks[index]
        strokes += [reverse(stroke) for stroke in reversed(block)] if back else block
        at = firsts[index] if back else lasts[index]
    return strokes


class _Order:
    """Strokes in an order, each turned or not; `first` and `last` are their ends as cut."""

    def __init__(self, start: complex, first: Points, last: Points) -> None:
        self.start, self.first, self.last = start, first, last
        self.order = np.arange(len(first))
        self.turned = np.zeros(len(first), dtype=bool)

    def reverse_runs(self) -> bool:
        """Reverse runs i..j where that saves, for each i the best j."""
        changed = False
        for i in range(len(self.order)):
            before = self.last[i - 1] if i else self.start
            new = np.abs(before - self.last[i:])
            # After the last stroke there is nowhere to go: no gap to count.
            heads, ends = self.first[i + 1 :], self.last[i:-1]
            new[:-1] += np.abs(heads - self.first[i]) - np.abs(heads - ends)
            best = int(np.argmin(new))
            if new[best] < abs(before - self.first[i]) - GAIN:
                self._reverse(i, i + best + 1)
                changed = True
        return changed

    def move_runs(self) -> bool:
        """Move runs of up to `RUN` strokes, either way round, to where they cost least."""
        changed = False
        for size in range(1, min(RUN, len(self.order) - 1) + 1):
            for stroke in self._movable(size).tolist():
                at = int(np.flatnonzero(self.order == stroke)[0])
                if at + size <= len(self.order):
                    changed |= self._move(at, size)
        return changed

    def _movable(self, size: int) -> NDArray[np.int64]:
        """Strokes from which on a run of `size` would save travel somewhere else."""
        count = len(self.order)
        ends = np.append(self.start, self.last)  # gap g: from ends[g] to first[g]; the last is open
        runs = np.arange(count - size + 1)
        saved = np.abs(ends[runs] - self.first[runs])
        inner = runs[:-1]
        after = self.first[inner + size]
        saved[:-1] += np.abs(self.last[inner + size - 1] - after) - np.abs(ends[inner] - after)
        found = []
        for low in range(0, len(runs), ROWS):
            part = runs[low : low + ROWS, None]
            cost = np.minimum(
                _inserted(ends, self.first, self.first[part], self.last[part + size - 1]),
                _inserted(ends, self.first, self.last[part + size - 1], self.first[part]),
            )
            gaps = np.arange(count + 1)
            cost[(gaps >= part) & (gaps <= part + size)] = np.inf
            found.append(part[cost.min(axis=1) < saved[part[:, 0]] - GAIN, 0])
        movable: NDArray[np.int64] = self.order[np.concatenate(found)]
        return movable

    def _move(self, i: int, size: int) -> bool:
        j = i + size
        first, last = self.first[i], self.last[j - 1]
        before = self.last[i - 1] if i else self.start
        saved = abs(before - first)
        if j < len(self.order):
            saved += abs(last - self.first[j]) - abs(before - self.first[j])
        rest = np.delete(np.arange(len(self.order)), slice(i, j))
        ends = np.append(self.start, self.last[rest])
        heads = self.first[rest]
        costs = np.stack([_inserted(ends, heads, a, b) for a, b in ((first, last), (last, first))])
        back, gap = divmod(int(np.argmin(costs)), costs.shape[1])
        if costs[back, gap] >= saved - GAIN:
            return False
        run = np.arange(i, j)
        self._take(np.concatenate([rest[:gap], run[::-1] if back else run, rest[gap:]]))
        if back:
            self._turn(slice(gap, gap + size))
        return True

    def _reverse(self, i: int, j: int) -> None:
        run = np.arange(len(self.order))
        run[i:j] = run[i:j][::-1]
        self._take(run)
        self._turn(slice(i, j))

    def _take(self, order: NDArray[np.int64]) -> None:
        self.order, self.turned = self.order[order], self.turned[order]
        self.first, self.last = self.first[order], self.last[order]

    def _turn(self, run: slice) -> None:
        self.turned[run] = ~self.turned[run]
        first = self.first[run].copy()
        self.first[run], self.last[run] = self.last[run], first


def _inserted(ends: Points, heads: Points, first: Any, last: Any) -> NDArray[np.float64]:
    """What it costs to put a run from `first` to `last` into each gap; the last gap is open."""
    cost: NDArray[np.float64] = np.abs(ends - first)
    cost[..., :-1] += np.abs(heads - last) - np.abs(heads - ends[:-1])
    return cost
