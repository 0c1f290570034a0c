"""What was where nothing is left: known cells stay, the others get the cheapest borders.

Stands after potts and bridges. A cell is known where half of it is seen. Borders cost their length,
and a fraction of it along a bridge: so a band goes on behind a patch that is wider than the band,
where the shortest border would cut it off on both sides.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.labelling.potts import net_of, shortest

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.capture.labelling.bridges import Bridge

    Floats = NDArray[np.float32]
    Bools = NDArray[np.bool_]
    Ints = NDArray[np.int64]

TURNS = 100
KNOWN = 0.5  # share of a cell that has to be seen
RIM = 2  # cells of what is known that are kept around what is asked
#  what a border costs on a bridge: at once, more for each mm that it may be off, and at most
JOINED = (0.05, 0.05, 0.2)
ALONE = (0.06, 0.05, 0.5)


@dataclass(frozen=True, slots=True, eq=False)
class Level:
    """Cells of `side` pixels: `share` (rows, columns, labels) of what is seen of each; `known`;
    `inside` the outline.
    """

    side: int
    share: Floats
    known: Bools
    inside: Bools


def level_of(
    numbers: NDArray[np.int8], sound: Bools, inside: Bools, side: int, labels: int
) -> Level:
    """Cells of `side` pixels, the last ones of fewer."""
    seen = np.where(sound, numbers, np.int8(-1))
    counts = np.stack([_counted(seen == label, side) for label in range(labels)], axis=-1)
    total = counts.sum(axis=-1)
    there = _counted(inside, side)
    share = counts / np.maximum(total, 1)[..., None]
    return Level(side, share, total > KNOWN * np.maximum(there, 1), there > 0)


def _counted(mask: Bools, side: int) -> Floats:
    """How many pixels of each cell are in `mask`."""
    high, wide = (-(-size // side) for size in mask.shape)
    room = np.zeros((high * side, wide * side), dtype=np.uint8)
    room[: mask.shape[0], : mask.shape[1]] = mask
    rows = room.reshape(high, side, wide * side).sum(axis=1, dtype=np.uint8)
    cells = rows.reshape(high, wide, side).sum(axis=2, dtype=np.uint16)
    counted: Floats = cells.astype(np.float32)
    return counted


def weights_of(bridges: Sequence[Bridge], side: float, shape: tuple[int, int]) -> Floats:
    """What a border costs in each cell; `side` is a cell's in those of the bridges."""
    weight = np.ones(shape, dtype=np.float32)
    for bridge in bridges:
        least, more, most = JOINED if bridge.joined else ALONE
        cost = np.minimum(least + more * bridge.drift, most).astype(np.float32)
        # a border between a cell and the next, right or down, is paid for in the first
        at = np.floor((bridge.path + 0.5) / side - 0.5).astype(np.int64)
        stays = ((at >= 0) & (at < shape)).all(axis=1)
        np.minimum.at(weight, (at[stays, 0], at[stays, 1]), cost[stays])
    return weight


def filled(level: Level, weight: Floats) -> Floats:
    """How much each cell is of each label, (rows, columns, labels)."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    free = level.inside & ~level.known
    asked = ndimage.binary_dilation(free, iterations=RIM) & level.inside
    net = net_of(asked)
    start = _nearest(level)
    first = np.ascontiguousarray(start[asked].T)
    start[asked] = shortest(net, first, level.known[asked], weight[asked], TURNS).T
    return start


def _nearest(level: Level) -> Floats:
    """The shares of the nearest known cell."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    at = ndimage.distance_transform_edt(~level.known, return_distances=False, return_indices=True)
    share: Floats = level.share[at[0], at[1]]
    return share


def between(cells: Floats, side: int, rows: Ints, columns: Ints) -> Floats:
    """Values of cells (rows, columns, values) at pixels (n,): (n, values), bilinear."""
    values = np.zeros((len(rows), cells.shape[2]), dtype=np.float32)
    row, column = ((at + 0.5) / side - 0.5 for at in (rows, columns))
    r, c = (np.clip(np.floor(at), 0, None).astype(np.int64) for at in (row, column))
    down, over = (np.clip(at - first, 0, 1) for at, first in ((row, r), (column, c)))
    for below in (0, 1):
        for beside in (0, 1):
            part = (down if below else 1 - down) * (over if beside else 1 - over)
            r_there = np.minimum(r + below, cells.shape[0] - 1)
            c_there = np.minimum(c + beside, cells.shape[1] - 1)
            values += cells[r_there, c_there] * part[:, None].astype(np.float32)
    return values
