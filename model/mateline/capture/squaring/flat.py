"""A face laid flat: the photo looked up at true scale.

Stands after the error map. Row by row of the face picture, each pixel's place is taken to the photo
and its light looked up between pixels.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from mateline.capture.face_picture import FacePicture, Grid
from mateline.capture.squaring.error_map import errors_at
from mateline.capture.squaring.splines import inside, values_at
from mateline.capture.squaring.view import pixels_of, slopes

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from mateline.capture.squaring.adjustment import Solved
    from mateline.capture.squaring.outline import Outline
    from mateline.capture.squaring.splines import Splined
    from mateline.capture.squaring.view import View

    Floats = NDArray[np.float64]

STEP = 0.05  # mm: pitches are multiples of it
BESIDE = 3.0  # mm beyond the outline that are laid flat too
BLOCK = 400_000  # pixels at a time
PLACES = 9  # decimals of a pixel by which inside is told from outside
KNOT = 16  # pixels between places where the map and its error are reckoned
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
    """The face seen square on, with the error to expect at each pixel.

    Between knots of a few pixels the map is taken as bilinear: that moves places by a thousandth of
    a pixel of the photo, by a hundredth in the corners of a wide lens.
    """
    area = shapely.Polygon(outline.ring)
    near = covered(area.buffer(BESIDE), grid)
    knots = _at_knots(grid, lambda places: pixels_of(solved.view, places))
    light = np.zeros((grid.rows, grid.columns, 3), dtype=np.float32)
    seen = covered(area, grid)
    rows = max(1, BLOCK // grid.columns)
    for top in range(0, grid.rows, rows):
        block = slice(top, min(grid.rows, top + rows))
        there = np.flatnonzero(near[block])
        pixels = np.column_stack(
            [_between(knots[..., axis], grid, block).ravel()[there] for axis in (0, 1)]
        )
        shown = inside(picture, pixels)
        there, pixels = there[shown], pixels[shown]
        light[block].reshape(-1, 3)[there] = np.clip(values_at(picture, pixels), 0, 1)
        in_photo = np.zeros(near[block].size, dtype=bool)
        in_photo[there] = True
        seen[block] &= in_photo.reshape(-1, grid.columns)
    return FacePicture(outline.face, grid, light, seen, error_over(solved, grid))


def covered(area: shapely.Polygon, grid: Grid) -> NDArray[np.bool_]:
    """Which pixels, (rows, columns), have their middle in an area, mm: where a row of middles
    crosses its rim, inside and outside change places.
    """
    turns = np.zeros((grid.rows, grid.columns + 1), dtype=bool)
    for ring in (area.exterior, *area.interiors):
        at = grid.pixels(shapely.get_coordinates(ring))
        for (x, y), (u, v) in pairwise(at.tolist()):
            first, last = sorted((math.ceil(round(y, PLACES)), math.ceil(round(v, PLACES))))
            row = np.arange(max(0, first), min(grid.rows, last))
            if len(row):
                across = x + (u - x) * (row - y) / (v - y)
                column = np.ceil(np.round(across, PLACES)).astype(np.int64)
                turns[row, np.clip(column, 0, grid.columns)] ^= True
    inside: NDArray[np.bool_] = np.logical_xor.accumulate(turns[:, :-1], axis=1)
    return inside


def error_over(solved: Solved, grid: Grid) -> NDArray[np.float32]:
    """Expected errors, mm, (rows, columns): reckoned at knots, bilinear between them."""

    def rounded(places: Floats) -> Floats:
        return np.round(errors_at(solved.view, solved.covariance, places), 5)

    found: NDArray[np.float32] = _between(
        _at_knots(grid, rounded).astype(np.float32), grid, slice(0, grid.rows)
    )
    return found


def _at_knots(grid: Grid, worth: Callable[[Floats], Floats]) -> Floats:
    """What something is worth at the knots of a grid: (down, across, ...)."""
    row, column = _knots(grid.rows)[0], _knots(grid.columns)[0]
    across, down = np.meshgrid(column, row)
    found = worth(grid.places(np.column_stack([across.ravel(), down.ravel()])))
    return found.reshape(*across.shape, *found.shape[1:])


def _between(knots: NDArray[Any], grid: Grid, rows: slice) -> NDArray[Any]:
    """Values at knots (down, across) as values of all pixels in these rows, bilinear."""
    _, down, row = _knots(grid.rows)
    _, across, column = _knots(grid.columns)
    down, across = down.astype(knots.dtype)[rows, None], across.astype(knots.dtype)
    row = row[rows]
    band = knots[row] * (1 - down) + knots[row + 1] * down
    found: NDArray[Any] = band[:, column] * (1 - across) + band[:, column + 1] * across
    return found


def _knots(count: int) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Knots over `count` pixels, and of each pixel how far it is past which knot."""
    spans = max(1, math.ceil(count / KNOT))
    knots = np.linspace(0, count - 1, spans + 1) if count > 1 else np.array([0.0, 1.0])
    place = np.arange(count) * spans / max(1, count - 1)
    at = np.minimum(place.astype(np.int64), spans - 1)
    return knots, place - at, at
