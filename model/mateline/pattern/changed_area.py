"""How much of a pattern another one of the same outline colours otherwise.

Stands after the pattern, before repair, which may change no more than it says. Regions that are in
both to the bit are left aside; of the others it is measured where they lie, not how large they are.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.pattern.pattern import Pattern

    Objects = NDArray[np.object_]
    Key = tuple[str, tuple[float, ...], int]


def changed_area(before: Pattern, after: Pattern) -> float:
    """The area whose colour is not the same in both, in the square of the patterns' unit.

    Both tile one outline: so what a colour has lost is all that has changed.
    """
    old, new = _others(before, after)
    lost = 0.0
    for colour, areas in old.items():
        lost += float(shapely.area(areas).sum())
        if colour in new:
            one, other = shapely.STRtree(new[colour]).query(areas, predicate="intersects")
            shared = shapely.intersection(areas[one], new[colour][other])
            lost -= float(shapely.area(shared).sum())
    return max(0.0, lost)


def _others(before: Pattern, after: Pattern) -> tuple[dict[str, Objects], dict[str, Objects]]:
    """Areas of both patterns by colour, without those that both have."""
    same: dict[Key, list[int]] = defaultdict(list)
    keys = _keys(after)
    for at, key in enumerate(keys):
        same[key].append(at)
    gone = np.zeros(len(before.regions), dtype=bool)
    fresh = np.ones(len(after.regions), dtype=bool)
    for at, key in enumerate(_keys(before)):
        area = before.regions[at].area
        twin = next(
            (other for other in same.get(key, ())
             if shapely.equals_exact(area, after.regions[other].area, normalize=True)),
            None,
        )  # fmt: skip
        gone[at] = twin is None
        if twin is not None:
            fresh[twin] = False
    return _by_colour(before, gone), _by_colour(after, fresh)


def _keys(pattern: Pattern) -> list[Key]:
    """What regions that are the same have in common at least."""
    areas = np.array([region.area for region in pattern.regions], dtype=object)
    boxes, count = shapely.bounds(areas).tolist(), shapely.get_num_coordinates(areas).tolist()
    return [
        (region.colour, tuple(box), number)
        for region, box, number in zip(pattern.regions, boxes, count, strict=True)
    ]


def _by_colour(pattern: Pattern, which: NDArray[np.bool_]) -> dict[str, Objects]:
    found: dict[str, list[object]] = defaultdict(list)
    for at in np.flatnonzero(which).tolist():
        found[pattern.regions[at].colour].append(pattern.regions[at].area)
    return {colour: np.array(areas, dtype=object) for colour, areas in found.items()}
