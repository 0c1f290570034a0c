"""Where labels go on a page: beside what they name, over no other label, over few lines.

Stands beside pdf_file. The page is a raster that remembers what is taken; a label gets the first
of its places that is clear, or else the one that covers the least line work, and none where every
place is taken.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from numpy.typing import NDArray

    from mateline.curves import Point

FINE = 0.4  # mm: a cell of the raster
GAP = 0.3  # mm that labels keep apart
TAKEN = 100  # in a cell: no label goes there
MUCH = 3  # cells of line work that a label may cover
SLANT = math.sqrt(0.5)
# Ways from a dot: unit vector, and which side or corner of a label's box is turned to the dot.
EIGHT = (
    (SLANT, SLANT, 1, 1),
    (-SLANT, SLANT, -1, 1),
    (SLANT, -SLANT, 1, -1),
    (-SLANT, -SLANT, -1, -1),
    (1.0, 0.0, 1, 0),
    (-1.0, 0.0, -1, 0),
    (0.0, 1.0, 0, 1),
    (0.0, -1.0, 0, -1),
)


class LabelRoom:
    """The room for labels in a box of the page: left, bottom, right, top, mm."""

    def __init__(self, box: tuple[float, float, float, float]) -> None:
        self._left, self._low, self._right, self._high = box
        shape = (
            max(1, math.ceil((self._high - self._low) / FINE)),
            max(1, math.ceil((self._right - self._left) / FINE)),
        )
        self._cells = np.zeros(shape, dtype=np.int32)

    def draw(self, points: NDArray[np.float64]) -> None:
        """Remember line work at `points` (n, 2): labels rather go elsewhere."""
        if not len(points):
            return
        columns = ((points[:, 0] - self._left) / FINE).astype(np.int64)
        rows = ((points[:, 1] - self._low) / FINE).astype(np.int64)
        high, wide = self._cells.shape
        inside = (columns >= 0) & (columns < wide) & (rows >= 0) & (rows < high)
        cells = self._cells
        cells[rows[inside], columns[inside]] = np.maximum(cells[rows[inside], columns[inside]], 1)

    def keep(self, at: Point, size: tuple[float, float]) -> None:
        """Take the box of `size` about `at` for what is there."""
        window = self._window(at, size)
        if window is not None:
            self._cells[window] = TAKEN

    def placed(self, rings: Iterable[Sequence[Point]], size: tuple[float, float]) -> Point | None:
        """The best place for the middle of a label of `size`, which is taken from now on.

        `rings` of places come in the order of liking: a later one is looked at where the best of
        those before it covers more line work than `MUCH`.
        """
        best: Point | None = None
        least = TAKEN
        wide, high = size[0] / 2 + GAP / 2, size[1] / 2 + GAP / 2
        cells, left, low = self._cells, self._left, self._low
        add, right, top = np.add.reduce, self._right - wide, self._high - high
        for ring in rings:
            for x, y in ring:
                if x - wide < left or x > right or y - high < low or y > top:
                    continue
                here = cells[
                    int((y - high - low) / FINE) : int((y + high - low) / FINE) + 1,
                    int((x - wide - left) / FINE) : int((x + wide - left) / FINE) + 1,
                ]
                cost = int(add(here, axis=None))
                if cost < least:
                    best, least = (x, y), cost
                    if cost == 0:
                        break
            if least <= MUCH:
                break
        if best is not None:
            self.keep(best, size)
        return best

    def _window(self, at: Point, size: tuple[float, float]) -> tuple[slice, slice] | None:
        """The cells of a box; None where it is not whole on the page."""
        wide, high = size[0] / 2 + GAP / 2, size[1] / 2 + GAP / 2
        x, y = at
        if x - wide < self._left or x + wide > self._right:
            return None
        if y - high < self._low or y + high > self._high:
            return None
        return (
            slice(int((y - high - self._low) / FINE), int((y + high - self._low) / FINE) + 1),
            slice(int((x - wide - self._left) / FINE), int((x + wide - self._left) / FINE) + 1),
        )


def beside(
    at: Point, size: tuple[float, float], gap: float, rings: Sequence[float] = (0.0,)
) -> Iterator[list[Point]]:
    """Places for the middle of a label of `size` round `at`: `gap` off it, then farther out."""
    x, y = at
    wide, high = size[0] / 2, size[1] / 2
    for more in rings:
        # The box touches the ring with the side or corner that it turns to it.
        far = gap + more
        yield [(x + far * cos + wide * across, y + far * sin + high * up)
               for cos, sin, across, up in EIGHT]  # fmt: skip
