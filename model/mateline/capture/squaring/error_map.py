"""How far off a squared face is expected to be, where, and what to measure next.

Stands after the adjustment. The covariance of the view, of what the tape leaves open in the
corners, is carried to places of the face: a place comes to where the view believes it, and the
error is the distance between the two (rms). A further reading is tried on paper: what is left of
the worst error if it were taken.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.capture.squaring.outline import modes
from mateline.capture.squaring.view import UNKNOWNS, pixels_of, slopes

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.squaring.adjustment import Solved
    from mateline.capture.squaring.outline import Outline
    from mateline.capture.squaring.view import View

    Floats = NDArray[np.float64]

ACROSS = 25  # places over the face's longer side that errors are reckoned at
TAPED = 0.3  # mm: deviation of a further reading by tape, taken with care
HELPS = 0.9  # of the worst error: what a reading must bring it below to be worth its while


@dataclass(frozen=True, slots=True)
class Expected:
    """Errors to expect, mm: over the face (rms), the worst and where (face frame)."""

    rms: float
    worst: float
    worst_at: tuple[float, float]


def spots_of(outline: Outline, view: View, size: tuple[int, int]) -> Floats:
    """Places (n, 2), mm, over what the picture shows of the face: a grid inside the outline, and
    corners.
    """
    area = shapely.Polygon(outline.ring)
    left, low, right, high = area.bounds
    step = max(right - left, high - low) / ACROSS
    x = np.arange(left + step / 2, right, step)
    y = np.arange(low + step / 2, high, step)
    grid = np.column_stack([each.ravel() for each in np.meshgrid(x, y)])
    inside = shapely.contains_xy(area, grid[:, 0], grid[:, 1])
    spots = np.vstack([grid[inside], outline.corners])
    column, row = pixels_of(view, spots).T
    shown = (column >= 0) & (row >= 0) & (column < size[0]) & (row < size[1])
    return spots[shown] if shown.any() else spots


def pulls(view: View, spots: Floats) -> Floats:
    """How the face place that is seen at a spot's pixel moves with the view: (n, 2, UNKNOWNS)."""
    by_view, by_place = slopes(view, spots)
    (a, b), (c, d) = (by_place[:, 0].T, by_place[:, 1].T)
    turned = np.empty_like(by_view)
    size = (a * d - b * c)[:, None]
    turned[:, 0] = -(d[:, None] * by_view[:, 0] - b[:, None] * by_view[:, 1]) / size
    turned[:, 1] = -(a[:, None] * by_view[:, 1] - c[:, None] * by_view[:, 0]) / size
    return turned


def errors_at(view: View, covariance: Floats, spots: Floats) -> Floats:
    """Expected errors (n,), mm, at spots (n, 2) if a view's unknowns have this covariance."""
    pull = pulls(view, spots)
    known = covariance[:UNKNOWNS, :UNKNOWNS]
    spread = np.zeros(len(spots))
    for axis in (0, 1):
        spread += ((pull[:, axis] @ known) * pull[:, axis]).sum(axis=1)
    return np.sqrt(np.maximum(spread, 0.0))


def expected(view: View, covariance: Floats, outline: Outline, size: tuple[int, int]) -> Expected:
    """The errors of what a picture of `size`, columns and rows, shows of a face."""
    spots = spots_of(outline, view, size)
    errors = np.round(errors_at(view, covariance, spots), 4)
    rms = float(np.sqrt((errors * errors).mean()))
    at = int(np.argmax(errors))
    x, y = spots[at].tolist()
    return Expected(round(rms, 4), float(errors[at]), (round(x, 1), round(y, 1)))


def next_reading(solved: Solved, outline: Outline, size: tuple[int, int]) -> str | None:
    """What to measure next, in words; None if no one reading would bring the worst error down by a
    tenth.
    """
    spots = spots_of(outline, solved.view, size)
    before = float(errors_at(solved.view, solved.covariance, spots).max())
    found: list[tuple[float, str]] = []
    for words, row, deviation in _readings(solved, outline, spots):
        spread = solved.covariance @ row
        gain = np.outer(spread, spread) / (deviation**2 + float(row @ spread))
        left = float(errors_at(solved.view, solved.covariance - gain, spots).max())
        found.append((round(left, 3), words))
    if not found:
        return None
    left, words = min(found, key=lambda each: each[0])
    if left > HELPS * before:
        return None
    return f"{words}: the worst error should come down from {before:.2f} mm to {left:.2f} mm."


def _readings(solved: Solved, outline: Outline, spots: Floats) -> list[tuple[str, Floats, float]]:
    """Readings that could be taken: words, how each hangs on the unknowns (n,), deviation."""
    count = len(solved.covariance)
    ways = modes(outline)
    found = []
    for first in range(len(outline)):
        for second in range(first + 1, len(outline)):
            apart = outline.corners[second] - outline.corners[first]
            apart = apart / max(float(np.hypot(*apart)), 1e-9)
            row = np.zeros(count)
            modes_end = UNKNOWNS + ways.shape[1]
            for axis in (0, 1):
                row[UNKNOWNS:modes_end] += apart[axis] * (
                    ways[2 * second + axis] - ways[2 * first + axis]
                )
            if row.any():
                names = f"{outline.names[first]} to {outline.names[second]}"
                found.append(
                    (f"Tape the distance from corner {names} again, to 0.3 mm", row, TAPED)
                )
    errors = errors_at(solved.view, solved.covariance, spots)
    worst = spots[int(np.argmax(np.round(errors, 4)))]
    for axis, edge in ((0, "left"), (1, "lower")):
        row = np.zeros(count)
        row[:UNKNOWNS] = pulls(solved.view, worst[None, :])[0, axis]
        x, y = worst.tolist()
        found.append((
            (
                f"Mark a point of the art or a hole near ({x:.0f}, {y:.0f}) mm, tape how far it is"
                f" from the face's {edge} end, and name it with its pixel under landmarks"
            ),
            row, 1.5 * TAPED,
        ))  # fmt: skip
    return found
