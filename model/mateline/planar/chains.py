"""Chains: lines end to end, in two arrays.

Stands before half-edges and point location.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.planar.crossings import ranges

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Chains:
    """Lines end to end. Chain i is points[offsets[i]:offsets[i + 1]], (n, 2)."""

    points: Floats
    offsets: Ints

    def __len__(self) -> int:
        return len(self.offsets) - 1


def unique_points(points: Floats) -> tuple[Floats, Ints]:
    """Distinct points in order of x then y, and the number of each point given."""
    if len(points) == 0:
        return points.reshape(0, 2), np.empty(0, dtype=np.int64)
    order = np.lexsort((points[:, 1], points[:, 0]))
    ordered = points[order]
    fresh = np.append(True, (ordered[1:] != ordered[:-1]).any(axis=1))
    number = np.empty(len(points), dtype=np.int64)
    number[order] = np.cumsum(fresh) - 1
    return ordered[fresh], number


def spanned(points: Floats, first: Ints, last: Ints) -> Chains:
    """The lines points[first[i]] .. points[last[i]]."""
    offsets = np.append(0, np.cumsum(last - first + 1))
    return Chains(points[ranges(first, last + 1)], offsets)


def summed(at: Ints, values: Floats, size: int) -> Floats:
    """Sums of the values that go to each of `size` places."""
    sums: Floats = np.bincount(at, values, minlength=size).astype(np.float64)
    return sums


def walked(chains: Chains, paths: Sequence[Sequence[int]]) -> tuple[Floats, Ints]:
    """Points along each path of half-edges end to end, joints once; (n, 2) and offsets."""
    steps = np.fromiter((h for path in paths for h in path), dtype=np.int64)
    per_path = np.array([len(path) for path in paths], dtype=np.int64)
    chain, backward = steps >> 1, (steps & 1).astype(bool)
    count = np.diff(chains.offsets)[chain]
    last_of_path = np.zeros(len(steps), dtype=bool)
    last_of_path[np.cumsum(per_path) - 1] = True
    taken = count - ~last_of_path  # a joint is the first point of the half-edge after it
    begin = np.where(backward, chains.offsets[chain + 1] - 1, chains.offsets[chain])
    along = np.arange(int(taken.sum())) - np.repeat(np.cumsum(taken) - taken, taken)
    index = np.repeat(begin, taken) + np.repeat(np.where(backward, -1, 1), taken) * along
    ends = np.cumsum(taken)[last_of_path]
    return chains.points[index], np.append(0, ends)
