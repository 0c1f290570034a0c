"""Half-edges: chains joined at nodes into loops with a face on their left.

Stands after point_location; knows no colour. Half-edge 2 i is chain i walked forwards, 2 i + 1
backwards, so `h ^ 1` is its twin.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np

from mateline.planar.chains import Chains, summed, unique_points, walked
from mateline.planar.point_location import half_edges_left_of
from mateline.products import cross

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

CLOSE = 1e-7  # rad: directions nearer than this are compared with exact fractions


class TangledError(Exception):
    """The line work is no planar map: noding must be done again on a grid."""


@dataclass(frozen=True, slots=True)
class Graph:
    """Chains as a planar graph.

    `node` is where a half-edge starts, `following` the half-edge after it around the face on
    its left, `loop` the lowest half-edge of that loop.
    """

    nodes: Floats
    node: Ints
    following: Ints
    loop: Ints


def graph_of(chains: Chains) -> Graph:
    """Join chains at equal end points."""
    first, last = chains.offsets[:-1], chains.offsets[1:] - 1
    ends = np.empty((2 * len(chains), 2))
    ends[0::2], ends[1::2] = chains.points[first], chains.points[last]
    away = np.empty_like(ends)
    away[0::2] = chains.points[first + 1] - ends[0::2]
    away[1::2] = chains.points[last - 1] - ends[1::2]
    nodes, node = unique_points(ends)
    order = _turned(node, away)
    at = np.empty(len(order), dtype=np.int64)
    at[order] = np.arange(len(order))
    starts = np.searchsorted(node[order], np.arange(len(nodes)))
    stops = np.append(starts[1:], len(order)) - 1
    twin = np.arange(len(order)) ^ 1
    place = at[twin]
    # The face stays on the left by leaving on the first half-edge clockwise from the twin.
    before = np.where(place == starts[node[twin]], stops[node[twin]], place - 1)
    following = order[before]
    return Graph(nodes, node, following, _loops(following))


def loop_sums(chains: Chains, graph: Graph) -> tuple[Floats, Floats]:
    """Length and signed area of the loop of each half-edge (read at its lowest half-edge).

    Areas are summed about each loop's own first node: the sign of a sliver must come out right.
    """
    first, last = chains.offsets[:-1], chains.offsets[1:] - 1
    count = np.diff(chains.offsets)
    own = chains.points - np.repeat(chains.points[first], count, axis=0)
    a, b = own[:-1], own[1:]
    swept = cross(a, b) / 2
    length = np.hypot(*(b - a).T)
    swept[last[:-1]] = length[last[:-1]] = 0.0  # from one chain's end to the next one's start
    swept = np.add.reduceat(swept, first)
    length = np.add.reduceat(length, first)
    about = graph.nodes[graph.node[graph.loop]]
    start = graph.nodes[graph.node] - about
    stop = graph.nodes[graph.node[np.arange(len(graph.node)) ^ 1]] - about
    signed = np.empty(len(graph.node))
    signed[0::2], signed[1::2] = swept, -swept
    size = len(graph.node)
    area = summed(graph.loop, signed + cross(start, stop) / 2, size)
    return summed(graph.loop, np.repeat(length, 2), size), area


def listed(graph: Graph, lowest: Ints) -> dict[int, list[int]]:
    """Half-edges of each loop in order, by the loop's lowest half-edge."""
    following = graph.following.tolist()
    loops = {}
    for start in lowest.tolist():
        loop, step = [start], following[start]
        while step != start:
            loop.append(step)
            step = following[step]
        loops[start] = loop
    return loops


def parents_of(
    chains: Chains, graph: Graph, loops: dict[int, list[int]], outer: Ints, holes: Ints
) -> Ints:
    """The outer loop of the face that each hole lies in, -1 where there is none.

    `loops` holds at least the holes. What is next to the left of a hole's leftmost point is
    another part of the map: an outer loop that has the hole inside, or a hole beside it.
    """
    parent = np.full(len(holes), -1)
    if len(holes) == 0 or len(outer) == 0:
        return parent
    points, offsets = walked(chains, [loops[loop] for loop in holes.tolist()])
    hole = np.repeat(np.arange(len(holes)), np.diff(offsets))
    leftmost = points[np.lexsort((points[:, 1], points[:, 0], hole))[offsets[:-1]]]
    half = half_edges_left_of(chains, leftmost)
    beside = np.where(half < 0, -1, graph.loop[half])
    known = dict(zip(outer.tolist(), outer.tolist(), strict=True))
    for at in np.argsort(leftmost[:, 0], kind="stable").tolist():  # the one beside comes first
        known[int(holes[at])] = parent[at] = known.get(int(beside[at]), -1)
    return parent


def degrees(graph: Graph) -> Ints:
    """How many half-edges leave each node."""
    return np.bincount(graph.node, minlength=len(graph.nodes))


def _turned(node: Ints, away: Floats) -> Ints:
    """Half-edges by node and then counter-clockwise by direction."""
    angle = np.arctan2(away[:, 1] + 0.0, away[:, 0])  # + 0.0: no -0.0, which would turn by 2 pi
    order = np.lexsort((angle, node))
    near = (node[order][1:] == node[order][:-1]) & (np.diff(angle[order]) < CLOSE)
    # Rounded angles of nearly equal directions may stand the wrong way round.
    at = np.flatnonzero(near)
    for run in np.split(at, np.flatnonzero(np.diff(at) > 1) + 1):
        if len(run):
            part = slice(run[0], run[-1] + 2)
            about = away[order[run[0]]]
            slopes = [_slope(away[h], about) for h in order[part]]
            order[part] = order[part][sorted(range(len(slopes)), key=slopes.__getitem__)]
    return order


def _slope(direction: Floats, about: Floats) -> Fraction:
    """Tangent of the angle from `about` to a direction close to it, exact."""
    (x, y), (u, v) = ((Fraction(float(p)), Fraction(float(q))) for p, q in (direction, about))
    return (u * y - v * x) / (u * x + v * y)


def _loops(following: Ints) -> Ints:
    """The lowest half-edge of each loop, by doubling the steps taken."""
    label = np.arange(len(following))
    step = following
    for _ in range(len(following).bit_length()):
        label = np.minimum(label, label[step])
        step = step[step]
    return label
