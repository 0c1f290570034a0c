"""Shapes drawn twice: one that lies under another of its own form.

Stands after shapes. Knows no pattern.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.planar.farthest import farther

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon, Polygon

    from mateline.drawing.shapes import Shape

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]
    Area = Polygon | MultiPolygon

WIDER = 1 + 1e-9  # no unit: what is as wide as the tolerance is within it, whatever the rounding
AHEAD = 200  # shapes compared with each, in order of their boxes: exact copies are neighbours
COPIES = 8  # of them compared in full


def box_length(area: Area) -> float:
    """The length of the rim of an area's box."""
    left, low, right, high = area.bounds
    return float(2 * (right - left + high - low))


def buried_duplicates(shapes: Sequence[Shape], tolerance: float) -> frozenset[int]:
    """Positions of shapes with a later one whose rim is nowhere farther than `tolerance` from
    theirs, measured along both.

    What a shape covers and the later one does not is no wider than the tolerance, and no more than
    that along the rim of the shape's box. The later one stays itself. Does not find near copies
    among more than `AHEAD` shapes that start at the same x.
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
        near &= enough[np.minimum(one, other)] < COPIES  # of most copies there are soon enough
        one, other = one[near], other[near]
        close = (np.abs(box[other] - box[one]) <= tolerance).all(axis=1)
        close &= np.abs(size[other] - size[one]) <= tolerance * (rim[other] + rim[one])
        pairs = np.sort(np.column_stack([one, other])[close], axis=1)
        np.add.at(enough, pairs[:, 0], 1)
        for low, high in pairs.tolist():
            alike[low].append(high)
    found: set[int] = set()
    for low in sorted(alike, reverse=True):
        # What is on top stays, so that no chain of near copies creeps.
        for high in alike[low]:
            same = shapely.equals_exact(areas[low], areas[high], normalize=True)
            if same or (high not in found and _doubled(areas[low], areas[high], tolerance)):
                found.add(low)
                break
    return frozenset(found)


def _doubled(low: Area, high: Area, tolerance: float) -> bool:
    """Whether the lower of two shapes that are nearly as large and lie nearly alike doubles the
    upper one.
    """
    # Vertices alone are quick, and never farther apart than the rims are.
    one, other = shapely.boundary([low, high])
    if shapely.hausdorff_distance(one, other) > tolerance:
        return False
    # Rims may be near one another and yet lie round other areas: a disc, and a hair round it.
    bare = shapely.get_parts(shapely.difference(low, high))
    thin = 2 * shapely.area(bare) <= WIDER * tolerance * shapely.length(bare)
    if not thin.all() or shapely.area(bare).sum() > tolerance * box_length(low):
        return False
    # Edges whose ends are near are near all along.
    if shapely.equals_exact(low, high, tolerance, normalize=True):
        return True
    # Both ways, so that a notch or a hole of either is noticed.
    return not (farther(one, other, tolerance) or farther(other, one, tolerance))
