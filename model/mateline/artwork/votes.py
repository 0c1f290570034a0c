"""The layer seen on each side of a chain, the same all around each loop.

Stands between the arrangement and dissolve. Each chain has its own word on what lies beside it,
and where rings run a hair apart some are wrong: noding may have laid two of them together. Then
a point inside the loop decides, if the loop has room for one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.artwork.planar import graph_of, listed, loop_sums, parents_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.artwork.arrangement import Sides
    from mateline.artwork.planar import Chains, Graph

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

TRIES = 8  # edges of a loop beside which room for a point is looked for
# Share of the extent: a chain this near a middle may be on either side of it, since it is rounded.
ROUNDED = 2.0**-46
# Shares of the extent: how far from a chain a point is looked for, the farthest first. The last
# is beyond what noding moves, so that the point's place in the rings is certain.
STEPS = (2.0**-13, 2.0**-18, 2.0**-23, 2.0**-28, 2.0**-33)
HAIR = 2.0**-49  # share of the extent: a face no wider than this is rounding


def seen(
    chains: Chains,
    sides: Sides,
    layers: NDArray[np.object_],
    *,
    everywhere: bool = False,
    melting: bool = True,
) -> tuple[Ints, Ints]:
    """The layer left and right of each chain. `everywhere`: when one is wrong, trust none.

    `melting`: faces as thin as rounding are taken into a neighbour.

    Where a loop's chains disagree and it is thinner than rounding, the longest edge has the best
    word. A spike thinner than rounding is noded into one chain that ends in the open: it has one
    loop on both sides, so it parts nothing.
    """
    graph = graph_of(chains)
    own = np.column_stack([sides.left, sides.right]).ravel()
    order = np.lexsort((np.repeat(sides.reach, 2), graph.loop))
    best = np.zeros(len(own), dtype=np.int64)
    best[graph.loop[order]] = order  # of each loop the last one, the longest, stays
    layer = own[best]
    torn = np.unique(graph.loop[own != layer[graph.loop]])
    if len(torn):
        torn = np.flatnonzero(graph.loop == np.arange(len(own))) if everywhere else torn
        last = np.searchsorted(graph.loop[order], torn, side="right") - 1
        first = np.searchsorted(graph.loop[order], torn)
        lookup = _Lookup(chains, sides, layers)
        open_ones = np.arange(len(torn))
        for nth in range(TRIES):  # the longest edge first, then the next ones
            open_ones = open_ones[last[open_ones] - nth >= first[open_ones]]
            if len(open_ones) == 0:
                break
            found, room = lookup.topmost_beside(order[last[open_ones] - nth])
            layer[torn[open_ones[room]]] = found[room]
            open_ones = open_ones[~room]
        _agree(layer, chains, graph, outside=len(layers))
    if melting:
        _melt_hairs(layer, chains, graph, outside=len(layers))
    voted = layer[graph.loop]
    return voted[0::2], voted[1::2]


def _melt_hairs(layer: Ints, chains: Chains, graph: Graph, outside: int) -> None:
    """Give faces as thin as rounding the layer of the neighbour along their longest chain.

    Three rings that cross in what was meant as one point leave such a face between them. No
    point is moved; faces that have only such neighbours, or the outside, stay.
    """
    length, area = loop_sums(chains, graph)
    thin = 2 * np.abs(area) <= HAIR * float(np.abs(chains.points).max()) * length
    twin = graph.loop[np.arange(len(graph.loop)) ^ 1]
    half = np.flatnonzero((thin & (area > 0))[graph.loop] & ~thin[twin] & (layer[twin] != outside))
    run = graph.nodes[graph.node[half ^ 1]] - graph.nodes[graph.node[half]]
    half = half[np.argsort(np.hypot(run[:, 0], run[:, 1]), kind="stable")]
    layer[graph.loop[half]] = layer[twin[half]]  # of each face the last one, the longest, stays


def _agree(layer: Ints, chains: Chains, graph: Graph, outside: int) -> None:
    """Give every hole the layer of the loop it lies in: they bound one face."""
    _, area = loop_sums(chains, graph)
    own = np.flatnonzero(graph.loop == np.arange(len(graph.loop)))
    # A part of the map that encloses nothing has one loop on both sides, of no area.
    parts = np.zeros(len(graph.loop), dtype=bool)
    parts[graph.loop[graph.loop != graph.loop[np.arange(len(graph.loop)) ^ 1]]] = True
    inner = (area[own] < 0) | ~parts[own]
    outer, holes = own[~inner], own[inner]
    parent = parents_of(chains, graph, listed(graph, holes), outer, holes)
    layer[holes] = np.where(parent < 0, outside, layer[parent])


class _Lookup:
    """Finds layers by points beside chains, where there is room for one."""

    def __init__(self, chains: Chains, sides: Sides, layers: NDArray[np.object_]) -> None:
        self._chains, self._sides, self._layers = chains, sides, layers
        self._extent = 2.0 ** np.ceil(np.log2(float(np.abs(chains.points).max())))
        line = np.repeat(np.arange(len(chains)), np.diff(chains.offsets))
        self._lines = shapely.STRtree(np.asarray(shapely.linestrings(chains.points, indices=line)))
        self._shapes = shapely.STRtree(layers[:-1])

    def topmost_beside(self, half: Ints) -> tuple[Ints, NDArray[np.bool_]]:
        """The topmost layer left of each half-edge, and where there is room to tell."""
        found = np.zeros(len(half), dtype=np.int64)
        known = np.zeros(len(half), dtype=bool)
        for share in STEPS:
            some = np.flatnonzero(~known)
            if len(some) == 0:
                break
            chain = half[some] >> 1
            end = _beside(self._chains, self._sides, half[some], share * self._extent)
            path = np.stack([self._sides.middle[chain], end], axis=1)
            way, met = self._lines.query(
                np.asarray(shapely.linestrings(path)),
                predicate="dwithin",
                distance=ROUNDED * self._extent,
            )
            room = ~np.isin(np.arange(len(some)), way[met != chain[way]])
            place = np.asarray(shapely.points(end[room]))
            found[some[room]] = _topmost(place, self._layers, self._shapes)
            known[some[room]] = True
        return found, known


def _beside(chains: Chains, sides: Sides, half: Ints, step: float) -> Floats:
    """Points `step` to the left of the middles of half-edges."""
    chain = half >> 1
    first, last = chains.offsets[chain], chains.offsets[chain + 1]
    at = first + (last - first - 1) // 2
    way = chains.points[at + 1] - chains.points[at]
    way /= np.hypot(way[:, 0], way[:, 1])[:, None]
    left = np.column_stack([-way[:, 1], way[:, 0]]) * np.where(half & 1, -step, step)[:, None]
    points: Floats = sides.middle[chain] + left
    return points


def _topmost(
    places: NDArray[np.object_], layers: NDArray[np.object_], shapes: shapely.STRtree
) -> Ints:
    """The highest layer that has each place inside; 0 is the base coat."""
    top = np.zeros(len(places), dtype=np.int64)
    place, shape = shapes.query(places, predicate="within")
    np.maximum.at(top, place, shape + 1)
    top[~shapely.covers(layers[-1], places)] = len(layers)
    return top
