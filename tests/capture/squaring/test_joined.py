"""Two photos of one face, each of a part of it."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import ndimage

from mateline.capture.face_picture import FacePicture, Grid
from mateline.capture.squaring.joined import joined
from mateline.capture.squaring.outline import outline_of
from mateline.capture.squaring.square import sight, told
from mateline.capture.squaring.ties import ties_between
from scenes.camera import standing
from scenes.design import design
from scenes.ideal import squared as laid_flat_by_its_camera
from scenes.photograph import photographed
from scenes.wear import worn
from squaring_errors import map_errors, picture_of

SIZE = (760, 700)


@pytest.fixture(scope="module")
def scenes():
    """The upper and the lower part of a face of 300 by 400 mm, from two places."""
    made = design(1, 300, 400)
    wear = worn(made.outline, 0.14, scratches=20, seed=1)
    parts = []
    for down, yaw in ((-90.0, 10.0), (60.0, -8.0)):
        camera = standing(made.outline, size=SIZE, density=2.0, yaw_deg=yaw, pitch_deg=-3.0)
        aimed = replace(camera, shift=camera.shift + camera.turn @ np.array([0.0, down, 0.0]))
        parts.append(photographed(made, aimed, wear, seed=3))
    return parts


@pytest.fixture(scope="module")
def sighted(scenes):
    outline = outline_of("side", scenes[0].design.corners)
    found = []
    for at, scene in enumerate(scenes):
        pixels = scene.camera.pixels(scene.design.corners) + np.array([2.0, 1.0])
        inside = ((pixels > 0) & (pixels < SIZE)).all(axis=1)
        corners = [tuple(each) if seen else None for each, seen in zip(pixels, inside, strict=True)]
        found.append(sight(picture_of(scene, f"{at}.jpg"), outline, corners=corners))
    return found


def test_a_photo_of_a_part_is_squared_and_says_what_it_does_not_show(scenes, sighted):
    for scene, each in zip(scenes, sighted, strict=True):
        assert np.sqrt((map_errors(each.solved.view, scene) ** 2).mean()) < 0.15
    notes = told(sighted[1], Grid(10, 10, 40.0, 0.0, 0.0)).notes
    assert "The photo shows only a part of the face; outside it: E-F, F-G, G-H." in notes


def test_photos_joined_show_all_and_agree_better(scenes, sighted):
    face, together = joined(sighted, 0.5)
    rms = [
        [np.sqrt((map_errors(each.solved.view, scene) ** 2).mean()) for each in (before, after)]
        for scene, before, after in zip(scenes, sighted, together, strict=True)
    ]
    alone, solved_together = np.sqrt((np.array(rms) ** 2).mean(axis=0))
    assert solved_together < 1.05 * alone
    assert solved_together < 0.08
    ideal = laid_flat_by_its_camera(scenes[0], 0.5)
    assert face.grid == ideal.grid
    missing = ideal.seen & ~face.seen
    assert missing.sum() < 0.08 * ideal.seen.sum()  # strips that neither photo shows
    inner = ndimage.binary_erosion(face.seen, iterations=3)
    assert float(face.error[inner].max()) < 0.5


def test_a_shift_between_two_pictures_is_seen_to_a_small_share_of_a_pixel():
    """Blobs, and the same 0.37 mm to the right and 0.21 mm up, rendered anew: no resampling."""
    grid = Grid(300, 260, 0.5, 0.0, 0.0)

    def picture(right, up):
        column, row = np.meshgrid(np.arange(260), np.arange(300))
        x, y = grid.places(np.column_stack([column.ravel(), row.ravel()]).astype(float)).T
        light = np.full(len(x), 0.1)
        for cx, cy, reach in np.random.default_rng(0).uniform((5, 5, 2), (125, 145, 6), (120, 3)):
            light += 0.1 * np.exp(-(((x - right - cx) ** 2 + (y - up - cy) ** 2) / reach**2))
        light = np.repeat(light.reshape(300, 260, 1), 3, axis=2).astype(np.float32)
        return FacePicture("side", grid, light, np.ones((300, 260), dtype=bool))

    ties = ties_between(picture(0.0, 0.0), picture(0.37, 0.21))
    assert len(ties.places) > 20
    np.testing.assert_allclose(np.median(ties.shifts, axis=0), [0.37, 0.21], atol=0.01)
    assert np.abs(ties.shifts - [0.37, 0.21]).max() < 0.1
