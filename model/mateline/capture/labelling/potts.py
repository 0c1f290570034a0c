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
    """Cells (n,) of a grid and their neighbours: places in the list, n itself where there is none.
    """

    right: Ints
    left: Ints
    down: Ints
    up: Ints


def net_of(asked: Bools) -> Net:
    """The net of those cells of a grid that are `asked`, row by row."""
    count = int(asked.sum())
    number = np.full((asked.shape[0] + 2, asked.shape[1] + 2), count, dtype=np.int64)
    number[1:-1, 1:-1][asked] = np.arange(count)
    middle = number[1:-1, 1:-1]
    around = (number[1:-1, 2:], number[1:-1, :-2], number[2:, 1:-1], number[:-2, 1:-1])
    return Net(*(each[asked] for each in around))


def projected(values: Floats) -> Floats:
    """The nearest point of the simplex to each row: none below 0, and they sum to 1."""
    ordered = -np.sort(-values, axis=1)
    above = np.cumsum(ordered, axis=1) - 1
    steps = np.arange(1, values.shape[1] + 1, dtype=np.float32)
    last = (ordered * steps > above).sum(axis=1) - 1
    shift = np.take_along_axis(above, last[:, None], axis=1)[:, 0] / (last + 1)
    return np.maximum(values - shift[:, None].astype(np.float32), 0)


def shortest(
    net: Net, start: Floats, known: Bools, weight: Floats, turns: int
) -> Floats:
    """How much each cell is of each label (n, labels), from `start` on, after `turns`.

    A border costs `weight` (n,) for a cell of length. Cells that are `known` keep their start.
    """
    count = len(start)
    share = start.copy()
    ahead = np.vstack([share, np.zeros((1, share.shape[1]), np.float32)])
    across, along = (np.zeros((count + 1, share.shape[1]), np.float32) for _ in range(2))
    open_right = (net.right < count)[:, None]
    open_down = (net.down < count)[:, None]
    right, down = np.minimum(net.right, count), np.minimum(net.down, count)
    limit = (weight / 2)[:, None].astype(np.float32)
    free = ~known
    primal, dual = np.float32(PRIMAL), np.float32(DUAL)
    for _ in range(turns):
        here = ahead[:-1]
        gx = np.where(open_right, np.take(ahead, right, axis=0) - here, 0)
        gy = np.where(open_down, np.take(ahead, down, axis=0) - here, 0)
        gx *= dual
        gx += across[:-1]
        gy *= dual
        gy += along[:-1]
        size = np.sqrt(gx * gx + gy * gy)
        size = np.maximum(size, limit)
        size = limit / size
        across[:-1] = gx * size
        along[:-1] = gy * size
        spread = across[:-1] - np.take(across, net.left, axis=0)
        spread += along[:-1]
        spread -= np.take(along, net.up, axis=0)
        new = share + primal * spread
        new = np.where(free[:, None], projected(new), start)
        ahead[:-1] = 2 * new - share
        share = new
    return share
