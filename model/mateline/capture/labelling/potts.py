"""Labels with the shortest borders: the convex relaxation of Potts' model, on a list of cells.

Stands before everything in labelling but surfaces.

    minimise over u in the simplex   1/2 sum over labels k and cells  w |grad u_k|

u_k is how much a cell is of label k; w, the weight of a cell, is what a border costs there for its
length. Where it is low, borders run along. Cells that are known stay as they are.

Sources: C. Zach et al., Fast global labeling for real-time stereo, 2008 (the relaxation);
A. Chambolle and T. Pock, A first-order primal-dual algorithm, 2011 (how it is minimised);
J. Duchi et al., Efficient projections onto the l1-ball, 2008 (the simplex).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

PRIMAL, DUAL = 0.25, 0.48  # steps: their product has to stay below 1/8


@dataclass(frozen=True, slots=True, eq=False)
class Net:
    """Cells (n,) of a grid and their neighbours: places in the list, n for none."""

    right: Ints
    left: Ints
    down: Ints
    up: Ints


def net_of(asked: Bools) -> Net:
    """The net of those cells of a grid that are `asked`, row by row."""
    count = int(asked.sum())
    number = np.full((asked.shape[0] + 2, asked.shape[1] + 2), count, dtype=np.int64)
    number[1:-1, 1:-1][asked] = np.arange(count)
    around = (number[1:-1, 2:], number[1:-1, :-2], number[2:, 1:-1], number[:-2, 1:-1])
    return Net(*(each[asked] for each in around))


def projected(values: Floats) -> Floats:
    """The nearest point of the simplex to each column (labels, n): none below 0, summing to 1."""
    ordered = _descending(values)
    total = np.zeros_like(values[0])
    shift = np.full_like(values[0], -np.inf)
    for count, each in enumerate(ordered, 1):
        total += each
        # the shift that the first `count` ask for is largest for those that stay above 0
        np.maximum(shift, (total - 1) * np.float32(1 / count), out=shift)
    nearest: Floats = np.maximum(values - shift, 0)
    return nearest


def _descending(values: Floats) -> list[Floats]:
    """The rows, sorted column by column: each pair of neighbours swapped, as often as there are
    rows (Knuth, The art of computer programming 3, 5.3.4: odd-even transposition).
    """
    rows = list(values)
    for turn in range(len(rows)):
        for at in range(turn % 2, len(rows) - 1, 2):
            rows[at], rows[at + 1] = (
                np.maximum(rows[at], rows[at + 1]),
                np.minimum(rows[at], rows[at + 1]),
            )
    return rows


def shortest(net: Net, start: Floats, known: Bools, weight: Floats, turns: int) -> Floats:
    """How much each cell is of each label (labels, n), from `start` on, after `turns`.

    A border costs `weight` (n,) for a cell of length. Cells that are `known` keep their start.
    """
    labels, count = start.shape
    share = start.copy()
    ahead = np.zeros((labels, count + 1), np.float32)
    ahead[:, :-1] = share
    across, along = (np.zeros((labels, count + 1), np.float32) for _ in range(2))
    open_right = (net.right < count).astype(np.float32) * np.float32(DUAL)
    open_down = (net.down < count).astype(np.float32) * np.float32(DUAL)
    limit = (weight / 2).astype(np.float32)
    step = np.float32(PRIMAL) * (~known).astype(np.float32)
    for _ in range(turns):
        spread = np.empty_like(share)
        for label in range(labels):
            here, x, y = ahead[label], across[label], along[label]
            x[:-1] += (here[net.right] - here[:-1]) * open_right
            y[:-1] += (here[net.down] - here[:-1]) * open_down
            size = np.sqrt(x[:-1] * x[:-1] + y[:-1] * y[:-1])
            size = limit / np.maximum(size, limit)
            x[:-1] *= size
            y[:-1] *= size
            spread[label] = x[:-1] - x[net.left]
            spread[label] += y[:-1] - y[net.up]
        spread *= step
        spread += share
        new = projected(spread)
        ahead[:, :-1] = 2 * new - share
        share = new
    return share
