"""One drawing for each sheet of board, where a face takes more than one: a load of a bed.

Stands after layers, before the formats. Beside the layers of the stencil:

    join  where the sheet ends inside a piece: cut it, and tape the next sheet on
    mark  ticks across joins, and crosses to lay the sheet on a bed: draw them
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.curves import Chain, Segment, moved
from mateline.stencil.sheets.clipping import within
from mateline.stencil.sheets.crosses import registration

if TYPE_CHECKING:
    from mateline.exports.cut.layers import Layers
    from mateline.stencil.sheets.clipping import Bounds
    from mateline.stencil.sheets.joins import Grid, Sheet

BULGE = 1.0  # mm


def sheet_layers(sheet: Sheet, grid: Grid, layers: Layers) -> Layers:
    """What lies on `sheet`, in its own frame: (0, 0) is its lower-left corner, mm.

    Layers are in the order of the work, "mark" first and "join" after the borders.
    """
    left, low, _, _ = sheet.bounds
    shift = np.array([[1.0, 0.0, -left], [0.0, 1.0, -low]])
    return {
        name: tuple(moved(part, shift) for part in parts)
        for name, parts in on_sheet(sheet, grid, layers).items()
    }


def on_sheet(sheet: Sheet, grid: Grid, layers: Layers) -> Layers:
    """The same in the face frame; a face on one sheet has no joins and keeps its `layers`."""
    if len(grid.sheets) == 1:
        return layers
    every: Layers = {
        "mark": (*registration(sheet.bounds), *join_marks(grid)),
        **{name: chains for name, chains in layers.items() if name != "hole"},
        "join": join_lines(grid),
        "hole": layers["hole"],
    }
    window = window_of(sheet, grid)
    return {
        name: tuple(part for chain in chains for part in within(chain, window))
        for name, chains in every.items()
    }


def window_of(sheet: Sheet, grid: Grid) -> Bounds:
    """The sheet's bounds, and where the face ends a little more: they are those of facets, which a
    true arc bulges beyond.
    """
    left, low, right, high = sheet.bounds
    return (
        left if left in grid.xs else left - BULGE,
        low if low in grid.ys else low - BULGE,
        right if right in grid.xs else right + BULGE,
        high if high in grid.ys else high + BULGE,
    )


def drawn_besides(grid: Grid) -> tuple[Chain, ...]:
    """All that sheets have besides the stencil's layers, which lettering keeps clear of.

    In the face frame, mm; nothing where one sheet takes the face.
    """
    if len(grid.sheets) < 2:
        return ()
    crosses = [chain for sheet in grid.sheets for chain in registration(sheet.bounds)]
    return (*crosses, *join_marks(grid), *join_lines(grid))


def sheet_size(sheet: Sheet) -> tuple[float, float]:
    """Width and height of what lies on `sheet`, mm."""
    left, low, right, high = sheet.bounds
    return right - left, high - low


def join_marks(grid: Grid) -> tuple[Chain, ...]:
    """The ticks across the joins, in the face frame."""
    return tuple(mark for join in grid.joins for mark in join.marks)


def join_lines(grid: Grid) -> tuple[Chain, ...]:
    """Where two sheets of board meet inside a piece, in the face frame."""
    return tuple(Chain(join.start, (Segment(join.end),)) for join in grid.joins)
