"""All rings of a drawing noded into chains, and which shape is seen on each side of a chain.

Stands between shapes and pattern. Layers are numbered back to front: 0 is the base coat,
1 .. n are the shapes, n + 1 is everything outside the outline, which lies on top of all.

    chain   noded line work between two meeting places, its ends included

No point is ever nudged off a chain to see what lies beside it: rings along a chain are known,
and whatever else covers the chain's middle covers both its sides.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.pattern.occlusion import above, refuse_many_crossings, topmost_large, without_occluded
from mateline.pattern.ring_edges import (
    direction,
    edges_along,
    edges_of,
    sampled_edges,
    without_twins,
)
from mateline.planar.chains import Chains, spanned
from mateline.planar.half_edges import TangledError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.pattern.ring_edges import Edges

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

CHUNK = 4096  # points looked up, or areas taken apart, at a time: bounds the memory
CELLS = 2**16 - 1  # along each side, to put rings in order of place
SAME = 2.0**-44  # share of the extent: places that are no farther apart were one
MIXER = np.uint64(0x9E3779B97F4A7C15)  # 2^64 over the golden ratio (Knuth, TAOCP 3, 6.4)
TINY = 1e-300  # mm: less than any drawing


@dataclass(frozen=True, slots=True)
class Sides:
    """The layer seen on the left and on the right of each chain, and how far that is certain.

    `reach` is the length of the edge that was looked at, so the longest has the best word.
    """

    left: Ints
    right: Ints
    reach: Floats
    middle: Floats


def arrangement_of(layers: NDArray[np.object_], grid: float) -> tuple[Chains, Sides]:
    """Node what can be seen of the rings of `layers` (valid areas, back to front, outline last).

    `grid` is the pitch to round to, 0 to keep every vertex to the bit. Raises InputError when
    too many rings cross, TangledError when noding has moved a vertex that it was to keep, or left
    two edges that are one but for rounding.
    """
    lines, layer = without_occluded(*_rings(layers), layers)
    if grid:  # as noding will round them: an edge that nothing meets is known again by its ends
        lines = Chains(np.round(lines.points / grid) * grid, lines.offsets)
    edges = edges_of(lines, layer, outside=len(layers))
    lines = without_twins(lines, edges)
    refuse_many_crossings(lines, len(layers) - 1)
    chains = _noded(lines, grid)
    del lines
    if not grid and _has_doubles(chains):
        raise TangledError("edges run along each other")
    return chains, _sides(chains, edges, layers, grid)


def _rings(layers: NDArray[np.object_]) -> tuple[Chains, Ints]:
    """Rings of `layers` with the inside on their left, and the layer of each, 1 for the first.

    In order of place: what is near is then near in memory too, which halves some of the work.
    """
    points, counts, layer = [], [], []
    for start in range(0, len(layers), CHUNK):  # rings are copies: not of all layers at once
        parts, owner = shapely.get_parts(layers[start : start + CHUNK], return_index=True)
        rings, part = shapely.get_rings(parts, return_index=True)
        outer = np.append(True, part[1:] != part[:-1])
        turned = shapely.is_ccw(rings) != outer
        rings[turned] = shapely.reverse(rings[turned])
        points.append(shapely.get_coordinates(rings))
        counts.append(shapely.get_num_coordinates(rings).astype(np.int64))
        layer.append(owner[part] + start + 1)
    offsets = np.append(0, np.cumsum(np.concatenate(counts)))
    every, owners = np.concatenate(points), np.concatenate(layer)
    order = np.argsort(_place(every[offsets[:-1]]), kind="stable")
    return spanned(every, offsets[order], offsets[order + 1] - 1), owners[order]


def _place(points: Floats) -> NDArray[np.uint64]:
    """The number of each point along a curve through all places (Morton's order, 1966)."""
    low = points.min(axis=0)
    size = max(float((points.max(axis=0) - low).max()), TINY)
    cell = ((points - low) * (CELLS / size)).astype(np.uint64)
    number = np.zeros(len(points), dtype=np.uint64)
    for bit in range(CELLS.bit_length()):
        for axis in (0, 1):
            digit = (cell[:, axis] >> np.uint64(bit)) & np.uint64(1)
            number |= digit << np.uint64(2 * bit + axis)
    return number


def _has_doubles(chains: Chains) -> bool:
    """Whether two edges are one but for last bits: a knife would go there twice."""
    points = chains.points
    pitch = SAME * np.abs(points).max()
    cell = np.round(points / pitch).astype(np.int64).view(np.uint64)
    keys = cell[:, 0] * MIXER + cell[:, 1]
    edges = np.sort(np.column_stack([keys[:-1], keys[1:]]), axis=1)
    edges = np.delete(edges, chains.offsets[1:-1] - 1, axis=0)  # from one chain to the next
    ways = np.sort(edges[:, 0] * MIXER + edges[:, 1])
    return bool((ways[1:] == ways[:-1]).any())


def _noded(lines: Chains, grid: float) -> Chains:
    # The union of lines (not `node`) checks its own work and tries again with snapping.
    line = np.repeat(np.arange(len(lines)), np.diff(lines.offsets))
    union = shapely.unary_union(
        shapely.linestrings(lines.points, indices=line), grid_size=grid or None
    )
    total = int(shapely.get_num_geometries(union))
    counts = [
        shapely.get_num_coordinates(  # parts are copies: not of all lines at once
            shapely.get_geometry(union, np.arange(start, min(start + CHUNK, total)))
        )
        for start in range(0, total, CHUNK)
    ]
    return Chains(
        shapely.get_coordinates(union),
        np.append(0, np.cumsum(np.concatenate(counts), dtype=np.int64)),
    )


def _sides(chains: Chains, edges: Edges, layers: NDArray[np.object_], grid: float) -> Sides:
    at = sampled_edges(chains)
    seen = np.hstack([chains.points[at], chains.points[at + 1]])
    middle = (seen[:, :2] + seen[:, 2:]) / 2
    reach = np.hypot(*direction(seen).T)
    chain, edge = edges_along(chains, edges, grid)
    forward = (direction(seen[chain]) * direction(edges.ends[edge])).sum(axis=1) > 0
    on = edges.layer[edge]
    left, right = np.zeros((2, len(chains)), dtype=np.int64)
    _covering(middle, layers, chain, on, (left, right))
    np.maximum.at(left, chain[forward], on[forward])
    np.maximum.at(right, chain[~forward], on[~forward])
    return Sides(left, right, reach, middle)


def _covering(
    middle: Floats, layers: NDArray[np.object_], chain: Ints, on: Ints, sides: tuple[Ints, Ints]
) -> None:
    """Raise both `sides` to the highest layer that has the chain's middle in its inside."""
    outside = len(layers)
    points = np.asarray(shapely.points(middle))
    shapely.prepare(layers[-1])
    floor = topmost_large(points, layers, (chain, on))
    for side in sides:
        np.maximum(side, floor, out=side)
    point, layer = above(points, floor, layers[:-1])
    beyond = np.flatnonzero(~shapely.covers(layers[-1], points))
    point = np.concatenate([point, beyond])
    layer = np.concatenate([layer, np.full(len(beyond), outside)])
    # A ring along the chain says which side its layer is on; its own inside test is noise.
    own = np.isin(point * (outside + 1) + layer, chain * (outside + 1) + on)
    for side in sides:
        np.maximum.at(side, point[~own], layer[~own])
