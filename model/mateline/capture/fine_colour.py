"""Colours as fine as the light of a photo, where the file keeps them coarser.

Stands before photo files. A phone stores how bright each pixel is, but one colour for each four:
beside a border the colours run, over four pixels, and no border can be placed by them. Across a
border of two flat colours, though, colour goes with brightness, so what it is beside each other
tells what it is in each: colour is a line in brightness over a few pixels, fitted to the coarse
ones and read off at the fine ones, as far as such a line explains the colours there. Source: He,
Sun and Tang, Guided Image Filtering (2010), equations 5 and 6, with the share explained as weight.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]

#  R'G'B' to luma. Source: ITU-R BT.601-7, 2.5.1, as JFIF (ITU-T T.871, 7) has it.
LUMA = (0.299, 0.587, 0.114)
NEAR = 3  # coarse pixels each way that a line is fitted to
SPREAD = 0.125  # of a coarse pixel is in each of its neighbours, when colours are made fine again
LEAST = 1.0  # eight-bit steps, squared: less change is noise
STEPS = 16  # to one of the eight-bit values, which is what is given back


def fine_colour(values: NDArray[np.uint8], coarse: tuple[int, int]) -> NDArray[np.uint16]:
    """Values (rows, columns, 3), sRGB, with colours made fine, STEPS to a value of eight bits.

    `coarse` are the rows and columns of pixels that share a colour in the file.
    """
    down, across = coarse
    rows, columns = values.shape[0] // down * down, values.shape[1] // across * across
    given = values[:rows, :columns]
    luma = np.zeros((rows, columns), dtype=np.float32)
    for band, part in enumerate(LUMA):
        luma += np.float32(part) * given[..., band]
    low = _spread(_coarse(luma, coarse), coarse)
    mean = _mean(low)
    spread = np.maximum(_mean(low * low) - mean * mean, 0)
    red = np.asarray(given[..., 0] - luma, dtype=np.float32)
    blue = np.asarray(given[..., 2] - luma, dtype=np.float32)
    for colour in (red, blue):
        own = _coarse(colour, coarse)
        middle = _mean(own)
        shared = _mean(low * own) - mean * middle
        slope = np.asarray(shared / (spread + np.float32(LEAST)), dtype=np.float32)
        change = np.maximum(_mean(own * own) - middle * middle, 0)
        share = slope * shared / (change + np.float32(LEAST))
        explained = np.asarray(np.clip(share, 0, 1), dtype=np.float32)
        line = _fine(slope, coarse) * luma
        line += _fine(np.asarray(middle - slope * mean, dtype=np.float32), coarse)
        line -= colour
        line *= _fine(explained, coarse)
        np.add(colour, line, out=colour)
    fine = np.empty(given.shape, dtype=np.float32)
    fine[..., 0], fine[..., 2] = red + luma, blue + luma
    fine[..., 1] = luma - LUMA[0] / LUMA[1] * red - LUMA[2] / LUMA[1] * blue
    made = values.astype(np.uint16) * np.uint16(STEPS)
    made[:rows, :columns] = np.clip(np.rint(fine * STEPS), 0, 255 * STEPS).astype(np.uint16)
    return made


def _coarse(plane: Floats, coarse: tuple[int, int]) -> Floats:
    """The mean of the pixels that share a colour."""
    down, across = coarse
    rows, columns = plane.shape
    mean = plane.reshape(rows // down, down, columns // across, across).mean(axis=(1, 3))
    return np.asarray(mean, dtype=np.float32)


def _spread(plane: Floats, coarse: tuple[int, int]) -> Floats:
    """Brightness as colours are when they were made fine: a little of it in the next pixels."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    kernel = np.array([SPREAD, 1 - 2 * SPREAD, SPREAD], dtype=np.float32)
    for axis, count in enumerate(coarse):
        if count > 1:
            plane = ndimage.correlate1d(plane, kernel, axis=axis, mode="nearest")
    return plane


def _mean(plane: Floats) -> Floats:
    from scipy import ndimage  # noqa: PLC0415  slow to import

    return np.asarray(ndimage.uniform_filter(plane, NEAR, mode="nearest"), dtype=np.float32)


def _fine(plane: Floats, coarse: tuple[int, int]) -> Floats:
    """A coarse plane at all pixels, smoothly: three parts of a pixel's own to one of the next."""
    for axis, count in enumerate(coarse):
        if count == 1:
            continue
        plane = np.moveaxis(plane, axis, 0)
        before = np.concatenate([plane[:1], plane[:-1]])
        after = np.concatenate([plane[1:], plane[-1:]])
        fine = np.empty((2 * len(plane), *plane.shape[1:]), dtype=np.float32)
        fine[::2], fine[1::2] = (3 * plane + before) / 4, (3 * plane + after) / 4
        plane = np.moveaxis(fine, 0, axis)
    return plane
