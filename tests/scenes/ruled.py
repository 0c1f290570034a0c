"""Sheets of clean paper with a few lines on them, for facts that are worked on the page."""

from itertools import pairwise

import numpy as np

from mateline.capture.picture import Picture

PAPER, INK = np.array([0.80, 0.78, 0.70]), np.array([0.05, 0.05, 0.08])


def ruled(lines, size, density=8.0, pen=0.8, ink=INK, dpi=None):
    """`lines` are runs of points, mm, y up, from the sheet's lower-left corner; `size` (wide, high)
    mm. Ink fades over one pixel, so that its sum across a line is the pen's width.
    """
    wide, high = (round(each * density) for each in size)
    row, column = np.mgrid[0:high, 0:wide]
    x, y = (column + 0.5) / density, (high - row - 0.5) / density
    away = np.full((high, wide), np.inf)
    for run in lines:
        for (ax, ay), (bx, by) in pairwise(run):
            long = (bx - ax) ** 2 + (by - ay) ** 2
            share = np.clip(((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / max(long, 1e-9), 0, 1)
            away = np.minimum(
                away, np.hypot(x - ax - share * (bx - ax), y - ay - share * (by - ay))
            )
    cover = np.clip((pen / 2 - away) * density + 0.5, 0, 1)[..., None]
    return Picture("sheet.png", (PAPER * (1 - cover) + ink * cover).astype(np.float32), dpi)


def box(left, low, right, up):
    return [(left, low), (right, low), (right, up), (left, up), (left, low)]


def with_dot(picture, x, y, ink, density=8.0, reach=1.6):
    """The sheet with a round dot at (x, y), mm."""
    high, wide = picture.light.shape[:2]
    row, column = np.mgrid[0:high, 0:wide]
    away = np.hypot((column + 0.5) / density - x, (high - row - 0.5) / density - y)
    cover = np.clip((reach - away) * density + 0.5, 0, 1)[..., None]
    light = picture.light * (1 - cover) + PAPER * np.asarray(ink) * cover
    return Picture(picture.file, light.astype(np.float32), picture.dpi)
