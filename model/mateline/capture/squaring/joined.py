"""Several photos of one face as one picture.

Stands last in squaring. Each photo is squared by its own edges; where two overlap, what both show
must lie in the same place: the views are solved once more, all together, with the ties between
them. Then each is laid flat, and near its rim it gives way to the others.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.face_picture import FacePicture
from mateline.capture.squaring.adjustment import Observed, equations, inverse
from mateline.capture.squaring.error_map import pulls
from mateline.capture.squaring.flat import grid_of, laid_flat
from mateline.capture.squaring.outline import modes
from mateline.capture.squaring.square import Sighted, grid_for
from mateline.capture.squaring.ties import Ties, ties_between
from mateline.capture.squaring.view import UNKNOWNS, moved_by, rounded

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.capture.squaring.adjustment import Solved

    Floats = NDArray[np.float64]

TIED = 0.8  # mm: the coarsest pitch that photos are compared at
FAR = 3.0  # deviations beyond which a tie counts less (Huber)
ROUNDS = 4
FEATHER = 60.0  # pixels over which a photo gives way
COARSE = 8  # pixels of the picture to one of the map of rims
EQUAL = (0.5, 2.0)  # how many times brighter one photo may be taken than another


def joined(
    sighted: Sequence[Sighted], pitch: float | None = None
) -> tuple[FacePicture, tuple[Sighted, ...]]:
    """One face picture of several photos of it, and each photo's view as it is then.

    Raises InputError for a pitch that is no use, ValueError for no photo.
    """
    if not sighted:
        raise ValueError("no photo to join")
    outline = sighted[0].outline
    if pitch is None:
        grid = min((grid_for(each, None) for each in sighted), key=lambda each: each.pitch)
    else:
        grid = grid_for(sighted[0], pitch)
    if len(sighted) == 1:
        return laid_flat(sighted[0].picture, sighted[0].solved, outline, grid), tuple(sighted)
    rough = grid_of(outline, max(TIED, grid.pitch))
    flats = [laid_flat(each.picture, each.solved, outline, rough) for each in sighted]
    ties = {
        (a, b): found
        for a in range(len(flats))
        for b in range(a + 1, len(flats))
        if len((found := ties_between(flats[a], flats[b])).places)
    }
    together = _solved_together(sighted, ties)
    pictures = [laid_flat(each.picture, each.solved, outline, grid) for each in together]
    return _blended(pictures), together


def _solved_together(
    sighted: Sequence[Sighted], ties: dict[tuple[int, int], Ties]
) -> tuple[Sighted, ...]:
    """All views, the corners' modes (which they share) and bows, with ties between the views.

    One step of least squares from where each photo's own edges have it; ties count by Huber.
    """
    outline = sighted[0].outline
    ways = modes(outline)
    shared = ways.shape[1]
    starts, count = [], shared
    for each in sighted:
        starts.append(count)
        count += UNKNOWNS + len(each.solved.bows)
    base, pull = np.zeros((count, count)), np.zeros(count)
    base[np.arange(shared), np.arange(shared)] = 1.0
    places = [_own(each, start, shared) for each, start in zip(sighted, starts, strict=True)]
    for each, own in zip(sighted, places, strict=True):
        observed = Observed(each.places, each.sights, each.picture.size)
        # about modes of nought: each photo may have moved the corners its own way
        normal, own_pull = equations(each.solved, outline, ways, observed)
        held = np.arange(UNKNOWNS, UNKNOWNS + shared)
        normal[held, held] -= 1.0
        own_pull[held] += each.solved.modes
        state = np.zeros(len(own))
        state[held] = each.solved.modes
        own_pull = own_pull + (normal * state).sum(axis=1)
        base[np.ix_(own, own)] += normal
        pull[own] += own_pull
    rows, off, deviation = _tie_rows(sighted, ties, starts, count)
    step = np.zeros(count)
    covariance = inverse(base)
    for _ in range(ROUNDS):
        weight = 1 / deviation**2
        if len(off):
            times = np.abs(off - (rows * step).sum(axis=1)) / deviation
            weight = weight / np.maximum(1.0, times / FAR)
        normal = base + rows.T @ (weight[:, None] * rows)
        covariance = inverse(normal)
        step = (covariance * (pull + rows.T @ (weight * off))).sum(axis=1)
    return tuple(
        replace(each, solved=_moved(each.solved, step[own], covariance[np.ix_(own, own)]))
        for each, own in zip(sighted, places, strict=True)
    )


def _own(each: Sighted, start: int, shared: int) -> NDArray[np.intp]:
    """Where the unknowns of one photo (view, modes, bows) are among those of all."""
    views = np.arange(start, start + UNKNOWNS)
    bows = np.arange(start + UNKNOWNS, start + UNKNOWNS + len(each.solved.bows))
    return np.concatenate([views, np.arange(shared), bows])


def _tie_rows(
    sighted: Sequence[Sighted],
    ties: dict[tuple[int, int], Ties],
    starts: list[int],
    count: int,
) -> tuple[Floats, Floats, Floats]:
    """Of each tie, twice: how it hangs on the unknowns, how far off it is, and its deviation."""
    rows, off, deviation = [np.zeros((0, count))], [np.zeros(0)], [np.zeros(0)]
    for (a, b), found in ties.items():
        first = pulls(sighted[a].solved.view, found.places)
        second = pulls(sighted[b].solved.view, found.places + found.shifts)
        for axis in (0, 1):
            wide = np.zeros((len(first), count))
            wide[:, starts[a] : starts[a] + UNKNOWNS] = first[:, axis]
            wide[:, starts[b] : starts[b] + UNKNOWNS] = -second[:, axis]
            rows.append(wide)
            off.append(found.shifts[:, axis])
            deviation.append(found.deviations)
    return np.vstack(rows), np.concatenate(off), np.concatenate(deviation)


def _moved(solved: Solved, step: Floats, covariance: Floats) -> Solved:
    """A photo's own unknowns after the step; modes are where the step has them."""
    end = UNKNOWNS + len(solved.modes)
    return replace(
        solved,
        view=rounded(moved_by(solved.view, step[:UNKNOWNS])),
        modes=np.round(step[UNKNOWNS:end], 9),
        bows=tuple(
            (edge, round(bow + float(more), 6))
            for (edge, bow), more in zip(solved.bows, step[end:], strict=True)
        ),
        covariance=covariance,
    )


def _blended(pictures: list[FacePicture]) -> FacePicture:
    """One picture: each counts by how far inside its own rim a place is."""
    first = pictures[0]
    light = np.zeros_like(first.light)
    error = np.zeros(first.seen.shape, dtype=np.float32)
    total = np.zeros(first.seen.shape, dtype=np.float32)
    for each in pictures:
        weight = _inwards(each)
        light += weight[..., None] * each.light * _level(first, each)
        error += weight * each.error
        total += weight
    seen = np.any([each.seen for each in pictures], axis=0)
    divided = np.maximum(total, 1e-6)
    return FacePicture(
        first.face,
        first.grid,
        (light / divided[..., None]).astype(np.float32),
        seen,
        (error / divided).astype(np.float32),
    )


def _inwards(picture: FacePicture) -> NDArray[np.float32]:
    """0 where the photo shows nothing, rising to 1 inside its rim."""
    from scipy import ndimage  # noqa: PLC0415

    there = np.max(picture.light, axis=2) > 0
    coarse = there[::COARSE, ::COARSE]
    far = ndimage.distance_transform_edt(np.pad(coarse, 1))[1:-1, 1:-1] * COARSE
    share = np.clip((far - COARSE) / FEATHER, 0.0, 1.0).astype(np.float32) + np.float32(1e-3)
    rows = np.minimum(np.arange(there.shape[0]) / COARSE, coarse.shape[0] - 1)
    columns = np.minimum(np.arange(there.shape[1]) / COARSE, coarse.shape[1] - 1)
    up, left = rows.astype(int), columns.astype(int)
    down, right = np.minimum(up + 1, len(coarse) - 1), np.minimum(left + 1, coarse.shape[1] - 1)
    by_row, by_column = (rows - up).astype(np.float32)[:, None], (columns - left).astype(np.float32)
    wide = share[:, left] * (1 - by_column) + share[:, right] * by_column
    smooth = wide[up] * (1 - by_row) + wide[down] * by_row
    found: NDArray[np.float32] = np.where(there, smooth, np.float32(0)).astype(np.float32)
    return found


def _level(first: FacePicture, other: FacePicture) -> NDArray[np.float32]:
    """How many times brighter the first photo is, band by band, where both see the face."""
    both = first.seen & other.seen
    if first is other or int(both.sum()) < 1000:
        return np.ones(3, dtype=np.float32)
    ratio = np.median(first.light[both], axis=0) / np.maximum(
        np.median(other.light[both], axis=0), 1e-4
    )
    found: NDArray[np.float32] = np.clip(np.round(ratio, 5), *EQUAL).astype(np.float32)
    return found
