"""A face seen square on: a picture at true scale in the face frame.

Stands after pictures; squaring makes them, labelling, tracing and the joint of both sides read
them.

    row 0  +--+--+--      pixel (row r, column c) has its middle at
           |  |  |          x = left + (c + 1/2) pitch
           +--+--+--        y = low + (rows - r - 1/2) pitch
    (left, low) is the lower-left corner of the last row's first pixel, mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Grid:
    """Pixels of a face: `rows` by `columns` of `pitch` mm, from the corner (left, low), mm."""

    rows: int
    columns: int
    pitch: float
    left: float
    low: float

    def places(self, pixels: Floats) -> Floats:
        """Places (n, 2), mm, of pixel places (n, 2), column then row, where the first pixel's
        middle is (0, 0).
        """
        low = self.low + self.rows * self.pitch
        x = self.left + (pixels[:, 0] + 0.5) * self.pitch
        return np.column_stack([x, low - (pixels[:, 1] + 0.5) * self.pitch])

    def pixels(self, places: Floats) -> Floats:
        """Pixel places (n, 2), column then row, of places (n, 2), mm: `places` backwards."""
        top = self.low + self.rows * self.pitch
        column = (places[:, 0] - self.left) / self.pitch - 0.5
        return np.column_stack([column, (top - places[:, 1]) / self.pitch - 0.5])


@dataclass(frozen=True, slots=True, eq=False)
class FacePicture:
    """`light` (rows, columns, 3), linear, 0 to 1; `seen` (rows, columns): inside the outline and
    in a photo; `error` mm, (rows, columns) or one figure: the expected error of where things are
    (rms of its distance), from the outline's uncertainty and the fit.
    """

    face: str
    grid: Grid
    light: NDArray[np.float32]
    seen: NDArray[np.bool_]
    error: NDArray[np.float32] | float = 0.0
