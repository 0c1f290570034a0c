"""Coloured dots and crosses on a tracing: which colour the area has that each lies in.

Stands in pen lines after paper. A mark touches no line, has no hole, is short, and is of another
colour than the pen's lines or fatter than they are.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.colours import lab_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float32]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

DARK = 0.3  # darkness of a mark in its darkest channel
SHORTEST, LONGEST = 1.5, 12.0  # mm
UNLIKE = 0.95  # cosine of the angle between two inks' darkness: other inks are below
FAT, FATTEST = 1.5, 1.4  # pens and mm: what is wider is no line
THINNEST = 0.6  # of a mark's area that a felt pen covers, at least
CORE = 0.5  # of a mark's squares, the darkest, tell its colour
FAR = 30.0  # Lab: a mark that is farther from every colour of the palette has none


@dataclass(frozen=True, slots=True, eq=False)
class Marks:
    """`at` (n, 2): the squares of their middles, column then row; `light` (n, 3): the light that
    they send back, as a share of the paper's. `where` (rows, columns): squares to take for paper.
    """

    at: NDArray[np.float64]
    light: NDArray[np.float64]
    where: Bools


def marks_of(coarse: Floats, way: Floats, pitch: float, pen: float) -> Marks:
    """The marks on paper of darkness `coarse` (rows, columns, 3), in squares of `pitch` mm, where
    the pen's ink is dark in the channels as `way` says.
    """
    from scipy import ndimage  # noqa: PLC0415  slow to import
    from skimage.measure import label, regionprops  # noqa: PLC0415  slow to import

    parts = label(coarse.max(axis=2) > DARK, connectivity=2)  # type: ignore[no-untyped-call]
    where = np.zeros(parts.shape, dtype=bool)
    spots, lights = [], []
    pen_way = way / np.sqrt((way * way).sum())
    for part in regionprops(parts):  # type: ignore[no-untyped-call]
        top, left, bottom, right = part.bbox
        long = float(np.hypot(bottom - top, right - left)) * pitch
        if not SHORTEST < long < LONGEST or part.euler_number != 1:
            continue
        inside = np.pad(part.image, 1)
        deep = ndimage.distance_transform_edt(inside)[1:-1, 1:-1]
        dark = coarse[top:bottom, left:right][part.image]
        core = dark[np.argsort(-dark.sum(axis=1), kind="stable")]
        middle = np.round(np.median(core[: max(1, int(CORE * len(core)))], axis=0), 4)
        likeness = float(middle @ pen_way) / max(float(np.sqrt((middle * middle).sum())), 1e-6)
        wide = (2 * float(deep.max()) - 1) * pitch
        if likeness > UNLIKE and wide < max(FAT * pen, FATTEST):
            continue
        grown = ndimage.binary_dilation(np.pad(part.image, 2), np.ones((3, 3)), iterations=2)
        high, across = where.shape
        rows = slice(max(0, top - 2), min(high, bottom + 2))
        columns = slice(max(0, left - 2), min(across, right + 2))
        where[rows, columns] |= grown[
            rows.start - top + 2 : rows.stop - top + 2,
            columns.start - left + 2 : columns.stop - left + 2,
        ]
        spots.append((part.centroid[1], part.centroid[0]))
        lights.append(1 - middle)
    return Marks(np.array(spots).reshape(-1, 2), np.array(lights).reshape(-1, 3), where)


def pen_width(lines: Bools, ink: Floats, pitch: float) -> float:
    """How wide lines are, mm, as a rule: in a strip of n squares the mean distance from its sides
    is n / 4 + 1 / 2, and squares at its sides are inked in part.
    """
    from scipy import ndimage  # noqa: PLC0415  slow to import

    deep = ndimage.distance_transform_edt(lines)[lines]
    mean = round(float(deep.mean()), 3) if len(deep) else 0.5
    full = round(float(np.minimum(ink[lines], 1).mean()), 3) if len(deep) else 1.0
    return max(pitch, 4 * (mean - 0.5) * pitch * full)


def nearest_colour(
    light: NDArray[np.float64], palette: Mapping[str, Sequence[float]]
) -> str | None:
    """The colour of `palette` (linear light) that a mark's `light` is nearest to, if any is near.

    A felt pen leaves paper bare between its strokes, so each colour is tried thinner too.
    """
    best, found = FAR, None
    mark = lab_of(light)
    for name, paint in palette.items():
        for cover in np.linspace(THINNEST, 1, 9).tolist():
            mixed = 1 - cover * (1 - np.asarray(paint, dtype=np.float64))
            far = round(float(np.sqrt(((lab_of(np.clip(mixed, 0, 1)) - mark) ** 2).sum())), 3)
            if far < best:
                best, found = far, name
    return found
