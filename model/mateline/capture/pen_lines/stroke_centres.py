r"""Where the pen went: the middle of the ink across each line.

Stands in pen lines after basins. Each border of the areas is walked, and across it the ink is
weighed; nothing is thinned to a skeleton. Where the ink is wider than the pen's stroke (beside
junctions, corners, blots) or missing (breaks), nothing is measured; the border of the areas is
taken for what it is worth, and the fit goes on through.

    ink  ....  _____        the middle of ink is the pen's, whatever the blur and however dark
              /     \
       ______/   |   \_____
          right  |   left
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.fitting.courses import RING, Course
from mateline.capture.tracing.paths import even, filled, normals, running_median

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.capture.tracing.cracks import CrackMap

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

EVERY = 0.3  # mm between measured places
STEADY = 2.5  # squares: sigma of the smoothing of a border's squares
REACH = 0.8  # pens and REST mm: how far across is looked
REST = 0.5  # mm
STEP = 0.4  # pixels between places of a profile
GROUND = 0.12  # ink: creases, stains and noise; taken off
END = 0.08  # ink that is left where a line ends
NARROW, WIDE = 0.55, 1.3  # of a line's usual width: beyond it is no plain stroke
STRAY = 0.6  # mm: how far ink may be from the border of the areas
NODE = 0.9  # pens: nearer to a junction nothing is plain
HAND = 0.03  # mm: how far a hand leaves a line, rms, and
WAVE = 3.0  # mm: over how much of it one such leave goes: no bend is made of that
GUESS = 0.3  # mm: the error of a place that isn't measured
LEAST = 0.01  # mm: no place is surer


@dataclass(frozen=True, slots=True, eq=False)
class _Reading:
    """How far left of the walked border the ink's middle is, how wide the ink, pixels; and where
    that is plain.
    """

    shift: Floats
    width: Floats
    plain: Bools
    across: Floats


def pen_courses(
    cracks: CrackMap, ink: NDArray[np.float32], step: int, density: float, pen: float
) -> tuple[Course, ...]:
    """The courses of a crack map of squares of `step` pixels, with places measured in `ink`.

    There are `density` pixels to a mm; `pen` is its width, mm, roughly. Places and paths are in
    pixels, column then row, the first one's middle (0, 0); errors are mm.
    """
    rings = [start == RING for start in cracks.start]
    paths = [_steady((path + 0.5) * step - 0.5, ring=ring)
             for path, ring in zip(cracks.paths, rings, strict=True)]  # fmt: skip
    spots = [even(path, EVERY * density, ring=ring)
             for path, ring in zip(paths, rings, strict=True)]  # fmt: skip
    limits = ((REACH * pen + REST) * density, STRAY * density)
    for at, reading in enumerate(_read(spots, rings, ink, limits)):
        shift = running_median(filled(reading.shift, reading.plain), ring=rings[at])
        spots[at] = spots[at] + shift[:, None] * reading.across
    readings = _read(spots, rings, ink, limits)
    usual = _usual_width(readings)
    return tuple(
        Course(
            cracks.start[at], cracks.end[at], cracks.left[at], cracks.right[at],
            *_places(spots[at], readings[at], (usual, density, pen), ring=rings[at]), paths[at],
        )
        for at in range(len(paths))
    )  # fmt: skip


def _usual_width(readings: Sequence[_Reading]) -> float:
    widths = np.concatenate([each.width[each.plain] for each in readings])
    return round(float(np.median(widths)), 2) if len(widths) else 1.0


def _places(
    spots: Floats, own: _Reading, sizes: tuple[float, float, float], *, ring: bool
) -> tuple[Floats, Floats, Bools]:
    """Places, errors, and which are measured. In breaks and where the ink is no plain stroke the
    border of the areas says roughly where the line goes.
    """
    usual, density, pen = sizes
    width = running_median(filled(own.width, own.plain), ring=ring, wide=41)
    local = np.clip(width, 0.6 * usual, WIDE * usual)
    good = own.plain & (own.width > NARROW * local) & (own.width < WIDE * local)
    if not ring:
        good &= _clear_of_ends(spots, NODE * pen * density)
    places = spots + np.where(good, own.shift, 0.0)[:, None] * own.across
    error = np.hypot(max(_scatter(own.shift, good) / density, LEAST), HAND * np.sqrt(WAVE / EVERY))
    return places, np.where(good, error, GUESS), good


def _clear_of_ends(spots: Floats, reach: float) -> Bools:
    """Which places are farther than `reach` along the walk from both ends."""
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(spots, axis=0).T)))
    return np.asarray((along > reach) & (along[-1] - along > reach), dtype=np.bool_)


def _read(
    walks: Sequence[Floats],
    rings: Sequence[bool],
    ink: NDArray[np.float32],
    limits: tuple[float, float],
) -> list[_Reading]:
    """Profiles of `ink` across walks; `limits`: how far to look, and how far ink may be, pixels."""
    reach, stray = limits
    half = int(reach / STEP)
    steps: Floats = np.arange(-half, half + 1, dtype=np.float64) * STEP
    found = []
    for spots, ring in zip(walks, rings, strict=True):
        across = normals(spots, ring=ring)
        places = spots[:, None] + steps[None, :, None] * across[:, None]
        values = np.maximum(_sampled(ink, places) - GROUND, 0.0)
        found.append(_Reading(*_weighed(values, steps, stray), across))
    return found


def _weighed(values: Floats, steps: Floats, stray: float) -> tuple[Floats, Floats, Bools]:
    """Middles and widths of the ink nearest to each profile's middle, and which are plain: ink is
    there and ends on both sides within the profile. Without any the width is 0.
    """
    count, wide = values.shape
    index = np.arange(wide)
    inked = values > END
    away = np.where(inked, np.abs(steps)[None], np.inf)
    nearest = np.argmin(away, axis=1)
    there = away[np.arange(count), nearest] <= stray
    # the first bare place on either side of the nearest ink
    after = np.where(~inked & (index[None] > nearest[:, None]), index[None], wide).min(axis=1)
    before = np.where(~inked & (index[None] < nearest[:, None]), index[None], -1).max(axis=1)
    own = (index[None] > before[:, None]) & (index[None] < after[:, None]) & there[:, None]
    amounts = np.where(own, values, 0.0)
    total = amounts.sum(axis=1)
    middle = (amounts * steps[None]).sum(axis=1) / np.maximum(total, 1e-9)
    plain = there & (before >= 0) & (after < wide)
    return middle, np.where(there, own.sum(axis=1) * STEP, 0.0), plain


def _scatter(shift: Floats, good: Bools) -> float:
    """The error of one place, pixels, from how it differs from those before and after it."""
    if good.sum() < 12:
        return 0.5
    own = np.where(good, shift, np.nan)
    bend = own[1:-1] - (own[:-2] + own[2:]) / 2
    bend = np.abs(bend[np.isfinite(bend)])
    return float(np.round(1.4826 * np.median(bend) / np.sqrt(1.5), 3)) if len(bend) else 0.5


def _sampled(ink: NDArray[np.float32], places: Floats) -> Floats:
    """Ink at places in pixels, between the four pixels around each."""
    rows, columns = ink.shape
    x = np.clip(places[..., 0], 0, columns - 1.001)
    y = np.clip(places[..., 1], 0, rows - 1.001)
    column, row = x.astype(np.int64), y.astype(np.int64)
    u, v = x - column, y - row
    one = ink[row, column] * (1 - u) + ink[row, column + 1] * u
    other = ink[row + 1, column] * (1 - u) + ink[row + 1, column + 1] * u
    found: Floats = one * (1 - v) + other * v
    return found


def _steady(path: Floats, *, ring: bool) -> Floats:
    """A border's lattice points as the means of those around each; its ends stay, a ring's last
    point is not repeated.
    """
    from scipy import ndimage  # noqa: PLC0415  slow to import

    if ring:
        found: Floats = ndimage.gaussian_filter1d(path[:-1], STEADY, axis=0, mode="wrap")
        return found
    line = np.linspace(0, 1, len(path))[:, None]
    chord = path[0] + line * (path[-1] - path[0])
    # turned about its ends beyond them, so that these stay where they are
    off = path - chord
    longer = np.vstack([-off[:0:-1], off, -off[-2::-1]])
    smooth = ndimage.gaussian_filter1d(longer, STEADY, axis=0, mode="nearest")
    even: Floats = chord + smooth[len(off) - 1 : 2 * len(off) - 1]
    return even
