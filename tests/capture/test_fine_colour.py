"""Colours of a file that has one for four pixels, made fine: a photo of a phone."""

import io

import numpy as np
import pytest
from PIL import Image

from mateline.capture.fine_colour import STEPS, fine_colour
from mateline.capture.photo_files import read_picture
from mateline.capture.picture import encoded
from scenes.cases import small

RED, TEAL = (179, 39, 30), (31, 138, 133)


@pytest.fixture(scope="module")
def picture():
    """A scene, no file's: what a camera saw."""
    return small(1, size=(600, 760), density=1.4).picture


def stored(picture, subsampling, quality=92):
    """A picture as a JPEG gives it back; 0, 1 and 2 are 4:4:4, 4:2:2 and 4:2:0."""
    stream = io.BytesIO()
    Image.fromarray(picture).save(stream, "JPEG", quality=quality, subsampling=subsampling)
    return stream


def decoded(stream):
    return np.asarray(Image.open(stream))


def off(values, picture):
    """The rms, in eight-bit values, at pixels beside borders: where they change much."""
    change = np.abs(np.diff(picture.astype(int), axis=1)).max(axis=2)[:-1]
    change = np.maximum(change, np.abs(np.diff(picture.astype(int), axis=0)).max(axis=2)[:, :-1])
    away = (values - picture.astype(float))[:-1, :-1][change > 40]
    return float(np.sqrt((away**2).mean()))


@pytest.mark.parametrize(("subsampling", "coarse", "share"), [(1, (1, 2), 0.9), (2, (2, 2), 0.75)])
def test_colours_beside_borders_come_nearer_to_what_was_seen(picture, subsampling, coarse, share):
    given = decoded(stored(picture, subsampling))
    assert off(fine_colour(given, coarse) / STEPS, picture) < share * off(given, picture)


def test_a_border_between_two_paints_is_sharp_again():
    """Red beside teal, which a file with one colour for four pixels spreads over four."""
    picture = np.empty((64, 64, 3), dtype=np.uint8)
    picture[:, :31], picture[:, 31:] = RED, TEAL
    given = decoded(stored(picture, 2, quality=98))
    made = fine_colour(given, (2, 2)) / STEPS
    assert np.abs(given - picture.astype(int))[:, 29:33].max() > 20
    assert np.abs(made - picture)[:, 29:33].max() < 8


def test_flat_colour_stays_what_it_is():
    given = np.full((9, 7, 3), RED, dtype=np.uint8)
    assert np.abs(fine_colour(given, (2, 2)) / STEPS - given).max() <= 1 / STEPS


def test_a_file_says_how_coarse_its_colours_are(picture, tmp_path):
    errors = []
    for subsampling in (0, 2):
        (tmp_path / "photo.jpg").write_bytes(stored(picture, subsampling).getvalue())
        read = encoded(read_picture(tmp_path / "photo.jpg", root=tmp_path).light) * 255
        plain = decoded(stored(picture, subsampling))
        errors.append((off(read, picture), off(plain, picture)))
    assert errors[0][0] == pytest.approx(errors[0][1], rel=1e-3)
    assert errors[1][0] < 0.75 * errors[1][1]
