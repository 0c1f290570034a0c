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
DIGITS, LAST = 6, 1e-6  # of a cell: what is on the line between two goes into one, on any machine
GAP = 0.3  # mm that labels keep apart
NEVER = 1 << 30  # cells: what is taken already costs a label as much
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
    """The room for labels in a box of the page: left, bottom, right, top, mm.

    Rows of its raster are whole numbers with a bit for each cell: a label takes a handful of rows,
    and is tried in many places.
    """

    def __init__(self, box: tuple[float, float, float, float]) -> None:
        self._left, self._low, self._right, self._high = box
        self._wide = max(1, math.ceil((self._right - self._left) / FINE)) + 1
        rows = max(1, math.ceil((self._high - self._low) / FINE)) + 1
        self._taken = [0] * rows
        self._lines = [0] * rows

    def draw(self, points: NDArray[np.float64]) -> None:
        """Remember line work at `points` (n, 2): labels rather go elsewhere."""
        if not len(points):
            return
        columns, rows = np.floor(
            np.round((points - (self._left, self._low)) / FINE, DIGITS)
        ).T.astype(np.int64)
        inside = (columns >= 0) & (columns < self._wide) & (rows >= 0) & (rows < len(self._lines))
        cells = np.zeros((len(self._lines), self._wide), dtype=np.bool_)
        cells[rows[inside], columns[inside]] = True
        for row, bits in enumerate(np.packbits(cells, axis=1, bitorder="little")):
            self._lines[row] |= int.from_bytes(bits.tobytes(), "little")

    def keep(self, at: Point, size: tuple[float, float]) -> None:
        """Take the box of `size` about `at` for what is there."""
        (x, y), (wide, high) = at, size
        half, tall = (wide + GAP) / 2, (high + GAP) / 2
        if self._left <= x - half and x + half <= self._right:
            low, top = max(y - tall, self._low), min(y + tall, self._high)
            first, last, below, above = (
                int(off / FINE + LAST)
                for off in (x - half - self._left, x + half - self._left,
                            low - self._low, top - self._low)
            )  # fmt: skip
            self._take(first, last, below, above)

    def placed(
        self, rings: Iterable[Sequence[Point]], size: tuple[float, float], much: float = MUCH
    ) -> Point | None:
        """The best place for the middle of a label of `size`, which is taken from now on.

        `rings` of places come in the order of liking: a later one is looked at where the best of
        those before it covers more than `much` cells of line work.
        """
        best: Point | None = None
        least = NEVER
        where = (0, 0, 0, 0)
        half, tall = (size[0] + GAP) / 2, (size[1] + GAP) / 2
        left, low, taken, lines = self._left, self._low, self._taken, self._lines
        right, top = self._right - half, self._high - tall
        for ring in rings:
            for place in ring:
                x, y = place[0] - left, place[1] - low
                if x < half or place[0] > right or y < tall or place[1] > top:
                    continue
                first, last = int((x - half) / FINE + LAST), int((x + half) / FINE + LAST)
                below, above = int((y - tall) / FINE + LAST), int((y + tall) / FINE + LAST)
                mask = ((1 << (last - first + 1)) - 1) << first
                cost = 0
                for row in range(below, above + 1):
                    if taken[row] & mask:
                        cost = NEVER
                        break
                    cost += (lines[row] & mask).bit_count()
                if cost < least:
                    best, least, where = place, cost, (first, last, below, above)
                    if cost == 0:
                        break
            if least <= much:
                break
        if best is not None:
            self._take(*where)
        return best

    def _take(self, first: int, last: int, below: int, above: int) -> None:
        mask = ((1 << (last - first + 1)) - 1) << first
        for row in range(below, above + 1):
            self._taken[row] |= mask


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
