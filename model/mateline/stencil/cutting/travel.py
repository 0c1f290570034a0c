"""Travel: the order of strokes and where they begin and end, with little way between them.

Stands after euler_trails, before cut_path. A link is the way from one stroke to the next. The order
is changed for as long as one of these makes the links shorter, and then started anew from changes
at random, always the same ones, of which the better orders are kept (iterated local search):

    turned   a run of strokes is reversed (2-opt; Croes 1958)
    moved    up to `RUN` strokes go elsewhere, either way round (Or 1976)
    spliced  a run of strokes closes on itself by a link, and its circuit is cut on the way of
             another stroke, at a node that both pass: so strokes change their ends (Hierholzer)
    begun    a closed stroke begins at another node of it

The knife may begin anywhere; `finish` says what it costs to end at a node.
"""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

import numpy as np
from scipy.spatial import cKDTree

from mateline.stencil.cutting.euler_trails import first_node, last_node, reversed_run, spliced

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from mateline.curves import Point
    from mateline.stencil.cutting.euler_trails import Ends, Trail

GAIN = 1e-6  # mm: what a change must save to be made, so that rounding can't make it go on
NEAR = 10  # nodes near each to which its link may change
RUN = 6  # strokes that are moved together
LONG = 50_000  # a spliced run's strokes times all: longer are slow to try, and seldom allowed
KICKS = 200  # changes at random for up to `MANY` strokes, and fewer for more: each takes longer
MANY = 100
WINDOW = 30  # strokes: how far such a change reaches
SEED = 1736


class Route:
    """What travel is measured on: borders, their nodes' points, and the cost of ending at each.

    `finish` has every node where a stroke may end. `allowed` says whether strokes may be cut in
    an order.
    """

    def __init__(
        self,
        ends: Mapping[int, Ends],
        places: Sequence[Point],
        finish: Mapping[int, float],
        allowed: Callable[[Sequence[Trail]], bool],
    ) -> None:
        self.ends, self.finish, self.allowed = ends, finish, allowed
        self.places = [complex(x, y) for x, y in places]
        self.near = _near(places, sorted(finish))

    def way(self, a: int | None, b: int | None) -> float:
        """Travel from node `a` to `b`, mm; None is before the first stroke or after the last."""
        if a is None:
            return 0.0
        return self.finish[a] if b is None else abs(self.places[a] - self.places[b])


def shortened(strokes: Sequence[Trail], route: Route) -> list[Trail]:
    """The strokes, or others through the same borders and as many, with little travel.

    `strokes` must be allowed, and what is returned is. The same input gives the same output.
    """
    search = _Search(route, list(strokes))
    search.settle([*search.firsts, *search.lasts])
    best, least = search.strokes, search.travel()
    count = len(best)
    if count < 3:
        return best
    chance = np.random.default_rng(SEED)
    for _ in range(min(KICKS, KICKS * MANY**2 // count**2)):
        changed, touched = _kicked(best, chance)
        if not changed or not route.allowed(changed):
            continue
        search.take(changed)
        search.settle(search.around(touched))
        found = search.travel()
        if found < least - GAIN:
            best, least = search.strokes, found
    return best


def _near(places: Sequence[Point], nodes: list[int]) -> dict[int, list[int]]:
    """For each node those near it, the nearest first."""
    if len(nodes) < 2:
        return {node: [] for node in nodes}
    points = np.array([places[node] for node in nodes])
    _, found = cKDTree(points).query(points, k=min(NEAR + 1, len(nodes)))
    return {
        node: [nodes[at] for at in row if nodes[at] != node]
        for node, row in zip(nodes, found.tolist(), strict=True)
    }


def _kicked(
    strokes: list[Trail], chance: np.random.Generator
) -> tuple[list[Trail], tuple[int, ...]]:
    """Two neighbouring runs of strokes exchanged, one of them perhaps reversed; and the gaps."""
    count = len(strokes)
    start, kind = int(chance.integers(count)), int(chance.integers(3))
    sizes = chance.integers(1, WINDOW, 2).tolist()
    a, b, c = sorted({start, *(min(count, start + size) for size in sizes)} | {-1, -2})[-3:]
    if a < 0:
        return [], ()
    before, after = strokes[a:b], strokes[b:c]
    if kind == 1:
        before = reversed_run(before)
    elif kind == 2:
        after = reversed_run(after)
    return [*strokes[:a], *after, *before, *strokes[c:]], (a, a + c - b, c)


class _Search:
    """Strokes in an order that only gets shorter; gap i lies before stroke i."""

    def __init__(self, route: Route, strokes: list[Trail]) -> None:
        self.route = route
        self.waiting: deque[int] = deque()
        self.take(strokes)

    def take(self, strokes: list[Trail]) -> None:
        """Go on from these strokes."""
        ends = self.route.ends
        self.strokes = strokes
        self.firsts = [first_node(stroke, ends) for stroke in strokes]
        self.lasts = [last_node(stroke, ends) for stroke in strokes]
        self.where = {
            node: at for nodes in (self.firsts, self.lasts) for at, node in enumerate(nodes)
        }

    def travel(self) -> float:
        """All links and the finish, mm."""
        return sum(self._gap(at) for at in range(len(self.strokes) + 1))

    def around(self, gaps: Iterable[int]) -> Iterator[int]:
        """The nodes on both sides of gaps."""
        for gap in gaps:
            yield from (node for node in (self._before(gap), self._after(gap)) if node is not None)

    def settle(self, nodes: Iterable[int]) -> None:
        """Change what can be made shorter at `nodes`, and then round each change."""
        self.waiting.extend(nodes)
        while self.waiting:
            node = self.waiting.popleft()
            while node in self.where and self._improved(node):
                pass

    def _before(self, gap: int) -> int | None:
        return self.lasts[gap - 1] if gap else None

    def _after(self, gap: int) -> int | None:
        return self.firsts[gap] if gap < len(self.firsts) else None

    def _gap(self, gap: int) -> float:
        return self.route.way(self._before(gap), self._after(gap))

    def _accept(self, strokes: list[Trail], gaps: Iterable[int]) -> bool:
        if not self.route.allowed(strokes):
            return False
        self.waiting.extend(self.around(gaps))
        self.take(strokes)
        return True

    def _improved(self, node: int) -> bool:
        at = self.where[node]
        first, last = self.firsts[at] == node, self.lasts[at] == node
        return (
            (first and last and self._begin(at))
            or (first and self._relink(node, at, first=True))
            or (last and self._relink(node, at + 1, first=False))
            or self._move(node, at)
        )

    def _relink(self, node: int, gap: int, *, first: bool) -> bool:
        """Change the link at `gap`, one end of which is `node`, and another one with it."""
        for other, _ in self._nearer(node, self._gap(gap)):
            at = self.where[other]
            for second, kind in ((at, self.firsts), (at + 1, self.lasts)):
                if second == gap or kind[at] != other:
                    continue
                turn = first == (kind is self.firsts)
                low, high = min(gap, second), max(gap, second)
                if (self._turn if turn else self._splice)(low, high):
                    return True
        return False

    def _nearer(self, node: int, limit: float) -> Iterator[tuple[int, float]]:
        """Ends of strokes that are nearer to `node` than `limit`."""
        places = self.route.places
        for other in self.route.near[node]:
            way = abs(places[node] - places[other])
            if way >= limit - GAIN:
                return
            if other in self.where:
                yield other, way

    def _turn(self, low: int, high: int) -> bool:
        """Reverse the strokes between two gaps."""
        way, strokes = self.route.way, self.strokes
        new = way(self._before(low), self._before(high)) + way(self._after(low), self._after(high))
        if new >= self._gap(low) + self._gap(high) - GAIN:
            return False
        run = reversed_run(strokes[low:high])
        return self._accept([*strokes[:low], *run, *strokes[high:]], (low, high))

    def _splice(self, low: int, high: int) -> bool:
        """Close the strokes between two gaps on themselves, and cut them on another's way."""
        way = self.route.way
        size, count = high - low, len(self.strokes)
        if size == count or size * count > LONG:
            return False
        new = way(self._before(low), self._after(high)) + way(self._before(high), self._after(low))
        if new >= self._gap(low) + self._gap(high) - GAIN:
            return False
        strokes = self.strokes
        run, rest = strokes[low:high], strokes[:low] + strokes[high:]
        return any(
            self._accept(found, (low, high)) for found in spliced(run, rest, self.route.ends)
        )

    def _move(self, node: int, at: int) -> bool:
        """Put a run of strokes that begins or ends at `node` elsewhere."""
        count = len(self.strokes)
        for size in range(1, min(RUN, count - 1) + 1):
            for low, first in ((at, True), (at - size + 1, False)):
                high = low + size
                if low < 0 or high > count:
                    continue
                if node == (self.firsts[low] if first else self.lasts[high - 1]):
                    found = self._place(node, low, high, first=first)
                    if found is not None and self._put(low, high, *found):
                        return True
        return False

    def _place(self, node: int, low: int, high: int, *, first: bool) -> tuple[int, bool] | None:
        """The gap where strokes low..high cost less, with `node` beside a near end, if any does.

        And whether they are reversed there.
        """
        way = self.route.way
        far = self.lasts[high - 1] if first else self.firsts[low]
        saved = self._gap(low) + self._gap(high) - way(self._before(low), self._after(high))
        for other, near in self._nearer(node, saved):
            at = self.where[other]
            if low <= at < high:
                continue
            if self.lasts[at] == other and at + 1 != low:
                cost = near + way(far, self._after(at + 1)) - self._gap(at + 1)
                if cost < saved - GAIN:
                    return at + 1, not first
            if self.firsts[at] == other and at != high:
                cost = way(self._before(at), far) + near - self._gap(at)
                if cost < saved - GAIN:
                    return at, first
        return None

    def _put(self, low: int, high: int, gap: int, back: bool) -> bool:  # noqa: FBT001
        strokes = self.strokes
        run = reversed_run(strokes[low:high]) if back else strokes[low:high]
        if gap < low:
            changed = [*strokes[:gap], *run, *strokes[gap:low], *strokes[high:]]
        else:
            changed = [*strokes[:low], *strokes[high:gap], *run, *strokes[gap:]]
        return self._accept(changed, (low, high, gap))

    def _begin(self, at: int) -> bool:
        """Let the closed stroke `at` begin at another node, here or elsewhere."""
        way, strokes, stroke = self.route.way, self.strokes, self.strokes[at]
        least = self._gap(at) + self._gap(at + 1) - way(self._before(at), self._after(at + 1))
        best: tuple[int, int] | None = None
        for turn, border in enumerate(stroke):
            node = first_node((border,), self.route.ends)
            for gap in self._gaps_near(node, at):
                a, b = self._before(gap), self._after(at + 1 if gap == at else gap)
                cost = way(a, node) + way(node, b) - way(a, b)
                if cost < least - GAIN:
                    least, best = cost, (gap, turn)
        if best is None:
            return False
        gap, turn = best
        run = stroke[turn:] + stroke[:turn]
        if gap <= at:
            changed = [*strokes[:gap], run, *strokes[gap:at], *strokes[at + 1 :]]
        else:
            changed = [*strokes[:at], *strokes[at + 1 : gap], run, *strokes[gap:]]
        return self._accept(changed, (at, at + 1, gap))

    def _gaps_near(self, node: int, at: int) -> list[int]:
        """Where a closed stroke, now `at`, could begin at `node`: here, or beside near ends."""
        others = [self.where[other] for other in self.route.near[node] if other in self.where]
        gaps = [gap for other in others for gap in (other, other + 1)]
        return [at, *(gap for gap in gaps if gap not in {at, at + 1})]
