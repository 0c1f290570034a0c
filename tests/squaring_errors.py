"""How far a solved view is from the camera that took a scene."""

import numpy as np
import shapely

from mateline.capture.picture import Picture, decoded
from mateline.capture.squaring.view import places_of

TABLE = decoded(np.arange(256, dtype=np.float32) / np.float32(255))


def picture_of(scene, file="photo.jpg"):
    """A scene's picture as it would be read from its file."""
    return Picture(file, TABLE[scene.picture])


def map_errors(view, scene, across=25):
    """Distances, mm, between places of the face that the picture shows and where the solved view
    says that the true camera saw them, over a grid inside the outline.
    """
    left, low, right, up = scene.design.outline.bounds
    x, y = np.meshgrid(np.linspace(left, right, across), np.linspace(low, up, 2 * across))
    places = np.column_stack([x.ravel(), y.ravel()])
    places = places[shapely.contains_xy(scene.design.outline, places[:, 0], places[:, 1])]
    seen = scene.camera.pixels(places)
    shown = ((seen >= 0) & (seen < np.array(scene.camera.size))).all(axis=1)
    return np.hypot(*(places_of(view, seen[shown] - 0.5) - places[shown]).T)
