"""Where borders are, between pixels: profiles of light across them.

Stands in tracing after cracks. Across a border light goes from one paint's to the other's, and
in linear light each pixel is the mixture of both that it covers. With t from 0 on the right to 1 on
the left, the sum of t along the profile is the length on the left, whatever blur is symmetric:

    t 1 ........ _____            position = reach - sum of t, to the left of the profile's middle
                /
      ____ .../   <- profile ->
     right       left

The paints are what the profile itself ends on, so light that falls off and haze don't matter.
Where a third colour or damage is on the profile, nothing is measured so.

There, and near corners, a shorter profile is: in a stripe it ends in the stripe's middle, where
what blur takes from one border it gives back from the other. Paints are those of the same border
beside it, or what the profile ends on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.fitting.courses import OUTSIDE, Course
from mateline.capture.tracing.paths import between_cracks, even, filled, normals, running_median

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
FEW = 3  # good profiles that tell the paints of a course
STRANGE = 3.0  # times the usual: a profile that something else is on
CLOSE = 1.0  # pixels: where paint is seen so near, labels tell, though damage is on the profile
SLIGHT = 0.02  # of the contrast: and what is never strange, however clean the picture
FAINT = 0.012  # linear light: paints nearer than this show no border
WORST = 1.5  # pixels: how far a crack may be from its border
NARROW = 1.5  # pixels: half the narrowest stripe that is measured,
BROAD = 9.0  # and what is as wide is no stripe
NEAR = 1.5  # pixels around a short profile
EVEN = 0.95  # cosine of how far a course may turn
BESIDE = 3  # stations before and after it
SHORT = 0.2  # pixels: the error of what a short profile says
ENDS = 0.35  # of the contrast: how far its ends may be from the paints


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
    third = {at: _read_close(cracks, light, sound, spots[at], (at, second[at])) for at in inner}
    courses = []
    for at in range(len(paths)):
        own = second.get(at)
        places, errors, seen = (
            (np.zeros((0, 2)), np.zeros(0), np.zeros(0, dtype=bool))
            if own is None
            else _places(spots[at], own, third[at], scale, grid)
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
                grid.places(between_cracks(cracks.paths[at], ring=cracks.start[at] < 0)),
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
    low: Floats
    high: Floats


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
            shift, good, (~seen & ~close) | (alone & seen & ~good), contrast, across, low, high
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


def _read_close(
    cracks: CrackMap,
    light: NDArray[np.float32],
    sound: Bools,
    own: Floats,
    course: tuple[int, _Reading],
) -> tuple[Floats, Bools, Floats]:
    """What short profiles say where the whole ones of a course say nothing: how far its border is
    to the left, pixels, where they say so, and the difference of the paints.
    """
    at, read = course
    shift, good = np.zeros(len(own)), np.zeros(len(own), dtype=bool)
    contrast = np.zeros(len(own))
    asked = np.flatnonzero(
        ~read.good & ~read.hidden & _even_way(read.across, ring=cracks.start[at] < 0)
    )
    if not len(asked):
        return shift, good, contrast
    spots, across = own[asked], read.across[asked]
    right, left = (
        _room(cracks, spots, way * across, side)
        for side, way in ((cracks.right[at], -1.0), (cracks.left[at], 1.0))
    )
    steps = np.arange(-REACH, REACH + STEP / 2, STEP)
    places = spots[:, None] + steps[None, :, None] * across[:, None]
    inside = (steps >= -right[:, None]) & (steps <= left[:, None])
    share = np.where(inside, STEP, 0.0)
    share[(steps == -right[:, None]) | (steps == left[:, None])] = STEP / 2
    values = _sampled(light, places)
    paints = []
    for found, end in ((read.low, -right), (read.high, left)):
        ending = np.abs(steps - end[:, None]) <= STEP
        ends = (values * ending[..., None]).sum(axis=1) / ending.sum(axis=1)[:, None]
        if read.good.sum() >= FEW:
            ends = np.column_stack([filled(found[:, band], read.good)[asked] for band in range(3)])
        paints.append(ends)
    low, high = paints
    way = high - low
    size = np.maximum((way * way).sum(axis=1), 1e-12)
    t = ((values - low[:, None]) * way[:, None]).sum(axis=2) / size[:, None]
    mixed = low[:, None] + t[..., None] * way[:, None]
    off = (((values - mixed) ** 2).sum(axis=2) * inside).sum(axis=1) / inside.sum(axis=1)
    first, last = inside.argmax(axis=1), len(steps) - 1 - inside[:, ::-1].argmax(axis=1)
    rows = np.arange(len(asked))
    seen = (sound[_pixels(places, sound.shape)] | ~inside).all(axis=1)
    to_left = left - (t * share).sum(axis=1)
    clear = (
        seen & (np.minimum(right, left) >= NARROW) & (np.abs(to_left) <= WORST)
        & (size >= FAINT**2) & (off <= (4 * SLIGHT) ** 2 * size)
        & (np.abs(t[rows, first]) <= ENDS) & (np.abs(t[rows, last] - 1) <= ENDS)
    )  # fmt: skip
    shift[asked[clear]], good[asked[clear]] = to_left[clear], True
    contrast[asked] = np.sqrt(size)
    return shift, good, contrast


def _even_way(across: Floats, *, ring: bool) -> Bools:
    """Where a course doesn't turn: beside a corner nobody knows which way is across."""
    count = len(across)
    index = np.arange(count)
    before, after = index - BESIDE, index + BESIDE
    if ring:
        before, after = before % count, after % count
    whole = (before >= 0) & (after < count)
    before, after = np.maximum(before, 0), np.minimum(after, count - 1)
    cosine = (across[before] * across[after]).sum(axis=1)
    found: Bools = whole & (np.round(cosine, 9) >= EVEN)
    return found


def _room(cracks: CrackMap, spots: Floats, way: Floats, side: int) -> Floats:
    """How far a short profile may go to one side, pixels: REACH, or to the middle of a stripe; 0
    where another region is beside it.
    """
    steps = np.arange(MIXED, BROAD, STEP)
    along = np.column_stack([way[:, 1], -way[:, 0]])
    found = np.full(len(spots), REACH)
    for aside in (-NEAR, 0.0, NEAR):
        places = spots[:, None] + steps[None, :, None] * way[:, None] + aside * along[:, None]
        own = cracks.regions[_pixels(places, cracks.regions.shape)] == side
        ends = np.where(own.all(axis=1), BROAD, steps[(~own).argmax(axis=1)])
        half = np.floor(ends / 2 / STEP) * STEP if aside == 0.0 else ends - NEAR
        found = np.minimum(found, half)
    rooms: Floats = np.maximum(np.floor(found / STEP) * STEP, 0.0)
    return rooms


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


def _places(
    spots: Floats, own: _Reading, close: tuple[Floats, Bools, Floats], scale: float, grid: Grid
) -> tuple[Floats, Floats, Bools]:
    """Places, errors, mm, and which are sound; `close` is what short profiles say."""
    near = close[1] & ~own.good
    shift = np.where(own.good, own.shift, np.where(near, close[0], 0.0))
    places = grid.places(spots + shift[:, None] * own.across)
    contrast = np.where(near, close[2], own.contrast)
    error = np.maximum(scale / np.maximum(contrast, FAINT), LEAST) * ALIKE * grid.pitch
    local = _scatter(own)
    if local is not None:
        error = np.full(len(spots), max(local, LEAST) * ALIKE * grid.pitch)
    errors = np.where(own.good, error, np.where(own.hidden, GUESS, UNCLEAR))
    errors = np.where(near, np.maximum(error, SHORT * grid.pitch), errors)
    return places, errors, own.good | near | ~own.hidden


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
