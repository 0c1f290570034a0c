r"""Where the edges of a board are in a photo, to a small share of a pixel.

Stands after splines and views, before the adjustment. At places a few pixels apart along each
edge, the light across it is compared with a step blurred as the photo is; the step is moved until
it fits. Nothing is taken for the edge that is no step, or lies at the rim of what was looked at.

    wall ----+            a + b erf((s - at) / (sqrt 2 blur)), for each band its own a and b
              \
               +---- board     s: px along the normal, outwards
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.picture import encoded
from mateline.capture.squaring.outline import places_on
from mateline.capture.squaring.splines import inside, values_at
from mateline.capture.squaring.view import pixels_of
from mateline.products import product

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.squaring.outline import Outline
    from mateline.capture.squaring.splines import Splined
    from mateline.capture.squaring.view import View

    Floats = NDArray[np.float64]

SPACING = 4.0  # px between places along an edge, and as much light is taken together
MOST = 900  # places along an edge
ROUGHLY = 120  # of them where an edge is still looked for far off
ALONG = 3  # light is taken at this many places of each spacing
STEP = 0.5  # px between places along a normal
WINDOW = 2.5  # px, and as many times the blur: what a step is compared with on either side of it
FROM_CORNER = 8.0  # px from a corner nearer than which no place is taken: the next edge is there
POLISHED = 3  # rounds of moving a step by its slope
WORST_FIT = 0.25  # share of the light's variance that a step may leave
LEAST_STEP = 6.0  # times its own uncertainty that a step must be high
BLURS = (0.5, 0.65, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.2, 4.0, 5.0)  # px: sigmas that are tried
SOME = 24  # places of an edge that the blur is told by
ALIKE = 32  # places of an edge that are as rough as one another, because they look alike
LEAST_DEVIATION = 0.01  # px: no place is known better


@dataclass(frozen=True, slots=True, eq=False)
class EdgePlaces:
    """Places on one edge: `shares` (m,) of the way along it, `pixels` (m, 2) where the photo has
    it, `normals` (m, 2) outwards in the picture, `deviations` (m,) px along them. `alike` (m, k)
    has for each place those of the edge, itself among them, whose board looks most like its own.
    """

    edge: int
    looked_at: int
    shares: Floats
    pixels: Floats
    normals: Floats
    deviations: Floats
    alike: NDArray[np.intp]

    def __len__(self) -> int:
        return len(self.shares)


@dataclass(frozen=True, slots=True)
class Search:
    """Steps of a `blur` (px, sigma) are looked for within `reach` px, at `most` places an edge."""

    reach: float
    blur: float
    most: int = MOST


def edge_places(
    picture: Splined,
    outline: Outline,
    corners: Floats,
    view: View,
    search: Search,
) -> tuple[EdgePlaces, ...]:
    """Places of every edge, looked for near where `view` has it."""
    return tuple(
        _of_edge(
            picture, _lines(picture, outline, corners, view, edge, search.most), search.reach,
            search.blur,
        )
        for edge in range(len(outline))
    )  # fmt: skip


def blur_of(picture: Splined, outline: Outline, corners: Floats, view: View, reach: float) -> float:
    """The photo's blur at the edges, sigma in px: the one that leaves least of the light over."""
    profiles = []
    for edge in range(len(outline)):
        lines = _lines(picture, outline, corners, view, edge, SOME)
        if len(lines.shares):
            profiles.append(_profiles(picture, lines, reach + WINDOW + 2.5 * BLURS[-1]))
    if not profiles:
        return BLURS[2]
    light = np.vstack(profiles)
    left = []
    for blur in BLURS:
        # the same light is looked at whatever the blur, or the sharpest would see least of it
        step = _fitted(light, reach, blur, WINDOW * 2)
        left.append(np.where(step.high > 0, step.fit, 1.0))
    best = np.argmin(np.array(left), axis=0)
    least = np.min(np.array(left), axis=0)
    clear = best[least < WORST_FIT / 4]
    if not len(clear):
        clear = best
    return BLURS[int(np.sort(clear)[len(clear) // 2])]


@dataclass(frozen=True, slots=True, eq=False)
class _Lines:
    """Lines across one edge: shares (m,) along it, middles (m, 2), normals and ways along it."""

    edge: int
    shares: Floats
    middles: Floats
    normals: Floats
    ways: Floats
    spacing: float


def _lines(
    picture: Splined, outline: Outline, corners: Floats, view: View, edge: int, most: int
) -> _Lines:
    ends = pixels_of(view, places_on(outline, corners, edge, np.linspace(0, 1, 9)))
    long = float(np.hypot(*(ends[1:] - ends[:-1]).T).sum())
    count = int(min(most, (long - 2 * FROM_CORNER) / SPACING))
    if count < 3:
        nothing = np.zeros((0, 2))
        return _Lines(edge, np.zeros(0), nothing, nothing, nothing, SPACING)
    rim = FROM_CORNER / long
    shares = rim + (1 - 2 * rim) * (np.arange(count) + 0.5) / count
    middles = pixels_of(view, places_on(outline, corners, edge, shares))
    ahead = pixels_of(view, places_on(outline, corners, edge, shares + 1e-4))
    ways = ahead - middles
    ways = ways / np.hypot(ways[:, 0], ways[:, 1])[:, None]
    # Seen from the front, outside is to the right of the way round; rows run down.
    normals = np.column_stack([-ways[:, 1], ways[:, 0]])
    kept = inside(picture, middles, 2.0)
    spacing = max(SPACING, (long - 2 * FROM_CORNER) / count)
    return _Lines(edge, shares[kept], middles[kept], normals[kept], ways[kept], spacing)


def _profiles(picture: Splined, lines: _Lines, reach: float) -> Floats:
    """Light (m, samples, bands) along each normal to `reach` px on both sides."""
    half = int(np.ceil(reach / STEP))
    out = np.arange(-half, half + 1) * STEP
    beside = ((np.arange(ALONG) + 0.5) / ALONG - 0.5) * min(lines.spacing, SPACING)
    total: Floats | None = None
    for shift in beside:
        at = lines.middles + shift * lines.ways
        spots = at[:, None, :] + out[None, :, None] * lines.normals[:, None, :]
        light = values_at(picture, spots.reshape(-1, 2)).reshape(len(at), len(out), -1)
        total = light.astype(np.float64) if total is None else total + light
    if total is None:
        raise ValueError("no places along the edge")
    return total / ALONG


def _of_edge(picture: Splined, lines: _Lines, reach: float, blur: float) -> EdgePlaces:
    looked_at = len(lines.shares)
    if looked_at == 0:
        return none_of(lines.edge, 0)
    window = WINDOW * max(1.0, blur)
    light = _profiles(picture, lines, reach + window + 2 * STEP)
    step = _fitted(light, reach, blur, window)
    at, fit, height, deviation = step.at, step.fit, step.high, step.deviation
    sound = (fit < WORST_FIT) & (height > LEAST_STEP) & (np.abs(at) < reach)
    spots = lines.middles + at[:, None] * lines.normals
    sound &= inside(picture, spots, 1.0)
    return EdgePlaces(
        lines.edge, looked_at, lines.shares[sound], spots[sound], lines.normals[sound],
        np.maximum(deviation[sound], LEAST_DEVIATION), _alike(step.board[sound]),
    )  # fmt: skip


def none_of(edge: int, looked_at: int) -> EdgePlaces:
    """No places of an edge, of so many that were looked at."""
    nothing = np.zeros((0, 2))
    return EdgePlaces(
        edge, looked_at, np.zeros(0), nothing, nothing, np.zeros(0), np.zeros((0, 0), dtype=np.intp)
    )


def _alike(board: Floats) -> NDArray[np.intp]:
    """Of each place (its light (m, bands) on the board's side) those that look most like it."""
    from scipy.spatial import cKDTree  # noqa: PLC0415

    many = min(len(board), ALIKE)
    if many == 0:
        return np.zeros((0, 0), dtype=np.intp)
    looks = np.round(encoded(np.clip(board, 0, 1)), 6)
    found: NDArray[np.intp] = cKDTree(looks).query(looks, k=np.arange(1, many + 1))[1]
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Step:
    """Of each profile (m,): where its step is (px from the middle), what share of the light's
    variance it leaves, how many times its uncertainty it is high, the deviation of its place, px,
    and the light on the board's side of it (m, bands).
    """

    at: Floats
    fit: Floats
    high: Floats
    deviation: Floats
    board: Floats


def _fitted(light: Floats, reach: float, blur: float, window: float) -> _Step:
    """The step of each profile (m, samples, bands)."""
    from scipy.special import erf  # noqa: PLC0415

    count = light.shape[1]
    out = (np.arange(count) - count // 2) * STEP
    tried = np.arange(-int(reach / STEP), int(reach / STEP) + 1) * STEP
    near = (np.abs(out[:, None] - tried) <= window + 1e-9).astype(np.float64)  # (samples, tried)
    shape = erf((out[:, None] - tried) / (np.sqrt(2) * blur))
    weight = near.sum(axis=0)
    middle = (near * shape).sum(axis=0) / weight
    shape = near * (shape - middle)  # centred, 0 beyond the window
    strength = (shape * shape).sum(axis=0)
    explained = np.zeros((len(light), len(tried)))
    for band in range(light.shape[2]):
        found = product(light[..., band], shape)
        explained += found * found / strength
    # of places nearly as good, the one nearer the middle: the board's edge is where it was expected
    liking = explained * np.exp(-0.5 * (tried / max(reach, 1.0)) ** 2)
    at = tried[np.argmax(np.round(liking, 9), axis=1)]
    return _polished(light, out, at, blur, window)


def _polished(light: Floats, out: Floats, at: Floats, blur: float, window: float) -> _Step:
    from scipy.special import erf  # noqa: PLC0415

    near = (np.abs(out - at[:, None]) <= window + 1e-9).astype(np.float64)  # (m, samples)
    weight = near.sum(axis=1)
    mean = (near[..., None] * light).sum(axis=1) / weight[:, None]
    centred = near[..., None] * (light - mean[:, None])  # (m, samples, bands)
    total = (centred * centred).sum(axis=(1, 2))
    first = at
    for last in [False] * POLISHED + [True]:
        across = (out - at[:, None]) / (np.sqrt(2) * blur)
        shape = erf(across)
        middle = (near * shape).sum(axis=1) / weight
        shape = near * (shape - middle[:, None])
        strength = (shape * shape).sum(axis=1)
        height = (centred * shape[..., None]).sum(axis=1) / strength[:, None]  # (m, bands)
        left = centred - height[:, None] * shape[..., None]
        # How the step changes as it moves, less what a change of a and b would do as well.
        slope = near * (-np.sqrt(2 / np.pi) / blur) * np.exp(-(across * across))
        slope = near * (slope - (slope.sum(axis=1) / weight)[:, None])
        slope -= ((slope * shape).sum(axis=1) / strength)[:, None] * shape
        steep = (slope * slope).sum(axis=1)
        by_height = (height * height).sum(axis=1)
        if not last:
            pull = ((left * slope[..., None]).sum(axis=1) * height).sum(axis=1)
            step = pull / np.maximum(by_height * steep, 1e-30)
            at = np.clip(at + np.clip(step, -0.5, 0.5), first - 1.5, first + 1.5)
    variance = (left * left).sum(axis=(1, 2)) / np.maximum(weight * light.shape[2] - 7, 1)
    fit = (left * left).sum(axis=(1, 2)) / np.maximum(total, 1e-30)
    # Samples half a pixel apart share their noise: as good as half as many.
    deviation = np.sqrt(2 * variance / np.maximum(by_height * steep, 1e-30))
    high = np.sqrt(by_height * strength / np.maximum(2 * variance, 1e-30))
    return _Step(at, fit, high, deviation, mean - height * (1 + middle)[:, None])
