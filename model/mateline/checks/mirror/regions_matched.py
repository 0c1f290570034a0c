"""Which regions of two designs that lie over each other are the same one.

Stands before art. Regions of one colour are matched by their overlap, with the largest
total of all matchings; what is left over is matched by where it lies and how large it is.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    Areas = NDArray[np.object_]
    Pairs = dict[tuple[int, int], float]

NOTHING = 0.5  # mm²: overlaps and differences that are smaller came from facets
SAME_FORM = 0.5  # share of their union that regions of two colours share if one is the other
FAR = 75.0  # mm: shapes farther apart than this are two shapes, not one moved
SAME_SIZE = 0.1  # share of an area that two shapes may differ by if they are one moved
DECIMALS = 3  # of areas and distances that choose between matchings


@dataclass(frozen=True, slots=True)
class Sides:
    """The regions of two designs in one frame, cut to what both have in `common`, mm."""

    left_colours: tuple[str, ...]
    right_colours: tuple[str, ...]
    left: Areas
    right: Areas
    common: BaseGeometry

    def all_left(self, colour: str) -> BaseGeometry:
        """All that the left side has of one colour."""
        return shapely.union_all(self.left[[each == colour for each in self.left_colours]])

    def all_right(self, colour: str) -> BaseGeometry:
        """All that the right side has of one colour."""
        return shapely.union_all(self.right[[each == colour for each in self.right_colours]])


@dataclass(frozen=True, slots=True)
class Matches:
    """Positions (left, right) of regions that are the same; None where one is a part split off.

    Those that are equal but for rounding are not among `pairs`, as nothing is to be said of them.
    `share` is that of all regions that have a counterpart.
    """

    pairs: tuple[tuple[int | None, int | None], ...]
    recoloured: tuple[tuple[int, int], ...]
    missing: tuple[int, ...]
    extra: tuple[int, ...]
    share: float


def matched(sides: Sides) -> Matches:
    """The regions of both sides, matched."""
    here = np.flatnonzero(shapely.area(sides.left) > NOTHING).tolist()
    there = np.flatnonzero(shapely.area(sides.right) > NOTHING).tolist()
    alike = _overlaps(sides, here, there, alike=True)
    pairs = list(_assigned(alike))
    left = _without(here, (i for i, _ in pairs))
    right = _without(there, (j for _, j in pairs))
    recoloured = list(_greedy(_forms(sides, left, right)))
    left = _without(left, (i for i, _ in recoloured))
    right = _without(right, (j for _, j in recoloured))
    moved = list(_greedy(_near(sides, left, right)))
    left = _without(left, (i for i, _ in moved))
    right = _without(right, (j for _, j in moved))
    split_left = [i for i in left if _covered(alike, sides.left[i], 0, i)]
    split_right = [j for j in right if _covered(alike, sides.right[j], 1, j)]
    both = 2 * (len(pairs) + len(recoloured) + len(moved)) + len(split_left) + len(split_right)
    return Matches(
        (
            *(pair for pair in pairs if not _same(sides, pair, alike[pair])),
            *moved,
            *((i, None) for i in split_left),
            *((None, j) for j in split_right),
        ),
        tuple(recoloured),
        tuple(_without(left, split_left)),
        tuple(_without(right, split_right)),
        both / (len(here) + len(there)) if here or there else 1.0,
    )


def _same(sides: Sides, pair: tuple[int, int], overlap: float) -> bool:
    """Whether two regions with that much in common have nothing else."""
    return bool(max(sides.left[pair[0]].area, sides.right[pair[1]].area) - overlap <= NOTHING)


def _without(positions: Iterable[int], taken: Iterable[int]) -> list[int]:
    gone = set(taken)
    return [at for at in positions if at not in gone]


def _overlaps(sides: Sides, here: list[int], there: list[int], *, alike: bool) -> Pairs:
    """The common area of each two regions of one colour, or of two, that have one, mm²."""
    if not here or not there:
        return {}
    left, right = sides.left[here], sides.right[there]
    i, j = shapely.STRtree(right).query(left, predicate="intersects")
    colours = np.array(sides.left_colours)[here], np.array(sides.right_colours)[there]
    wanted = (colours[0][i] == colours[1][j]) == alike
    i, j = i[wanted], j[wanted]
    areas = np.round(shapely.area(shapely.intersection(left[i], right[j])), DECIMALS)
    return {
        (here[a], there[b]): area
        for a, b, area in zip(i.tolist(), j.tolist(), areas.tolist(), strict=True)
        if area > NOTHING
    }


def _assigned(overlaps: Pairs) -> Iterator[tuple[int, int]]:
    """The pairs of the largest total overlap, each region in one at most."""
    best: tuple[dict[int, tuple[float, int]], ...] = ({}, {})
    for pair, area in overlaps.items():
        for side in (0, 1):
            own, other = pair[side], pair[1 - side]
            best[side][own] = max(best[side].get(own, (0.0, 0)), (area, -other))
    wished = {(i, -j) for i, (_, j) in best[0].items()}
    if wished == {(-i, j) for j, (_, i) in best[1].items()}:
        yield from sorted(wished)  # each has the one that it would choose
        return
    from scipy.optimize import linear_sum_assignment  # noqa: PLC0415  slow to import, seldom needed

    lefts, rights = (sorted(each) for each in best)
    table = np.zeros((len(lefts), len(rights)))
    for (i, j), area in overlaps.items():
        table[lefts.index(i), rights.index(j)] = area
    for row, column in zip(*linear_sum_assignment(table, maximize=True), strict=True):
        if table[row, column] > 0:
            yield lefts[int(row)], rights[int(column)]


def _forms(sides: Sides, left: list[int], right: list[int]) -> Pairs:
    """How unlike regions without a counterpart are that lie over each other in two colours."""
    found: Pairs = {}
    for (i, j), area in _overlaps(sides, left, right, alike=False).items():
        share = area / (sides.left[i].area + sides.right[j].area - area)
        if share >= SAME_FORM:
            found[i, j] = round(1 - share, DECIMALS)
    return found


def _near(sides: Sides, left: list[int], right: list[int]) -> Pairs:
    """How far regions of one colour and size without a counterpart are from each other, mm."""
    by_colour: defaultdict[str, list[int]] = defaultdict(list)
    for j in right:
        by_colour[sides.right_colours[j]].append(j)
    found: Pairs = {}
    for i in left:
        one = sides.left[i]
        for j in by_colour[sides.left_colours[i]]:
            other = sides.right[j]
            apart = math.dist(one.centroid.coords[0], other.centroid.coords[0])
            unlike = abs(one.area - other.area) > SAME_SIZE * max(one.area, other.area)
            if apart <= FAR and not unlike:
                found[i, j] = round(apart, DECIMALS)
    return found


def _greedy(costs: Pairs) -> Iterator[tuple[int, int]]:
    """Pairs from the cheapest on, each region in one at most."""
    taken: tuple[set[int], set[int]] = (set(), set())
    for (i, j), _ in sorted(costs.items(), key=lambda item: (item[1], item[0])):
        if i not in taken[0] and j not in taken[1]:
            taken[0].add(i)
            taken[1].add(j)
            yield i, j


def _covered(alike: Pairs, area: BaseGeometry, side: int, at: int) -> bool:
    """Whether most of a region lies on regions of its colour: a part of one that has split."""
    on = sum(overlap for pair, overlap in alike.items() if pair[side] == at)
    return on >= float(area.area) / 2
