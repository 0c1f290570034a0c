"""Travel: the order of strokes and where they begin and end, with little way between them.

Stands after tour, which has the words, and before cut_path. It is a travelling salesman's problem,
open at both ends, in which every other step is given. The order begins with the nearest neighbour.
It is made shorter for as long as one of these does it, and then again and again after a change at
random, always the same ones; what came out no shorter is put back (iterated local search;
Lourenço, Martin and Stützle 2003).

    2-opt    two links are changed: the strokes between them are reversed (Croes 1958)
    3-opt    three are changed: two runs of strokes are exchanged, either way round (Lin 1965); to
             move a few strokes elsewhere (Or-opt; Or 1976) is a case of it
    splice   two links are changed so that a run of strokes closes on itself, and this circuit is
             cut on the way of another stroke, at a node that both pass (Hierholzer 1873): so
             strokes change their ends
    begin    a closed stroke begins at another node of it, here or elsewhere

A new link leads to a port near by, and only while links left out so far are longer than those put
in (Lin and Kernighan 1973). Only ports whose link was changed are looked at again (don't-look bits;
Bentley 1992). The knife may begin anywhere; `finish` says what it costs to end at a node.
"""

from __future__ import annotations

from collections import defaultdict, deque
from itertools import islice
from typing import TYPE_CHECKING

import numpy as np
from scipy.spatial import cKDTree

from mateline.stencil.cutting.euler_trails import (
    crossed_over,
    first_node,
    last_node,
    nodes_on,
    reversed_run,
)
from mateline.stencil.cutting.precedence import allowed
from mateline.stencil.cutting.tour import Tour

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from mateline.stencil.cutting.euler_trails import Ends, Trail
    from mateline.stencil.cutting.tour import Route

GAIN = 1e-6  # mm: what a change must save to be made, so that rounding can't make it go on
DIGITS = 6  # of mm: ways that are the same but for rounding are told apart by their numbers
NEAR = 16  # ports near each to which its link may change
SPARE = 4  # more that are looked up, of which the last may be as near as others
WAYS = 4  # nodes at which a circuit may be spliced that are tried
KICKS = 4  # changes at random for each stroke
LEAST = 100  # of them in all
WORK = 100_000  # most of them, times the strokes: each takes longer where there are more strokes
WINDOW = 20  # strokes: the longest run that such a change moves
SEED = 1736


def nearest_first(blocks: Sequence[list[Trail]], route: Route) -> list[Trail]:
    """All strokes of `blocks`, the first block first, each walked from the end that is nearer."""
    firsts = np.array([route.places[first_node(block[0], route.ends)] for block in blocks])
    lasts = np.array([route.places[last_node(block[-1], route.ends)] for block in blocks])
    free = np.ones(len(blocks), dtype=bool)
    at = firsts[0]
    strokes: list[Trail] = []
    for _ in blocks:
        gaps = np.abs(np.stack([firsts, lasts]) - at).round(DIGITS)
        gaps[:, ~free] = np.inf
        back, index = divmod(int(np.argmin(gaps)), len(blocks))
        free[index] = False
        block = blocks[index]
        strokes += reversed_run(block) if back else block
        at = firsts[index] if back else lasts[index]
    return strokes


def shortened(strokes: Sequence[Trail], route: Route) -> list[Trail]:
    """The strokes, or others through the same borders and as many, with little travel.

    `strokes` must be allowed, and what is returned is. The same input gives the same output.
    """
    if not allowed(strokes, route.held):
        raise ValueError("an island is cut after its holder has let it go")
    tour = Tour(route, strokes)
    search = _Search(tour, route)
    search.settle(range(tour.start))
    settled, count = tour.strokes(), len(strokes)
    if count < 3:
        return settled
    kicks = max(LEAST, min(KICKS * count, WORK // count))
    window = min(WINDOW, count // 2)
    low, high = (0, 1, 1, 0), (count - 1, window + 1, window + 1, 3)
    shorter = False
    for first, one, other, kind in (
        np.random.default_rng(SEED).integers(low, high, (kicks, 4)).tolist()
    ):
        middle = min(first + one, count - 1)
        shorter |= search.kick((first, middle, min(middle + other, count)), kind)
    return tour.strokes() if shorter else settled


class _Search:
    """Makes a tour shorter."""

    def __init__(self, tour: Tour, route: Route) -> None:
        self.tour = tour
        near = _near([route.places[node] for node in tour.ports.nodes], tour.ports.twins)
        self._near = [*near, [], []]  # nothing for start and finish
        self._near_or_end = [  # and for a first link these too
            sorted([*((end, tour.way(port, end)) for end in (tour.start, tour.finish)), *others],
                   key=lambda pair: pair[1])
            for port, others in enumerate(near)
        ] + [[], []]  # fmt: skip
        self._junctions = _junctions(route.ends, tour.port_of)
        self._waiting: deque[int] = deque()
        self._queued = [False] * len(tour.at)
        self._gained = 0.0  # mm

    def settle(self, ports: Iterable[int]) -> None:
        """Change what can be made shorter at `ports`, and then round each change."""
        self._wait(ports)
        waiting, queued, partner = self._waiting, self._queued, self.tour.partner
        while waiting:
            port = waiting.popleft()
            queued[port] = False
            while partner[port] >= 0 and self._improved(port):
                pass

    def kick(self, gaps: tuple[int, int, int], kind: int) -> bool:
        """Exchange two runs of strokes, one perhaps reversed, and settle; put back what is longer.

        Whether all is shorter then. What is as long is kept: the search goes on from there.
        """
        tour = self.tour
        a, b, c = gaps
        state = tour.state()
        old = [tour.order[2 * gap] for gap in gaps]
        before, after = tour.orders[2 * a + 1 : 2 * b + 1], tour.orders[2 * b + 1 : 2 * c + 1]
        before, after = (before, before[::-1], before)[kind], (after, after, after[::-1])[kind]
        if not tour.put(2 * a + 1, after, before):
            return False
        new = [tour.order[2 * gap + side] for gap in (a, a + c - b, c) for side in (0, 1)]
        self._gained = 0.0
        self._relink(old, new)
        self.settle(())
        if self._gained < -GAIN:
            tour.restore(state)
        return self._gained > GAIN

    def _wait(self, ports: Iterable[int]) -> None:
        queued = self._queued
        for port in ports:
            if not queued[port]:
                queued[port] = True
                self._waiting.append(port)

    def _relink(self, old: Sequence[int], new: Sequence[int]) -> bool:
        """Leave out links, by one port of each; put in those between `new`, two and two."""
        link, join = self.tour.link, self.tour.join
        for port in old:
            self._gained += link[port]
        for a, b in zip(new[::2], new[1::2], strict=True):
            join(a, b)
            self._gained -= link[a]
        self._wait(new)
        return True

    def _improved(self, port: int) -> bool:
        """Change two or three links, the first of them that of `port`; or its closed stroke."""
        tour = self.tour
        if port in tour.ports.choices and self._begin(port):
            return True
        partner, link = tour.partner, tour.link
        end, saved = partner[port], link[port] - GAIN
        ways = tour.ways_from(end)
        for a, near in self._near_or_end[port]:
            left = saved - near
            if left <= 0:
                break
            b = partner[a]
            if b < 0 or a == end:
                continue
            left += link[a]
            if left > ways[b] and self._two(port, end, a, b):
                return True
            if self._third(port, end, a, b, left):
                return True
        return False

    def _third(self, port: int, end: int, a: int, b: int, left: float) -> bool:
        """Change a third link, where `port` is to be linked with `a`, the partner of `b`."""
        tour = self.tour
        partner, link, ways = tour.partner, tour.link, tour.ways_from(end)
        for c, near in self._near[b]:
            saved = left - near
            if saved <= 0:
                break
            d = partner[c]
            if d < 0 or saved + link[c] <= ways[d] or c in {port, a, end}:
                continue
            if self._three((port, a, b, c, d, end)):
                return True
        return False

    def _two(self, port: int, end: int, a: int, b: int) -> bool:
        """Link `port` with `a`, and their partners with each other."""
        tour = self.tour
        i, j = tour.at[port], tour.at[a]
        low, high = min(i, j) | 1, max(i, j) | 1
        if (i ^ j) & 1:  # one ends a stroke, and the other begins one
            done = self._splice(low, high)
        else:
            done = tour.put(low, tour.orders[low:high][::-1])
        return done and self._relink((port, a), (port, a, b, end))

    def _three(self, ports: tuple[int, int, int, int, int, int]) -> bool:
        """Link ports, two and two, if the runs between their gaps can be put together so.

        before | p first q | r second s | after
        """
        tour = self.tour
        order, at = tour.order, tour.at
        a, b, c, d, e, f = ports
        to = {a: b, b: a, c: d, d: c, e: f, f: e}
        low, middle, high = sorted((at[a] | 1, at[c] | 1, at[e] | 1))
        first, second = tour.orders[low:middle], tour.orders[middle:high]
        p, q, r, s = order[low], order[middle - 1], order[middle], order[high - 1]
        begin, end = to[order[low - 1]], to[order[high]]
        if begin == r and to[s] == p and end == q:
            runs = second, first
        elif begin == r and to[s] == q and end == p:
            runs = second, first[::-1]
        elif begin == s and to[r] == p and end == q:
            runs = second[::-1], first
        elif begin == q and to[p] == s and end == r:
            runs = first[::-1], second[::-1]
        else:  # a run would close on itself
            return False
        return tour.put(low, *runs) and self._relink((a, c, e), ports)

    def _splice(self, low: int, high: int) -> bool:
        """Close the run of ports low..high on itself, and cut it on the way of another stroke."""
        places = islice(self._shared(low, high), WAYS)
        return any(self._cut_in((low, high), *place) for place in places)

    def _shared(self, low: int, high: int) -> Iterator[tuple[int, int, int, int]]:
        """Where a stroke outside the run and one in it pass the same node: at which borders.

        They are sought from the side that has fewer strokes.
        """
        tour = self.tour
        at, port_of, ends = tour.at, tour.port_of, tour.ends
        whole = len(tour.order) - 1
        inner = 2 * (high - low) <= whole
        side = range(low, high, 2) if inner else (*range(1, low, 2), *range(high, whole, 2))
        for i in side:
            for step, node in enumerate(nodes_on(tour.walk(i), ends)):
                for border in self._junctions.get(node, ()):
                    j = (at[port_of[border]] - 1) | 1
                    if (low <= j < high) != inner:
                        turn = nodes_on(tour.walk(j), ends).index(node)
                        yield (j, turn, i, step) if inner else (i, step, j, turn)

    def _cut_in(self, run: tuple[int, int], i: int, step: int, j: int, turn: int) -> bool:
        """Go round the run, from border `turn` of the stroke at j, before `step` of that at i."""
        tour = self.tour
        low, high = run
        a, b, c, d = tour.order[i], tour.order[i + 1], tour.order[j], tour.order[j + 1]
        outer, inner = tour.walk(i), tour.walk(j)
        before, after = tour.orders[low:j], tour.orders[j + 2 : high]
        rounds = ((d, (after, before), c), (c, (before[::-1], after[::-1]), d))
        ways = crossed_over(outer, step, inner, turn)
        for (one, other), (e, runs, f) in zip(ways, rounds, strict=True):
            if not one or not other:
                continue
            old, new = ((a, b, outer), (c, d, inner)), ((a, e, one), (f, b, other))
            if i < low:
                done = tour.exchange(old, new, i, [a, e], *runs, [f, b], tour.orders[i + 2 : low])
            else:
                done = tour.exchange(old, new, low, tour.orders[high:i], [a, e], *runs, [f, b])
            if done:
                return True
        return False

    def _begin(self, port: int) -> bool:
        """Let a closed stroke begin at another node, here or elsewhere."""
        tour = self.tour
        partner, link, way = tour.partner, tour.link, tour.way
        own = port, tour.ports.twins[port]
        before, after = (partner[end] for end in own)
        least = link[own[0]] + link[own[1]] - way(before, after)
        best: tuple[int, int, int] | None = None
        for other in tour.ports.choices[port]:
            gaps = [(before, after), *((a, partner[a]) for a, _ in self._near[other])]
            for a, b in gaps:
                if b < 0 or a in own or b in own:
                    continue
                cost = way(a, other) + way(other, b) - way(a, b)
                if cost < least - GAIN:
                    least, best = cost, (other, a, b)
        return best is not None and self._begun(port, *best)

    def _begun(self, port: int, other: int, a: int, b: int) -> bool:
        """Let the closed stroke of `port` begin at `other`, between ports `a` and `b`."""
        tour = self.tour
        i = (tour.at[port] - 1) | 1
        old, trail = (tour.order[i], tour.order[i + 1]), tour.walk(i)
        before, after = tour.order[i - 1], tour.order[i + 2]
        new = old if other in old else (other, tour.ports.twins[other])
        turn = nodes_on(trail, tour.ends).index(tour.ports.nodes[other])
        strokes = ((*old, trail),), ((*new, trail[turn:] + trail[:turn]),)
        if {a, b} == {before, after}:
            done = tour.exchange(*strokes, i, new)
            return done and self._relink(old, (before, new[0], new[1], after))
        a, b = sorted((a, b), key=tour.at.__getitem__)
        gap = tour.at[b]
        if gap < i:
            done = tour.exchange(*strokes, gap, new, tour.orders[gap:i])
        else:
            done = tour.exchange(*strokes, i, tour.orders[i + 2 : gap], new)
        return done and self._relink((*old, a), (before, after, a, new[0], new[1], b))


def _near(places: Sequence[complex], twins: Sequence[int]) -> list[list[tuple[int, float]]]:
    """For each port those near it, the nearest first, with the ways there.

    Those as far as each other are in the order of their numbers, but for what is left out.
    """
    points = np.array([(place.real, place.imag) for place in places])
    ways, found = cKDTree(points).query(points, k=range(1, min(NEAR + SPARE, len(points)) + 1))
    ways = ways.round(DIGITS)
    rows = np.lexsort((found, ways))[:, :NEAR]
    ways, found = np.take_along_axis(ways, rows, 1), np.take_along_axis(found, rows, 1)
    return [
        [pair for pair in zip(others, row, strict=True) if pair[0] not in {port, twins[port]}]
        for port, (others, row) in enumerate(zip(found.tolist(), ways.tolist(), strict=True))
    ]


def _junctions(ends: Mapping[int, Ends], borders: Iterable[int]) -> dict[int, list[int]]:
    """The borders at each node where more than two end: there, strokes pass each other."""
    found: dict[int, list[int]] = defaultdict(list)
    for border in borders:
        for node in ends[border]:
            found[node].append(border)
    return {node: meeting for node, meeting in found.items() if len(meeting) > 2}
