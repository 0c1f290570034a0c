"""A face laid flat: the photo looked up at true scale.

Stands after the error map. Row by row of the face picture, each pixel's place is taken to the photo
and its light looked up between pixels.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.capture.face_picture import FacePicture, Grid
from mateline.capture.squaring.error_map import errors_at
from mateline.capture.squaring.splines import inside, values_at
from mateline.capture.squaring.view import pixels_of, slopes

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.squaring.adjustment import Solved
    from mateline.capture.squaring.outline import Outline
    from mateline.capture.squaring.splines import Splined
    from mateline.capture.squaring.view import View

    Floats = NDArray[np.float64]

STEP = 0.05  # mm: pitches are multiples of it
BESIDE = 3.0  # mm beyond the outline that are laid flat too
BLOCK = 400_000  # pixels at a time
KNOT = 32  # pixels between places where the error is reckoned
MOST = 80_000_000  # pixels of a face


def density_of(view: View, outline: Outline) -> float:
    """Pixels of the photo to a mm of the face, at its middle."""
    middle = (outline.corners.min(axis=0) + outline.corners.max(axis=0)) / 2
    _, by_place = slopes(view, middle[None, :])
    (a, b), (c, d) = by_place[0].tolist()
    return math.sqrt(abs(a * d - b * c))


def pitch_of(density: float) -> float:
    """The pitch, mm, that keeps what a photo of that many pixels to the mm shows."""
    return round(max(1, math.floor(round(1 / density / STEP, 3))) * STEP, 2)


def grid_of(outline: Outline, pitch: float) -> Grid:
    """Pixels over the box of the outline. Raises ValueError for more than there is room for."""
    ring = outline.ring
    (left, low), (right, high) = ring.min(axis=0).tolist(), ring.max(axis=0).tolist()
    rows = math.ceil(round((high - low) / pitch, 6))
    columns = math.ceil(round((right - left) / pitch, 6))
    if rows * columns > MOST:
        raise ValueError(f"{rows} by {columns} pixels are too many for a face")
    return Grid(rows, columns, pitch, left, low)


def laid_flat(picture: Splined, solved: Solved, outline: Outline, grid: Grid) -> FacePicture:
    """The face seen square on, with the error to expect at each pixel."""
    area = shapely.Polygon(outline.ring)
    around = area.buffer(BESIDE)
    shapely.prepare(area)
    shapely.prepare(around)
    light = np.zeros((grid.rows, grid.columns, 3), dtype=np.float32)
    seen = np.zeros((grid.rows, grid.columns), dtype=bool)
    rows = max(1, BLOCK // grid.columns)
    for top in range(0, grid.rows, rows):
        bottom = min(grid.rows, top + rows)
        column, row = np.meshgrid(np.arange(grid.columns), np.arange(top, bottom))
        places = grid.places(np.column_stack([column.ravel(), row.ravel()]).astype(np.float64))
        near = np.flatnonzero(shapely.contains_xy(around, places[:, 0], places[:, 1]))
        pixels = pixels_of(solved.view, places[near])
        there = inside(picture, pixels)
        near, pixels = near[there], pixels[there]
        block = light[top:bottom].reshape(-1, 3)
        block[near] = np.clip(values_at(picture, pixels), 0, 1)
        on_face = shapely.contains_xy(area, places[near, 0], places[near, 1])
        seen[top:bottom].ravel()[near[on_face]] = True
    return FacePicture(outline.face, grid, light, seen, error_over(solved, grid))


def error_over(solved: Solved, grid: Grid) -> NDArray[np.float32]:
    """Expected errors, mm, (rows, columns): reckoned at knots, straight between them."""
    row_knots, row_share, row_at = _knots(grid.rows)
    column_knots, column_share, column_at = _knots(grid.columns)
    column, row = np.meshgrid(column_knots, row_knots)
    places = grid.places(np.column_stack([column.ravel(), row.ravel()]).astype(np.float64))
    errors = errors_at(solved.view, solved.covariance, places).reshape(row.shape)
    errors = np.round(errors, 5).astype(np.float32)
    wide = errors[:, column_at] * (1 - column_share) + errors[:, column_at + 1] * column_share
    found = wide[row_at] * (1 - row_share[:, None]) + wide[row_at + 1] * row_share[:, None]
    return found.astype(np.float32)


def _knots(count: int) -> tuple[Floats, NDArray[np.float32], NDArray[np.int64]]:
    """Knots over `count` pixels, and of each pixel how far it is past which knot."""
    spans = max(1, math.ceil(count / KNOT))
    knots = np.linspace(0, count - 1, spans + 1) if count > 1 else np.array([0.0, 1.0])
    place = np.arange(count) * spans / max(1, count - 1)
    at = np.minimum(place.astype(np.int64), spans - 1)
    return knots, (place - at).astype(np.float32), at
