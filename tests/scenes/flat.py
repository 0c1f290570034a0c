"""Small faces seen without fault: what a pixel covers, blurred, in linear light."""

import numpy as np
import shapely
from scipy import ndimage

from mateline.capture.face_picture import FacePicture, Grid
from mateline.capture.labels import Labels

PARTS = 8  # a pixel is the mean of so many places squared


def flat(areas, outline, paints, *, pitch=0.4, blur=0.7, hidden=None):
    """A picture and labels of `areas`, (polygon, number of its colour) back to front; 0 is under
    them all. `blur` is sigma in pixels; what is `hidden` shows wood, and no label is sound there.
    """
    left, low, right, up = outline.bounds
    rows, columns = round((up - low) / pitch), round((right - left) / pitch)
    grid = Grid(rows, columns, pitch, left, low)
    fine = pitch / PARTS
    x = left + (np.arange(columns * PARTS) + 0.5) * fine
    y = up - (np.arange(rows * PARTS) + 0.5) * fine
    xs, ys = np.meshgrid(x, y)
    number = np.zeros(xs.shape, dtype=np.int64)
    for area, colour in areas:
        number[shapely.contains_xy(area, xs, ys)] = colour
    light = np.array(paints, dtype=np.float32)[number]
    bare = np.zeros(xs.shape, dtype=bool) if hidden is None else shapely.contains_xy(hidden, xs, ys)
    light[bare] = (0.4, 0.25, 0.1)
    light = light.reshape(rows, PARTS, columns, PARTS, 3).mean(axis=(1, 3))
    light = ndimage.gaussian_filter(light, (blur, blur, 0), mode="nearest")
    middle = (slice(PARTS // 2, None, PARTS),) * 2
    inside = shapely.contains_xy(outline, xs[middle], ys[middle])
    worn = ndimage.maximum_filter(bare.reshape(rows, PARTS, columns, PARTS).any(axis=(1, 3)), 3)
    numbers = np.where(inside, number[middle], -1).astype(np.int16)
    names = tuple(f"colour {at}" for at in range(len(paints)))
    sure = np.where(worn, 0.6, 1.0).astype(np.float32)
    return (
        FacePicture("side", grid, light.astype(np.float32), inside),
        Labels(grid, names, numbers, inside & ~worn, sure, np.array(paints, dtype=np.float32)),
    )
