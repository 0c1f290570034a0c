"""Trails through borders: each border once, with the fewest lifts of the knife.

Stands beside pieces, before cut_path. Words are those of graph theory: a node is odd when an odd
number of border ends meet there. A trail can only begin and end at odd nodes, so a connected part
with k of them takes max(1, k / 2) trails (Euler 1736, Hierholzer 1873).

    The odd nodes are paired with the least travel; each pair is a link. Borders and links together
    have no odd node, so one circuit runs through all of them. Without its links it falls into k / 2
    trails, and the links are the travel between them.
"""

from __future__ import annotations

import math
from collections import defaultdict
from typing import TYPE_CHECKING

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import min_weight_full_bipartite_matching
from scipy.spatial import cKDTree

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.curves import Point

    Floats = NDArray[np.float64]

Trail = tuple[int, ...]  # signed borders end to end: i, or ~i walked backwards
Ends = tuple[int, int]  # the nodes of a border

NEIGHBOURS = 10  # odd nodes near each that it may be paired with
STEP = 1e-4  # mm: to which travel is rounded where it is compared


def lifts(borders: Mapping[int, Ends]) -> int:
    """The fewest trails that cover connected `borders`: max(1, odd nodes / 2)."""
    return max(1, len(odd_nodes(borders)) // 2)


def odd_nodes(borders: Mapping[int, Ends]) -> list[int]:
    """Nodes, in order, where an odd number of border ends meet; a loop has both ends at one."""
    count: dict[int, int] = defaultdict(int)
    for ends in borders.values():
        for node in ends:
            count[node] += 1
    return sorted(node for node, number in count.items() if number % 2)


def trails_through(borders: Mapping[int, Ends], places: Sequence[Point]) -> list[Trail]:
    """`lifts(borders)` trails that cover connected `borders`, in an order with little travel.

    `borders` are pairs of nodes by number, `places` the nodes' points. The longest link is left
    out: it is what lies between the last trail and the first.
    """
    odd = odd_nodes(borders)
    links = [(odd[a], odd[b]) for a, b in _pairs(np.array([places[node] for node in odd]))]
    circuit = _circuit(borders, links)
    if not links:
        return [tuple(step for step in circuit if step is not None)]
    gaps = [at for at, step in enumerate(circuit) if step is None]
    trails = [
        tuple(circuit[a + 1 : b] if a < b else circuit[a + 1 :] + circuit[:b])
        for a, b in zip(gaps, (*gaps[1:], gaps[0]), strict=True)
    ]
    whole: list[Trail] = [
        tuple(step for step in trail if step is not None) for trail in trails if trail
    ]
    travel = [
        math.dist(places[last_node(before, borders)], places[first_node(after, borders)])
        for before, after in zip((whole[-1], *whole), whole, strict=False)
    ]
    cut = int(np.argmax(travel))
    return whole[cut:] + whole[:cut]


def first_node(trail: Trail, borders: Mapping[int, Ends]) -> int:
    """Where a trail begins."""
    return borders[trail[0]][0] if trail[0] >= 0 else borders[~trail[0]][1]


def last_node(trail: Trail, borders: Mapping[int, Ends]) -> int:
    """Where a trail ends."""
    return borders[trail[-1]][1] if trail[-1] >= 0 else borders[~trail[-1]][0]


def reverse(trail: Trail) -> Trail:
    """The trail walked from its end."""
    return tuple([~border for border in reversed(trail)])


def reversed_run(strokes: Sequence[Trail]) -> list[Trail]:
    """The strokes walked from the end of the last one."""
    return [reverse(stroke) for stroke in reversed(strokes)]


def crossed_over(
    one: Trail, step: int, other: Trail, turn: int
) -> tuple[tuple[Trail, Trail], tuple[Trail, Trail]]:
    """Two ways to cut as two other trails what `one` and `other` cut: they change over at a node.

    Both pass it, after `step` and `turn` borders. A trail may be empty if one of them ends there.
    """
    head, tail = other[:turn], other[turn:]
    return (
        (one[:step] + tail, head + one[step:]),
        (one[:step] + reverse(head), reverse(tail) + one[step:]),
    )


def nodes_on(trail: Trail, borders: Mapping[int, Ends]) -> list[int]:
    """All nodes on the way of a trail."""
    found = [borders[at][0] if at >= 0 else borders[~at][1] for at in trail]
    found.append(last_node(trail, borders))
    return found


def _circuit(borders: Mapping[int, Ends], links: list[Ends]) -> list[int | None]:
    """Every border and link once, as one closed walk; None stands for a link. Hierholzer 1873."""
    first = max(borders) + 1
    ends = {**borders, **{first + at: link for at, link in enumerate(links)}}
    ways: dict[int, list[int]] = defaultdict(list)
    for edge in reversed(ends):
        a, b = ends[edge]
        ways[b].append(~edge)
        ways[a].append(edge)  # taken first: a loop keeps its direction
    used: set[int] = set()
    stack: list[tuple[int, int | None]] = [(min(ways), None)]
    walk: list[int | None] = []
    while stack:
        node, came = stack[-1]
        while ways[node] and _plain(ways[node][-1]) in used:
            ways[node].pop()
        if ways[node]:
            step = ways[node].pop()
            used.add(_plain(step))
            stack.append((ends[step][1] if step >= 0 else ends[~step][0], step))
        else:
            stack.pop()
            if came is not None:
                walk.append(came)
    walk.reverse()
    return [None if step is None or _plain(step) >= first else step for step in walk]


def _plain(step: int) -> int:
    return step if step >= 0 else ~step


def _pairs(points: Floats) -> list[tuple[int, int]]:
    """Positions of `points` (2 n, 2) in pairs whose distances sum to little.

    The assignment of each point to another is solved exactly among near neighbours. Its cycles of
    even length are halved the better way; odd ones leave a point, and these are paired again.
    """
    pairs: list[tuple[int, int]] = []
    left = np.arange(len(points))
    while len(left) > 2:
        lone: list[int] = []
        for cycle in _cycles(_assigned(points[left])):
            places = points[left[cycle]]
            sides = np.round(np.linalg.norm(places - np.roll(places, -1, axis=0), axis=1) / STEP)
            start = _best_start(sides)
            turned = [int(left[at]) for at in (*cycle[start:], *cycle[:start])]
            if len(turned) % 2:
                lone.append(turned.pop())
            pairs += zip(turned[0::2], turned[1::2], strict=True)
        left = np.array(sorted(lone), dtype=int)
    if len(left):
        pairs.append((int(left[0]), int(left[1])))
    return pairs


def _best_start(sides: Floats) -> int:
    """Where to begin a cycle so that every other side, from there on, sums to least.

    An odd cycle leaves its last point, before the start, alone.
    """
    count = len(sides)
    if count % 2 == 0:
        return 0 if sides[0::2].sum() <= sides[1::2].sum() else 1
    sums = [np.roll(sides, -start)[0 : count - 1 : 2].sum() for start in range(count)]
    return int(np.argmin(sums))


def _assigned(points: Floats) -> list[int]:
    """For each point another one, each used once, with the least sum of distances."""
    count = len(points)
    gaps, near = cKDTree(points).query(points, k=min(NEIGHBOURS + 1, count))
    rows = np.repeat(np.arange(count), near.shape[1])
    # Whole numbers, for rounded ones can send the solver round for ever (seen in scipy 1.17), and
    # above 0, for an empty entry is no edge.
    pairs = {
        (int(a), int(b)): max(round(float(gap) / STEP), 1)
        for a, b, gap in zip(rows, near.ravel(), gaps.ravel(), strict=True)
        if a != b
    }
    # So that everyone surely finds a partner: neighbours along x.
    order = np.lexsort(points.T[::-1])
    for a, b in zip(order[0::2].tolist(), order[1::2].tolist(), strict=True):
        gap = max(round(math.dist(points[a], points[b]) / STEP), 1)
        pairs.setdefault((a, b), gap)
        pairs.setdefault((b, a), gap)
    keys = np.array(list(pairs))
    graph = coo_array((list(pairs.values()), (keys[:, 0], keys[:, 1])), shape=(count, count))
    _, columns = min_weight_full_bipartite_matching(graph.tocsr())
    return [int(column) for column in columns]


def _cycles(to: list[int]) -> list[list[int]]:
    seen: set[int] = set()
    cycles = []
    for start in range(len(to)):
        cycle = []
        at = start
        while at not in seen:
            seen.add(at)
            cycle.append(at)
            at = to[at]
        if cycle:
            cycles.append(cycle)
    return cycles
