r"""Vertices of a drawing carried by a smooth map, straight borders straight and circles round.

Stands after carriers, before warp. The map takes the ends of a line where it will, and the line is
drawn straight between them; what lies on the line goes to the foot of where the map takes it. A
circle is carried by the turn and the mean scale that the map has at its centre, an arc by the turn
and scale of its chord. A vertex on two of them lies where they meet, so one place hangs on others:

    a ------ t ------ b       t is where it is on a-b, and an end of t-c, which hangs on it
             |
             c

Lines that end on each other in a ring hang on themselves; going round until nothing moves finds
where they come to rest, since each share lies between 0 and 1.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.placing.warping.carriers import Carrier, Forms

    Array = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Pair = tuple[float, float]

ROUNDS = 200  # times that all places are found again, at most
STILL = 1e-9  # mm: what moves less is at rest
# No unit, sines of the angles at which two cross: lines at less than 6°, circles at less than 15°,
# meet nowhere certain; a tangent that is a hair off would meet its circle far from its touch.
ALIKE = 0.1
TOUCH = 0.25


@dataclass(frozen=True, slots=True)
class SmoothMap:
    """A smooth map of points (n, 2), mm, and its slopes there, (n, 2, 2): the change of x' and y'
    along x in the first row, along y in the second.
    """

    places: Callable[[Array], Array]
    slopes: Callable[[Array], Array]


def places_of(forms: Forms, smooth: SmoothMap, pinned: Mapping[int, Pair]) -> Array:
    """Where the vertices go, (n, 2): `pinned` ones where that says, others as their lines and
    circles let them.
    """
    found = smooth.places(forms.vertices)
    for vertex, place in pinned.items():
        found[vertex] = place
    carriers, hosts = _settled(forms, frozenset(pinned))
    single = [(vertex, own[0]) for vertex, own in hosts.items() if len(own) == 1]
    double = [(vertex, own[0], own[1]) for vertex, own in hosts.items() if len(own) == 2]
    round_ = [each.centre is not None for each in carriers]
    crossed = np.array(
        [each for each in double if not round_[each[1]] and not round_[each[2]]], dtype=np.int64
    ).reshape(-1, 3)
    double = [each for each in double if round_[each[1]] or round_[each[2]]]
    if not hosts:
        return found
    motions = _Motions(carriers, forms.vertices, found, smooth)
    ids = np.array([vertex for vertex, _ in single], dtype=np.int64)
    on = np.array([host for _, host in single], dtype=np.int64)
    for _ in range(ROUNDS):
        motions.follow(found)
        before = found.copy()
        if len(ids):
            found[ids] = motions.carried(ids, on)
        if len(crossed):
            found[crossed[:, 0]] = motions.crossings(crossed)
        for vertex, one, other in double:
            found[vertex] = _meeting(motions, vertex, one, other)
        if np.abs(found - before).max() <= STILL:
            break
    return found


def _settled(
    forms: Forms, pinned: frozenset[int]
) -> tuple[list[Carrier], dict[int, tuple[int, ...]]]:
    """Carriers, cut where a vertex is pinned or lies on more than two, and which one or two of them
    each vertex between their ends is on.

    Circles hold first, then the longest; what is cut at a vertex ends there.
    """
    rank = sorted(
        range(len(forms.carriers)),
        key=lambda at: (not forms.carriers[at].whole, -round(forms.carriers[at].reach, 6), at),
    )
    held: dict[int, int] = {}
    carriers: list[Carrier] = []
    hosts: dict[int, tuple[int, ...]] = {}
    for each in (forms.carriers[at] for at in rank):
        cuts = {v for v in each.between if v in pinned or held.get(v, 0) == 2}
        for vertex in set(each.between) - cuts:
            held[vertex] = held.get(vertex, 0) + 1
        for part in _cut(each, cuts):
            for vertex in part.between:
                hosts[vertex] = (*hosts.get(vertex, ()), len(carriers))
            carriers.append(part)
    return carriers, hosts


def _cut(carrier: Carrier, cuts: set[int]) -> Iterator[Carrier]:
    """The parts of a carrier between these vertices; a circle only lets go of them."""
    if carrier.whole or not cuts:
        yield replace(carrier, between=tuple(v for v in carrier.between if v not in cuts))
        return
    first = carrier.first
    inner: list[int] = []
    for vertex in (*carrier.between, carrier.last):
        if vertex in cuts or vertex == carrier.last:
            yield replace(carrier, first=first, last=vertex, between=tuple(inner))
            first, inner = vertex, []
        else:
            inner.append(vertex)


class _Motions:
    """The turn, scale and shift of each carrier, as its ends lie: p' = to + factor (p - at), the
    factor (f, g) as of complex numbers.
    """

    def __init__(
        self, carriers: Sequence[Carrier], vertices: Array, there: Array, smooth: SmoothMap
    ) -> None:
        self.carriers, self.vertices, self.there = carriers, vertices, there.copy()
        self.straight = np.array([each.centre is None for each in carriers], dtype=bool)
        self.first = np.array([max(each.first, 0) for each in carriers], dtype=np.int64)
        self.last = np.array([max(each.last, 0) for each in carriers], dtype=np.int64)
        self.whole = np.array([each.whole for each in carriers], dtype=bool)
        self.at = vertices[self.first].copy()
        chord = vertices[self.last] - self.at
        chord[self.whole] = (1.0, 0.0)
        self.chord = chord
        self.square = chord[:, 0] * chord[:, 0] + chord[:, 1] * chord[:, 1]
        self.to = np.zeros_like(self.at)
        self.factor = np.ones_like(self.at)
        centres = np.array([each.centre for each in carriers if each.whole]).reshape(-1, 2)
        self.at[self.whole] = centres
        if len(centres):
            self.to[self.whole] = smooth.places(centres)
            self.factor[self.whole] = _mean_turn(smooth.slopes(centres))

    def follow(self, found: Array) -> None:
        """Take lines and arcs where their ends are now."""
        to = found[self.first]
        there = found[self.last] - to
        x, y = self.chord.T
        factor = np.column_stack(
            [x * there[:, 0] + y * there[:, 1], x * there[:, 1] - y * there[:, 0]]
        )
        factor = factor / self.square[:, None]
        self.to = np.where(self.whole[:, None], self.to, to)
        self.factor = np.where(self.whole[:, None], self.factor, factor)

    def carried(self, vertices: Ints, on: Ints) -> Array:
        """Where vertices go with the carriers that they are on."""
        turned = self._moved(self.vertices[vertices], on)
        # A line only takes away what leaves it: along it, all follows the map.
        way = self._ways(on)
        away = self.there[vertices] - self.to[on]
        foot = self.to[on] + (away[:, 0] * way[:, 0] + away[:, 1] * way[:, 1])[:, None] * way
        found: Array = np.where(self.straight[on][:, None], foot, turned)
        return found

    def crossings(self, crossed: Ints) -> Array:
        """Where vertices go that lie on two lines: rows of a vertex and both lines."""
        vertices, one, other = crossed.T
        u, v = self._ways(one), self._ways(other)
        sine = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
        apart = self.to[other] - self.to[one]
        certain = np.abs(sine) >= ALIKE
        share = apart[:, 0] * v[:, 1] - apart[:, 1] * v[:, 0]
        share = share / np.where(certain, sine, 1.0)
        there = self.to[one] + share[:, None] * u
        found: Array = np.where(certain[:, None], there, self.carried(vertices, one))
        return found

    def _ways(self, on: Ints) -> Array:
        """Unit vectors of lines where they lie now."""
        x, y = self.chord[on].T
        f, g = self.factor[on].T
        way = np.column_stack([f * x - g * y, g * x + f * y])
        long = np.hypot(way[:, 0], way[:, 1])
        found: Array = way / np.where(long > 0, long, 1.0)[:, None]
        return found

    def _moved(self, points: Array, on: Ints) -> Array:
        away = points - self.at[on]
        f, g = self.factor[on].T
        x, y = away.T
        found: Array = self.to[on] + np.column_stack([f * x - g * y, g * x + f * y])
        return found

    def place(self, vertex: int, on: int) -> Pair:
        """Where one vertex goes."""
        x, y = self.carried(np.array([vertex]), np.array([on]))[0].tolist()
        return x, y

    def circle(self, on: int) -> tuple[Pair, float] | None:
        """Centre and radius of an arc or a circle where it lies now; None for a line."""
        each = self.carriers[on]
        if each.centre is None:
            return None
        x, y = self._moved(np.array([each.centre]), np.array([on]))[0].tolist()
        f, g = self.factor[on].tolist()
        return (x, y), each.radius * float(np.hypot(f, g))

    def way(self, on: int) -> Pair:
        """The unit vector of a line where it lies now."""
        x, y = self._ways(np.array([on]))[0].tolist()
        return x, y


def _mean_turn(slopes: Array) -> Array:
    """The turn of a map and its mean scale, the root of how much areas grow, as factors (n, 2)."""
    a, b = slopes[:, 0].T
    c, d = slopes[:, 1].T
    scale = np.sqrt(np.maximum(a * d - b * c, 0.0))
    turn = np.column_stack([a + d, b - c])
    long = np.hypot(turn[:, 0], turn[:, 1])
    found: Array = turn * (scale / np.where(long > 0, long, 1.0))[:, None]
    return found


def _meeting(motions: _Motions, vertex: int, one: int, other: int) -> Pair:
    """Where two carriers meet, nearest to where both would take the vertex."""
    here, there = motions.place(vertex, one), motions.place(vertex, other)
    middle = ((here[0] + there[0]) / 2, (here[1] + there[1]) / 2)
    first, second = motions.circle(one), motions.circle(other)
    if first is not None and second is not None:
        return _on_circles(first, second, middle) or here
    if first is not None:
        return _on_circle(first, (there, motions.way(other)), middle) or here
    if second is None:
        raise ValueError("two lines meet at a crossing")
    return _on_circle(second, (here, motions.way(one)), middle) or there


def _on_circle(circle: tuple[Pair, float], line: tuple[Pair, Pair], near: Pair) -> Pair | None:
    """Where a line crosses a circle; None where it passes, or only just touches it."""
    (centre, radius), (at, way) = circle, line
    x, y = at[0] - centre[0], at[1] - centre[1]
    foot = -(x * way[0] + y * way[1])
    off = x * way[1] - y * way[0]
    rest = radius * radius - off * off
    if rest < (TOUCH * radius) ** 2:
        return None
    half = float(np.sqrt(rest))
    ends = [(at[0] + s * way[0], at[1] + s * way[1]) for s in (foot - half, foot + half)]
    return min(ends, key=lambda end: round(_apart(end, near), 6))


def _on_circles(one: tuple[Pair, float], other: tuple[Pair, float], near: Pair) -> Pair | None:
    """Where two circles cross: on the line that has the same power to both."""
    (a, r), (b, s) = one, other
    x, y = b[0] - a[0], b[1] - a[1]
    apart = float(np.hypot(x, y))
    if apart <= TOUCH * min(r, s):
        return None
    share = (r * r - s * s + apart * apart) / (2 * apart)
    way = (x / apart, y / apart)
    foot = (a[0] + share * way[0], a[1] + share * way[1])
    return _on_circle(one, (foot, (-way[1], way[0])), near)


def _apart(one: Pair, other: Pair) -> float:
    return float(np.hypot(one[0] - other[0], one[1] - other[1]))
