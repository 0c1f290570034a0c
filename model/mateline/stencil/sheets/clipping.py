"""Chains seen through a window, or shared out among cells: what of a border is cut where.

Stands after curves. Lines stay lines and arcs stay arcs about their centres; they are parted
where they cross the window's sides. What runs along a side belongs to the window, so two windows
that meet there both have it; of cells only the left or the lower one has it.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from typing import TYPE_CHECKING

from mateline.curves import Chain, Segment, radius, sweep

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.curves import Point

SIDE_TOL = 1e-7  # mm: what is no farther from a side lies on it

Bounds = tuple[float, float, float, float]  # left, bottom, right, top
Cell = tuple[int, int]  # column from the left and row from below, from 0
Sides = tuple["Sequence[float]", "Sequence[float]"]  # where lines are upright, and level


def within(chain: Chain, bounds: Bounds) -> tuple[Chain, ...]:
    """The parts of `chain` inside `bounds`, in its order and direction."""
    left, low, right, high = _box(chain)
    window_left, window_low, window_right, window_high = bounds
    if (
        left > window_right + SIDE_TOL
        or right < window_left - SIDE_TOL
        or low > window_high + SIDE_TOL
        or high < window_low - SIDE_TOL
    ):
        return ()
    if (
        left > window_left + SIDE_TOL
        and right < window_right - SIDE_TOL
        and low > window_low + SIDE_TOL
        and high < window_high - SIDE_TOL
    ):
        return (chain,) if chain.segments else ()
    runs: list[tuple[Point, list[Segment]]] = []
    open_run = False
    at = chain.start
    for segment in chain.segments:
        for start, part in _parted(at, segment, _sides(bounds)):
            if not _inside(_middle(start, part), bounds):
                open_run = False
            elif open_run:
                runs[-1][1].append(part)
            else:
                runs.append((start, [part]))
                open_run = True
        at = segment.to
    if len(runs) > 1 and chain.closed and open_run and runs[0][0] == chain.start:
        # A closed chain that starts inside was parted at its start, which is no end of a run.
        first = runs.pop(0)
        runs[-1][1].extend(first[1])
    return tuple(Chain(start, tuple(parts)) for start, parts in runs)


def shared_out(chain: Chain, xs: Sequence[float], ys: Sequence[float]) -> list[tuple[Cell, Chain]]:
    """The parts of `chain` in the cells between upright lines `xs` and level lines `ys`, rising.

    Every point is in exactly one part, but for the ends that two parts share to the bit.
    """
    runs: list[tuple[Cell, Point, list[Segment]]] = []
    at = chain.start
    for segment in chain.segments:
        for start, part in _parted(at, segment, (xs, ys)):
            x, y = _middle(start, part)
            cell = (bisect_left(xs, x - SIDE_TOL), bisect_left(ys, y - SIDE_TOL))
            if runs and runs[-1][0] == cell:
                runs[-1][2].append(part)
            else:
                runs.append((cell, start, [part]))
        at = segment.to
    if len(runs) > 1 and chain.closed and runs[0][0] == runs[-1][0]:
        _, _, first = runs.pop(0)
        runs[-1][2].extend(first)
    return [(cell, Chain(start, tuple(parts))) for cell, start, parts in runs]


def _box(chain: Chain) -> Bounds:
    """Bounds that hold the chain, and the whole circles of its arcs."""
    points = chain.points
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    low, high = min(y for _, y in points), max(y for _, y in points)
    for segment in chain.segments:
        if segment.centre is not None:
            (x, y), reach = segment.centre, radius(segment)
            left, right = min(left, x - reach), max(right, x + reach)
            low, high = min(low, y - reach), max(high, y + reach)
    return left, low, right, high


def _sides(bounds: Bounds) -> Sides:
    left, low, right, high = bounds
    return (left, right), (low, high)


def _parted(at: Point, segment: Segment, sides: Sides) -> Iterator[tuple[Point, Segment]]:
    """The segment parted where it meets the lines at `sides`, each part with its start."""
    crossings = _line_shares if segment.centre is None else _arc_shares
    shares = sorted(share for share in crossings(at, segment, sides) if 0 < share < 1)
    start = at
    for share in shares:
        to = _point_at(at, segment, share)
        if math.dist(start, to) > SIDE_TOL and math.dist(to, segment.to) > SIDE_TOL:
            yield start, Segment(to, segment.centre, segment.counterclockwise)
            start = to
    yield start, segment


def _line_shares(at: Point, segment: Segment, sides: Sides) -> Iterator[float]:
    for axis in (0, 1):
        run = segment.to[axis] - at[axis]
        if abs(run) > SIDE_TOL:
            for side in sides[axis]:
                yield (side - at[axis]) / run


def _arc_shares(at: Point, segment: Segment, sides: Sides) -> Iterator[float]:
    """Shares of the sweep where x or y is that of a side: cos(a) = (side - centre) / r."""
    if segment.centre is None:
        raise ValueError("a line is no arc")
    reach, turn = radius(segment), sweep(at, segment)
    first = math.atan2(at[1] - segment.centre[1], at[0] - segment.centre[0])
    for axis in (0, 1):
        for side in sides[axis]:
            cosine = (side - segment.centre[axis]) / reach
            if abs(cosine) < 1:
                half = math.acos(cosine)
                for angle in (half, -half):
                    past = angle + (math.pi / 2 if axis else 0.0) - first
                    ahead = past % math.tau if turn > 0 else -(-past % math.tau)
                    yield ahead / turn


def _point_at(at: Point, segment: Segment, share: float) -> Point:
    if segment.centre is None:
        (x, y), (to_x, to_y) = at, segment.to
        return x + share * (to_x - x), y + share * (to_y - y)
    (cx, cy), turn = segment.centre, share * sweep(at, segment)
    x, y = at[0] - cx, at[1] - cy
    cos, sin = math.cos(turn), math.sin(turn)
    return cx + x * cos - y * sin, cy + x * sin + y * cos


def _middle(start: Point, segment: Segment) -> Point:
    return _point_at(start, segment, 0.5)


def _inside(point: Point, bounds: Bounds) -> bool:
    left, low, right, high = bounds
    x, y = point
    return left - SIDE_TOL <= x <= right + SIDE_TOL and low - SIDE_TOL <= y <= high + SIDE_TOL
