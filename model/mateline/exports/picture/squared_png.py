"""A squared photo as PNG at true size, and the same with what was traced in it.

Stands beside the other pictures. Both open in any viewer; the first says its dots to the inch, so
that a drawing program lays it under a drawing at true size.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.ops import substring

from mateline.capture.picture import encoded
from mateline.curves import flattened

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw
    from shapely.geometry.base import BaseGeometry

    from mateline.capture.face_picture import FacePicture, Grid
    from mateline.capture.labels import Labels
    from mateline.capture.traced import Traced

MM_PER_INCH = 25.4
FINE = 65535  # steps of light that are told apart
HIGHEST = 1800  # px: of the picture that shows what was traced
SURE, GUESSED, CASING = (27, 31, 36), (214, 20, 90), (255, 255, 255)
LOST = (120, 60, 200)  # tint over what shows no sound paint
TINT = 0.45
LEGEND = 84  # px below the picture
SMALLEST, TYPE = 560, 17  # px: width of the legend, size of its type


def squared_png(picture: FacePicture) -> bytes:
    """The face at true scale, clear beyond its outline."""
    from PIL import Image  # noqa: PLC0415  slow, and most commands show no photo

    alpha = np.where(picture.seen, 255, 0).astype(np.uint8)
    whole = np.dstack([_eight(picture), alpha])
    dots = MM_PER_INCH / picture.grid.pitch
    return _png(Image.fromarray(whole), dots)


def traced_png(picture: FacePicture, labels: Labels, traced: Traced) -> bytes:
    """The photo with sure borders dark, guessed ones red, and a tint where no paint is sound."""
    from PIL import Image, ImageDraw  # noqa: PLC0415

    shown = _eight(picture).astype(np.float32)
    lost = picture.seen & ~labels.sound
    shown[lost] = (1 - TINT) * shown[lost] + TINT * np.array(LOST, dtype=np.float32)
    shown[~picture.seen] = 255
    rows, columns = lost.shape
    share = min(1.0, HIGHEST / rows)
    size = (max(1, round(columns * share)), max(1, round(rows * share)))
    photo = Image.fromarray(shown.round().astype(np.uint8)).resize(size)
    sheet = Image.new("RGB", (max(size[0], SMALLEST), size[1] + LEGEND), "white")
    sheet.paste(photo)
    pen = ImageDraw.Draw(sheet)
    _draw_borders(pen, traced, picture.grid, size[1] / rows)
    _draw_legend(pen, size[1])
    return _png(sheet, None)


def _eight(picture: FacePicture) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    """By a table of 65 536 steps of light: a power for each pixel costs a second."""
    steps = np.arange(FINE + 1, dtype=np.float32) / np.float32(FINE)
    table = (encoded(steps) * 255).round().astype(np.uint8)
    whole = (np.clip(picture.light, 0, 1) * np.float32(FINE) + np.float32(0.5)).astype(np.uint16)
    eight: np.ndarray[tuple[int, ...], np.dtype[np.uint8]] = table[whole]
    return eight


def _png(image: Image, dots: float | None) -> bytes:
    stream = io.BytesIO()
    if dots is None:
        image.save(stream, "PNG", compress_level=4)
    else:
        image.save(stream, "PNG", compress_level=2, dpi=(dots, dots))
    return stream.getvalue()


def _draw_borders(pen: ImageDraw, traced: Traced, grid: Grid, share: float) -> None:
    lines = [shapely.LineString(flattened(each.chain, 0.05)) for each in traced.borders]

    def draw(line: BaseGeometry, ink: tuple[int, int, int], width: int) -> None:
        pixels = (grid.pixels(shapely.get_coordinates(line)) + 0.5) * share
        if len(pixels) > 1:
            pen.line([(x, y) for x, y in pixels.tolist()], fill=ink, width=width, joint="curve")

    for line in lines:
        draw(line, CASING, 4)
    for line in lines:
        draw(line, SURE, 2)
    for border, line in zip(traced.borders, lines, strict=True):
        for start, end in border.guessed:
            draw(substring(line, start, end), GUESSED, 4)


def _draw_legend(pen: ImageDraw, top: int) -> None:
    from PIL import ImageFont  # noqa: PLC0415

    font = ImageFont.load_default(TYPE)
    words = (
        (SURE, "a border that paint on both sides shows"),
        (GUESSED, "a border that was guessed: look at it on the cabinet"),
        (LOST, "no sound paint: wood, primer, a scratch"),
    )
    for row, (ink, text) in enumerate(words):
        y = top + 16 + 24 * row
        pen.rectangle([12, y - 5, 44, y + 5], fill=ink)
        pen.text((54, y), text, fill=SURE, font=font, anchor="lm")
