"""Borders as a network: cut where they cross or touch, with ends that miss by a hair joined.

Stands after edges. What is nearer than `SNAP` is one node: ends to ends, and ends to whatever
border they fall short of or run past. Crossings are reckoned on the true lines and arcs, not on
their facets.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.drawing.borders.borders import Circle
from mateline.drawing.borders.edges import (
    box_of,
    edges_of,
    facets,
    halves,
    meetings,
    nearest,
    place,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from mateline.drawing.borders.borders import Border, Point
    from mateline.drawing.borders.edges import Edge

SNAP = 0.05  # mm: a fifth of a pencil's line; what misses by less was meant to meet


@dataclass(frozen=True, slots=True)
class Strand:
    """A stretch of one edge between two nodes, its points in facets, `middle` on the
    true edge; `border` is its number.
    """

    points: tuple[Point, ...]
    middle: Point
    ends: tuple[int, int]
    border: int


@dataclass(frozen=True, slots=True)
class Network:
    """Strands between nodes (mm, y down)."""

    nodes: tuple[Point, ...]
    strands: tuple[Strand, ...]

    def loose_ends(self) -> list[tuple[Point, int]]:
        """Nodes where one strand ends and nothing else, with the number of its border."""
        at: dict[int, list[int]] = defaultdict(list)
        for strand in self.strands:
            for node in strand.ends:
                at[node].append(strand.border)
        return [(self.nodes[node], met[0]) for node, met in sorted(at.items()) if len(met) == 1]


def network_of(borders: Sequence[Border | Circle], deviation: float) -> Network:
    """Cut borders at each other; facets leave their arcs by `deviation`, mm, at the most."""
    edges: list[Edge] = []
    owner: list[int] = []
    for number, border in enumerate(borders):
        for edge in halves(border) if isinstance(border, Circle) else edges_of(border):
            edges.append(edge)
            owner.append(number)
    if not edges:
        return Network((), ())
    boxes = shapely.box(*np.array([box_of(edge) for edge in edges]).T)
    tree = shapely.STRtree(shapely.buffer(boxes, 2 * SNAP, cap_style="square", join_style="mitre"))
    crossed = _crossings(edges, tree)
    ends = [at for edge in edges for at in (edge.start, edge.end)]
    home, found = _nodes([*ends, *crossed], len(ends))
    cuts, nodes = _cuts(edges, tree, home, found)
    return Network(tuple(nodes), tuple(_strands(edges, owner, cuts, nodes, deviation)))


def _crossings(edges: Sequence[Edge], tree: shapely.STRtree) -> list[Point]:
    pairs = tree.query(tree.geometries)
    pairs = pairs[:, pairs[0] < pairs[1]]
    pairs = pairs[:, np.lexsort(pairs[::-1])]
    return [at for one, two in pairs.T.tolist() for at in meetings(edges[one], edges[two], SNAP)]


def _nodes(points: Sequence[Point], ends: int) -> tuple[list[int], list[tuple[Point, bool]]]:
    """Points (the first `ends` of them ends of edges) as nodes, each point's node, and whether a
    node is a crossing, whose place is exact.

    A point belongs to the first node within `SNAP` of it, so that a row of close points does not
    creep into one.
    """
    tree = shapely.STRtree(shapely.points(points))
    pairs = tree.query(tree.geometries, predicate="dwithin", distance=SNAP)
    near: dict[int, list[int]] = defaultdict(list)
    for one, two in pairs.T.tolist():
        if two < one:
            near[one].append(two)
    home: list[int] = []
    first: dict[int, int] = {}  # by the point that a node began with
    nodes: list[tuple[Point, bool]] = []
    for at, point in enumerate(points):
        node = next((first[other] for other in sorted(near[at]) if other in first), None)
        if node is None:
            node = first[at] = len(nodes)
            nodes.append((point, at >= ends))
        elif at >= ends and not nodes[node][1]:
            nodes[node] = (point, True)
        home.append(node)
    return home, nodes


Cuts = list[list[tuple[float, int]]]  # for each edge (share, node)


def _cuts(
    edges: Sequence[Edge],
    tree: shapely.STRtree,
    home: Sequence[int],
    nodes: Sequence[tuple[Point, bool]],
) -> tuple[Cuts, list[Point]]:
    """Where each edge is cut, its ends included; a node that an edge passes moves onto it."""
    cuts: Cuts = [[(0.0, home[2 * at]), (1.0, home[2 * at + 1])] for at in range(len(edges))]
    passed = tree.query(shapely.points([at for at, _ in nodes]))
    places = [at for at, _ in nodes]
    exact = [crossing for _, crossing in nodes]
    passed = passed[:, _may_pass(edges, places, passed)]
    for node, number in passed[:, np.lexsort(passed[::-1])].T.tolist():
        edge = edges[number]
        if node in (cuts[number][0][1], cuts[number][1][1]):
            continue
        share, off = nearest(edge, places[node])
        if off <= SNAP and 0 < share < 1:
            cuts[number].append((share, node))
            if not exact[node]:
                places[node], exact[node] = place(edge, share), True
    return [sorted(each) for each in cuts], places


def _may_pass(
    edges: Sequence[Edge], places: Sequence[Point], passed: NDArray[np.int64]
) -> NDArray[np.bool_]:
    """Which (node, edge) of `passed`, (2, n), are near the edge's whole line or circle.

    None is left out that is within `SNAP` of it, or can be once it has moved by as much; most of
    those whose boxes meet are not.
    """
    ends = np.array([(*edge.start, *edge.end) for edge in edges])
    circles = np.array([(*(edge.centre or (0.0, 0.0)), edge.radius) for edge in edges])
    curved = np.array([edge.centre is not None for edge in edges])
    at, number = np.array(places)[passed[0]], passed[1]
    start, along = ends[number, :2], ends[number, 2:] - ends[number, :2]
    off = at - start
    beside = np.abs(along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0])
    within = beside <= 2.01 * SNAP * np.hypot(along[:, 0], along[:, 1])
    x, y = (at - circles[number, :2]).T
    around = np.abs(np.hypot(x, y) - circles[number, 2]) <= 2.01 * SNAP
    near: NDArray[np.bool_] = np.where(curved[number], around, within)
    return near


def _strands(
    edges: Sequence[Edge],
    owner: Sequence[int],
    cuts: Cuts,
    nodes: Sequence[Point],
    deviation: float,
) -> Iterator[Strand]:
    """The stretches between cuts; of two that lie on one another the first."""
    known: dict[tuple[int, int], list[Point]] = defaultdict(list)
    for edge, number, cut in zip(edges, owner, cuts, strict=True):
        for (low, one), (high, two) in pairwise(cut):
            if one == two and (high - low) * edge.length < math.tau * SNAP:
                continue  # no longer than what is joined
            middle = place(edge, (low + high) / 2)
            others = known[min(one, two), max(one, two)]
            if any(math.dist(middle, other) <= SNAP for other in others):
                continue
            others.append(middle)
            start, end = nodes[one], nodes[two]
            inner = [
                at
                for at in facets(edge, low, high, deviation)
                if min(math.dist(at, start), math.dist(at, end)) > SNAP
            ]
            yield Strand((start, *inner, end), middle, (one, two), number)
