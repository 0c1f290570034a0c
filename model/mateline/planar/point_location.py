"""What lies next to the left of a place: the half-edge that faces it.

Stands after chains, before half_edges. A place's face is the one that the nearest edge to its left
bounds, so nothing needs to be asked of all the rings around it, which may be thousands.

    stretch   a few edges of a chain, looked up together
    ray       from a place to its left, a hair above any corner at its own height
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.planar.crossings import boxes_of, diagonals, ranges

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.planar.chains import Chains

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

STRETCH = 4  # edges that are looked at together
FACTOR = 4.0  # by which rays grow until they meet something
FEW = 20_000  # pairs of places and stretches: with no more, all are looked at
SAMPLE = 200  # places that tell how long the first rays should be
CROWD = 8.0  # stretches that a first ray may meet, on average
SHORTER = 30  # times at most that first rays are made shorter
PAIRS = 250_000  # of places and stretches at a time, or so: bounds the memory
UNSURE = 4e-16  # share of what is subtracted: a turn less than this may be rounding (Shewchuk,
# "Adaptive precision floating-point arithmetic", 1997: (3 + 16 eps) eps for this formula)
TIED = 1e-12  # share of the extent: crossings nearer than this are compared with exact fractions


def half_edges_left_of(chains: Chains, places: Floats) -> Ints:
    """The half-edge that faces each place (n, 2) from its left, -1 where there is none.

    Edges that end at a place's own height and don't rise above it are not met, nor is one that
    passes through the place: a place must not lie on a chain, or it must be the end of one.
    """
    found = np.full(len(places), -1)
    if len(places) == 0 or len(chains) == 0:
        return found
    net = _net(chains, places)
    if len(places) * len(net.first) <= FEW:
        met = _left_of(chains.points, net, places, _all_pairs(places, net))
        return _nearest(met, len(places))[0]
    tree = shapely.STRtree(diagonals(net.boxes))
    whole = float(places[:, 0].max() - net.left)
    reach, crowd = _first_reach(tree, places, whole)
    chunk = max(1, int(PAIRS / crowd))
    open_ones = np.arange(len(places))
    while len(open_ones):
        missed = []
        for start in range(0, len(open_ones), chunk):
            some = open_ones[start : start + chunk]
            pairs = tree.query(_rays(places[some], reach))
            half, near = _nearest(_left_of(chains.points, net, places[some], pairs), len(some))
            # An edge farther off than the ray reaches may hide a nearer one that was not met.
            met = near >= places[some, 0] - reach
            found[some[met]] = half[met]
            missed.append(some[~met])
        if reach >= whole:
            break
        open_ones = np.concatenate(missed)
        reach *= FACTOR
    return found


def winding_numbers(rings: Chains, places: Floats) -> Ints:
    """How often the closed `rings` wind around each place (n, 2), counter-clockwise positive."""
    turns = np.zeros(len(places), dtype=np.int64)
    if len(places) == 0 or len(rings) == 0:
        return turns
    net = _net(rings, places)
    tree = shapely.STRtree(diagonals(net.boxes))
    whole = float(places[:, 0].max() - net.left)
    sample = places[:: max(1, len(places) // SAMPLE)]
    crowd = max(1.0, len(tree.query(_rays(sample, whole))[0]) / len(sample))
    chunk = max(1, int(PAIRS / crowd))
    for start in range(0, len(places), chunk):
        some = places[start : start + chunk]
        met = _left_of(rings.points, net, some, tree.query(_rays(some, whole)))
        # An edge going down on the left turns around a place once.
        np.add.at(turns, met.ray + start, np.where(met.half & 1, -1, 1))
    return turns


@dataclass(frozen=True, slots=True)
class _Net:
    """Stretches of chains: first and last point, chain and box; and the lowest x of all."""

    first: Ints
    last: Ints
    chain: Ints
    boxes: Floats
    left: float


@dataclass(frozen=True, slots=True)
class _Met:
    """Edges that lie left of places: the place's number, the half-edge that faces it, the edge's
    ends and the place.
    """

    ray: Ints
    half: Ints
    lower: Floats
    upper: Floats
    place: Floats


def _net(chains: Chains, places: Floats) -> _Net:
    """The stretches at the height of any of `places`."""
    first, last, chain = stretches(chains.offsets)
    boxes = boxes_of(chains.points, first, last)
    heights = np.sort(places[:, 1])
    level = np.searchsorted(heights, boxes[:, 1]) < np.searchsorted(heights, boxes[:, 3], "right")
    left = min(float(boxes[:, 0].min()), float(places[:, 0].min()))
    return _Net(first[level], last[level], chain[level], boxes[level], left)


def stretches(offsets: Ints) -> tuple[Ints, Ints, Ints]:
    """First and last point of each stretch of up to `STRETCH` edges, and its chain or ring."""
    begin, end = offsets[:-1], offsets[1:] - 1
    count = -(-(end - begin) // STRETCH)
    chain = np.repeat(np.arange(len(begin)), count)
    number = np.arange(int(count.sum())) - np.repeat(np.cumsum(count) - count, count)
    first = begin[chain] + STRETCH * number
    return first, np.minimum(first + STRETCH, end[chain]), chain


def _first_reach(tree: shapely.STRtree, places: Floats, whole: float) -> tuple[float, float]:
    """A length of ray that meets something now and then but not much, and how much it meets."""
    sample = places[:: max(1, len(places) // SAMPLE)]

    def met(reach: float) -> float:
        return len(tree.query(_rays(sample, reach))[0]) / len(sample)

    crowd = max(CROWD, 2.0 * met(0.0))
    reach = 2.0 * whole
    for _ in range(SHORTER):
        if met(reach) <= crowd:
            break
        reach /= FACTOR
    return reach, crowd


def _rays(places: Floats, reach: float) -> NDArray[np.object_]:
    ends = np.stack([places - (reach, 0.0), places], axis=1)
    return np.asarray(shapely.linestrings(ends))


def _all_pairs(places: Floats, net: _Net) -> Ints:
    """Each of the places with each stretch; (2, n)."""
    pairs = np.indices((len(places), len(net.first)))
    return pairs.reshape(2, -1)


def _left_of(points: Floats, net: _Net, places: Floats, pairs: Ints) -> _Met:
    """The edges that lie left of places, of the stretches paired with them (2, n)."""
    ray, stretch = pairs
    first, count = net.first[stretch], (net.last - net.first)[stretch]
    at = ranges(first, first + count)
    ray, chain = np.repeat(ray, count), np.repeat(net.chain[stretch], count)
    height = places[ray, 1]
    crossed = (points[at, 1] <= height) != (points[at + 1, 1] <= height)
    at, ray, chain = at[crossed], ray[crossed], chain[crossed]
    down = points[at, 1] > points[at + 1, 1]
    lower, upper, place = points[at + down], points[at + ~down], places[ray]
    off = _turns(lower, upper, place) < 0
    return _Met(ray[off], (2 * chain + ~down)[off], lower[off], upper[off], place[off])


def _nearest(met: _Met, count: int) -> tuple[Ints, Floats]:
    """The half-edge that faces each of `count` places, of those met, and where it is."""
    lower, upper, place, ray = met.lower, met.upper, met.place, met.ray
    run = upper - lower
    slope = run[:, 0] / run[:, 1]
    x = lower[:, 0] + (place[:, 1] - lower[:, 1]) * slope
    x = np.clip(x, np.minimum(lower[:, 0], upper[:, 0]), np.maximum(lower[:, 0], upper[:, 0]))
    order = np.lexsort((slope, x, ray))
    stop = np.flatnonzero(np.append(ray[order][1:] != ray[order][:-1], True)[: len(order)])
    best = order[stop]
    _settle(best, order, stop, (lower, upper, place, x, ray))
    facing_half, near = np.full(count, -1), np.full(count, -np.inf)
    facing_half[ray[best]], near[ray[best]] = met.half[best], x[best]
    return facing_half, near


def _settle(
    best: Ints, order: Ints, stop: Ints, edges: tuple[Floats, Floats, Floats, Floats, Ints]
) -> None:
    """Choose among edges that cross a ray at as good as one place, exactly."""
    lower, upper, place, x, ray = edges
    if len(order) < 2:
        return
    tied = TIED * float(np.abs(place).max())
    before = np.maximum(stop - 1, 0)
    close = (ray[order[before]] == ray[best]) & (x[best] - x[order[before]] <= tied) & (stop > 0)
    for number in np.flatnonzero(close).tolist():
        until = int(stop[number])
        since = until
        while since > 0 and ray[order[since - 1]] == ray[order[until]]:
            if x[order[until]] - x[order[since - 1]] > tied:
                break
            since -= 1
        run = order[since : until + 1].tolist()
        best[number] = max(run, key=lambda at: _exact(lower[at], upper[at], place[at]))


def _exact(lower: Floats, upper: Floats, place: Floats) -> tuple[Fraction, Fraction]:
    """Where an edge crosses a place's height and how it leans there."""
    (a, b), (c, d) = (map(Fraction, end.tolist()) for end in (lower, upper))
    slope = (c - a) / (d - b)
    return a + (Fraction(float(place[1])) - b) * slope, slope


def _turns(lower: Floats, upper: Floats, place: Floats) -> Floats:
    """Negative where a place is right of the edge going up, positive left of it; 0 on it."""
    one = (upper[:, 0] - lower[:, 0]) * (place[:, 1] - lower[:, 1])
    two = (upper[:, 1] - lower[:, 1]) * (place[:, 0] - lower[:, 0])
    turn: Floats = one - two
    for at in np.flatnonzero(np.abs(turn) <= UNSURE * (np.abs(one) + np.abs(two))).tolist():
        (a, b), (c, d), (x, y) = (map(Fraction, end[at].tolist()) for end in (lower, upper, place))
        exact = (c - a) * (y - b) - (d - b) * (x - a)
        turn[at] = (exact > 0) - (exact < 0)
    return turn
