"""Edges of rings, and which of them run along the chains that noding made.

Stands between hiding and the arrangement.

    whole   an edge of a ring that no other ring meets: it is found again to the bit
    cut     an edge of a ring that noding broke; its pieces lie on it to the last bits only
    twin    an edge that another ring has too, walked either way
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.planar.chains import Chains, spanned
from mateline.planar.crossings import ranges
from mateline.planar.half_edges import TangledError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Marks = NDArray[np.uint64]

ALONG = 1e-10  # share of the extent: how far a piece may lie off the edge it was cut from
ROUNDING = 1e-14  # share of the extent: the same for pieces too short to have a direction
BESIDE = 8.0  # times as far off as the nearest edge, and an edge is not the chain's own
LEAN = 1e-3  # rad: a piece may lean off its edge by this much (both ends rounded)
ODD = np.uint64(0x9E3779B97F4A7C15), np.uint64(0xC2B2AE3D27D4EB4F)


@dataclass(frozen=True, slots=True)
class Edges:
    """Directed edges (m, 4) of lines with the inside on their left, and the layer of each.

    `at` is the place of each edge's first point in the lines, `mark` is the same for both
    directions of an edge and another one for every other edge; `by_mark` puts them in order.
    """

    ends: Floats
    layer: Ints
    at: Ints
    mark: Marks
    by_mark: Ints


def edges_of(lines: Chains, layer: Ints, outside: int) -> Edges:
    """The edges of `lines`, `layer` being that of each line and `outside` that of the outline."""
    real = np.ones(len(lines.points) - 1, dtype=bool)
    real[lines.offsets[1:-1] - 1] = False
    real &= (lines.points[1:] != lines.points[:-1]).any(axis=1)
    at = np.flatnonzero(real)
    owner = np.repeat(layer, np.diff(lines.offsets))[at]
    flip = owner == outside  # what is outside lies on the other side of the outline's rings
    ends = np.hstack([lines.points[at + flip], lines.points[at + ~flip]])
    marks = _marks(lines.points)
    mark = _between(marks[at], marks[at + 1])
    return Edges(ends, owner, at, mark, np.argsort(mark, kind="stable"))


def without_twins(lines: Chains, edges: Edges) -> Chains:
    """`lines` without the edges that have a twin before them.

    Noding would make a node of every vertex along them.
    """
    ordered = edges.mark[edges.by_mark]
    same = ordered[1:] == ordered[:-1]
    if not same.any():
        return lines
    twins = np.append(False, same) | np.append(same, False)
    some = np.sort(edges.by_mark[twins])
    first = some[np.unique(edges.mark[some], return_index=True)[1]]
    keep = np.ones(len(lines.points) + 1, dtype=bool)  # the edges after each point, none at last
    keep[-2:] = False
    keep[lines.offsets[1:-1] - 1] = False
    keep[edges.at[some]] = False
    keep[edges.at[first]] = True
    before = np.append(False, keep[:-2])
    starts = np.flatnonzero(keep[:-1] & ~before)
    stops = np.flatnonzero(before & ~keep[:-1])
    return spanned(lines.points, starts, stops)


def edges_along(chains: Chains, edges: Edges, grid: float) -> tuple[Ints, Ints]:
    """Pairs (chain, edge) of the edges that run along each chain's looked-at edge.

    `grid` is the pitch that noding rounded to. Raises TangledError when it was to round nothing
    and has moved a corner all the same.
    """
    marks = _marks(chains.points)
    at = sampled_edges(chains)
    wanted = _between(marks[at], marks[at + 1])
    # All in order of their marks: looking up neighbours in turn is many times faster.
    by_wanted = np.argsort(wanted, kind="stable")
    ordered, wanted = edges.mark[edges.by_mark], wanted[by_wanted]
    low = np.searchsorted(ordered, wanted, side="left")
    high = np.searchsorted(ordered, wanted, side="right")
    chain = np.repeat(by_wanted, high - low)
    edge = edges.by_mark[ranges(low, high)]

    inner = np.ones(len(marks) - 1, dtype=bool)
    inner[chains.offsets[1:-1] - 1] = False
    noded = np.sort(_between(marks[:-1], marks[1:])[inner])
    place = np.minimum(np.searchsorted(noded, ordered), len(noded) - 1)
    cut = np.sort(edges.by_mark[noded[place] != ordered])
    if not grid and _corner_lost(edges, cut, marks):
        # Where plain noding makes no map, GEOS lays together what is nearer than 1e-12 of the
        # extent (its OverlayNG, from memory) and does not look again: crossings may be left.
        raise TangledError("noding has moved corners")
    more_chain, more_edge = _pieces(edges, cut, chains, chain, grid)
    return np.concatenate([chain, more_chain]), np.concatenate([edge, more_edge])


def _corner_lost(edges: Edges, cut: Ints, marks: Marks) -> bool:
    """Whether an end of the edges `cut` is none of the points that have `marks`."""
    held = np.zeros(int(edges.at.max()) + 2, dtype=bool)
    whole = np.ones(len(edges.at), dtype=bool)
    whole[cut] = False
    held[edges.at[whole]] = held[edges.at[whole] + 1] = True
    unsure = cut[~(held[edges.at[cut]] & held[edges.at[cut] + 1])]
    corners, points = np.sort(_marks(edges.ends[unsure].reshape(-1, 2))), np.sort(marks)
    place = np.minimum(np.searchsorted(points, corners), len(points) - 1)
    return bool((points[place] != corners).any())


def sampled_edges(chains: Chains) -> Ints:
    """The first point of each chain's middle edge: whole for sure where there are three or more."""
    first = chains.offsets[:-1]
    middle: Ints = first + (chains.offsets[1:] - first - 1) // 2
    return middle


def direction(ends: Floats) -> Floats:
    """From the start of each edge to its end."""
    return ends[:, 2:] - ends[:, :2]


def _pieces(edges: Edges, cut: Ints, chains: Chains, taken: Ints, grid: float) -> tuple[Ints, Ints]:
    """The same for the edges `cut`, and chains that may be pieces; those `taken` have an edge."""
    short = np.flatnonzero(np.diff(chains.offsets) <= 3)
    if len(cut) == 0 or len(short) == 0:
        return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
    at = sampled_edges(chains)
    seen = np.hstack([chains.points[at], chains.points[at + 1]])
    extent = float(np.abs(edges.ends).max())
    allowed = max(ALONG * extent, grid)
    lines = np.asarray(shapely.linestrings(edges.ends[cut].reshape(-1, 2, 2)))
    middle = shapely.points((seen[short, :2] + seen[short, 2:]) / 2)
    near, line = shapely.STRtree(lines).query(middle, predicate="dwithin", distance=allowed)
    chain, edge = short[near], cut[line]
    piece, edges_along = seen[chain], edges.ends[edge]
    off = np.maximum(_off(piece[:, :2], edges_along), _off(piece[:, 2:], edges_along))
    reach = np.hypot(*direction(piece).T)
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
    start, edges_along = ends[:, :2], ends[:, 2:] - ends[:, :2]
    share = ((points - start) * edges_along).sum(axis=1) / (edges_along * edges_along).sum(axis=1)
    foot = start + np.clip(share, 0, 1)[:, None] * edges_along
    distance: Floats = np.hypot(*(points - foot).T)
    return distance


def _marks(points: Floats) -> NDArray[np.uint64]:
    """A 64-bit mark of each point; -0.0 and 0.0 have one mark."""
    bits = np.ascontiguousarray(points + 0.0).view(np.uint64)
    with np.errstate(over="ignore"):
        return _mixed(_mixed(bits[:, 0]) * ODD[0] + bits[:, 1])


def _between(one: NDArray[np.uint64], two: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """A mark of each undirected edge from the marks of its ends."""
    with np.errstate(over="ignore"):
        return _mixed((one + two) * ODD[1] ^ one * two)


def _mixed(bits: NDArray[np.uint64]) -> NDArray[np.uint64]:
    # The finalizer of splitmix64 (Steele, Lea, Flood, "Fast splittable pseudorandom number
    # generators", 2014): constants from memory.
    bits = (bits ^ (bits >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    bits = (bits ^ (bits >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return bits ^ (bits >> np.uint64(31))
