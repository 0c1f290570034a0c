"""The first view of a face: from a few of its places and where they are in the picture.

Stands after the view, before finding and the adjustment. Right to a few pixels, which is what
edges are looked for by.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.squaring.sights import FOCAL, beforehand
from mateline.capture.squaring.view import UNKNOWNS, View, moved_by, pixels_of, slopes, turned

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FRONT = ((1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0))  # square on: y up, rows run down
LEANS = (0.0, -0.45, 0.45)  # radians: turns and tilts that are tried first
GOOD = 4.0  # cost for each place below which no other lean is tried
ROUNDS = 25
SETTLED = 1e-4  # share of the cost that a round must win, or it is the last
LENS = 100.0  # times better known than it is: a few places are no news of a lens


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
