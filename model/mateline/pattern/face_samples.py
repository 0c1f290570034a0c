"""The layer that is seen inside a face, told by points in it.

Stands before visible_layer. A point counts only where it is farther from every chain than noding
may have moved one, and its face is found exactly. A face in which two points see different layers
is no face: noding has left a gap in its boundary, and must be done again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.pattern.dissolve import OUTSIDE
from mateline.pattern.occlusion import above
from mateline.planar.crossings import lines_of, ranges
from mateline.planar.half_edges import TangledError, listed, loop_sums, parents_of
from mateline.planar.point_location import half_edges_left_of, stretches

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.planar.chains import Chains
    from mateline.planar.half_edges import Graph

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

ASKED = 8  # edges of a loop beside which a point is looked for, the longest ones
ROUNDED = 2.0**-39  # share of the extent: a chain lies no farther from where its ring ran
MOVED = 2.0  # pitches: the same for noding on a grid, twice half a diagonal and some
ROOMY = 8.0  # times as far: a narrower face has no room for a point to speak of, nor area
# Shares of the extent: how far from an edge a point is looked for, the farthest first.
STEPS = (2.0**-13, 2.0**-18, 2.0**-23, 2.0**-28, 2.0**-33, 2.0**-38)


def sampled_layers(
    layer: Ints,
    odd: Ints,
    net: tuple[Chains, Graph],
    layers: NDArray[np.object_],
    grid: float,
) -> Ints:
    """The layer of each loop (read at its lowest half-edge), `layer` where no point tells.

    `odd` are half-edges that see another layer than their loop: such loops are asked, or all of
    them where noding rounded to a pitch `grid`. All loops of a face get one layer, in the end that
    of its outer loop.

    Raises TangledError when two points of one face see different layers.
    """
    chains, graph = net
    length, area = loop_sums(chains, graph)
    face = _faces(chains, graph, area)
    places = _Places(chains, face, grid)
    half, at, rank = _ranked(chains, odd, odd)
    places.look(half[rank == 0], at[rank == 0])
    torn = graph.loop if grid else graph.loop[odd]
    wide = 2 * np.abs(area) > ROOMY * places.near * length
    around = np.flatnonzero((np.isin(np.arange(len(area)), torn) & wide)[graph.loop])
    half, at, rank = _ranked(chains, around, graph.loop[around])
    # All the longest edges: what an odd one saw may be beyond a gap in the face's boundary.
    places.look(half[rank == 0], at[rank == 0])
    for turn in range(1, ASKED):
        some = (rank == turn) & ~places.has[face[half]]
        places.look(half[some], at[some])
    told = np.append(layer, len(layers))  # the outside, face -1, is the last
    where, points = (np.concatenate(part) for part in zip(*places.found, strict=True))
    told[where] = top = _topmost(np.asarray(shapely.points(points)), layers)
    if (told[where] != top).any() or told[OUTSIDE] != len(layers):
        raise TangledError("a face is seen in two layers")
    return told[face]


class _Places:
    """Points in faces: `found` are faces and points, `has` is whether a face has one. Chains are
    farther from them than `near`.
    """

    def __init__(self, chains: Chains, face: Ints, grid: float) -> None:
        self.found: list[tuple[Ints, Floats]] = [(np.empty(0, dtype=np.int64), np.empty((0, 2)))]
        self.has = np.zeros(len(face) + 1, dtype=bool)
        self._chains, self._face = chains, face
        self._extent = 2.0 ** np.ceil(np.log2(float(np.abs(chains.points).max())))
        self.near = max(ROUNDED * self._extent, MOVED * grid)
        first, last, _ = stretches(chains.offsets)
        self._lines = shapely.STRtree(lines_of(chains.points, first, last))

    def look(self, half: Ints, at: Ints) -> None:
        """Look for a point in the face left of each edge of the half-edges `half`, which begins
        or ends at point `at` of the chains.
        """
        for step in (share * self._extent for share in STEPS):
            if len(half) == 0 or step < 2 * self.near:
                return
            points = _beside(self._chains, half, at, step)
            free = np.ones(len(half), dtype=bool)
            free[self._met(points)[0]] = False
            beside = half_edges_left_of(self._chains, points[free])
            # A long step may end in another face than its own, and counts there.
            face = np.where(beside < 0, OUTSIDE, self._face[beside])
            self.found.append((face, points[free]))
            self.has[face] = True
            free[free] = face == self._face[half[free]]
            half, at = half[~free], at[~free]

    def _met(self, points: Floats) -> Ints:
        places = np.asarray(shapely.points(points))
        met: Ints = self._lines.query(places, predicate="dwithin", distance=self.near)
        return met


def _faces(chains: Chains, graph: Graph, area: Floats) -> Ints:
    """The face left of each half-edge: the lowest half-edge of its outer loop, or OUTSIDE."""
    own = np.flatnonzero(graph.loop == np.arange(len(graph.loop)))
    # A part of the map that encloses nothing has one loop on both sides, of no area.
    parts = np.zeros(len(graph.loop), dtype=bool)
    parts[graph.loop[graph.loop != graph.loop[np.arange(len(graph.loop)) ^ 1]]] = True
    inner = (area[own] < 0) | ~parts[own]
    outer, holes = own[~inner], own[inner]
    face = np.arange(len(graph.loop))
    face[holes] = parents_of(chains, graph, listed(graph, holes), outer, holes)
    return face[graph.loop]


def _ranked(chains: Chains, half: Ints, group: Ints) -> tuple[Ints, Ints, Ints]:
    """The longest edges of each group of half-edges: half-edge, first point, and rank from 0."""
    first, last = chains.offsets[half >> 1], chains.offsets[(half >> 1) + 1] - 1
    at = ranges(first, last)
    half, group = np.repeat(half, last - first), np.repeat(group, last - first)
    length = np.hypot(*(chains.points[at + 1] - chains.points[at]).T)
    order = np.lexsort((-length, group))
    rank = np.arange(len(order)) - np.searchsorted(group[order], group[order])
    order, rank = order[rank < ASKED], rank[rank < ASKED]
    return half[order], at[order], rank


def _beside(chains: Chains, half: Ints, at: Ints, step: float) -> Floats:
    """Points `step` to the left of the middles of edges of half-edges."""
    start, end = chains.points[at], chains.points[at + 1]
    way = (end - start) / np.hypot(*(end - start).T)[:, None]
    left = np.column_stack([-way[:, 1], way[:, 0]]) * np.where(half & 1, -step, step)[:, None]
    points: Floats = (start + end) / 2 + left
    return points


def _topmost(places: NDArray[np.object_], layers: NDArray[np.object_]) -> Ints:
    """The highest layer that has each place inside; 0 is the base coat."""
    top = np.zeros(len(places), dtype=np.int64)
    if len(places) == 0:
        return top
    place, layer = above(places, top, layers[:-1])
    np.maximum.at(top, place, layer)
    top[~shapely.covers(layers[-1], places)] = len(layers)
    return top
