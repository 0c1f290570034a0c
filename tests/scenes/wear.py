"""What years do to a painted side: paint gone in patches, scratches, on a grid of the face.

`worn` gives shares 0 to 1 on a grid whose row 0 is the top: of bare wood, and of scratches down to
the primer. `sampled` reads a grid between its points.
"""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

DENSITY = 2.5  # points of the grid to a mm


@dataclass(frozen=True)
class Wear:
    """Shares (rows, columns) of bare wood and of scratch; `origin` is the lower-left corner, mm."""

    wood: np.ndarray
    scratch: np.ndarray
    origin: tuple
    density: float = DENSITY


def worn(outline, loss=0.14, scratches=60, seed=0):
    """`loss` is the share of the outline that is bare: chips along the edges and patches."""
    chance = np.random.default_rng(seed)
    left, low, right, up = outline.bounds
    shape = (int((up - low) * DENSITY) + 1, int((right - left) * DENSITY) + 1)
    field = np.zeros(shape, dtype=np.float32)
    for size, share in ((60, 1.0), (18, 0.6), (5, 0.25), (1.5, 0.1)):  # mm
        small = chance.standard_normal(
            (max(4, int(shape[0] / DENSITY / size) + 4), max(4, int(shape[1] / DENSITY / size) + 4))
        )
        field += (
            share
            * ndimage.zoom(
                small.astype(np.float32), np.array(shape) / np.array(small.shape), order=1
            )[: shape[0], : shape[1]]
        )
    from_rim = np.minimum.reduce(np.broadcast_arrays(
        np.arange(shape[0])[:, None], np.arange(shape[0])[::-1, None],
        np.arange(shape[1])[None], np.arange(shape[1])[None, ::-1])) / DENSITY  # fmt: skip
    field += 1.2 * np.exp(-from_rim / 12)
    level = np.quantile(field, 1 - loss) if loss > 0 else np.inf
    wood = np.clip((field - level) / 0.02 + 0.5, 0, 1).astype(np.float32)
    lines = np.zeros(shape, dtype=np.float32)
    for _ in range(scratches):
        _scratch(lines, chance)
    return Wear(wood, lines, (left, low))


def _scratch(lines, chance):
    """One bent line 20 to 250 mm long and 0.3 to 1.5 mm wide."""
    high, wide = lines.shape
    start = chance.uniform((0, 0), (wide, high))
    angle, reach = chance.uniform(0, 2 * np.pi), chance.uniform(20, 250) * DENSITY
    bend, half = chance.uniform(-0.6, 0.6), chance.uniform(0.15, 0.75) * DENSITY
    steps = np.linspace(0, 1, int(reach * 2) + 2)
    turning = angle + bend * steps
    path = start + np.cumsum(np.column_stack([np.cos(turning), np.sin(turning)]), axis=0) * 0.5
    margin = int(half + 3)
    x0, y0 = np.floor(path.min(axis=0)).astype(int) - margin
    x1, y1 = np.ceil(path.max(axis=0)).astype(int) + margin
    x0, y0, x1, y1 = max(x0, 0), max(y0, 0), min(x1, wide), min(y1, high)
    if x1 <= x0 or y1 <= y0:
        return
    far = np.ones((y1 - y0, x1 - x0), dtype=bool)
    at = np.round(path - (x0, y0)).astype(int)
    kept = ((at >= 0) & (at < (x1 - x0, y1 - y0))).all(axis=1)
    far[at[kept, 1], at[kept, 0]] = False
    away = ndimage.distance_transform_edt(far)
    np.maximum(lines[y0:y1, x0:x1], np.clip(half - away + 0.5, 0, 1), out=lines[y0:y1, x0:x1])


def sampled(grid, wear, points):
    """Values of a grid at face points (n, 2), mm; beyond it those of its rim, for a pixel there has
    its middle beside the board.
    """
    column = (points[:, 0] - wear.origin[0]) * wear.density
    row = grid.shape[0] - 1 - (points[:, 1] - wear.origin[1]) * wear.density
    return ndimage.map_coordinates(grid, [row, column], order=1, mode="nearest")
