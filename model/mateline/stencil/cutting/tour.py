"""A tour: strokes in an order, as the ports at which they end and the links between them.

Stands after euler_trails and precedence, before travel, which makes tours shorter.

    port  an end of a stroke. An odd node is one port for good, whichever stroke ends there; a
          closed stroke has two at each node where it may begin, and uses those at one of them
    link  the way from one stroke to the next: two ports, each of them the other's partner
    gap   the place of a link in the order: gap i lies before stroke i

The order has a port that stands for the start, the two of each stroke, and one for the finish; so
the link of gap i is between those at 2 i and 2 i + 1.
"""

from __future__ import annotations

from array import array
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from mateline.stencil.cutting.euler_trails import first_node, last_node, reverse
from mateline.stencil.cutting.precedence import Guard

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import ArrayLike, NDArray

    from mateline.curves import Point
    from mateline.stencil.cutting.euler_trails import Ends, Trail
    from mateline.stencil.cutting.precedence import Held

    Integers = NDArray[np.int64]
    Stroke = tuple[int, int, Trail]  # from one port to another one
    State = tuple[Integers, Integers, list[int], list[float]]

UNUSED = -1


class Route:
    """What travel is measured on: borders, their nodes' points, and the cost of ending at each.

    `finish` has every node where a stroke may end. `held` says what is cut before what.
    """

    def __init__(
        self,
        ends: Mapping[int, Ends],
        places: Sequence[Point],
        finish: Mapping[int, float],
        held: Sequence[Held] = (),
    ) -> None:
        self.ends, self.finish, self.held = ends, finish, held
        self.places = [complex(x, y) for x, y in places]


class Ports(NamedTuple):
    """For each port its node, and for those of closed strokes the other one there.

    And for closed strokes that have a choice one port at each node where they may begin.
    """

    nodes: list[int]
    twins: list[int]
    choices: dict[int, range]


class Tour:
    """Strokes in an order that can be changed and put back.

    `orders` is `order` as an array, for runs of ports; so both see the same numbers.
    """

    def __init__(self, route: Route, strokes: Sequence[Trail]) -> None:
        self.ends = route.ends
        self.ports = _ports_of(strokes, route.ends)
        nodes = self.ports.nodes
        self.start, self.finish = len(nodes), len(nodes) + 1
        self._places = [route.places[node] for node in nodes]
        self._ways: dict[int, Ways] = {}
        self._costs = [route.finish[node] for node in nodes]
        self._trails: list[Trail] = [()] * len(nodes)  # from one of its two ports
        self.port_of: dict[int, int] = {}  # for each border one of them
        self.order = array("q", [self.start, *self._named(strokes), self.finish])
        self.at = array("q", [UNUSED]) * (len(nodes) + 2)  # place in the order
        self.orders: Integers = np.frombuffer(self.order, dtype=np.int64)
        self._ats: Integers = np.frombuffer(self.at, dtype=np.int64)
        self._counted = np.arange(len(self.order), dtype=np.int64)
        self._ats[self.orders] = self._counted
        self.partner = [UNUSED] * (len(nodes) + 2)
        self.link = [0.0] * (len(nodes) + 2)  # mm
        for a, b in zip(self.order[::2], self.order[1::2], strict=True):
            self.join(a, b)
        self._guards = [
            Guard(held, self._ports_at(held.inside), self.at, self.port_of) for held in route.held
        ]
        self._guarded = np.zeros(len(nodes), dtype=bool)
        self._guarding: dict[int, list[int]] = {}  # port of an island to numbers of its guards
        for number, guard in enumerate(self._guards):
            for port in guard.islands:
                self._guarded[port] = True
                self._guarding.setdefault(port, []).append(number)
        self._strict = 0  # the last guard to refuse is asked first
        self._exchanged: list[Stroke] = []  # those that were there before

    def strokes(self) -> list[Trail]:
        """The strokes in their order."""
        return [self.walk(at) for at in range(1, len(self.order) - 1, 2)]

    def walk(self, at: int) -> Trail:
        """The stroke whose first port is at `at`; a closed one is always walked the same way."""
        a, b = self.order[at], self.order[at + 1]
        if self.ports.twins[a] == b:
            return self._trails[a] or self._trails[b]
        return self._trails[a] or reverse(self._trails[b])

    def way(self, a: int, b: int) -> float:
        """Travel between two ports, mm; infinite between start and finish."""
        if a < self.start > b:
            return abs(self._places[a] - self._places[b])
        if self.start in {a, b}:
            return np.inf if self.finish in {a, b} else 0.0
        return self._costs[min(a, b)] if a != b else 0.0

    def ways_from(self, port: int) -> Ways:
        """Travel from a port to each other one."""
        ways = self._ways.get(port)
        if ways is None:
            ways = self._ways[port] = Ways(self, port)
        return ways

    def join(self, a: int, b: int) -> None:
        """Let a link be between two ports."""
        self.partner[a], self.partner[b] = b, a
        self.link[a] = self.link[b] = self.way(a, b)

    def put(self, low: int, *runs: ArrayLike) -> bool:
        """Let the ports of `runs` be in the order from `low` on, if that is allowed."""
        ports: Integers = np.concatenate(runs)
        high = low + len(ports)
        old = self.orders[low:high].copy()
        self.orders[low:high] = ports
        self._ats[ports] = self._counted[low:high]
        if not self._guards or self._allowed(ports):
            return True
        self.orders[low:high] = old
        self._ats[old] = self._counted[low:high]
        return False

    def exchange(
        self, old: Sequence[Stroke], new: Sequence[Stroke], low: int, *runs: ArrayLike
    ) -> bool:
        """`put`, where `old` strokes are replaced by `new` ones through the same borders."""
        for stroke in new:
            self._name(*stroke)
        before = {port for a, b, _ in old for port in (a, b)}
        after = {port for a, b, _ in new for port in (a, b)}
        for port in before - after:
            self.at[port] = UNUSED
        if self.put(low, *runs):
            for port in before - after:
                self.partner[port] = UNUSED
            self._exchanged += old
            return True
        for stroke in old:
            self._name(*stroke)
        for port in after - before:
            self.at[port] = UNUSED
        return False

    def state(self) -> State:
        """What `restore` takes to put everything back."""
        self._exchanged.clear()
        return self.orders.copy(), self._ats.copy(), self.partner[:], self.link[:]

    def restore(self, state: State) -> None:
        """Put everything back as it was at the last call of `state`."""
        self.orders[:], self._ats[:], self.partner[:], self.link[:] = state
        for stroke in reversed(self._exchanged):
            self._name(*stroke)

    def _name(self, a: int, b: int, trail: Trail) -> None:
        """Let the stroke from port `a` to port `b` be `trail`."""
        self._trails[a], self._trails[b] = trail, ()
        port_of = self.port_of
        for border in trail:
            port_of[border if border >= 0 else ~border] = a

    def _named(self, strokes: Sequence[Trail]) -> list[int]:
        """The ports of strokes, which get their names."""
        ports = {node: port for port, node in reversed([*enumerate(self.ports.nodes)])}
        found = []
        for stroke in strokes:
            a, b = ports[first_node(stroke, self.ends)], ports[last_node(stroke, self.ends)]
            b = self.ports.twins[a] if a == b else b
            self._name(a, b, stroke)
            found += [a, b]
        return found

    def _ports_at(self, borders: Iterable[int]) -> list[int]:
        """All ports at the nodes of these borders."""
        nodes = {node for border in borders for node in self.ends[border]}
        return [port for port, node in enumerate(self.ports.nodes) if node in nodes]

    def _allowed(self, ports: Integers) -> bool:
        """Whether the order is allowed if it was before `ports` changed places among themselves.

        Only their guards are asked: what is no later than before is not too late.
        """
        touched = ports[self._guarded[ports]].tolist()
        numbers = {number for port in touched for number in self._guarding[port]}
        if self._strict in numbers and not self._guards[self._strict].holds():
            return False
        for number in numbers:
            if not self._guards[number].holds():
                self._strict = number
                return False
        return True


class Ways(dict[int, float]):
    """Travel from a port to those that were asked for, mm: it is asked for again and again."""

    def __init__(self, tour: Tour, port: int) -> None:
        super().__init__()
        self._tour, self._port = tour, port

    def __missing__(self, other: int) -> float:
        way = self[other] = self._tour.way(self._port, other)
        return way


def _ports_of(strokes: Sequence[Trail], ends: Mapping[int, Ends]) -> Ports:
    nodes: list[int] = []
    twins: list[int] = []
    choices: dict[int, range] = {}
    for stroke in strokes:
        count = len(nodes)
        a, b = first_node(stroke, ends), last_node(stroke, ends)
        if a != b:
            nodes += [a, b]
            twins += [UNUSED, UNUSED]
            continue
        for node in dict.fromkeys(first_node((border,), ends) for border in stroke):
            twins += [len(nodes) + 1, len(nodes)]
            nodes += [node, node]
        if len(nodes) > count + 2:
            choices |= dict.fromkeys(range(count, len(nodes)), range(count, len(nodes), 2))
    return Ports(nodes, twins, choices)
