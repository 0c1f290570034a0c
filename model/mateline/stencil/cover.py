"""Set cover for tacks: few spots such that every demand is within reach of one.

Stands before tacks. Plain numbers: `gaps[i, j]` is the distance from demand i to spot j.
Greedy first (never worse than ln n times the optimum; Chvatal 1979, from memory), then spots are
dropped one by one and the others moved as for a k-centre problem.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

MOVES = 8  # how often the spots are moved before one less is given up


@dataclass(frozen=True, slots=True)
class Cover:
    """What has to be covered: distances (demands, spots), mm, and how far a spot reaches."""

    gaps: NDArray[np.float64]
    reach: float


def covered(cover: Cover) -> Ints:
    """Positions of few spots such that each demand has one within reach."""
    within = cover.gaps <= cover.reach
    chosen = _without_idle(within, _greedy(within, np.empty(0, dtype=np.int64)))
    while len(chosen) > 1:
        fewer = _one_less(cover, chosen)
        if fewer is None:
            break
        chosen = _without_idle(within, fewer)
    return chosen


def recovered(cover: Cover, chosen: Ints) -> Ints:
    """`chosen` moved, or with more spots, so that demands which came later are covered too."""
    moved = _moved(cover, chosen)
    if moved is not None:
        return moved
    within = cover.gaps <= cover.reach
    return _without_idle(within, _greedy(within, chosen))


def preferred(cover: Cover, chosen: Ints, worse: Ints) -> Ints:
    """`chosen`, each spot changed for one with a lower `worse` that covers what it alone covers.

    Ascending, so that the order of the search leaves no trace.
    """
    if worse[chosen].max() == worse.min():
        return np.sort(chosen)
    within = cover.gaps <= cover.reach
    kept = chosen.copy()
    for k in range(len(kept)):
        others = np.delete(kept, k)
        alone = ~within[:, others].any(axis=1)
        able = within[alone].all(axis=0)
        if worse[kept[k]] > worse[able].min(initial=worse[kept[k]]):
            best = np.flatnonzero(able & (worse == worse[able].min()))
            kept[k] = best[cover.gaps[np.ix_(alone, best)].max(axis=0, initial=0.0).argmin()]
    return np.sort(kept)


def _greedy(within: NDArray[np.bool_], chosen: Ints) -> Ints:
    """`chosen` and more: each time the spot that covers most of what is left."""
    taken: list[int] = chosen.tolist()
    left = within[~within[:, chosen].any(axis=1)].astype(np.float32)
    while len(left) or not taken:
        best = int(left.sum(axis=0).argmax())
        taken.append(best)
        left = left[left[:, best] == 0]
    return np.array(taken, dtype=np.int64)


def _without_idle(within: NDArray[np.bool_], chosen: Ints) -> Ints:
    """`chosen` without spots whose demands the others cover, the first taken looked at last."""
    kept = list(dict.fromkeys(chosen.tolist()))
    for spot in reversed(kept.copy()):
        rest = [other for other in kept if other != spot]
        if rest and within[:, rest].any(axis=1).all():
            kept = rest
    return np.array(kept, dtype=np.int64)


def _one_less(cover: Cover, chosen: Ints) -> Ints | None:
    """A cover with one spot less than `chosen`; None where moving the others finds none."""
    alone = (cover.gaps[:, chosen] <= cover.reach).sum(axis=1) == 1
    loads = [(cover.gaps[alone, spot] <= cover.reach).sum() for spot in chosen]
    starts = [np.delete(chosen, drop) for drop in np.argsort(loads, kind="stable")[:2]]
    starts.append(_spread(cover.gaps, len(chosen) - 1))
    for start in starts:
        moved = _moved(cover, start)
        if moved is not None:
            return moved
    return None


def _spread(gaps: NDArray[np.float64], count: int) -> Ints:
    """Spots far from one another: each takes the demand that those before it leave farthest."""
    chosen = [int(gaps.max(axis=0).argmin())]
    while len(chosen) < count:
        lonely = int(gaps[:, chosen].min(axis=1).argmax())
        chosen.append(int(gaps[lonely].argmin()))
    return np.array(chosen, dtype=np.int64)


def _moved(cover: Cover, start: Ints) -> Ints | None:
    """Lloyd's iteration for the largest distance: each spot goes to the middle of its demands."""
    chosen, best = start, math.inf
    for _ in range(MOVES):
        nearest = cover.gaps[:, chosen].argmin(axis=1)
        worst = float(cover.gaps[np.arange(len(nearest)), chosen[nearest]].max(initial=0.0))
        if worst <= cover.reach:
            return chosen
        if worst >= best:
            return None
        best = worst
        chosen = np.array(
            [
                cover.gaps[nearest == k].max(axis=0).argmin() if (nearest == k).any() else spot
                for k, spot in enumerate(chosen)
            ],
            dtype=np.int64,
        )
    return None
