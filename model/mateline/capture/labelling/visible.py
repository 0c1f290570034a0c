"""Where paint can be seen, and which: every pixel by itself and its nearest neighbours.

Stands after light, before what fills the rest.

    core     a pixel amid others of one paint: its colour is that paint's and does not change there
    mixture  a pixel near cores of two paints whose colour is between them: the border runs through
             it. The mean of cream and navy is grey primer, so mixtures are asked for before damage
    damage   neither. Near a core it may be paint worn through, between a paint and the wood
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.labelling.cells import along

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.face_picture import FacePicture
    from mateline.capture.labelling.light import Light

    Floats = NDArray[np.float32]
    Bools = NDArray[np.bool_]

ROWS = 256  # taken at a time
DIM = 0.05  # gain below which nothing can be told
OFF = 0.03  # share of a paint by which its light may be off what the smooth fields say
LEAST = 0.006  # linear light: the same for the darkest
CORE, MIXED = 3.0, 4.5  # deviations: how far from a paint a core, or from two a mixture, may be
REACH = 5  # px: how far from a core its paint may mix with another
WORN = 0.6  # share of wood beyond which nothing is read from what is left of the paint


@dataclass(frozen=True, slots=True, eq=False)
class Visible:
    """`numbers` (rows, columns) int8: the paint that is seen, -1 where none; `sound`: it is paint
    and no wear; `core`: far from borders and damage; `shares` float32: of a mixture, how much is
    the paint that it is numbered for (1 in cores).
    """

    numbers: NDArray[np.int8]
    sound: Bools
    core: Bools
    shares: Floats
    paint: Floats


def visible(picture: FacePicture, light: Light, colours: int, noise: float) -> Visible:
    """What is seen of the first `colours` paints of `light`; the others are no paint."""
    from scipy import ndimage

    paint, deviation = _reflected(picture, light, noise)
    smooth = np.empty_like(paint)
    for band in range(3):
        ndimage.uniform_filter(paint[..., band], 3, output=smooth[..., band], mode="nearest")
    numbers = _cores(smooth, deviation, light.paints, colours, light.cells, picture.seen)
    numbers = _opened(numbers)
    core = numbers >= 0
    shares = core.astype(np.float32)
    sound = core.copy()
    pixels = (paint.reshape(-1, 3), smooth.reshape(-1, 3), deviation.ravel())
    known = (light.paints, colours)
    out = (numbers.ravel(), sound.ravel(), shares.ravel())
    rest = np.flatnonzero(picture.seen.ravel() & ~core.ravel())
    _mixtures(pixels, (rest, _near(numbers, REACH).ravel()[rest]), known, out)
    # what is too thin for a core, and then what is a mixture with that
    thin = _thin(pixels, known, numbers, sound, rest[~sound.ravel()[rest]])
    sound |= thin
    shares[thin] = 1
    anchors = np.where(core | thin, numbers, np.int8(-1))
    again = np.flatnonzero((picture.seen & ~sound).ravel())
    bits = _near(np.where(thin, numbers, np.int8(-1)), 2).ravel()[again]
    again = again[bits > 0]
    _mixtures(pixels, (again, _near(anchors, REACH).ravel()[again]), known, out)
    return Visible(numbers, sound, core, shares, paint)


def _thin(pixels, known, numbers, sound, rest):  # type: ignore[no-untyped-def]
    """Pixels that are a paint and beside two more of it, though there is no room for a core."""
    from scipy import ndimage

    paint, _, deviation = pixels
    paints, colours = known
    best = np.full(len(rest), np.inf, dtype=np.float32)
    which = np.full(len(rest), -1, dtype=np.int8)
    present = set(np.unique(numbers).tolist())
    for at in range(len(paints)):
        if at < colours and at not in present:
            continue
        far = ((paint[rest] - paints[at].astype(np.float32)) ** 2).sum(axis=1)
        far /= _room(deviation[rest], paints[at])
        closer = far < best
        best[closer] = far[closer]
        which[closer] = at
    which[(best > CORE**2) | (which >= colours)] = -1
    room = np.full(numbers.shape, -1, dtype=np.int8)
    room.ravel()[rest] = which
    found = np.zeros(numbers.shape, dtype=bool)
    for at in np.unique(which[which >= 0]):
        mine = room == at
        count = ndimage.uniform_filter(mine.astype(np.float32), 3, mode="constant")
        kept = mine & (count > 3.5 / 9)
        numbers[kept] = at
        found |= kept
    return found


def _reflected(picture: FacePicture, light: Light, noise: float) -> tuple[Floats, Floats]:
    """What each pixel would be under even light, and the deviation of its noise then."""
    rows, columns = picture.seen.shape
    paint = np.empty_like(picture.light)
    deviation = np.empty((rows, columns), dtype=np.float32)
    u, v = along(columns), along(rows)
    for top in range(0, rows, ROWS):
        part = slice(top, top + ROWS)
        gain, haze = light.fields(u, v[part])
        np.maximum(gain, DIM, out=gain)
        paint[part] = (picture.light[part] - haze) / gain
        bright = picture.light[part].mean(axis=2) + np.float32(0.2)
        deviation[part] = np.float32(noise) * np.sqrt(bright) / gain.mean(axis=2)
    return paint, deviation


def _cores(
    smooth: Floats, deviation: Floats, paints: NDArray[np.float64], colours: int,
    cells: NDArray[np.int64], seen: Bools,
) -> NDArray[np.int8]:  # fmt: skip
    """The paint of every pixel that is near one in colour and amid pixels like it, else -1."""
    numbers = np.full(seen.shape, -1, dtype=np.int8)
    rows = len(seen)
    tried = [at for at in range(len(paints)) if cells[at] > 0 or at < colours]
    for top in range(0, rows, ROWS):
        part = slice(top, min(rows, top + ROWS))
        here = smooth[part]
        best = np.full(seen[part].shape, np.inf, dtype=np.float32)
        which = np.full(seen[part].shape, -1, dtype=np.int8)
        for at in tried:
            far = ((here - paints[at].astype(np.float32)) ** 2).sum(axis=2)
            room = _room(deviation[part] / 2, paints[at])
            far /= room
            closer = far < best
            best[closer] = far[closer]
            which[closer] = at
        which[(best > CORE**2) | (which >= colours) | ~seen[part]] = -1
        numbers[part] = which
    return numbers


def _room(deviation: Floats, paint: NDArray[np.float64]) -> Floats:
    """The square of one deviation of a pixel of this paint."""
    light = np.float32((OFF * float(np.sqrt((paint**2).mean()))) ** 2 + LEAST**2)
    room: Floats = deviation**2 + light
    return room


def _opened(numbers: NDArray[np.int8]) -> NDArray[np.int8]:
    """Only what is in a square of three by three pixels of one number."""
    from scipy import ndimage

    least = ndimage.minimum_filter(numbers, 3, mode="nearest")
    most = ndimage.maximum_filter(numbers, 3, mode="nearest")
    middle = np.where(least == most, numbers, np.int8(-1))
    kept = ndimage.maximum_filter(middle, 3, mode="nearest")
    return np.where(kept == numbers, numbers, np.int8(-1))


def _near(numbers: NDArray[np.int8], reach: int) -> NDArray[np.uint32]:
    """Which paints have a core within a square of `reach` pixels around: a bit each."""
    bits = np.where(numbers >= 0, np.uint32(1) << numbers.astype(np.uint32), np.uint32(0))
    for _ in range(reach):
        for axis in (0, 1):
            there = np.moveaxis(bits, axis, 0)
            wide = there.copy()
            wide[1:] |= there[:-1]
            wide[:-1] |= there[1:]
            there[...] = wide
    return bits


def _mixtures(pixels, rest, known, out) -> None:  # type: ignore[no-untyped-def]
    paint, smooth, deviation = pixels
    at, bits = rest
    paints, colours = known
    numbers, sound, shares = out
    raw = paint[at]
    spread = deviation[at]
    best = np.full(len(at), np.inf, dtype=np.float32)
    number = np.full(len(at), -1, dtype=np.int8)
    share = np.zeros(len(at), dtype=np.float32)
    fine = np.zeros(len(at), dtype=bool)
    tone = paints.astype(np.float32)
    for k in range(colours):
        mine = np.flatnonzero(bits & (1 << k))
        far = ((raw[mine] - tone[k]) ** 2).sum(axis=1) / _room(spread[mine], paints[k])
        closer = far < best[mine]
        best[mine[closer]] = far[closer]
        number[mine[closer]] = k
        share[mine[closer]] = 1
    for a, b in combinations(range(colours), 2):
        both = np.uint32((1 << a) | (1 << b))
        mine = np.flatnonzero((bits & both) == both)
        if not len(mine):
            continue
        way = tone[b] - tone[a]
        length = (way**2).sum()
        weak = spread[mine] > 0.1 * np.sqrt(length)
        light = np.where(weak[:, None], smooth[at[mine]], raw[mine])
        part = np.clip(((light - tone[a]) @ way) / length, 0, 1)
        off = ((light - tone[a] - part[:, None] * way) ** 2).sum(axis=1)
        off /= _room(spread[mine], np.maximum(paints[a], paints[b]))
        # a mixture explains more than one paint does, so it has to explain it better
        closer = off + 1 < best[mine]
        best[mine[closer]] = off[closer]
        number[mine[closer]] = np.where(part[closer] > 0.5, b, a)
        share[mine[closer]] = np.maximum(part, 1 - part)[closer]
    fine = best < MIXED**2
    worn = np.flatnonzero(~fine)
    number[worn] = -1
    share[worn] = 0
    _worn(raw, spread, bits, worn, (tone, colours), (number, share))
    numbers[at] = number
    sound[at] = fine
    shares[at] = share


def _worn(raw, spread, bits, worn, known, out) -> None:  # type: ignore[no-untyped-def]
    """What is left of a paint that is worn through: it lies between the paint and a wood."""
    tone, colours = known
    number, share = out
    best = np.full(len(worn), MIXED**2, dtype=np.float32)
    for k in range(colours):
        mine = np.flatnonzero(bits[worn] & (1 << k))
        for other in range(colours, len(tone)):
            way = tone[other] - tone[k]
            length = max(float((way**2).sum()), 1e-6)
            light = raw[worn[mine]]
            part = np.clip(((light - tone[k]) @ way) / length, 0, 1)
            off = ((light - tone[k] - part[:, None] * way) ** 2).sum(axis=1)
            off /= _room(spread[worn[mine]], np.maximum(tone[k], tone[other]).astype(np.float64))
            closer = (off < best[mine]) & (part < WORN)
            best[mine[closer]] = off[closer]
            number[worn[mine[closer]]] = k
            share[worn[mine[closer]]] = 1 - part[closer]
