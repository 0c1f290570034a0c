"""Corners that a person has pointed at, in the order of the outline, and what is wrong with them.

Stands after the first view. Corners beyond the picture are None; four must be given. A wrong start
or a walk the other way round is told by the view that it would need.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.squaring.first_view import view_from
from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.capture.squaring.outline import Outline
    from mateline.capture.squaring.sights import PointSight
    from mateline.capture.squaring.view import View

    Floats = NDArray[np.float64]

CLICK = 5.0  # px: how well corners are pointed at, a lens that is not known yet left aside
LEFT = 0.03  # share of the longer side that a lens may leave of corners
CLEARLY = 0.5  # of what is left in the order given: another order that leaves less is meant
LEANING = math.radians(40)  # that a face may be turned by in the picture


def view_of_corners(
    file: str,
    corners: Sequence[tuple[float, float] | None],
    outline: Outline,
    size: tuple[int, int],
    points: Sequence[PointSight] = (),
) -> View:
    """The first view of a face whose corners are at these pixels, column and row; other `points`
    of the face help where the picture shows few corners.

    Raises InputError.
    """
    names = ", ".join(outline.names)
    if len(corners) != len(outline):
        raise InputError(
            file, "corners",
            f"There are {len(corners)} corners, but the outline of {outline.face} has"
            f" {len(outline)}.",
            f"Give the pixels of {names} in this order, and none where a corner is out of the"
            " picture.",
        )  # fmt: skip
    given = [at for at, corner in enumerate(corners) if corner is not None]
    if len(given) + len(points) < 4:
        raise InputError(
            file, "corners", f"Only {len(given)} corners and {len(points)} points are given.",
            "Give four at least of both together; a photo that shows fewer can't be squared.",
        )  # fmt: skip
    pixels = np.array(
        [corner for corner in corners if corner is not None] + [each.pixel for each in points],
        dtype=np.float64,
    )
    places = np.vstack([outline.corners[given], *(np.array([each.place]) for each in points)])
    view, left = view_from(places, pixels, size, CLICK)
    if left <= LEFT * max(size) and upright(view):
        return view
    if len(given) == len(outline):
        _tell_order(
            file, pixels[: len(outline)], outline, size, left if upright(view) else math.inf
        )
    raise InputError(
        file, "corners",
        f"The corners do not fit the outline of {outline.face}: no camera sees it so"
        f" ({left:.0f} pixels are left over).",
        f"Check that they are {names} in this order, column before row, and that the photo is not"
        " turned.",
    )  # fmt: skip


def upright(view: View) -> bool:
    """Whether the face is seen from the front and stands about upright."""
    along = math.atan2(view.turn[1][0], view.turn[0][0])
    up = math.atan2(-view.turn[0][1], -view.turn[1][1])
    return max(abs(along), abs(up)) < LEANING and view.turn[2][2] < 0


def _tell_order(
    file: str, pixels: Floats, outline: Outline, size: tuple[int, int], left: float
) -> None:
    """Raise InputError if the corners fit in another order."""
    count = len(outline)
    best: tuple[float, int, bool] | None = None
    for backwards in (False, True):
        for start in range(count):
            if start == 0 and not backwards:
                continue
            # the corner given first is number `start` of the outline
            order = [(start + (-at if backwards else at)) % count for at in range(count)]
            view, rest = view_from(outline.corners[order], pixels, size, CLICK)
            if upright(view) and (best is None or round(rest, 3) < best[0]):
                best = (round(rest, 3), start, backwards)
    if best is None or best[0] > min(CLEARLY * left, LEFT * max(size)):
        return
    _, start, backwards = best
    way = " and run the other way round" if backwards else ""
    raise InputError(
        file, "corners",
        f"The corners are in another order than the outline's: they seem to start at"
        f" {outline.names[start]}{way}.",
        f"Give them as {', '.join(outline.names)}.",
    )  # fmt: skip
