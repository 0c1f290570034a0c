"""Photos and scans read into linear light: JPEG, PNG, TIFF and HEIC.

Stands after pictures. What a file asks for is counted before it is decoded: its bytes on the disk,
then the pixels that its head states. A picture is read whole or not at all. Colours are taken to
sRGB by the profile in the file; without one they are sRGB. What is transparent lies on white, as on
paper. More than eight bits of a grey picture are kept; colours come with eight, which is finer
than the noise of a photo.
"""

from __future__ import annotations

import io
import math
import struct
import warnings
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import numpy as np

from mateline.capture.fine_colour import STEPS, fine_colour
from mateline.capture.picture import Picture, decoded
from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from numpy.typing import NDArray
    from PIL import Image

MOST_BYTES = 200_000_000
MOST_PIXELS = 60_000_000
KINDS = ("JPEG", "PNG", "TIFF", "MPO", "HEIF")  # an MPO is a JPEG with a second one behind it
SUFFIXES = (".jpg", ".jpeg", ".png", ".tif", ".tiff", ".heic", ".heif")
ORIENTATION = 0x0112  # of EXIF
MOST_DPI = 20_000.0
PRECISE = ("I;16", "I;16B", "I;16L", "I;16N", "I")
DAMAGED = (OSError, SyntaxError, ValueError, EOFError, struct.error, MemoryError, RuntimeError)
NOT_ONE = "Name a photo or a scan: JPEG, PNG, TIFF or HEIC."


def read_picture(path: Path, *, root: Path) -> Picture:
    """The picture in `path`, which must lie in the folder `root`, turned as its EXIF says.

    Raises InputError.
    """
    with _opened(path, root) as (image, file):
        return _picture(image, file)


def shown_picture(path: Path, *, root: Path, most: int) -> Image.Image:
    """The same for a screen: in sRGB, `most` pixels wide or high at the most. Raises InputError."""
    with _opened(path, root) as (image, _):
        from PIL import Image as images  # noqa: N813, PLC0415

        image.draft("RGB", (most, most))  # a JPEG is decoded no larger than it has to be
        turn, profile = _loaded(image)
        seen = image
        if image.mode in PRECISE:
            values = np.asarray(image, dtype=np.float32) / np.float32(257)
            seen = images.fromarray(np.clip(np.round(values), 0, 255).astype(np.uint8))
        flat = _in_srgb(_on_white(seen), profile)
        flat.thumbnail((most, most))
        return images.fromarray(_upright(np.asarray(flat), turn))


@contextmanager
def _opened(path: Path, root: Path) -> Iterator[tuple[Image.Image, str]]:
    """The picture in a file, counted and not yet decoded, and what messages call it.

    Raises InputError, for what happens within the block too.
    """
    file = _located(path, root)
    from PIL import Image, UnidentifiedImageError  # noqa: PLC0415  not every command needs pictures

    _with_heic()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of bombs: pixels are counted below
            with Image.open(path, formats=_formats()) as image:
                _counted(image, file)
                if image.format == "HEIF":
                    _refuse_cut(path)
                yield image, file
    except Image.DecompressionBombError:
        raise InputError(
            file, "", f"The picture has more than {MOST_PIXELS / 1e6:.0f} megapixels.",
            "Save it smaller: 12 megapixels are enough for a side of a cabinet.",
        ) from None  # fmt: skip
    except UnidentifiedImageError:
        raise InputError(file, "", "This file is no picture that can be read.", NOT_ONE) from None
    except DAMAGED as wrong:
        raise InputError(
            file, "", f"The picture is damaged or cut short: {_said(wrong)}.",
            "Copy it again from the camera or the scanner.",
        ) from wrong  # fmt: skip


def _located(path: Path, root: Path) -> str:
    """What messages call the file. Raises InputError for what may not, or need not, be opened."""
    try:
        inside = path.resolve(strict=False).is_relative_to(root.resolve())
        file = path.name
        if inside:
            file = path.resolve().relative_to(root.resolve()).as_posix()
        is_file = path.is_file()
        size = path.stat().st_size if is_file else 0
    except (OSError, RuntimeError, ValueError) as wrong:  # a loop of links, a name too long, a \0
        raise InputError(
            str(path)[:80], "", f"The picture can't be read: {_said(wrong)}.",
            "Check its name and its place, and that you may read it.",
        ) from wrong  # fmt: skip
    if not inside:
        raise InputError(
            file, "", "This picture lies outside the cabinet's folder.",
            "Copy it into the cabinet's folder and name it without “..”.",
        )  # fmt: skip
    if not is_file:
        there = ", ".join(_beside(path)) or "no picture"
        raise InputError(file, "", "There is no such picture.", f"Its folder has: {there}.")
    if size > MOST_BYTES:
        raise InputError(
            file, "",
            f"The file has {size / 1e6:.0f} MB, more than {MOST_BYTES / 1e6:.0f} MB.",
            "Save it as a JPEG, or smaller.",
        )  # fmt: skip
    return file


def _beside(path: Path) -> list[str]:
    try:
        names = sorted(each.name for each in path.parent.iterdir())
    except OSError:  # a folder that is missing, or may not be looked into
        return []
    return [name for name in names if name.lower().endswith(SUFFIXES)][:12]


def _with_heic() -> None:
    try:
        import pi_heif  # noqa: PLC0415  late, with Pillow
    except ImportError:  # a platform without it: HEIC is then told as no picture
        return
    pi_heif.register_heif_opener()


def _formats() -> list[str]:
    from PIL import Image  # noqa: PLC0415

    Image.init()
    return [kind for kind in KINDS if kind in Image.OPEN]


def _counted(image: Image.Image, file: str) -> None:
    wide, high = image.size
    if wide * high > MOST_PIXELS:
        raise InputError(
            file, "",
            f"The picture has {wide * high / 1e6:.0f} megapixels ({wide} by {high}), more than"
            f" {MOST_PIXELS / 1e6:.0f}.",
            "Save it smaller: 12 megapixels are enough for a side of a cabinet.",
        )  # fmt: skip
    frames = getattr(image, "n_frames", 1)
    if frames > 1 and image.format not in {"MPO", "HEIF"}:
        raise InputError(
            file, "", f"The file holds {frames} pictures, so it is not known which is"
            " meant.", "Save the one that you mean by itself.",
        )  # fmt: skip
    if image.mode in {"CMYK", "YCCK"}:
        raise InputError(
            file, "", "The picture is in the inks of a press (CMYK), not in red, green and blue.",
            "Save it as RGB.",
        )  # fmt: skip


def _refuse_cut(path: Path) -> None:
    """Raise EOFError for a HEIC whose last box ends beyond the file.

    The library would fill with black what is missing. Source: ISO 14496-12:2015, 4.2: a box starts
    with its size, four bytes; 1 says that eight bytes after its name have it, 0 that it is last.
    """
    size, at = path.stat().st_size, 0
    with path.open("rb") as file:
        while at < size:
            file.seek(at)
            head = file.read(16)
            if len(head) < 8:
                raise EOFError("its last box has no head")
            (long,) = struct.unpack(">I", head[:4])
            if long == 0:
                return
            if long == 1 and len(head) == 16:
                (long,) = struct.unpack(">Q", head[8:])
            if long < 8 or at + long > size:
                raise EOFError("its last box ends beyond the file")
            at += long


def _picture(image: Image.Image, file: str) -> Picture:
    from PIL import Image as images  # noqa: N813, PLC0415

    dpi = _dpi(image)
    coarse = _coarse_colour(image)
    turn, profile = _loaded(image)
    if image.mode in PRECISE:
        values = _upright(np.asarray(image, dtype=np.float32) / np.float32(65535), turn)
        light = decoded(np.clip(values, 0, 1))
        return Picture(file, np.repeat(light[..., None], 3, axis=2), dpi)
    flat, steps = _on_white(image), 1
    if coarse is not None and flat.mode == "RGB":
        values, steps = fine_colour(np.asarray(flat), coarse), STEPS
        if profile is not None:  # which takes eight bits
            flat, steps = images.fromarray((values // steps).astype(np.uint8)), 1
    if steps == 1:
        values = np.asarray(_in_srgb(flat, profile))
    table = decoded(np.arange(255 * steps + 1, dtype=np.float32) / np.float32(255 * steps))
    return Picture(file, table[_upright(values, turn)], dpi)


def _coarse_colour(image: Image.Image) -> tuple[int, int] | None:
    """The rows and columns of pixels that share a colour in the file, None where each has its own.

    A JPEG says so in its head; a HEIC of a phone has one for four, as all of theirs do.
    """
    if image.format in {"JPEG", "MPO"}:
        from PIL import JpegImagePlugin  # noqa: PLC0415

        return {1: (1, 2), 2: (2, 2)}.get(JpegImagePlugin.get_sampling(image))
    return (2, 2) if image.format == "HEIF" else None


def _loaded(image: Image.Image) -> tuple[int, bytes | None]:
    """Decode, and give the turn that is still to be done with the colours' profile.

    Pillow turns a TIFF while it is loaded, and says so only then.
    """
    profile = image.info.get("icc_profile")
    image.load()
    return image.getexif().get(ORIENTATION, 1), profile


def _on_white(image: Image.Image) -> Image.Image:
    """RGB, what is transparent on white."""
    from PIL import Image as images  # noqa: N813, PLC0415

    if "A" in image.getbands() or "transparency" in image.info:
        seen = image.convert("RGBA")
        paper = images.new("RGBA", seen.size, (255, 255, 255, 255))
        return images.alpha_composite(paper, seen).convert("RGB")
    return image if image.mode in {"RGB", "L"} else image.convert("RGB")


def _in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """Values in sRGB, RGB. A profile that does not fit the picture is passed over."""
    if not profile:
        return image.convert("RGB")
    from PIL import ImageCms  # noqa: PLC0415  seldom needed

    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        if "srgb" in ImageCms.getProfileDescription(source).lower():
            return image.convert("RGB")
        turned = ImageCms.profileToProfile(
            image, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
        )
    except (ImageCms.PyCMSError, OSError, ValueError):
        return image.convert("RGB")
    return image.convert("RGB") if turned is None else turned


def _upright(values: NDArray[Any], turn: int) -> NDArray[Any]:
    """Pixels turned as EXIF's orientation says. Source: CIPA DC-008 (Exif 2.32), 4.6.4 A."""
    if turn in {2, 4, 5, 7}:  # seen in a mirror too
        values = values[:, ::-1]
    quarter = {3: 2, 4: 2, 5: 1, 6: 3, 7: 3, 8: 1}.get(turn, 0)  # counter-clockwise
    return np.ascontiguousarray(np.rot90(values, quarter))


def _dpi(image: Image.Image) -> float | None:
    stated = image.info.get("dpi")
    try:
        across, down = (float(each) for each in stated)  # type: ignore[union-attr]
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    sound = math.isfinite(across) and 1 < across < MOST_DPI and abs(across - down) < 0.01 * across
    return across if sound else None


def _said(wrong: Exception) -> str:
    what = (wrong.strerror if isinstance(wrong, OSError) else "") or str(wrong)
    return (what.splitlines() or [""])[0][:120].rstrip(".").lower() or type(wrong).__name__
