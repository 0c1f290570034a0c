"""Where borders are, between pixels: profiles of light across them.

Stands in tracing after courses. Across a border light goes from one paint's to the other's, and
in linear light each pixel is the mixture of both that it covers. With t from 0 on the right to 1 on
the left, the sum of t along the profile is the length on the left, whatever blur is symmetric:

    t 1 ........ _____            position = reach - sum of t, to the left of the profile's middle
                /
      ____ .../   <- profile ->
     right       left

The paints are what the profile itself ends on, so light that falls off and haze don't matter.
Where a third colour or damage is on the profile, nothing is measured.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.tracing.courses import OUTSIDE, Course
from mateline.capture.tracing.paths import even, filled, normals, running_median

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.face_picture import Grid
    from mateline.capture.tracing.cracks import CrackMap

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

REACH = 4.0  # pixels: half a profile
FLANK = 2.5  # pixels: beyond it only one paint is seen
STEP = 0.5  # pixels between places of a profile
MIXED = 1.3  # pixels: nearer to a border a label may be either's
ASIDE = 3.0  # pixels around a profile that blur mixes into it
STEADY = 2.5  # cracks: sigma of the smoothing of a crack path
ALIKE = 2.2  # how much more a mean of neighbours errs than if they were independent: measured
LEAST = 0.02  # pixels: no place is surer
GUESS = 1.5  # mm: the error of a place that damage hides; many in a row are wrong together
UNCLEAR = 0.35  # mm: of one with a third colour or a corner near, where only the labels tell
STRANGE = 3.0  # times the usual: a profile that something else is on
CLOSE = 1.0  # pixels: where paint is seen so near, labels tell, though damage is on the profile
SLIGHT = 0.02  # of the contrast: and what is never strange, however clean the picture
FAINT = 0.012  # linear light: paints nearer than this show no border
WORST = 1.5  # pixels: how far a crack may be from its border


@dataclass(frozen=True, slots=True, eq=False)
class _Stations:
    """Places along all courses, pixels; `of` which course, `across` to the left of the travel."""

    at: Floats
    across: Floats
    of: Ints


def measured_courses(
    cracks: CrackMap, grid: Grid, light: NDArray[np.float32], sound: Bools
) -> tuple[Course, ...]:
    """The courses of a crack map with places measured in `light`, where all around is `sound`."""
    paths = [_steady(path, ring=cracks.start[at] < 0) for at, path in enumerate(cracks.paths)]
    inner = [at for at in range(len(paths)) if OUTSIDE not in {cracks.left[at], cracks.right[at]}]
    spots = {at: even(paths[at], ring=cracks.start[at] < 0) for at in inner}
    first = _read(cracks, light, sound, spots, centred=False)
    for at in inner:
        shift = running_median(filled(first[at].shift, first[at].good), ring=cracks.start[at] < 0)
        spots[at] = spots[at] + shift[:, None] * first[at].across
    second = _read(cracks, light, sound, spots, centred=True)
    scale = _scale(second)
    courses = []
    for at in range(len(paths)):
        own = second.get(at)
        places, errors, seen = (
            (np.zeros((0, 2)), np.zeros(0), np.zeros(0, dtype=bool))
            if own is None
            else _places(spots[at], own, scale, grid)
        )
        courses.append(
            Course(
                cracks.start[at],
                cracks.end[at],
                cracks.left[at],
                cracks.right[at],
                places,
                errors,
                seen,
                grid.places(paths[at]),
            )
        )
    return tuple(courses)


@dataclass(frozen=True, slots=True, eq=False)
class _Reading:
    """What the profiles of one course say: how far its border is to the left, pixels; which are
    good; which are hidden by damage; the difference of the paints; and the way across.
    """

    shift: Floats
    good: Bools
    hidden: Bools
    contrast: Floats
    across: Floats


def _read(
    cracks: CrackMap,
    light: NDArray[np.float32],
    sound: Bools,
    spots: dict[int, Floats],
    *,
    centred: bool,
) -> dict[int, _Reading]:
    """The profiles at spots along each course. Only where they are `centred` on the border are they
    all alike, and strange ones told.
    """
    steps = np.arange(-REACH, REACH + STEP / 2, STEP)
    share = np.full(len(steps), STEP)
    share[[0, -1]] = STEP / 2
    found = {}
    for at, own in spots.items():
        ring = cracks.start[at] < 0
        across = normals(own, ring=ring)
        places = own[:, None] + steps[None, :, None] * across[:, None]
        values = _sampled(light, places)
        seen = sound[_pixels(places, sound.shape)].all(axis=1)
        close = sound[_pixels(places[:, np.abs(steps) <= CLOSE], sound.shape)].all(axis=1)
        alone = _alone(cracks, own, across, (cracks.left[at], cracks.right[at]))
        low = values[:, steps <= -FLANK].mean(axis=1)
        high = values[:, steps >= FLANK].mean(axis=1)
        way, steady = _paints(low, high, alone & seen)
        t = ((values - low[:, None]) * way[:, None]).sum(axis=2)
        size = ((high - low) * way).sum(axis=1)
        contrast = np.sqrt((way * way).sum(axis=1))
        clear = alone & seen & (size > way_floor(contrast))
        t = t / np.where(clear, size, 1.0)[:, None]
        if centred:
            steady &= _usual(values, low, high, t, clear & steady)
        shift = REACH - (t * share).sum(axis=1)
        good = clear & steady & (np.abs(shift) <= WORST) & (contrast >= FAINT)
        found[at] = _Reading(
            shift, good, (~seen & ~close) | (alone & seen & ~good), contrast, across
        )
    return found


def _alone(cracks: CrackMap, own: Floats, across: Floats, sides: tuple[int, int]) -> Bools:
    """Whether only the two regions are on each profile, and as far around it as blur reaches."""
    found = np.ones(len(own), dtype=bool)
    along = np.column_stack([across[:, 1], -across[:, 0]])
    steps = np.arange(MIXED, REACH + ASIDE, STEP)
    for side, way in zip(sides, (1.0, -1.0), strict=True):
        places = own[:, None] + way * steps[None, :, None] * across[:, None]
        for aside in (-ASIDE, 0.0, ASIDE):
            at = _pixels(places + aside * along[:, None], cracks.regions.shape)
            found &= (cracks.regions[at] == side).all(axis=1)
    return found


def _usual(values: Floats, low: Floats, high: Floats, t: Floats, good: Bools) -> Bools:
    """Whether each profile is a mixture of both its ends, and goes from one to the other as most
    of its course's do: scratches that no label knows of don't.
    """
    if good.sum() < 8:
        return good
    mixed = low[:, None] + t[..., None] * (high - low)[:, None]
    off = np.sqrt(((values - mixed) ** 2).sum(axis=2).mean(axis=1))
    bent = np.sqrt(((t - np.median(t[good], axis=0)) ** 2).mean(axis=1))
    found = np.ones(len(t), dtype=bool)
    contrast = float(np.median(np.sqrt(((high - low)[good] ** 2).sum(axis=1))))
    for strange, slight in ((off, SLIGHT * contrast), (bent, SLIGHT)):
        found &= strange <= max(STRANGE * float(np.median(strange[good])), slight)
    return found


def way_floor(contrast: Floats) -> Floats:
    """The least difference of a profile's ends, in squared light: half the paints' own."""
    found: Floats = contrast * contrast / 2
    return found


def _paints(low: Floats, high: Floats, good: Bools) -> tuple[Floats, Bools]:
    """The difference of both paints along a course (n, 3), and where a profile's ends are as
    along the course around it.
    """
    if good.sum() < 3:
        return np.zeros_like(low), np.zeros(len(low), dtype=bool)
    way = np.median((high - low)[good], axis=0)
    steady = np.ones(len(low), dtype=bool)
    for side in (low, high):
        middle = np.column_stack(
            [running_median(filled(side[:, band], good), ring=False, wide=31) for band in range(3)]
        )
        off = np.sqrt(((side - middle) ** 2).sum(axis=1))
        usual = float(np.median(off[good]))
        steady &= off <= np.maximum(6 * usual, 0.02 * np.sqrt((way * way).sum()))
    return np.broadcast_to(way, low.shape), steady


def _places(spots: Floats, own: _Reading, scale: float, grid: Grid) -> tuple[Floats, Floats, Bools]:
    """Places, errors, mm, and which are sound."""
    places = grid.places(spots + np.where(own.good, own.shift, 0.0)[:, None] * own.across)
    error = np.maximum(scale / np.maximum(own.contrast, FAINT), LEAST) * ALIKE * grid.pitch
    local = _scatter(own)
    if local is not None:
        error = np.full(len(spots), max(local, LEAST) * ALIKE * grid.pitch)
    errors = np.where(own.good, error, np.where(own.hidden, GUESS, UNCLEAR))
    return places, errors, own.good | ~own.hidden


def _scale(readings: dict[int, _Reading]) -> float:
    """Error of one place times the contrast, pixels: the middle of all courses."""
    known = [
        (scatter * float(np.median(own.contrast)))
        for own in readings.values()
        if (scatter := _scatter(own)) is not None
    ]
    return float(np.median(known)) if known else 0.02


def _scatter(own: _Reading) -> float | None:
    """The error of one place, pixels, from how it differs from the third before and after it."""
    if own.good.sum() < 25:
        return None
    shift = np.where(own.good, own.shift, np.nan)
    bend = shift[3:-3] - (shift[:-6] + shift[6:]) / 2
    bend = np.abs(bend[np.isfinite(bend)])
    return float(1.4826 * np.median(bend) / np.sqrt(1.5)) if len(bend) >= 12 else None


def _sampled(light: NDArray[np.float32], places: Floats) -> Floats:
    """Light at places in pixels, between the four pixels around each."""
    rows, columns, _ = light.shape
    x = np.clip(places[..., 0], 0, columns - 1.001)
    y = np.clip(places[..., 1], 0, rows - 1.001)
    column, row = x.astype(np.int64), y.astype(np.int64)
    u, v = (x - column)[..., None], (y - row)[..., None]
    one = light[row, column] * (1 - u) + light[row, column + 1] * u
    other = light[row + 1, column] * (1 - u) + light[row + 1, column + 1] * u
    found: Floats = one * (1 - v) + other * v
    return found


def _pixels(places: Floats, shape: tuple[int, ...]) -> tuple[Ints, Ints]:
    whole = np.floor(places + 0.5).astype(np.int64)
    return (
        np.clip(whole[..., 1], 0, shape[0] - 1),
        np.clip(whole[..., 0], 0, shape[1] - 1),
    )


def _steady(path: Floats, *, ring: bool) -> Floats:
    """The middles of a path's cracks, each the mean of those around it; ends stay."""
    middle = (path[1:] + path[:-1]) / 2
    wide = int(3 * STEADY)
    if ring:
        wide = min(wide, len(middle))
        longer = np.vstack([middle[-wide:], middle, middle[:wide]])
    else:
        middle = np.vstack([path[:1], middle, path[-1:]])
        wide = min(wide, len(middle) - 1)
        longer = np.vstack(
            [
                2 * middle[0] - middle[wide:0:-1],
                middle,
                2 * middle[-1] - middle[-2 : -wide - 2 : -1],
            ]
        )
    weight = np.exp(-((np.arange(-wide, wide + 1) / STEADY) ** 2) / 2)
    weight /= weight.sum()
    count = len(middle)
    found = np.zeros_like(middle)
    for step, share in enumerate(weight.tolist()):
        found += share * longer[step : step + count]
    return found
