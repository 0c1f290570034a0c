"""The layer seen on each side of a chain, the same all around each face.

Stands between the arrangement and dissolve. Each chain has its own word on what lies beside it,
and where rings run a hair apart some are wrong: noding may have laid two of them together. Then
points inside the faces decide. A face in which two points see different layers is no face:
noding has left a gap in its boundary, and must be done again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.artwork.along import looked_at
from mateline.artwork.crossings import ranges
from mateline.artwork.dissolve import OUTSIDE, TangledError
from mateline.artwork.leftward import facing
from mateline.artwork.planar import graph_of, listed, loop_sums, parents_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.artwork.arrangement import Sides
    from mateline.artwork.planar import Chains, Graph

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

ASKED = 8  # edges of a loop beside which a point is looked for, the longest ones
# Share of the extent: a chain may lie this far from where its ring ran, since it is rounded.
ROUNDED = 2.0**-46
MOVED = 2.0  # pitches: the same for noding on a grid, twice half a diagonal and some
# Shares of the extent: how far from a chain a point is looked for, the farthest first.
STEPS = (2.0**-13, 2.0**-18, 2.0**-23, 2.0**-28, 2.0**-33, 2.0**-38, 2.0**-43)
UNTOLD = -1
HAIR = 2.0**-49  # share of the extent: a face no wider than this is rounding


def seen(
    chains: Chains,
    sides: Sides,
    layers: NDArray[np.object_],
    *,
    grid: float = 0.0,
    melting: bool = True,
) -> tuple[Ints, Ints]:
    """The layer left and right of each chain. `grid` is the pitch that noding rounded to: with
    one, when one chain is wrong none is trusted.

    `melting`: faces as thin as rounding are taken into a neighbour.

    Where a face's chains disagree and it is thinner than rounding, the longest edge has the best
    word. A spike thinner than rounding is noded into one chain that ends in the open: it has one
    face on both sides, so it parts nothing.

    Raises TangledError when two points of one face are in different layers.
    """
    graph = graph_of(chains)
    own = np.column_stack([sides.left, sides.right]).ravel()
    order = np.lexsort((np.repeat(sides.reach, 2), graph.loop))
    best = np.zeros(len(own), dtype=np.int64)
    best[graph.loop[order]] = order  # of each loop the last one, the longest, stays
    layer = own[best]
    odd = np.flatnonzero(own != layer[graph.loop])
    if len(odd):
        torn = graph.loop if grid else graph.loop[odd]
        asked = np.union1d(odd, _longest(graph, order, np.unique(torn)))
        _ask(layer, asked, chains, graph, layers, grid)
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


def _longest(graph: Graph, order: Ints, loops: Ints) -> Ints:
    """Up to `ASKED` half-edges of each of `loops`, the last in `order`, which goes by loops."""
    first, last = (np.searchsorted(graph.loop[order], loops, side) for side in ("left", "right"))
    longest: Ints = order[ranges(np.maximum(first, last - ASKED), last)]
    return longest


def _ask(
    layer: Ints,
    asked: Ints,
    chains: Chains,
    graph: Graph,
    layers: NDArray[np.object_],
    grid: float,
) -> None:
    """Set the layer of each loop to what points beside the half-edges `asked` see in its face,
    or to that of its outer loop where none has room in it.
    """
    face = _faces(chains, graph)
    extent = 2.0 ** np.ceil(np.log2(float(np.abs(chains.points).max())))
    near = max(ROUNDED * extent, MOVED * grid)
    line = np.repeat(np.arange(len(chains)), np.diff(chains.offsets))
    lines = shapely.STRtree(np.asarray(shapely.linestrings(chains.points, indices=line)))
    shapes = shapely.STRtree(layers[:-1])
    told = np.full(len(face) + 1, UNTOLD)
    told[OUTSIDE] = len(layers)
    for step in (share * extent for share in STEPS if share * extent >= 2 * near):
        points = _beside(chains, asked, step)
        places = np.asarray(shapely.points(points))
        free = np.ones(len(asked), dtype=bool)
        free[lines.query(places, predicate="dwithin", distance=near)[0]] = False
        half = facing(chains, points[free])  # a long step may end in another face than its own
        where = np.where(half < 0, OUTSIDE, face[half])
        _tell(told, where, _topmost(places[free], layers, shapes))
        asked = np.append(asked[~free], asked[free][where != face[asked[free]]])
    layer[:] = np.where(told[face] == UNTOLD, np.append(layer, len(layers))[face], told[face])


def _tell(told: Ints, face: Ints, layer: Ints) -> None:
    """Set what is `told` of each face to the layer that was seen in it."""
    before = told[face]
    told[face] = layer
    if ((before != UNTOLD) & (before != layer)).any() or (told[face] != layer).any():
        raise TangledError("a face is seen in two layers")


def _faces(chains: Chains, graph: Graph) -> Ints:
    """The face left of each half-edge: the lowest half-edge of its outer loop, or OUTSIDE."""
    _, area = loop_sums(chains, graph)
    own = np.flatnonzero(graph.loop == np.arange(len(graph.loop)))
    # A part of the map that encloses nothing has one loop on both sides, of no area.
    parts = np.zeros(len(graph.loop), dtype=bool)
    parts[graph.loop[graph.loop != graph.loop[np.arange(len(graph.loop)) ^ 1]]] = True
    inner = (area[own] < 0) | ~parts[own]
    outer, holes = own[~inner], own[inner]
    face = np.arange(len(graph.loop))
    face[holes] = parents_of(chains, graph, listed(graph, holes), outer, holes)
    return face[graph.loop]


def _beside(chains: Chains, half: Ints, step: float) -> Floats:
    """Points `step` to the left of the middles of half-edges."""
    at = looked_at(chains)[half >> 1]
    start, end = chains.points[at], chains.points[at + 1]
    way = (end - start) / np.hypot(*(end - start).T)[:, None]
    left = np.column_stack([-way[:, 1], way[:, 0]]) * np.where(half & 1, -step, step)[:, None]
    points: Floats = (start + end) / 2 + left
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
