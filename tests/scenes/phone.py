"""What a phone makes of what its camera saw: contrast, sharpness, and one colour for four pixels.

And faces that phones find hard: each shape with a black outline of a few millimetres, as such art
often has.
"""

import io
import math

import numpy as np
from PIL import Image, ImageFilter

from scenes.both import Repainted
from scenes.design import design, upright


def phone(scene, *, contrast=0.06, sharpened=60, quality=90, coarse=True):
    """A scene as a phone's JPEG. `contrast` is how far an S-shaped curve leaves the sRGB values, of
    their range; `sharpened` per cent of what a blur of 1.2 pixels takes away is added.
    """
    image = Image.fromarray(scene.picture)
    if sharpened:
        image = image.filter(ImageFilter.UnsharpMask(1.2, sharpened, 2))
    value = np.arange(256) / 255
    bent = value + contrast * np.sin(2 * math.pi * (value - 0.5))
    image = image.point(np.clip(np.round(bent * 255), 0, 255).astype(int).tolist() * 3)
    stream = io.BytesIO()
    image.save(stream, "JPEG", quality=quality, subsampling=2 if coarse else 0)
    return stream.getvalue()


def outlined(seed, width=300.0, height=400.0, wide=3.0, outline=upright):
    """A design of `design`, each shape with an outline in black, `wide` mm."""
    plain = design(seed, width, height, outline)
    flat, shapes = [], []
    for area, (_, ink) in zip(plain.areas, plain.shapes, strict=True):
        flat += [area.buffer(wide, join_style="mitre", mitre_limit=2), area]
        shapes += [(None, "black"), (None, "navy" if ink == "black" else ink)]
    return Repainted(plain.corners, tuple(shapes), plain.base, plain.palette, tuple(flat))
