"""All rings of a drawing noded into chains, and which shape is seen on each side of a chain.

Stands between shapes and pattern. Layers are numbered back to front: 0 is the base coat,
1 .. n are the shapes, n + 1 is everything outside the outline, which lies on top of all.

    chain   noded line work between two meeting places, its ends included
    whole   an edge of a ring that no other ring meets: it is found again to the bit
    cut     an edge of a ring that noding broke; its pieces lie on it to the last bits only

No point is ever nudged off a chain to see what lies beside it: rings along a chain are known,
and whatever else covers the chain's middle covers both its sides.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.artwork.hidden import topmost_large, uncovered

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

ALONG = 1e-10  # share of the extent: how far a piece may lie off the edge it was cut from
ROUNDING = 1e-14  # share of the extent: the same for pieces too short to have a direction
BESIDE = 8.0  # times as far off as the nearest edge, and an edge is not the chain's own
CHUNK = 4096  # points looked up at a time: bounds the memory
LEAN = 1e-3  # rad: a piece may lean off its edge by this much (both ends rounded)


@dataclass(frozen=True, slots=True)
class Chains:
    """Noded lines. Chain i is points[offsets[i]:offsets[i + 1]], (n, 2)."""

    points: Floats
    offsets: Ints

    def __len__(self) -> int:
        return len(self.offsets) - 1


@dataclass(frozen=True, slots=True)
class Sides:
    """The layer seen on the left and on the right of each chain, and how far that is certain.

    `reach` is the length of the edge that was looked at, so the longest has the best word.
    """

    left: Ints
    right: Ints
    reach: Floats
    middle: Floats


@dataclass(frozen=True, slots=True)
class _Edges:
    """Directed edges (m, 4) of rings with the inside on their left, and the layer of each."""

    ends: Floats
    layer: Ints


def arranged(layers: NDArray[np.object_], grid: float) -> tuple[Chains, Sides]:
    """Node what can be seen of the rings of `layers` (valid areas, back to front, outline last).

    `grid` is the pitch to round to, 0 to keep every vertex to the bit.
    """
    parts, owner = shapely.get_parts(layers, return_index=True)
    rings, part = shapely.get_rings(shapely.orient_polygons(parts), return_index=True)
    lines, layer = uncovered(rings, owner[part] + 1, layers)
    del parts, rings  # noding is where memory peaks
    chains = _noded(lines, grid)
    edges = _edges(lines, layer, outside=len(layers))
    return chains, _sides(chains, edges, layers, grid)


def _noded(lines: NDArray[np.object_], grid: float) -> Chains:
    # The union of lines (not `node`) checks its own work and tries again with snapping.
    noded = shapely.get_parts(shapely.unary_union(lines, grid_size=grid or None))
    points, line = shapely.get_coordinates(noded, return_index=True)
    offsets = np.searchsorted(line, np.arange(len(noded) + 1))
    return Chains(points, offsets)


def _edges(rings: NDArray[np.object_], layer: Ints, outside: int) -> _Edges:
    points, ring = shapely.get_coordinates(rings, return_index=True)
    ends = np.hstack([points[:-1], points[1:]])
    real = (ring[:-1] == ring[1:]) & (ends[:, :2] != ends[:, 2:]).any(axis=1)
    ends, owner = ends[real], layer[ring[:-1][real]]
    flip = owner == outside  # what is outside lies on the other side of the outline's rings
    ends[flip] = ends[flip][:, [2, 3, 0, 1]]
    return _Edges(ends, owner)


def _sides(chains: Chains, edges: _Edges, layers: NDArray[np.object_], grid: float) -> Sides:
    first, last = chains.offsets[:-1], chains.offsets[1:]
    count = last - first - 1
    at = first + count // 2  # an inner edge wherever there are three or more: whole for sure
    seen = np.hstack([chains.points[at], chains.points[at + 1]])
    middle = (seen[:, :2] + seen[:, 2:]) / 2
    reach = np.hypot(*_run(seen).T)
    chain, edge = _along(chains, edges, seen, np.flatnonzero(count <= 2), grid)
    forward = (_run(seen[chain]) * _run(edges.ends[edge])).sum(axis=1) > 0
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
    shapely.prepare(layers)
    floor = topmost_large(points, layers, (chain, on))
    for side in sides:
        np.maximum(side, floor, out=side)
    point, layer = _above(points, floor, layers[:-1])
    beyond = np.flatnonzero(~shapely.covers(layers[-1], points))
    point = np.concatenate([point, beyond])
    layer = np.concatenate([layer, np.full(len(beyond), outside)])
    # A ring along the chain says which side its layer is on; its own inside test is noise.
    own = np.isin(point * (outside + 1) + layer, chain * (outside + 1) + on)
    for side in sides:
        np.maximum.at(side, point[~own], layer[~own])


def _above(
    points: NDArray[np.object_], floor: Ints, shapes: NDArray[np.object_]
) -> tuple[Ints, Ints]:
    """Pairs of a point and a layer above its floor that has it inside."""
    tree = shapely.STRtree(shapes)
    found = []
    for start in range(0, len(points), CHUNK):
        some = points[start : start + CHUNK]
        point, shape = tree.query(some)
        higher = shape + 1 > floor[start:][point]
        point, shape = point[higher], shape[higher]
        inside = shapely.contains(shapes[shape], some[point])
        found.append((point[inside] + start, shape[inside] + 1))
    point, layer = (np.concatenate(part) for part in zip(*found, strict=True))
    return point, layer


def _along(
    chains: Chains, edges: _Edges, seen: Floats, short: Ints, grid: float
) -> tuple[Ints, Ints]:
    """Pairs (chain, edge) of the edges that run along each chain's looked-at edge."""
    key = _keys(edges.ends)
    order = np.argsort(key, kind="stable")
    wanted = _keys(seen)
    low = np.searchsorted(key[order], wanted, side="left")
    high = np.searchsorted(key[order], wanted, side="right")
    chain = np.repeat(np.arange(len(seen)), high - low)
    edge = order[_ranges(low, high)]

    inner = np.ones(len(chains.points) - 1, dtype=bool)
    inner[chains.offsets[1:-1] - 1] = False
    noded = np.hstack([chains.points[:-1], chains.points[1:]])[inner]
    cut = np.flatnonzero(~np.isin(key, _keys(noded)))
    more_chain, more_edge = _pieces(edges, cut, seen, short, chain, grid)
    return np.concatenate([chain, more_chain]), np.concatenate([edge, more_edge])


def _pieces(
    edges: _Edges, cut: Ints, seen: Floats, short: Ints, taken: Ints, grid: float
) -> tuple[Ints, Ints]:
    """The same for the edges `cut`, and chains that may be pieces; those `taken` have an edge."""
    if len(cut) == 0 or len(short) == 0:
        return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
    extent = float(np.abs(edges.ends).max())
    allowed = max(ALONG * extent, grid)
    lines = np.asarray(shapely.linestrings(edges.ends[cut].reshape(-1, 2, 2)))
    middle = shapely.points((seen[short, :2] + seen[short, 2:]) / 2)
    near, line = shapely.STRtree(lines).query(middle, predicate="dwithin", distance=allowed)
    chain, edge = short[near], cut[line]
    piece, along = seen[chain], edges.ends[edge]
    off = np.maximum(_off(piece[:, :2], along), _off(piece[:, 2:], along))
    reach = np.hypot(*_run(piece).T)
    rounding = max(ROUNDING * extent, grid)
    on = off <= np.minimum(allowed, np.maximum(LEAN * reach, rounding))
    # Another ring may run a hair beside the one that the chain was cut from: that is not along.
    nearest = np.full(len(seen), np.inf)
    nearest[taken] = 0.0
    np.minimum.at(nearest, chain, off)
    on &= off <= np.maximum(BESIDE * nearest[chain], rounding)
    return chain[on], edge[on]


def _off(points: Floats, ends: Floats) -> Floats:
    """Distance of each point to the segment beside it."""
    start, along = ends[:, :2], ends[:, 2:] - ends[:, :2]
    share = ((points - start) * along).sum(axis=1) / (along * along).sum(axis=1)
    foot = start + np.clip(share, 0, 1)[:, None] * along
    distance: Floats = np.hypot(*(points - foot).T)
    return distance


def _run(ends: Floats) -> Floats:
    """From the start of each edge to its end."""
    return ends[:, 2:] - ends[:, :2]


def _keys(ends: Floats) -> NDArray[np.uint64]:
    """A 64-bit mark of each undirected edge; -0.0 and 0.0 have one mark."""
    bits = np.ascontiguousarray(ends + 0.0).view(np.uint64)
    odd = np.uint64(0x9E3779B97F4A7C15), np.uint64(0xC2B2AE3D27D4EB4F)
    with np.errstate(over="ignore"):
        one = _mixed(_mixed(bits[:, 0]) * odd[0] + bits[:, 1])
        two = _mixed(_mixed(bits[:, 2]) * odd[0] + bits[:, 3])
        mark: NDArray[np.uint64] = _mixed((one + two) * odd[1] ^ one * two)
    return mark


def _mixed(bits: NDArray[np.uint64]) -> NDArray[np.uint64]:
    # The finalizer of splitmix64 (Steele, Lea, Flood, "Fast splittable pseudorandom number
    # generators", 2014): constants from memory.
    bits = (bits ^ (bits >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    bits = (bits ^ (bits >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return bits ^ (bits >> np.uint64(31))


def _ranges(low: Ints, high: Ints) -> Ints:
    """All of low[0] .. high[0] - 1, low[1] .. high[1] - 1 and so on, end to end."""
    count = high - low
    starts = np.cumsum(count) - count
    steps: Ints = np.arange(int(count.sum())) - np.repeat(starts - low, count)
    return steps
