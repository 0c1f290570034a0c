"""Where paint can be seen, and which: every pixel by itself and its nearest neighbours.

Stands after light, before what fills the rest.

    core     a pixel amid others of one paint: its colour is that paint's and does not change there
    mixture  a pixel near cores of two paints whose colour is between them: the border runs through
             it. The mean of cream and navy is grey primer, so mixtures are asked for before damage
    thin     a paint that is seen where there is no room for a core: a stripe two pixels wide
    faint    a stripe that blur mixes with the paint beside it all through, but less than halfway:
             only where bare wood or grey primer cannot look like that mixture, of a pale paint, or
             of a dark one that is still darker than they are
    damage   none of these. Near a core it may be paint worn through, between a paint and the wood

Pictures are planes here, (3, rows, columns): numpy adds those four times as fast.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.labelling.cells import along
from mateline.capture.labelling.mixtures import CORE, Paints, mixed, room

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.face_picture import FacePicture
    from mateline.capture.labelling.light import Light

    Floats = NDArray[np.float32]
    Bools = NDArray[np.bool_]
    Numbers = NDArray[np.int8]
    Bits = NDArray[np.uint32]

ROWS = 64  # taken at a time: what fits a processor's own memory
DIM = 0.05  # gain below which nothing can be told
REACH = 3  # pairs of pixels: how far from a core its paint may mix with another
MOSTLY = 0.6  # share of its own paint that the middle of a faint stripe has at least
WOODEN = 0.35  # linear light: how bright wood, primer or filler in a scratch may be
DARK, SHADED = 0.06, 0.16  # how bright a dark paint is, and what is no wood for being darker
STRIPE = 24  # pixels that a faint stripe has at least
ALIKE = 3  # of nine pixels that have to be of one paint where it is thin


@dataclass(frozen=True, slots=True, eq=False)
class Visible:
    """`numbers` (rows, columns) int8: the paint that is seen or shines through, -1 where none is;
    `sound`: it is paint and no wear; `core`: far from borders and damage; `shares` float32: of a
    mixture, how much is the paint that it is numbered for (1 in cores).
    """

    numbers: Numbers
    sound: Bools
    core: Bools
    shares: Floats


def visible(picture: FacePicture, light: Light, colours: int, noise: float) -> Visible:
    """What is seen of the first `colours` paints of `light`; the others are no paint."""
    paint, deviation = _reflected(picture, light, noise)
    smooth = np.stack([_mean_of_nine(plane) for plane in paint])
    tried = [at for at in range(len(light.paints)) if light.cells[at] > 0 or at < colours]
    paints = Paints(light.paints, colours)
    numbers = _cores(smooth, deviation, paints, tried, picture.seen)
    core = numbers >= 0
    shares, sound = core.astype(np.float32), core.copy()
    flat = (paint.reshape(3, -1), smooth.reshape(3, -1), deviation.ravel())
    out = (numbers.ravel(), sound.ravel(), shares.ravel())
    rest = np.flatnonzero((picture.seen & ~core).ravel())
    mixed(flat, rest, _near(numbers, rest, REACH), paints, out)
    thin = _thin(flat, paints, numbers, rest[~sound.ravel()[rest]])
    sound |= thin
    shares[thin] = 1
    rest = np.flatnonzero((picture.seen & ~sound).ravel())
    thin |= _faint(flat, paints, (numbers, shares), (rest, _near(numbers, rest, REACH)))
    sound |= thin
    # once more for what may be a mixture with a thin one
    rest = np.flatnonzero((picture.seen & ~sound).ravel())
    rest = rest[_near(np.where(thin, numbers, np.int8(-1)), rest, 1) > 0]
    mixed(flat, rest, _near(np.where(core | thin, numbers, np.int8(-1)), rest, REACH), paints, out)
    return Visible(numbers, sound, core, shares)


def _reflected(picture: FacePicture, light: Light, noise: float) -> tuple[Floats, Floats]:
    """What each pixel would be under even light, in planes, and the deviation of its noise then."""
    rows, columns = picture.seen.shape
    paint = np.empty((3, rows, columns), dtype=np.float32)
    deviation = np.empty((rows, columns), dtype=np.float32)
    u, v = along(columns), along(rows)
    for top in range(0, rows, ROWS):
        part = slice(top, top + ROWS)
        bright = np.zeros_like(deviation[part])
        gains = np.zeros_like(bright)
        for band in range(3):
            gain, haze = light.fields(band, u, v[part])
            np.maximum(gain, np.float32(DIM), out=gain)
            there = picture.light[part, :, band]
            paint[band, part] = (there - haze) / gain
            bright += there
            gains += gain
        deviation[part] = np.float32(3 * noise) * np.sqrt(bright / 3 + np.float32(0.2)) / gains
    return paint, deviation


def _mean_of_nine(plane: Floats) -> Floats:
    """The mean of each pixel and its eight neighbours; the rim counts itself again."""
    padded = np.pad(plane, 1, mode="edge")
    rows = padded[:-2] + padded[1:-1]
    rows += padded[2:]
    mean = rows[:, :-2] + rows[:, 1:-1]
    mean += rows[:, 2:]
    mean *= np.float32(1 / 9)
    return mean


def _cores(
    smooth: Floats, deviation: Floats, paints: Paints, tried: list[int], seen: Bools
) -> Numbers:
    """The paint of every pixel that is near one in colour and amid pixels like it, else -1."""
    numbers = np.full(seen.shape, -1, dtype=np.int8)
    for top in range(0, len(seen), ROWS):
        part = slice(top, top + ROWS)
        here = smooth[:, part]
        # of the mean of nine: less than a third of the noise would be left if each had its own
        spread = deviation[part] * np.float32(0.5)
        best = np.full(spread.shape, CORE**2, dtype=np.float32)
        which = np.full(spread.shape, -1, dtype=np.int8)
        for at in tried:
            far = paints.away(here, at)
            far /= room(spread, paints.brightness[at])
            closer = far < best
            np.copyto(best, far, where=closer)
            which[closer] = at
        which[(which >= paints.colours) | ~seen[part]] = -1
        numbers[part] = which
    return _opened(numbers)


def _opened(numbers: Numbers) -> Numbers:
    """Only what is in a square of three by three pixels of one number."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    least = ndimage.minimum_filter(numbers, 3, mode="nearest")
    most = ndimage.maximum_filter(numbers, 3, mode="nearest")
    middle = np.where(least == most, numbers, np.int8(-1))
    kept = ndimage.maximum_filter(middle, 3, mode="nearest")
    return np.where(kept == numbers, numbers, np.int8(-1))


def _near(numbers: Numbers, asked: NDArray[np.int64], reach: int) -> Bits:
    """Which paints are within `reach` pairs of pixels of each pixel `asked`: a bit each."""
    high, wide = ((size + 1) // 2 for size in numbers.shape)
    padded = np.full((2 * high, 2 * wide), -1, dtype=np.int8)
    padded[: numbers.shape[0], : numbers.shape[1]] = numbers
    bit = np.append(np.uint32(1) << np.arange(31, dtype=np.uint32), np.uint32(0))
    bits = bit[padded[::2, ::2]] | bit[padded[1::2, ::2]]
    bits |= bit[padded[::2, 1::2]] | bit[padded[1::2, 1::2]]
    for _ in range(reach):
        wider = bits.copy()
        wider[1:] |= bits[:-1]
        wider[:-1] |= bits[1:]
        bits = wider.copy()
        bits[:, 1:] |= wider[:, :-1]
        bits[:, :-1] |= wider[:, 1:]
    rows, columns = np.divmod(asked, numbers.shape[1])
    found: Bits = bits[rows // 2, columns // 2]
    return found


def _present(numbers: Numbers) -> list[int]:
    """The paints that there are."""
    count = np.bincount(numbers.ravel().view(np.uint8), minlength=256)
    found: list[int] = np.flatnonzero(count[:128]).tolist()
    return found


def _thin(
    flat: tuple[Floats, Floats, Floats], paints: Paints, numbers: Numbers, rest: NDArray[np.int64]
) -> Bools:
    """Pixels that are a paint and beside two more of it, though there is no room for a core."""
    light, spread = flat[0][:, rest], flat[2][rest]
    best = np.full(len(rest), CORE**2, dtype=np.float32)
    which = np.full(len(rest), -1, dtype=np.int8)
    present = _present(numbers)
    for at in range(len(paints.light)):
        if at < paints.colours and at not in present:
            continue
        far = paints.away(light, at) / room(spread, paints.brightness[at])
        closer = far < best
        best[closer] = far[closer]
        which[closer] = at
    which[which >= paints.colours] = -1
    sheet = np.full((numbers.shape[0] + 2, numbers.shape[1] + 2), -1, dtype=np.int8)
    middle = sheet[1:-1, 1:-1]
    middle[np.divmod(rest, numbers.shape[1])] = which
    count = np.zeros(numbers.shape, dtype=np.uint8)
    for down in range(3):
        for over in range(3):
            near = sheet[down : down + numbers.shape[0], over : over + numbers.shape[1]]
            count += near == middle
    found: Bools = (middle >= 0) & (count > ALIKE)
    numbers[found] = middle[found]
    return found


def _faint(
    flat: tuple[Floats, Floats, Floats],
    paints: Paints,
    out: tuple[Numbers, Floats],
    asked: tuple[NDArray[np.int64], Bits],
) -> Bools:
    """Pixels of faint stripes among those `asked` that have the paints of these bits near; numbers
    and shares of `out` are set there.
    """
    from scipy import ndimage  # noqa: PLC0415  slow to import

    (numbers, shares), (rest, bits) = out, asked
    found = np.zeros(numbers.shape, dtype=bool)
    which = np.full(len(rest), -1, dtype=np.int8)
    share = np.zeros(len(rest), dtype=np.float32)
    present = _present(numbers)
    pale = [at for at in present if MOSTLY * paints.brightness[at] > WOODEN]
    dark = [at for at in present if paints.brightness[at] < DARK]
    for beside in present if pale or dark else []:
        mine = np.flatnonzero(bits & np.uint32(1 << beside))
        light, spread = flat[1][:, rest[mine]], flat[2][rest[mine]]
        best = np.full(len(mine), CORE**2, dtype=np.float32)
        for wood in range(paints.colours, len(paints.light)):
            bright = max(paints.brightness[beside], paints.brightness[wood])
            _, far = paints.between(light, beside, wood)
            np.minimum(best, far / room(spread, bright) - 1, out=best)
        shade = np.sqrt((light * light).mean(axis=0))
        for at in [*pale, *dark]:
            bright = max(paints.brightness[beside], paints.brightness[at])
            part, far = paints.between(light, beside, at)
            far /= room(spread, bright)
            closer = (far < best) & (part >= MOSTLY) & (bits[mine] & np.uint32(1 << at) == 0)
            if at in dark:
                closer &= shade < SHADED
            best[closer] = far[closer]
            which[mine[closer]], share[mine[closer]] = at, part[closer]
    kept = np.flatnonzero(which >= 0)
    if not len(kept):
        return found
    found.ravel()[rest[kept]] = True
    own, _ = ndimage.label(found)
    size = np.bincount(own.ravel())
    kept = kept[size[own.ravel()[rest[kept]]] >= STRIPE]
    found[:] = False
    found.ravel()[rest[kept]] = True
    numbers.ravel()[rest[kept]], shares.ravel()[rest[kept]] = which[kept], share[kept]
    return found
