"""The light that fell on a face, and the paints as they are under it, found together.

Stands after surfaces and cells.

    light of a pixel = gain(x, y) * paint + haze(x, y), each band for itself

Light falls off and has a tint: that multiplies. A veil on the lens and glare on the varnish add,
and on dark paint they are all there is; so a gain alone, however bent, makes evening light worse.
Gain and haze are polynomials, fitted to cells of plain colour by least squares that forgets cells
which no paint explains (wood, primer), in turns with which paint each cell is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.labelling.cells import flat_cells
from mateline.capture.labelling.surfaces import basis, least, powers, spread

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from mateline.capture.labelling.cells import Cells

    Floats = NDArray[np.float64]
    Round = tuple[int, int, float, float, bool]

DEGREE = 3  # of gain and of haze at the end; they begin with 0
EXPOSURES = (0.35, 0.5, 0.7, 0.95)
TINTS = ((1.0, 1.0, 1.0), (1.0, 0.84, 0.62), (0.9, 1.0, 0.85))
HAZES = (0.0, 0.04, 0.12)
FEW, MANY = 800, 12000  # cells that starts are tried on, and that the light is fitted to
#  rounds: (degree of gain, of haze, share by which brightness may be off, residual that is noise,
#  whether paints may leave the palette)
FIRST = (
    (0, 0, 0.35, 0.03, False), (0, 0, 0.3, 0.02, False), (1, 0, 0.2, 0.015, False),
    (1, 0, 0.15, 0.012, False), (2, 1, 0.1, 0.012, False), (2, 1, 0.08, 0.012, False),
)  # fmt: skip
LAST = (
    (2, 1, 0.08, 0.02, True), (3, 2, 0.05, 0.015, True), (3, 2, 0.04, 0.012, True),
    (3, 2, 0.03, 0.012, True), (3, 2, 0.03, 0.012, True), (3, 2, 0.03, 0.012, True),
)  # fmt: skip
FAR = 3.0  # residuals: what is further from every paint is none of them
HELD = 0.004  # share of all cells: how much the palette's own colour weighs in a paint
BENT = 2e-5  # share of all cells: how much an even light weighs
OTHERS = 3  # colours that no paint has: wood, primer, filler
OTHER = 0.004  # share of all cells that one of them has
FADED = 0.15  # linear light: how far from the palette a paint may be
FADING = 0.1  # cells of a paint as it is in the palette for each of it faded: more, and it is there
FLAT_PAINT = 0.25  # share of the cells of a colour that are flat: less, and it is wood
BRIGHTER = 0.2  # share by which a paint's light may be off what the smooth fields say, in places
ALIKE = 0.06  # the same of what was found to be no paint, where the light is known
SAME = 0.05  # linear light, and share of it: how far its colour may be
RARE, MANY_SMALL = 60, 600  # cells of a paint: fewer, and small ones are taken; so many at most
THERE = (0.15, 0.012)  # share by which brightness may be off, and residual, of small ones
NEAR = 0.08  # linear light: how far cells of one of them are from its middle


@dataclass(frozen=True, slots=True, eq=False)
class Light:
    """`gain` and `haze` are coefficients (3, members) of degree DEGREE; `paints`
    (colours, 3) linear, the palette's first and then the others; `cells`: how many of plain colour
    each has.
    """

    gain: Floats
    haze: Floats
    paints: Floats
    cells: NDArray[np.int64]

    def fields(
        self, band: int, u: Floats, v: Floats
    ) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """Gain and haze of one band on rows `v` and columns `u`, (v, u) each."""
        return spread(self.gain[band], DEGREE, u, v), spread(self.haze[band], DEGREE, u, v)


def light_of(
    cells: Cells,
    palette: Floats,
    others: Floats | None = None,
    *,
    small: Callable[[], Cells] | None = None,
    met: bool = False,
) -> Light:
    """The light and the paints that explain most cells, from `palette` (colours, 3), linear.

    `others` (n, 3) are the colours of wood and primer where somebody knows them. `met`: the palette
    is as it was met in this picture, so that light of 1 and no haze is where to begin. `small`
    gives cells for paints that are in narrow stripes only, if there are any.
    """
    flat = flat_cells(cells).ravel()[cells.at]
    every = np.arange(0, len(cells.light), max(1, len(cells.light) // MANY))
    cells, flat = cells.rows(every), flat[every]
    few = cells.rows(np.arange(0, len(cells.light), max(1, len(cells.light) // FEW)))
    known = palette if others is None else np.vstack([palette, others])
    starts = [(1.0, TINTS[0], 0.0)] if met else product(EXPOSURES, TINTS, HAZES)
    tried = (_tried(few, _start(known, *each)) for each in starts)
    found, _ = min(tried, key=lambda each: each[1])
    found = _turns(cells, found, known, FIRST)
    if others is None:
        known = _with_others(cells, found, palette, flat)
        found = replace(found, paints=known)
    if small is not None:
        cells = _with_small(cells, small, found, len(palette))
    found = _turns(cells, found, known, LAST)
    if others is None:
        found = _without_paints(found, len(palette))
    return _level(found, palette)


def _turns(cells: Cells, light: Light, known: Floats, rounds: tuple[Round, ...]) -> Light:
    for gain, haze, loose, noise, free in rounds:
        numbers, weights = _assigned(cells, light, loose, noise)
        light = _lit(cells, light, numbers, weights, (gain, haze))
        if free:
            light = _painted(cells, light, known, numbers, weights)
    return light


def _with_small(cells: Cells, small: Callable[[], Cells], light: Light, colours: int) -> Cells:
    """The cells, with small ones of the paints that hardly any cell has: an outline of three
    millimetres has room for no other, and what the light does to it would be guessed.
    """
    numbers, weights = _assigned(cells, light, *THERE)
    rare = np.bincount(numbers[weights > 0], minlength=len(light.paints)) < RARE
    rare[colours:] = False
    if not rare.any():
        return cells
    others = small()
    numbers, weights = _assigned(others, light, *THERE)
    more = np.flatnonzero(rare[numbers] & (weights > 0))
    return cells.and_rows(others, more[:: max(1, len(more) // MANY_SMALL)])


def _with_others(cells: Cells, light: Light, palette: Floats, flat: NDArray[np.bool_]) -> Floats:
    """The palette, and colours that many cells have and no paint. Where one of those is flat and
    near a paint that no cell has, it is that paint, faded.
    """
    gain = basis(cells.u, cells.v, DEGREE) @ light.gain.T
    haze = basis(cells.u, cells.v, DEGREE) @ light.haze.T
    numbers, weights = _assigned(cells, light, 0.05, 0.01)
    counts = np.bincount(numbers[weights > 0], minlength=len(palette))
    none = weights == 0
    left = np.round((cells.light - haze) / np.maximum(gain, 0.05), 6)[none]
    flat = flat[none]
    known = palette.copy()
    others: list[Floats] = []
    while len(others) < OTHERS and len(left) > OTHER * len(cells.light):
        box, many = np.unique(np.floor(left / NEAR), axis=0, return_counts=True)
        middle = (box[many.argmax()] + 0.5) * NEAR
        for _ in range(6):
            near = np.abs(left - middle).max(axis=1) < NEAR
            middle = np.median(left[near], axis=0) if near.any() else middle
        if near.sum() < OTHER * len(cells.light):
            break
        away = np.abs(palette - middle).max(axis=1)
        away[counts > FADING * near.sum()] = np.inf
        if flat[near].mean() <= FLAT_PAINT:
            others.append(middle)
        elif away.min() < FADED:
            known[int(away.argmin())] = middle
        elif not _brighter(middle, light.paints, BRIGHTER):
            others.append(middle)
        kept = np.abs(left - middle).max(axis=1) > 1.5 * NEAR
        left, flat = left[kept], flat[kept]
    return np.vstack([known, *others])


def _brighter(tone: Floats, paints: Floats, share: float) -> bool:
    """Whether a colour is one of the paints, brighter or darker by a share at most, as light may
    be that no smooth field follows: a shadow, or what a phone makes of it.
    """
    times = (paints @ tone) / np.maximum((paints**2).sum(axis=1), 1e-9)
    off = np.sqrt(((tone - times[:, None] * paints) ** 2).sum(axis=1)) / np.hypot(
        SAME, SAME * np.sqrt((tone**2).sum())
    )
    return bool(((np.abs(times - 1) < share) & (off < 1)).any())


def _without_paints(light: Light, colours: int) -> Light:
    """The light without those of the other colours that came to look like a paint."""
    paints = light.paints[:colours][light.cells[:colours] > 0]
    kept = [
        at for at, tone in enumerate(light.paints)
        if at < colours or not _brighter(tone, paints, ALIKE)
    ]  # fmt: skip
    return replace(light, paints=light.paints[kept], cells=light.cells[kept])


def _level(light: Light, palette: Floats) -> Light:
    """The same light told so that the paints come near the palette: paints p as scale p + shift,
    with gain / scale and haze - gain shift / scale, give the same picture.
    """
    seen = np.flatnonzero(light.cells[: len(palette)] > 0)
    gain, haze, paints = light.gain.copy(), light.haze.copy(), light.paints.copy()
    for band in range(3):
        x, y = light.paints[seen, band], palette[seen, band]
        prior = np.array([0.01, 0.01])
        design = np.column_stack([x, np.ones(len(x))])
        scale, shift = least(design, y, np.ones(len(x)), prior, np.array([1.0, 0.0]))
        scale = max(scale, 0.5)
        paints[:, band] = scale * paints[:, band] + shift
        gain[band] = gain[band] / scale
        haze[band] = haze[band] - gain[band] * shift
    paints[: len(palette)][light.cells[: len(palette)] == 0] = palette[
        light.cells[: len(palette)] == 0
    ]
    return replace(light, gain=gain.round(7), haze=haze.round(7), paints=paints.round(7))


def _start(palette: Floats, exposure: float, tint: tuple[float, ...], haze: float) -> Light:
    gain, veil = np.zeros((3, len(powers(DEGREE)))), np.zeros((3, len(powers(DEGREE))))
    gain[:, 0], veil[:, 0] = exposure * np.array(tint), haze
    return Light(gain, veil, palette, np.zeros(len(palette), dtype=np.int64))


def _tried(cells: Cells, light: Light) -> tuple[Light, float]:
    """The light after some turns of fitting from a start, and how badly the paints then explain
    the cells. What goes on is the light that was found: many starts lead to one, and to go on from
    any of them could lose a paint again.
    """
    loose, noise = 0.35, 0.03
    for _ in range(3):
        numbers, weights = _assigned(cells, light, loose, noise)
        light = _lit(cells, light, numbers, weights, (1, 0))
    far = _distances(cells, light, 0.1, noise).min(axis=1)
    return light, round(float(np.minimum(far, FAR**2).mean()), 4)


def _expected(cells: Cells, light: Light) -> Floats:
    """Light of each cell if it were each paint: (cells, colours, 3)."""
    gain = basis(cells.u, cells.v, DEGREE) @ light.gain.T
    haze = basis(cells.u, cells.v, DEGREE) @ light.haze.T
    expected: Floats = gain[:, None] * light.paints[None] + haze[:, None]
    return expected


def _distances(cells: Cells, light: Light, loose: float, noise: float) -> Floats:
    """Squared distances (cells, colours) in units of `noise`, where brightness may be off by the
    share `loose`: the covariance is noise² I + loose² m m', whose inverse is worked out by hand
    (Sherman and Morrison).
    """
    expected = _expected(cells, light)
    off = cells.light[:, None] - expected
    bright = (expected**2).sum(axis=2)
    along = (off * expected).sum(axis=2)
    room = noise**2 + loose**2 * bright
    squared = (off**2).sum(axis=2) - loose**2 * along**2 / room
    values: Floats = squared / noise**2 + np.log(room / noise**2)
    return values


def _assigned(
    cells: Cells, light: Light, loose: float, noise: float
) -> tuple[NDArray[np.int64], Floats]:
    """Which paint each cell is, and how much it counts: less the further it is from it."""
    far = np.round(_distances(cells, light, loose, noise), 6)
    numbers = far.argmin(axis=1)
    nearest = np.maximum(far[np.arange(len(far)), numbers], 0.0)
    return numbers, np.maximum(1 - nearest / (2 * FAR**2), 0.0) ** 2


def _lit(
    cells: Cells,
    light: Light,
    numbers: NDArray[np.int64],
    weights: Floats,
    degrees: tuple[int, int],
) -> Light:
    """Gain and haze of these degrees for the paints as they are. Each paint counts alike for each
    root of its cells, or the haze would be read off the largest field alone.
    """
    counts = np.bincount(numbers, weights, minlength=len(light.paints))
    weights = weights / np.sqrt(np.maximum(counts, 1))[numbers]
    for_gain = basis(cells.u, cells.v, degrees[0])
    for_haze = basis(cells.u, cells.v, degrees[1])
    members = for_gain.shape[1]
    gain, haze = np.zeros_like(light.gain), np.zeros_like(light.haze)
    prior = (BENT * weights.sum() + 1e-9) * np.ones(members + for_haze.shape[1])
    for band in range(3):
        design = np.hstack([for_gain * light.paints[numbers, band][:, None], for_haze])
        towards = np.zeros(design.shape[1])
        solved = least(design, cells.light[:, band], weights, prior, towards)
        gain[band, :members] = solved[:members]
        haze[band, : for_haze.shape[1]] = solved[members:]
    return replace(light, gain=gain, haze=haze)


def _painted(
    cells: Cells, light: Light, palette: Floats, numbers: NDArray[np.int64], weights: Floats
) -> Light:
    """Each paint for the light as it is, held a little to what the palette says."""
    gain = basis(cells.u, cells.v, DEGREE) @ light.gain.T
    haze = basis(cells.u, cells.v, DEGREE) @ light.haze.T
    paints = np.empty_like(palette)
    colours = len(palette)
    held = HELD * weights.sum() + 1e-9
    for band in range(3):
        pull = weights * gain[:, band]
        above = np.bincount(numbers, pull * (cells.light[:, band] - haze[:, band]), colours)
        below = np.bincount(numbers, pull * gain[:, band], colours)
        even = max(float(np.median(gain[:, band])) ** 2, 1e-4)
        paints[:, band] = (above + held * even * palette[:, band]) / (below + held * even)
    counts = np.bincount(numbers[weights > 0.25], minlength=colours)
    return replace(light, paints=np.clip(paints, 0, None).round(7), cells=counts)
