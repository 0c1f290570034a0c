"""Photographs of designs: what a phone would make of a side that stands before a wall.

    design, wear -> paint in linear light -> camera (each pixel the mean of many places) -> light,
    haze, blur, noise -> sRGB, 8 bits -> JPEG

Pixels near a border are the mean of 32 places spread so that no two share a row or column, each
looked up in the exact areas; all others are looked up once. Everything hangs on the seed.
"""

import io
from dataclasses import dataclass, field

import numpy as np
import shapely
from PIL import Image, ImageDraw
from scipy import ndimage
from shapely import affinity

from scenes.camera import Camera
from scenes.design import Design
from scenes.wear import Wear, sampled, worn

PLACES = 32  # a pixel at a border is the mean of
WOOD, PRIMER = "#b98d5e", "#8d8a84"
MAP = 3.0  # points to a mm of the map that shows where borders are


@dataclass(frozen=True)
class Light:
    """`slope` and `bend`: how light falls off over the picture, a share of it; `veil` is haze added
    everywhere (linear, 0 to 1), `spot` more of it at one side; `blur` px (sigma), `noise` a share
    of full white for one pixel; `quality` of the JPEG; `wall` its colour.
    """

    slope: tuple = (0.25, -0.15)
    bend: float = -0.2
    tint: tuple = (1.0, 0.98, 0.93)
    veil: float = 0.02
    spot: float = 0.03
    blur: float = 0.6
    noise: float = 0.008
    quality: int = 92
    wall: str = "#8b9097"


@dataclass(frozen=True)
class Scene:
    """A picture (rows, columns, 3), 8 bits, and the truth of it."""

    picture: np.ndarray
    jpeg: bytes
    design: Design
    camera: Camera
    wear: Wear
    outline: shapely.Polygon = field(repr=False, default=None)  # as the board really is


def photographed(design, camera, wear=None, light=Light(), seed=0, bow=()):
    """A scene. `bow` has (edge number, mm): edges of the board that bulge by that at their middle,
    though the outline says that they are straight.
    """
    wear = worn(design.outline, seed=seed) if wear is None else wear
    outline = _bowed(design, dict(bow))
    linear = _linear_paint(design, camera, wear, outline, light)
    rng = np.random.default_rng(seed + 1)
    wide, high = camera.size
    u = ((np.arange(wide) + 0.5) / wide - 0.5)[None, :, None]
    v = ((np.arange(high) + 0.5) / high - 0.5)[:, None, None]
    gain = 0.75 * (1 + light.slope[0] * u + light.slope[1] * v + light.bend * (u * u + v * v))
    linear *= (gain * np.array(light.tint)).astype(np.float32)
    linear += (light.veil + light.spot * np.clip(u + 0.5, 0, 1) ** 2).astype(np.float32)
    for band in range(3):
        linear[..., band] = ndimage.gaussian_filter(linear[..., band], light.blur, truncate=3)
    deviation = light.noise * np.sqrt(0.2 + np.clip(linear, 0, 1))
    linear += rng.standard_normal(linear.shape, dtype=np.float32) * deviation
    eight = np.round(encoded(np.clip(linear, 0, 1)) * 255).astype(np.uint8)
    stream = io.BytesIO()
    Image.fromarray(eight).save(stream, "JPEG", quality=light.quality, subsampling=0)
    stream.seek(0)
    return Scene(np.asarray(Image.open(stream)), stream.getvalue(), design, camera, wear, outline)


def decoded(values):
    """sRGB 0 to 1 to linear light (IEC 61966-2-1)."""
    return np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4)


def encoded(values):
    """Linear light to sRGB, both 0 to 1 (IEC 61966-2-1)."""
    return np.where(values <= 0.0031308, values * 12.92, 1.055 * values ** (1 / 2.4) - 0.055)


def linear_of(ink):
    return decoded(np.array([int(ink[at : at + 2], 16) for at in (1, 3, 5)]) / 255)


def _bowed(design, bow):
    """The outline with some edges as flat arcs through their bulge, in 200 facets."""
    points = []
    corners = design.corners
    for at, (a, b) in enumerate(zip(corners, np.roll(corners, -1, axis=0), strict=True)):
        share = np.linspace(0, 1, 201 if at in bow else 2)[:-1, None]
        way = (b - a) / np.hypot(*(b - a))
        out = np.array([way[1], -way[0]])
        points.append(a + share * (b - a) + 4 * share * (1 - share) * bow.get(at, 0.0) * out)
    return shapely.Polygon(np.vstack(points))


def _linear_paint(design, camera, wear, outline, light):
    """What light the paint, wood and wall send back: (rows, columns, 3), float32."""
    wide, high = camera.size
    inks = np.array(
        [linear_of(light.wall), *(linear_of(design.palette[name]) for name in design.palette)]
    )
    names = list(design.palette)
    numbers = [names.index(colour) + 1 for _, colour in design.shapes]
    base = names.index(design.base) + 1
    rough, near, corner = _map(design, outline, numbers, base)
    spread = np.column_stack([(np.arange(PLACES) + 0.5) / PLACES, _van_der_corput(PLACES)]) - 0.5
    areas = [affinity.affine_transform(area, (1, 0, 0, 1, 0, 0)) for area in design.areas]
    shapely.prepare(areas)
    shapely.prepare(outline)
    linear = np.empty((high, wide, 3), dtype=np.float32)
    rows = max(1, 2_000_000 // wide)
    for top in range(0, high, rows):
        bottom = min(high, top + rows)
        column, row = np.meshgrid(np.arange(wide) + 0.5, np.arange(top, bottom) + 0.5)
        pixels = np.column_stack([column.ravel(), row.ravel()])
        spots = camera.face(pixels)
        number, close = _looked_up(rough, near, corner, spots)
        colour, wall = inks[number], (number == 0).astype(float)
        at = np.flatnonzero(close)
        if len(at):
            exact, beyond = np.zeros((len(at), 3)), np.zeros(len(at))
            for shift in spread:
                there = _exact(camera.face(pixels[at] + shift), areas, numbers, base, outline)
                beyond += there == 0
                exact += inks[there] * (there > 0)[:, None]
            colour[at] = exact / np.maximum(PLACES - beyond, 1)[:, None]
            wall[at] = beyond / PLACES
        # what is worn is the board: a pixel at its rim has its share of wall, not of paint
        bare = sampled(wear.wood, wear, spots)[:, None]
        scratched = sampled(wear.scratch, wear, spots)[:, None]
        grain = 1 + 0.12 * np.sin(spots[:, :1] * 0.35 + 2 * np.sin(spots[:, 1:] * 0.01)) * np.cos(
            spots[:, 1:] * 0.021
        )
        colour = colour * (1 - scratched) + linear_of(PRIMER) * scratched
        colour = colour * (1 - bare) + linear_of(WOOD) * grain * bare
        colour += wall[:, None] * (inks[0] - colour)
        linear[top:bottom] = colour.reshape(bottom - top, wide, 3)
    return linear


def _map(design, outline, numbers, base):
    """Numbers of colours on a grid, drawn roughly, and which of its points are near a border."""
    left, low, right, up = outline.buffer(12).bounds
    size = (int((right - left) * MAP) + 1, int((up - low) * MAP) + 1)
    sheet = Image.new("L", size, 0)
    pen = ImageDraw.Draw(sheet)

    def drawn(pen, area, number):
        for part in shapely.get_parts(area):
            pen.polygon(
                [((x - left) * MAP, (up - y) * MAP) for x, y in part.exterior.coords], fill=number
            )

    drawn(pen, outline, base)
    for area, number in zip(design.areas, numbers, strict=True):
        drawn(pen, area, number)
    rough = np.array(sheet)
    mask = Image.new("L", size, 0)
    drawn(ImageDraw.Draw(mask), outline, 1)
    rough[np.array(mask) == 0] = 0
    reach = 5
    near = ndimage.maximum_filter(rough, 2 * reach + 1) != ndimage.minimum_filter(
        rough, 2 * reach + 1
    )
    return rough, near, (left, up)


def _looked_up(rough, near, corner, spots):
    column = np.floor((spots[:, 0] - corner[0]) * MAP).astype(int)
    row = np.floor((corner[1] - spots[:, 1]) * MAP).astype(int)
    inside = (column >= 0) & (row >= 0) & (column < rough.shape[1]) & (row < rough.shape[0])
    number = np.zeros(len(spots), dtype=int)
    close = np.zeros(len(spots), dtype=bool)
    number[inside] = rough[row[inside], column[inside]]
    close[inside] = near[row[inside], column[inside]]
    return number, close


def _exact(spots, areas, numbers, base, outline):
    """Numbers of colours at face points, by the areas themselves."""
    number = np.where(shapely.contains_xy(outline, spots[:, 0], spots[:, 1]), base, 0)
    for area, colour in zip(areas, numbers, strict=True):
        left, low, right, up = area.bounds
        at = np.flatnonzero(
            (spots[:, 0] > left)
            & (spots[:, 0] < right)
            & (spots[:, 1] > low)
            & (spots[:, 1] < up)
            & (number > 0)
        )
        if len(at):
            number[at[shapely.contains_xy(area, spots[at, 0], spots[at, 1])]] = colour
    return number


def _van_der_corput(count):
    """Numbers in 0 to 1 that halve what is left each time (van der Corput 1935)."""
    values = np.zeros(count)
    for at in range(count):
        share, left = 0.5, at
        while left:
            values[at] += share * (left % 2)
            left //= 2
            share /= 2
    return values + 0.5 / count
