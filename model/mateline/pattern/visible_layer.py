"""The layer seen on each side of a chain, the same all around each face.

Stands between the arrangement and dissolve. Each chain has its own word on what lies beside it,
and where rings run a hair apart some are wrong: noding may have laid two of them together. Then
points inside the faces decide.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.pattern.face_samples import sampled_layers
from mateline.planar.half_edges import graph_of, loop_sums

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.pattern.arrangement import Sides
    from mateline.planar.chains import Chains
    from mateline.planar.half_edges import Graph

    Ints = NDArray[np.int64]

HAIR = 2.0**-49  # share of the extent: a face no wider than this is rounding


def visible_layers(
    chains: Chains,
    sides: Sides,
    layers: NDArray[np.object_],
    grid: float,
) -> tuple[Ints, Ints]:
    """The layer left and right of each chain. `grid` is the pitch that noding rounded to; without
    one, faces as thin as rounding are taken into a neighbour.

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
    if len(odd) or grid:
        layer = sampled_layers(layer, odd, (chains, graph), layers, grid)
    if not grid:
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
