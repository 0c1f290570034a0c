"""One drawing for each sheet of board, where a face takes more than one: a load of a bed.

Stands after layers, before the formats. Beside the layers of the stencil:

    join  where the sheet ends inside a piece: cut it, and tape the next sheet on
    mark  ticks across joins, and crosses to lay the sheet on a bed: draw them
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.curves import Chain, Segment, moved
from mateline.stencil.marks import registration
from mateline.stencil.window import within

if TYPE_CHECKING:
    from mateline.exports.layers import Layers
    from mateline.stencil.joins import Grid, Sheet


def sheet_layers(sheet: Sheet, grid: Grid, layers: Layers) -> Layers:
    """What lies on `sheet`, in its own frame: (0, 0) is its lower-left corner, mm.

    Layers are in the order of the work, "mark" first and "join" after the borders.
    """
    left, low, _, _ = sheet.bounds
    ticks = [mark for join in grid.joins for mark in join.marks]
    ends = [Chain(join.start, (Segment(join.end),)) for join in grid.joins]
    every: Layers = {
        "mark": (*registration(sheet.bounds), *ticks),
        **{name: chains for name, chains in layers.items() if name != "hole"},
        "join": tuple(ends),
        "hole": layers["hole"],
    }
    shift = np.array([[1.0, 0.0, -left], [0.0, 1.0, -low]])
    return {
        name: tuple(moved(part, shift) for chain in chains for part in within(chain, sheet.bounds))
        for name, chains in every.items()
    }


def sheet_size(sheet: Sheet) -> tuple[float, float]:
    """Width and height of what lies on `sheet`, mm."""
    left, low, right, high = sheet.bounds
    return right - left, high - low
