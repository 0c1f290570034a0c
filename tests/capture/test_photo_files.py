"""Photos as cameras, scanners and accidents leave them."""

import struct
import zlib

import numpy as np
import pytest
from PIL import Image, ImageCms

from mateline.capture import photo_files
from mateline.capture.photo_files import read_picture
from mateline.errors import InputError

#  A picture of two colours: red above, blue below; and its corner pixels by EXIF orientation.
RED, BLUE = (200, 30, 30), (20, 40, 190)


def two_colours(wide=8, high=12):
    pixels = np.empty((high, wide, 3), dtype=np.uint8)
    pixels[: high // 2], pixels[high // 2 :] = RED, BLUE
    return Image.fromarray(pixels)


def saved(folder, image, name="a.png", **how):
    path = folder / name
    image.save(path, **how)
    return path


def refused(path, root):
    with pytest.raises(InputError) as told:
        read_picture(path, root=root)
    return told.value


@pytest.mark.parametrize("name", ["a.png", "a.tif", "a.jpg"])
def test_a_photo_is_read_in_linear_light(tmp_path, name):
    how = {"quality": 100, "subsampling": 0} if name == "a.jpg" else {}
    picture = read_picture(saved(tmp_path, two_colours(), name, **how), root=tmp_path)
    assert picture.light.dtype == np.float32
    assert picture.light.shape == (12, 8, 3)
    #  200/255 is 0.7843; ((0.7843 + 0.055) / 1.055) ** 2.4 = 0.5776
    assert picture.light[0, 0, 0] == pytest.approx(0.5776, abs=0.02 if how else 1e-4)
    assert picture.file == name
    assert picture.dpi is None


def test_the_size_that_a_scan_states_is_kept(tmp_path):
    path = saved(tmp_path, two_colours(), "a.tif", dpi=(200, 200))
    assert read_picture(path, root=tmp_path).dpi == pytest.approx(200)


#  orientation: how the pixels that are stored come about from upright ones (turned back by us)
TURNS = {
    1: lambda a: a,
    2: lambda a: a[:, ::-1],
    3: lambda a: a[::-1, ::-1],
    4: lambda a: a[::-1],
    5: lambda a: a.transpose(1, 0, 2),
    6: lambda a: np.rot90(a, 1),
    7: lambda a: np.rot90(a, 2).transpose(1, 0, 2),
    8: lambda a: np.rot90(a, 3),
}


@pytest.mark.parametrize("name", ["a.png", "a.tif"])  # Pillow turns the second by itself
@pytest.mark.parametrize("turn", TURNS)
def test_a_photo_stands_upright_as_exif_says(tmp_path, turn, name):
    upright = np.zeros((6, 4, 3), dtype=np.uint8)
    upright[0, 0], upright[0, 3], upright[5, 0] = (255, 0, 0), (0, 255, 0), (0, 0, 255)
    exif = Image.Exif()
    exif[0x0112] = turn
    stored = Image.fromarray(np.ascontiguousarray(TURNS[turn](upright)))
    light = read_picture(saved(tmp_path, stored, name, exif=exif), root=tmp_path).light
    assert light.shape == (6, 4, 3)
    np.testing.assert_array_equal(light > 0.5, upright > 128)


def test_what_is_transparent_lies_on_white(tmp_path):
    image = Image.new("RGBA", (4, 4), (255, 0, 0, 0))
    assert read_picture(saved(tmp_path, image), root=tmp_path).light.min() == 1


def test_grey_of_sixteen_bits_keeps_them(tmp_path):
    values = np.linspace(0, 65535, 600).astype(np.uint16).reshape(20, 30)
    light = read_picture(saved(tmp_path, Image.fromarray(values)), root=tmp_path).light
    assert len(np.unique(light)) == 600  # eight bits would leave 256
    assert light[..., 0].max() == 1


def test_a_profile_that_is_not_srgb_is_turned_into_it(tmp_path):
    """Under L*a*b* D50 as profile of an RGB file there is nothing; a linear gamma is made here."""
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    picture = read_picture(saved(tmp_path, two_colours(), icc_profile=srgb), root=tmp_path)
    plain = read_picture(saved(tmp_path, two_colours(), "b.png"), root=tmp_path)
    np.testing.assert_array_equal(picture.light, plain.light)
    swapped = with_swapped_bands(srgb)
    turned = read_picture(
        saved(tmp_path, two_colours(), "c.png", icc_profile=swapped), root=tmp_path
    )
    #  red and blue have changed places in the profile: what was red is blue
    assert turned.light[0, 0, 2] == pytest.approx(plain.light[0, 0, 0], abs=0.03)
    assert turned.light[0, 0, 0] == pytest.approx(plain.light[0, 0, 2], abs=0.03)


def with_swapped_bands(profile):
    """An sRGB profile whose red and blue colorants stand under each other's names, called so.

    Of ICC.1:2010, 7.3: a table of tags follows byte 128; each is a signature, offset, size.
    """
    changed = bytearray(profile)
    (count,) = struct.unpack(">I", changed[128:132])
    for at in range(132, 132 + 12 * count, 12):
        name = bytes(changed[at : at + 4])
        if name in {b"rXYZ", b"bXYZ"}:
            changed[at : at + 4] = b"bXYZ" if name == b"rXYZ" else b"rXYZ"
        if name == b"desc":
            offset, size = struct.unpack(">II", changed[at + 4 : at + 12])
            text = bytes(changed[offset : offset + size])
            swapped = text.replace("sRGB".encode("utf-16-be"), "abcd".encode("utf-16-be"))
            changed[offset : offset + size] = swapped.replace(b"sRGB", b"abcd")
    return bytes(changed)


def test_a_file_that_is_too_large_is_refused_by_its_size(tmp_path):
    path = tmp_path / "a.jpg"
    with path.open("wb") as file:
        file.truncate(1_000_000_000)  # a gigabyte that takes no room
    told = refused(path, tmp_path)
    assert told.what == "The file has 1000 MB, more than 200 MB."


def png_of(wide, high):
    """A PNG that claims a size and holds next to nothing (PNG 1.2, 11.2.2)."""

    def chunk(kind, content):
        return (
            struct.pack(">I", len(content)) + kind + content
            + struct.pack(">I", zlib.crc32(kind + content))
        )  # fmt: skip

    head = struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    )  # fmt: skip


@pytest.mark.parametrize(("wide", "high"), [(9000, 9000), (100_000, 100_000)])
def test_pixels_are_counted_before_they_are_decoded(tmp_path, monkeypatch, wide, high):
    monkeypatch.setattr(photo_files, "_picture", lambda *_: pytest.fail("it was decoded"))
    path = tmp_path / "bomb.png"
    path.write_bytes(png_of(wide, high))
    assert "megapixels" in refused(path, tmp_path).what


def test_a_photo_cut_short_is_refused_whole(tmp_path):
    noise = np.random.default_rng(0).integers(0, 255, (200, 200, 3), dtype=np.uint8)
    for name in ("a.jpg", "a.png", "a.tif"):
        path = saved(tmp_path, Image.fromarray(noise), name)
        path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
        told = refused(path, tmp_path)
        assert told.what.startswith("The picture is damaged or cut short"), name
        assert told.remedy == "Copy it again from the camera or the scanner."


def test_what_reads_heic_is_there():
    """No library that the project has can write one, so a whole one is in no test."""
    pytest.importorskip("pi_heif")
    photo_files._with_heic()
    assert "HEIF" in photo_files._formats()


def test_a_damaged_heic_is_told(tmp_path):
    """Its first box says HEIC (ISO 14496-12, 4.3), and nothing follows that could be decoded."""
    path = tmp_path / "a.heic"
    path.write_bytes(struct.pack(">I", 24) + b"ftypheic" + bytes(4) + b"mif1heic" + bytes(200))
    assert refused(path, tmp_path).what.startswith(("The picture is damaged", "This file is no"))


def test_a_heic_cut_short_is_not_filled_with_black(tmp_path):
    """Boxes as in ISO 14496-12: what is whole passes, one byte less does not."""
    path = tmp_path / "a.heic"
    boxes = struct.pack(">I", 16) + b"ftypheic" + bytes(4)
    boxes += struct.pack(">I", 1) + b"mdat" + struct.pack(">Q", 16 + 40) + bytes(40)
    path.write_bytes(boxes)
    photo_files._refuse_cut(path)
    path.write_bytes(boxes + struct.pack(">I", 0) + b"free")
    photo_files._refuse_cut(path)
    for cut in (1, 30, 50):
        path.write_bytes(boxes[:-cut])
        with pytest.raises(EOFError):
            photo_files._refuse_cut(path)


def test_what_is_no_picture_is_told(tmp_path):
    path = tmp_path / "notes.jpg"
    path.write_text("51 1/2 by 23 5/8")
    assert refused(path, tmp_path).what == "This file is no picture that can be read."
    path.write_bytes(b"")
    assert refused(path, tmp_path).what == "This file is no picture that can be read."


def test_several_pictures_in_one_file_are_refused(tmp_path):
    path = saved(
        tmp_path,
        two_colours(),
        "a.tif",
        save_all=True,
        append_images=[two_colours(), two_colours()],
    )
    assert refused(path, tmp_path).what.startswith("The file holds 3 pictures")


def test_inks_of_a_press_are_refused(tmp_path):
    path = saved(tmp_path, two_colours().convert("CMYK"), "a.jpg")
    assert refused(path, tmp_path).remedy == "Save it as RGB."


def test_where_a_photo_may_lie(tmp_path):
    inside, outside = tmp_path / "cabinet", tmp_path / "elsewhere"
    inside.mkdir()
    outside.mkdir()
    (inside / "photos").mkdir()
    saved(inside / "photos", two_colours(), "left.png")
    told = refused(saved(outside, two_colours()), inside)
    assert told.what == "This picture lies outside the cabinet's folder."
    told = refused(inside / "photos" / "right.png", inside)
    assert (told.file, told.remedy) == ("photos/right.png", "Its folder has: left.png.")
    assert refused(inside / "photos", inside).what == "There is no such picture."
    assert refused(inside / ("a" * 400), inside).what.startswith("The picture can't be read")
    assert refused(inside / "a\0b.png", inside).what.startswith("The picture can't be read")
    (inside / "loop.png").symlink_to(inside / "loop.png")
    assert refused(inside / "loop.png", inside)
