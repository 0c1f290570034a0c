"""The first view of a face: from a few of its places and where they are in the picture.

Stands after the view, before finding and the adjustment. Right to a few pixels, which is what
edges are looked for by. Corners that a person has pointed at come in the order of the outline, None
for one beyond the picture; a wrong start or a walk the other way round is told by the view that it
would need.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.squaring.sights import FOCAL, beforehand
from mateline.capture.squaring.view import UNKNOWNS, View, moved_by, pixels_of, slopes, turned
from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.capture.squaring.outline import Outline
    from mateline.capture.squaring.sights import PointSight

    Floats = NDArray[np.float64]

FRONT = ((1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0))  # square on: y up, rows run down
LEANS = (0.0, -0.45, 0.45)  # radians: turns and tilts that are tried first
GOOD = 4.0  # cost for each place below which no other lean is tried
ROUNDS = 25
SETTLED = 1e-4  # share of the cost that a round must win, or it is the last
LENS = 100.0  # times better known than it is: a few places are no news of a lens
CLICK = 5.0  # px: how well corners are pointed at, a lens that is not known yet left aside
LEFT = 0.03  # share of the longer side that a lens may leave of corners
CLEARLY = 0.5  # of what is left in the order given: another order that leaves less is meant
CLEAR = 0.008  # of the longer side: an order that leaves no more is the one
LEANING = math.radians(40)  # that a face may be turned by in the picture


def view_from(
    places: Floats, pixels: Floats, size: tuple[int, int], spread: float
) -> tuple[View, float]:
    """The view that has `places` (n, 2), mm, at `pixels` (n, 2), and the rms of what is left, px.

    `spread` px is how well the pixels are known. Up is up: a view from behind or from the side is
    not looked for, and leaves much.
    """
    best: tuple[float, View, float] | None = None
    for yaw in LEANS:
        for tilt in LEANS:
            view = _leaning(places, pixels, size, yaw, tilt)
            cost, view, left = _fitted(view, places, pixels, size, spread)
            if best is None or round(cost, 6) < round(best[0], 6):
                best = (cost, view, left)
            if cost < GOOD * len(places):
                return view, left
    if best is None:
        raise ValueError("nothing was tried")
    return best[1], best[2]


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


def _leaning(
    places: Floats, pixels: Floats, size: tuple[int, int], yaw: float, tilt: float
) -> View:
    """A camera that leans so and has the middle of the places where it is, as large as it is."""
    turn = turned(turned(FRONT, (0.0, yaw, 0.0)), (tilt, 0.0, 0.0))
    focal = FOCAL * max(size)
    middle, seen = places.mean(axis=0), pixels.mean(axis=0)
    density = math.sqrt(float(((pixels - seen) ** 2).sum() / ((places - middle) ** 2).sum()))
    far = focal / max(density, 1e-9)
    centre = ((size[0] - 1) / 2, (size[1] - 1) / 2)
    ray = ((seen[0] - centre[0]) / focal * far, (seen[1] - centre[1]) / focal * far, far)
    shift = tuple(
        float(to - row[0] * middle[0] - row[1] * middle[1])
        for row, to in zip(turn, ray, strict=True)
    )
    return View(turn, (shift[0], shift[1], shift[2]), focal, centre)


def _fitted(
    view: View, places: Floats, pixels: Floats, size: tuple[int, int], spread: float
) -> tuple[float, View, float]:
    """Levenberg's damped least squares: what it costs, the view, and the rms left, px."""
    damping = 1e-3
    cost, left = _cost(view, places, pixels, size, spread)
    for _ in range(ROUNDS):
        prior, off = beforehand(view, size, LENS)
        by_view, _ = slopes(view, places)
        rows = by_view.reshape(-1, UNKNOWNS) / spread
        normal = rows.T @ rows + prior.T @ prior
        pull = rows.T @ (left.ravel() / spread) - prior.T @ off
        step = np.linalg.solve(normal + damping * np.diag(np.diag(normal)), pull).astype(np.float64)
        if not np.isfinite(step).all() or np.abs(step[:3]).max() > 1 or abs(step[6]) > 1:
            damping *= 10
            continue
        there = moved_by(view, step)
        lower, rest = _cost(there, places, pixels, size, spread)
        if lower < cost:
            settled = cost - lower < SETTLED * cost
            view, cost, left, damping = there, lower, rest, damping / 5
            if settled:
                break
        else:
            damping *= 10
    return cost, view, math.sqrt(float((left * left).sum() / max(1, len(left))))


def _cost(
    view: View, places: Floats, pixels: Floats, size: tuple[int, int], spread: float
) -> tuple[float, Floats]:
    depth = view.turn[2][0] * places[:, 0] + view.turn[2][1] * places[:, 1] + view.shift[2]
    if float(depth.min()) <= 0.02 * float(depth.max()):
        return math.inf, np.zeros_like(pixels)
    left: Floats = pixels - pixels_of(view, places)
    _, off = beforehand(view, size, LENS)
    return float((left * left).sum()) / spread**2 + float((off * off).sum()), left


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
            if best is not None and best[0] < CLEAR * max(size):
                break
        if best is not None and best[0] < CLEAR * max(size):
            break
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
