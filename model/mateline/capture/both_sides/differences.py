"""Where the two sides truly differ: lettering, a shape that was moved, another colour.

Stands in both sides after carried. Both must show sound paint and be sure, over more than the
registration's error explains.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.tracing.cracks import regions_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.capture.both_sides.carried import Told
    from mateline.capture.face_picture import Grid
    from mateline.curves import Point

    Bools = NDArray[np.bool_]

SURE = 0.8
NARROWEST = 0.9  # mm: half of the narrowest difference that is told
SIGMAS = 3.0  # of the registration, that explain a difference
SMALLEST = 12.0  # mm²
NEAR = 4.0  # mm: beside a difference each side keeps its own
CLOSE = 1.5  # mm: half of how near the parts of one difference are
PART = 0.2  # of an area of one colour that differs, for all of it to be one side's alone


@dataclass(frozen=True, slots=True)
class Difference:
    """A place where the sides differ: `at`, mm, left face frame, in its largest part; its box
    (left, low, right, up), mm; its area, mm²; the colour that most of it has on each side.
    """

    at: Point
    box: tuple[float, float, float, float]
    area: float
    left: str
    right: str


def differences(
    own: Told, other: Told, grid: Grid, colours: Sequence[str], rms: float
) -> tuple[tuple[Difference, ...], Bools]:
    """The places where `own` (left) and `other`, both on `grid`, differ; and the pixels at which
    each is to keep its own. `rms`, mm, is the registration's error.
    """
    from scipy import ndimage  # noqa: PLC0415  slow to import

    unlike = own.sound & other.sound & (own.numbers != other.numbers)
    unlike &= (own.sureness >= SURE) & (other.sureness >= SURE)
    wide = max(NARROWEST, SIGMAS * rms + grid.pitch) / grid.pitch
    core = ndimage.distance_transform_edt(np.pad(unlike, 1))[1:-1, 1:-1] > wide
    if not core.any():
        return (), np.zeros(unlike.shape, dtype=bool)
    whole = unlike & (ndimage.distance_transform_edt(~core) <= wide + 1)
    parts, count = ndimage.label(whole)
    area = np.bincount(parts.ravel(), minlength=count + 1) * grid.pitch**2
    whole &= area[parts] >= SMALLEST
    if not whole.any():
        return (), np.zeros(unlike.shape, dtype=bool)
    away = ndimage.distance_transform_edt(~whole) * grid.pitch
    seen = own.sound & other.sound
    apart = (away <= NEAR) | _contested(own.numbers, whole, seen)
    apart |= _contested(other.numbers, whole, seen)
    groups, _ = ndimage.label(away <= CLOSE)
    found = [
        _difference(groups == number, place, whole, (own, other), grid, colours)
        for number, place in enumerate(ndimage.find_objects(groups), 1)
    ]
    return tuple(found), apart


def _contested(numbers: NDArray[np.int16], whole: Bools, seen: Bools) -> Bools:
    """Areas of one colour that differ over a good part of what both sides show of them: behind
    damage too they are one side's alone.
    """
    regions, _ = regions_of(numbers.astype(np.int64))
    count = int(regions.max(initial=-1)) + 2
    both = np.bincount((regions + 1)[seen], minlength=count)
    unlike = np.bincount((regions + 1)[whole], minlength=count)
    contested = unlike > PART * both
    contested[0] = False
    found: Bools = contested[regions + 1]
    return found


def _difference(
    group: Bools,
    place: tuple[slice, slice],
    whole: Bools,
    sides: tuple[Told, Told],
    grid: Grid,
    colours: Sequence[str],
) -> Difference:
    from scipy import ndimage  # noqa: PLC0415  slow to import

    own = (group & whole)[place]
    rows, columns = np.nonzero(own)
    deep = ndimage.distance_transform_edt(np.pad(own, 1))[1:-1, 1:-1]
    row, column = np.unravel_index(int(np.argmax(deep)), own.shape)
    corner = np.array([place[1].start, place[0].start])
    spots = np.array([
        (column, row),
        (columns.min() - 0.5, rows.max() + 0.5),
        (columns.max() + 0.5, rows.min() - 0.5),
    ])  # fmt: skip
    (x, y), (left, low), (right, up) = np.round(grid.places(spots + corner), 1).tolist()
    most = [
        colours[int(np.argmax(np.bincount(side.numbers[place][own].astype(np.int64))))]
        for side in sides
    ]
    area = round(float(own.sum()) * grid.pitch**2, 1)
    return Difference((x, y), (left, low, right, up), area, most[0], most[1])
