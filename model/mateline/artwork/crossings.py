"""How many pairs of boxes meet, told from a sample: work that can't be done is refused first.

Stands before the booleans. A path of 300 000 edges that cross at random has billions of
crossings, and no reader survives counting them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

SAMPLE = 500  # boxes looked at; the step between them is even, so the answer is always the same


def meeting_pairs(boxes: NDArray[np.float64]) -> float:
    """About how many pairs of `boxes` (n, 4: low x, low y, high x, high y) touch or overlap."""
    count = len(boxes)
    if count < 2:
        return 0.0
    shapes = np.asarray(shapely.box(*boxes.T))
    tree = shapely.STRtree(shapes)
    step = max(1, count // SAMPLE)
    looked_at = shapes[::step]
    hits, _ = tree.query(looked_at)
    return (len(hits) / len(looked_at) - 1) * count / 2


def edge_boxes(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Boxes (n - 1, 4) of the edges of a polyline (n, 2)."""
    a, b = points[:-1], points[1:]
    return np.hstack([np.minimum(a, b), np.maximum(a, b)])
