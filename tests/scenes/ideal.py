"""What stages of capture would give if those before them made no fault: so that each can be tested
alone. `squared` lays a scene flat by the camera that took it; `labelled` knows every colour.
"""

import numpy as np
import shapely
from scipy import ndimage

from mateline.capture.face_picture import FacePicture, Grid
from mateline.capture.labels import Labels
from scenes.judging import true_numbers
from scenes.photograph import decoded, linear_of
from scenes.wear import sampled


def grid_of(design, pitch=0.4):
    left, low, right, up = design.outline.bounds
    return Grid(
        int(np.ceil((up - low) / pitch)), int(np.ceil((right - left) / pitch)), pitch, left, low
    )


def places_of(grid):
    column, row = np.meshgrid(np.arange(grid.columns), np.arange(grid.rows))
    return grid.places(np.column_stack([column.ravel(), row.ravel()]).astype(float))


def squared(scene, pitch=0.4, face="body-left"):
    """The scene's picture laid flat by its own camera, by cubic splines in linear light."""
    grid = grid_of(scene.design, pitch)
    places = places_of(grid)
    pixels = scene.camera.pixels(places) - 0.5
    linear = decoded(scene.picture / 255.0).astype(np.float32)
    light = np.empty((grid.rows, grid.columns, 3), dtype=np.float32)
    for band in range(3):
        values = ndimage.map_coordinates(linear[..., band], pixels.T[::-1], order=3, mode="nearest")
        light[..., band] = np.clip(values, 0, 1).reshape(grid.rows, grid.columns)
    seen = shapely.contains_xy(scene.design.outline, places[:, 0], places[:, 1])
    return FacePicture(face, grid, light, seen.reshape(grid.rows, grid.columns))


def labelled(design, wear, pitch=0.4):
    """The true colours, all of them sure, sound where nothing is worn."""
    grid = grid_of(design, pitch)
    places = places_of(grid)
    shape = (grid.rows, grid.columns)
    colours = tuple(design.colours)
    numbers = true_numbers(design, places, list(colours)).reshape(shape).astype(np.int16)
    hurt = np.maximum(sampled(wear.wood, wear, places), sampled(wear.scratch, wear, places))
    sound = (hurt.reshape(shape) < 0.3) & (numbers >= 0)
    paints = np.array([linear_of(design.palette[name]) for name in colours], dtype=np.float32)
    return Labels(grid, colours, numbers, sound, np.where(sound, 1, 0.6).astype(np.float32), paints)
