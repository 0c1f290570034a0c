"""Borders that are seen, as stretches of points, and how each would run on at its ends.

Stands after potts. A stretch is a run of the line on which a label's share of cells is a half; it
stops where cells are not known. At each end a line, or the start of an arc, is fitted to the
longest piece behind it that one fits.

    way      unit vector (row, column) out of the stretch, at an end
    bend     curvature there, 1/cell, positive where the border turns from `way` (row, column)
             towards (-column, row)
    swing    how far off the way may be, radians: of a short piece far, of a long one little
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Ints = NDArray[np.int64]

PIECES = (4.0, 6.5, 10.0, 16.0, 26.0, 40.0, 64.0)  # mm that are tried
LOOSE = 0.2  # mm rms: a piece that is no line or arc
STRAIGHT = 0.13  # mm rms: a line is taken where it will do
CUT = 0.8  # mm: the last of a border before damage, which mixed pixels bend
SHORT = 2.5  # mm: a piece that tells no direction
TIGHT = 5.0  # mm: radius of the tightest arc
TURNED = 0.3  # rad: a piece that turns further is fitted by a circle
POINTS = 130  # of a stretch that are looked at behind each end


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """Points (n, 2), row and column in cells, of the border of label `inside`, which is on the
    same hand of every stretch as it runs.
    """

    points: Floats
    inside: int


@dataclass(frozen=True, slots=True, eq=False)
class Ends:
    """End 2 i is where stretch i begins, 2 i + 1 where it stops; `told` has what has a fit."""

    at: Floats
    way: Floats
    bend: Floats
    length: Floats
    swing: Floats
    inside: Ints
    told: Bools


def stretches_of(share: NDArray[np.float32], known: Bools, pitch: float) -> list[Stretch]:
    """All borders of cells (rows, columns, labels) of `pitch` mm, where they are known."""
    from skimage.measure import find_contours  # noqa: PLC0415  slow to import

    found = []
    for label in range(share.shape[2]):
        plane = share[..., label]
        if not ((plane > 0.5) & known).any():
            continue
        for line in find_contours(plane, 0.5, mask=known):  # type: ignore[no-untyped-call]
            closed = bool((line[0] == line[-1]).all())
            if len(line) * 0.7 * pitch >= SHORT + CUT and not closed:
                found.append(Stretch(line, label))
    return found


def ends_of(stretches: Sequence[Stretch], pitch: float) -> Ends:
    """Both ends of each stretch, fitted."""
    count = 2 * len(stretches)
    runs = np.full((count, POINTS, 2), np.nan)
    for number, stretch in enumerate(stretches):
        first = stretch.points[:POINTS]
        last = stretch.points[::-1][:POINTS]
        runs[2 * number, : len(first)] = first
        runs[2 * number + 1, : len(last)] = last
    inside = np.repeat([each.inside for each in stretches], 2).astype(np.int64)
    step = np.sqrt((np.diff(runs, axis=1) ** 2).sum(axis=2))
    far = np.concatenate([np.zeros((count, 1)), np.cumsum(step, axis=1)], axis=1) * pitch
    at, way = np.zeros((count, 2)), np.zeros((count, 2))
    bend, length = np.zeros(count), np.zeros(count)
    told = np.zeros(count, dtype=bool)
    going = np.ones(count, dtype=bool)
    reach = np.nanmax(far, axis=1, initial=0.0) - CUT if count else np.zeros(0)
    for piece in PIECES:
        going &= reach > (SHORT if piece == PIECES[0] else 0.7 * piece)
        rows = np.flatnonzero(going)
        if not len(rows):
            break
        taken = (far[rows] >= CUT) & (far[rows] <= CUT + piece)
        fit = _fits(runs[rows], taken, pitch)
        good = (fit[4] <= LOOSE) & (np.abs(fit[2]) < pitch / TIGHT)
        going[rows[~good]] = False
        kept = rows[good]
        for into, value in zip((at, way, bend, length), fit, strict=False):
            into[kept] = value[good]
        told[kept] = True
    swing = np.round(0.015 + 1.2 * np.maximum(length, SHORT) ** -1.5, 6)
    swing = np.where(bend != 0, 2 * swing, swing)
    return Ends(at, way, bend, length, swing, inside, told)


def _fits(runs: Floats, taken: Bools, pitch: float) -> tuple[Floats, ...]:
    """A line or a parabola for the taken points of each run, in the frame of its chord."""
    rows = np.arange(len(runs))
    first = taken.argmax(axis=1)
    last = taken.shape[1] - 1 - taken[:, ::-1].argmax(axis=1)
    start, stop = runs[rows, first], runs[rows, last]
    chord = start - stop
    length = np.maximum(np.sqrt((chord**2).sum(axis=1)), 1e-6)
    way = chord / length[:, None]
    side = np.column_stack([-way[:, 1], way[:, 0]])
    off = np.where(taken[..., None], runs - start[:, None], 0)
    x = (off * way[:, None]).sum(axis=2) / length[:, None]
    y = (off * side[:, None]).sum(axis=2)
    weight = taken.astype(float)
    line, off_line = _parabola(x, y, weight, 2)
    curve, off_curve = _parabola(x, y, weight, 3)
    off_line, off_curve = np.round(off_line * pitch, 6), np.round(off_curve * pitch, 6)
    plain = ((off_line < STRAIGHT) & (off_line**2 < 1.3 * off_curve**2 + 0.02**2)) | (
        length * pitch < 6
    )
    curve = np.where(plain[:, None], line, curve)
    slope = curve[:, 1] / length
    bend = 2 * curve[:, 2] / length**2 / (1 + slope**2) ** 1.5
    at = start + curve[:, :1] * side
    out = way + slope[:, None] * side
    off_line = np.where(plain, off_line, off_curve)
    # a parabola is no circle where it turns far
    far = ~plain & (np.round(np.abs(2 * curve[:, 2] / length), 6) > TURNED)
    if far.any():
        tip, slope, bow, off_arc = _circle(x[far], y[far] / length[far, None], weight[far])
        at[far] = start[far] + (tip * length[far])[:, None] * side[far]
        out[far] = way[far] + slope[:, None] * side[far]
        bend[far] = bow / length[far]
        off_line[far] = off_arc * length[far] * pitch
    out /= np.maximum(np.sqrt((out**2).sum(axis=1)), 1e-9)[:, None]
    off_line[length * pitch < SHORT / 2] = np.inf  # it came back to where it began
    return (
        np.round(at, 4), np.round(out, 6), np.round(bend, 8), np.round(length * pitch, 6),
        np.round(off_line, 6),
    )  # fmt: skip


def _circle(x: Floats, y: Floats, weight: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """The circle through points from (-1, 0) to (0, 0), about: its y, slope and bend at x = 0, and
    the rms of what is left. Least squares of x² + y² + a x + b y + c (I. Kåsa, 1976).
    """
    base = np.stack([x, y, np.ones_like(x)], axis=2) * weight[..., None]
    matrix = np.einsum("nki,nkj->nij", base, base) + 1e-9 * np.eye(3)
    right = -np.einsum("nki,nk->ni", base, (x * x + y * y) * weight)
    a, b, c = np.linalg.solve(matrix, right[..., None])[..., 0].T
    radius = np.sqrt(np.maximum(a * a / 4 + b * b / 4 - c, 1e-12))
    side = np.where(b < 0, 1.0, -1.0)  # of the centre (-a / 2, -b / 2)
    down = np.sqrt(np.maximum(radius**2 - a * a / 4, 1e-12))
    tip = -b / 2 - side * down
    slope = side * (a / 2) / down
    left = (np.hypot(x + a[:, None] / 2, y + b[:, None] / 2) - radius[:, None]) * weight
    rms = np.sqrt((left**2).sum(axis=1) / np.maximum(weight.sum(axis=1), 1))
    return tip, slope, side / radius, rms


def _parabola(x: Floats, y: Floats, weight: Floats, terms: int) -> tuple[Floats, Floats]:
    """Least squares by normal equations, all rows at once; coefficients (n, 3) and rms (n,)."""
    base = np.stack([np.ones_like(x), x, x * x][:terms], axis=2) * weight[..., None]
    matrix = np.einsum("nki,nkj->nij", base, base) + 1e-9 * np.eye(terms)
    right = np.einsum("nki,nk->ni", base, y)
    found = np.zeros((len(x), 3))
    found[:, :terms] = np.linalg.solve(matrix, right[..., None])[..., 0]
    left = (y - np.einsum("nki,ni->nk", base, found[:, :terms])) * weight
    rms = np.sqrt((left**2).sum(axis=1) / np.maximum(weight.sum(axis=1), 1))
    return found, rms
