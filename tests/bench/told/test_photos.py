"""Photos as a browser shows them: a JPEG, upright, no larger than asked."""

import io

import numpy as np
import pytest
from PIL import Image

from mateline.bench.told.photos import photo_told
from mateline.errors import InputError

RED, BLUE = (200, 30, 30), (20, 40, 190)


def shown(folder, name, most=100):
    image = Image.open(io.BytesIO(photo_told(folder, name, most)))
    assert image.format == "JPEG"
    return image


@pytest.mark.parametrize("name", ["a.tif", "a.png", "a.jpg"])
def test_a_photo_is_upright_and_small(tmp_path, name):
    pixels = np.empty((300, 400, 3), dtype=np.uint8)
    pixels[:, :200], pixels[:, 200:] = RED, BLUE
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned a quarter to the right (CIPA DC-008, 4.6.4 A)
    Image.fromarray(pixels).save(tmp_path / name, exif=exif)
    image = shown(tmp_path, name)
    assert image.size == (75, 100)  # 300 x 400 turned, a quarter as large
    top, bottom = image.getpixel((37, 20)), image.getpixel((37, 80))  # left comes to the top
    assert np.abs(np.subtract(top, RED)).max() < 12
    assert np.abs(np.subtract(bottom, BLUE)).max() < 12


def test_sixteen_bits_of_grey_are_shown_as_eight(tmp_path):
    Image.fromarray(np.full((40, 40), 128 * 257, dtype=np.uint16)).save(tmp_path / "a.tif")
    assert abs(shown(tmp_path, "a.tif").convert("L").getpixel((20, 20)) - 128) <= 1


def test_nothing_but_a_picture_of_the_folder_is_shown(tmp_path):
    (tmp_path / "in").mkdir()
    Image.new("RGB", (9, 9)).save(tmp_path / "out.png")
    (tmp_path / "in" / "notes.jpg").write_text("51 1/2 by 23 5/8")
    for path, why in (("../out.png", "outside"), ("none.png", "no such"), ("notes.jpg", "no pict")):
        with pytest.raises(InputError, match=why):
            photo_told(tmp_path / "in", path, 100)
