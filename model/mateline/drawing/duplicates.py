"""Shapes drawn twice: one that lies under another of its own form.

Stands after shapes. Knows no pattern.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon, Polygon

    from mateline.drawing.shapes import Shape

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]


AHEAD = 200  # shapes compared with each, in order of their boxes: exact copies are neighbours
COPIES = 8  # of them compared in full


def buried_duplicates(shapes: Sequence[Shape], tolerance: float) -> frozenset[int]:
    """Positions of shapes with a later one nowhere farther than `tolerance` from their rim.

    The later one stays itself. Does not find near copies among more than `AHEAD` shapes that
    start at the same x.
    """
    if len(shapes) < 2:
        return frozenset()
    areas = np.array([shape.area for shape in shapes], dtype=object)
    size, rim, box = shapely.area(areas), shapely.length(areas), shapely.bounds(areas)
    order = np.lexsort((box[:, 3], box[:, 2], box[:, 1], box[:, 0]))
    alike: dict[int, list[int]] = defaultdict(list)
    enough = np.zeros(len(order), dtype=np.int64)
    for step in range(1, min(AHEAD, len(order))):
        one, other = order[:-step], order[step:]
        near = box[other, 0] - box[one, 0] <= tolerance
        if not near.any():
            break
        one, other = one[near], other[near]
        close = (np.abs(box[other] - box[one]) <= tolerance).all(axis=1)
        close &= np.abs(size[other] - size[one]) <= tolerance * (rim[other] + rim[one])
        close &= enough[np.minimum(one, other)] < COPIES
        pairs = np.sort(np.column_stack([one, other])[close], axis=1)
        np.add.at(enough, pairs[:, 0], 1)
        for low, high in pairs.tolist():
            alike[low].append(high)
    found: set[int] = set()
    for low in sorted(alike, reverse=True):
        # What is on top stays, so that no chain of near copies creeps.
        for high in alike[low]:
            if shapely.equals_exact(areas[low], areas[high], normalize=True) or (
                high not in found and _near(areas[low], areas[high], tolerance)
            ):
                found.add(low)
                break
    return frozenset(found)


def _near(one: Polygon | MultiPolygon, other: Polygon | MultiPolygon, tolerance: float) -> bool:
    # Symmetric, and measured along the rims, so a notch or a hole of one is noticed.
    rims = shapely.boundary([one, other])
    return bool(shapely.hausdorff_distance(rims[0], rims[1]) <= tolerance)
