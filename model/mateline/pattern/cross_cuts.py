"""Borders cut across where two of them run close together, so that what lies between is a face.

Stands between clearance and repair. A cut goes from a corner of one border square onto the other;
it parts one region in two and moves nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.pattern.clearance import near_edges
from mateline.planar.chains import Chains, unique_points
from mateline.planar.edges import undirected
from mateline.planar.half_edges import graph_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.pattern.pattern import Pattern

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

BEND = 0.3  # rad: a vertex that turns by more is a corner
CLEAR = 0.05  # share of a cut's length: its middle is at least this far from every border


@dataclass(frozen=True, slots=True)
class Cuts:
    """Cuts from `start` (n, 2) to `foot` (n, 2) on the edge from point `edge` on, and the region
    each lies in.
    """

    start: Floats
    foot: Floats
    edge: Ints
    region: Ints

    def __len__(self) -> int:
        return len(self.edge)

    def rows(self, which: Ints | Bools) -> Cuts:
        """Some of the cuts."""
        return Cuts(self.start[which], self.foot[which], self.edge[which], self.region[which])


def chains_of(pattern: Pattern) -> tuple[Chains, Ints]:
    """The borders as chains, and the region left of each of their half-edges."""
    count = [len(border.points) for border in pattern.borders]
    sides = [side for border in pattern.borders for side in (border.left, border.right)]
    points = np.concatenate([border.points for border in pattern.borders])
    return Chains(points, np.append(0, np.cumsum(count))), np.array(sides, dtype=np.int64)


def cuts_across(pattern: Pattern, reach: float) -> Cuts:
    """Cuts at most `reach` long, from every corner that has a border that close beside it."""
    chains, sides = chains_of(pattern)
    points = chains.points
    border = np.repeat(np.arange(len(chains)), np.diff(chains.offsets))
    first = np.flatnonzero(border[:-1] == border[1:])
    edges = np.hstack([points[first], points[first + 1]])
    corners, _ = unique_points(points[_corners(chains)])
    near = near_edges(corners, edges, reach)
    start, edge = corners[near.corner], first[near.edge]
    ends = edges[near.edge]
    along, away = ends[:, 2:] - ends[:, :2], start - near.foot
    leftward = along[:, 0] * away[:, 1] - along[:, 1] * away[:, 0] > 0
    region = np.where(leftward, sides[2 * border[edge]], sides[2 * border[edge] + 1])
    found = Cuts(start, near.foot, edge, region)
    sound = _inside(found, pattern)
    found, corner, distance = found.rows(sound), near.corner[sound], near.distance[sound]
    order = np.lexsort((distance, found.region, corner))
    key = np.column_stack([corner, found.region])[order]
    nearest = order[np.append(True, (key[1:] != key[:-1]).any(axis=1))] if len(order) else order
    return _uncrossed(found.rows(nearest), distance[nearest])


def _corners(chains: Chains) -> Bools:
    """Vertices that are nodes or turn sharply."""
    way = np.diff(chains.points, axis=0)
    turn = np.zeros(len(chains.points))
    a, b = way[:-1], way[1:]
    turn[1:-1] = np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1))
    corner: Bools = np.abs(turn) > BEND
    corner[chains.offsets[:-1]] = corner[chains.offsets[1:] - 1] = True
    return corner


def _inside(cuts: Cuts, pattern: Pattern) -> Ints:
    """Which cuts go through their region, not along its border."""
    at = np.flatnonzero(cuts.region >= 0)
    if len(at) == 0:
        return at
    areas = np.array([region.area for region in pattern.regions], dtype=object)
    own = np.unique(cuts.region[at])
    rims = np.empty(len(areas), dtype=object)
    rims[own] = shapely.boundary(areas[own])
    shapely.prepare(areas[own])
    shapely.prepare(rims[own])
    middle = np.asarray(shapely.points((cuts.start[at] + cuts.foot[at]) / 2))
    within = shapely.contains(areas[cuts.region[at]], middle)
    at, middle = at[within], middle[within]
    length = np.hypot(*(cuts.start[at] - cuts.foot[at]).T)
    return at[~shapely.dwithin(rims[cuts.region[at]], middle, CLEAR * length)]


def _uncrossed(cuts: Cuts, distance: Floats) -> Cuts:
    """Each cut once, and of two that cross each other the shorter."""
    if len(cuts) == 0:
        return cuts
    ends, _ = undirected(np.hstack([cuts.start, cuts.foot]))
    _, once = np.unique(ends, axis=0, return_index=True)
    cuts, distance = cuts.rows(once), distance[once]
    lines = np.asarray(shapely.linestrings(np.stack([cuts.start, cuts.foot], axis=1)))
    one, other = shapely.STRtree(lines).query(lines, predicate="crosses")
    longer = np.where(distance[one] > distance[other], one, other)
    return cuts.rows(~np.isin(np.arange(len(cuts)), longer))


def cut(chains: Chains, sides: Ints, cuts: Cuts) -> tuple[Chains, Ints]:
    """The chains split at both ends of each cut, and the cuts added; sides likewise.

    A cut that parts nothing is left out, and so is one that lies in another region than its own.
    """
    if len(cuts) == 0:
        return chains, sides
    points, owner = _with_feet(chains, cuts)
    number = unique_points(np.vstack([points, cuts.start, cuts.foot]))[1]
    inner = (owner == np.roll(owner, 1)) & (owner == np.roll(owner, -1))
    inner[0] = inner[-1] = False
    split = np.isin(number[: len(points)], number[len(points) :]) & inner
    twice = np.repeat(np.arange(len(points)), 1 + split)
    own = owner[twice]
    begins = np.append(True, (own[1:] != own[:-1]) | (twice[1:] == twice[:-1]))
    starts = np.flatnonzero(begins)
    whole = points[twice]
    ways = sides.reshape(-1, 2)[own[starts]]
    made = Chains(
        np.vstack([whole, np.stack([cuts.start, cuts.foot], axis=1).reshape(-1, 2)]),
        np.concatenate([starts, len(whole) + 2 * np.arange(len(cuts) + 1)]),
    )
    loop = graph_of(made).loop
    region = np.append(ways.ravel(), np.repeat(cuts.region, 2))
    astray = np.isin(loop, loop[region != region[loop]])[2 * len(starts) :].reshape(-1, 2)
    if astray.any():  # rounding put a cut on the wrong side of a border
        return cut(chains, sides, cuts.rows(np.flatnonzero(~astray.any(axis=1))))
    parts = np.flatnonzero(loop[0::2][len(starts) :] != loop[1::2][len(starts) :])
    kept = np.append(np.arange(len(whole)), len(whole) + _pairs(parts))
    made = Chains(
        made.points[kept],
        np.concatenate([starts, len(whole) + 2 * np.arange(len(parts) + 1)]),
    )
    return made, np.append(ways.ravel(), np.repeat(cuts.region[parts], 2))


def _pairs(numbers: Ints) -> Ints:
    pairs: Ints = np.column_stack([2 * numbers, 2 * numbers + 1]).ravel()
    return pairs


def _with_feet(chains: Chains, cuts: Cuts) -> tuple[Floats, Ints]:
    """The chains' points with the feet of cuts among them, and the chain of each point."""
    owner = np.repeat(np.arange(len(chains)), np.diff(chains.offsets))
    begin, end = chains.points[cuts.edge], chains.points[cuts.edge + 1]
    fresh = (cuts.foot != begin).any(axis=1) & (cuts.foot != end).any(axis=1)
    away = np.hypot(*(cuts.foot - begin).T)[fresh]
    table = np.column_stack([cuts.edge[fresh], away, cuts.foot[fresh]])
    table = np.unique(table, axis=0)
    edge = table[:, 0].astype(np.int64)
    at = np.append(np.arange(len(owner)), edge)
    order = np.lexsort((np.append(np.zeros(len(owner)), table[:, 1]), at))
    points = np.vstack([chains.points, table[:, 2:]])[order]
    return points, np.append(owner, owner[edge])[order]
