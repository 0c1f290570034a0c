"""How sure a label is, told from how far it is from what is seen and from a border.

Stands after filled.

    deep     mm from a pixel in damage to the nearest cell that is known
    border   mm from it to the nearest border of what was filled in
    margin   how much more the cell is of its label than of the next

The shares are counted: of pixels of sixteen scenes (seeds 1, 4 to 6 and 11 to 22 of the tests,
light and wear of all kinds) with these figures, so many were right. Errors come in whole shapes,
not in pixels, so a share that is to be high is told a little lower, and what lies deep is never
sure.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.labelling.filled import between

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.labelling.filled import Level
    from mateline.capture.labelling.visible import Visible

    Floats = NDArray[np.float32]
    Bools = NDArray[np.bool_]

#  share of the paint in a mixture, and how many of those were right
MIXTURE = ((0.5, 0.5), (0.52, 0.74), (0.575, 0.938), (0.65, 0.977), (0.75, 0.991), (0.85, 0.998),
           (1.0, 0.9998))  # fmt: skip
WORN = 0.99  # of paint that shines through
#  logistic regression of `right` on 1, log deep, log border, margin, and three products
DEPTH = 0.5  # mm: added to lengths before their logarithm
LOGIT = (0.06, -1.278, 1.843, 2.748, -0.672, 0.134, 0.332)
CAREFUL = ((0.0, 0.0), (0.88, 0.88), (0.96, 0.9), (1.0, 1.0))
DEEP, UNSURE = 7.0, 0.89  # mm; the most that is said of what lies deeper
DIGITS = 3  # logarithms differ in their last bits from machine to machine


def sureness_of(
    seen: Visible, guessed: NDArray[np.int64], level: Level, share: Floats, pitch: float
) -> Floats:
    """For each pixel, 0 to 1: of the pixels that have s, a share of s is right.

    `guessed` are the places (flat) of pixels that were filled in, `share` what with.
    """
    sure = np.interp(seen.shares, *np.array(MIXTURE).T).astype(np.float32)
    sure[(seen.numbers >= 0) & ~seen.sound] = WORN
    figures = _figures(level, share, pitch)
    rows, columns = np.divmod(guessed, sure.shape[1])
    deep, border, margin = between(figures, level.side, rows, columns).T
    sure.ravel()[guessed] = _guess(deep, border, margin)
    rounded: Floats = np.round(sure, DIGITS)
    return rounded


def _figures(level: Level, share: Floats, pitch: float) -> Floats:
    """Deep, border and margin of each cell, (rows, columns, 3)."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    major = share.argmax(axis=2)
    edge = np.zeros(major.shape, dtype=bool)
    for axis in (0, 1):
        one, into = np.moveaxis(major, axis, 0), np.moveaxis(edge, axis, 0)
        differ = one[1:] != one[:-1]
        into[1:] |= differ
        into[:-1] |= differ
    size = level.side * pitch
    deep = ndimage.distance_transform_edt(~level.known) * size
    edge[0, 0] |= not edge.any()  # one colour everywhere: its border is far
    border = ndimage.distance_transform_edt(~edge) * size
    ordered = np.sort(share, axis=2)
    margin = ordered[..., -1] - ordered[..., -2]
    return np.stack([deep, border, margin], axis=2).astype(np.float32)


def _guess(deep: Floats, border: Floats, margin: Floats) -> Floats:
    a, b = np.log(deep + DEPTH), np.log(border + DEPTH)
    terms = (np.ones_like(a), a, b, margin, a * b, b * b, a * a)
    logit = sum(factor * term for factor, term in zip(LOGIT, terms, strict=True))
    right = np.interp(1 / (1 + np.exp(-logit)), *np.array(CAREFUL).T)
    guess: Floats = np.where(deep > DEEP, np.minimum(right, UNSURE), right).astype(np.float32)
    return guess
