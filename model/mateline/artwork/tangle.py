"""Whether more boxes meet than can be worked with, counted and given up early.

Stands before the booleans of one outline, beside crossings, which only samples: one long edge
that the sample hits would pass for thousands.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

FEW, MANY = 16, 8192  # boxes asked for at a time
TABLE = 1_000_000  # pairs that may come back at a time


def meet_more_than(boxes: NDArray[np.float64], most: int) -> bool:
    """Whether more than `most` pairs of `boxes` (n, 4: low x, low y, high x, high y) touch or
    overlap.
    """
    count = len(boxes)
    shapes = np.asarray(shapely.box(*boxes.T))
    tree = shapely.STRtree(shapes)
    found, at, step = 0, 0, FEW
    while at < count and found <= 2 * most:
        hits, _ = tree.query(shapes[at : at + step])
        found += len(hits) - len(shapes[at : at + step])  # each meets itself
        at += step
        step = int(min(2 * step, MANY, max(FEW, TABLE * at // (found + 1))))
    return found > 2 * most  # each pair is found twice
