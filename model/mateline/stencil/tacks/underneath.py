"""What lies beneath a stencil that no tape tack holds on, or that tape comes loose from.

Stands before pieces. Areas in the face frame, mm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from mateline.cabinet.hole import kept_area, open_area
from mateline.products import inverted, product

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely import Polygon

    from mateline.cabinet.faces import Face

    Floats = NDArray[np.float64]

FOLD = 0.5  # mm: how near to a score tape may come


def beneath(face: Face) -> tuple[Polygon, ...]:
    """Open holes and folds of `face`.

    Tape across a fold lifts as soon as the board is bent: a tack keeps off it as off a hole.
    """
    holes = [open_area(hole) for hole in face.holes if not hole.stays]
    return (*holes, *(strip.score.buffer(FOLD) for strip in face.strips))


def beneath_turned(face: Face, matrix: Floats) -> tuple[Polygon, ...]:
    """What a set lies on once it is turned over to `face`, in the frame of its own face.

    `matrix` (2, 3) is the reflection from that frame to the one of `face`. Hardware that stays
    counts too: no tape goes over what sticks out.
    """
    inverse = inverted(matrix[:, :2])
    kept = [kept_area(hole) for hole in face.holes if hole.stays]
    found = [*beneath(face), *kept]
    return tuple(
        shapely.transform(area, lambda points: product(points - matrix[:, 2], inverse.T))
        for area in found
    )
