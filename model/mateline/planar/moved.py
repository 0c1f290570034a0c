"""Areas moved by a map of points, and valid once more.

Stands before drawings are placed. Where an area is no wider than rounding, a map that is right to
the last bit may still lay two of its corners on each other, or an edge across another.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    Areas = NDArray[np.object_]
    Floats = NDArray[np.float64]


def moved(areas: Sequence[Any] | Areas, mapped: Callable[[Floats], Floats]) -> Areas:
    """Areas whose points (n, 2) are taken elsewhere by `mapped`, all valid if they were."""
    table: Areas = np.asarray(areas, dtype=object)
    return valid(shapely.transform(table, mapped))


def valid(areas: Areas) -> Areas:
    """The areas, made valid where they are not: what is left of them may be empty."""
    wrong = np.flatnonzero(~shapely.is_valid(areas))
    if len(wrong) == 0:
        return areas
    mended = areas.copy()
    mended[wrong] = shapely.make_valid(areas[wrong], method="structure", keep_collapsed=False)
    return mended
