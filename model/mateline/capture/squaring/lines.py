"""Straight lines of a small picture, and how strongly it changes across any line.

Stands before finding. Lines are told by a Hough transform in which each place votes for the one
line that its own gradient stands square on. Source: Ballard and Brown, Computer Vision (1982),
4.3; R. O. Duda and P. E. Hart, Communications of the ACM 15 (1972).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.picture import encoded

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Light = NDArray[np.float32]

CLEAR = 0.05  # change of a value (0 to 1) over a pixel that counts in full
FAINT = 0.008  # and below which a place does not vote
DIRECTIONS = 12  # in half a turn, of the map of changes
ANGLES = 180  # of the Hough transform, in half a turn
RHO = 1.5  # px between its lines
BLUR = 1.0  # px, before gradients are taken
NEAR = 1.5  # px that a place may be beside a change and still profit
RIM = 0.03  # of the picture: what is taken for wall or floor
LIKE = 0.07  # distance between values (0 to 1) at which a colour is hardly the wall's


@dataclass(frozen=True, slots=True, eq=False)
class Changes:
    """Of a small picture: `strength` (DIRECTIONS, rows, columns), 0 to 1, of changes square on each
    direction; `wall` (rows, columns), 0 to 1, how like the picture's rim it looks; `lines` (n, 3)
    with a x + b y = c, a and b of length one, the strongest first, and their `votes`.
    """

    strength: NDArray[np.float32]
    wall: NDArray[np.float32]
    lines: Floats
    votes: Floats


def changes_of(light: Light, most: int = 60) -> Changes:
    """Of a picture (rows, columns, 3) in linear light, a few hundred pixels wide."""
    from scipy import ndimage  # noqa: PLC0415

    values = encoded(light).astype(np.float64)
    across = np.stack(
        [ndimage.gaussian_filter(values[..., band], BLUR, order=(0, 1)) for band in range(3)]
    )
    down = np.stack(
        [ndimage.gaussian_filter(values[..., band], BLUR, order=(1, 0)) for band in range(3)]
    )
    size = np.round(np.hypot(across, down), 9)
    band = np.argmax(size, axis=0)[None]
    gx, gy = (np.take_along_axis(each, band, axis=0)[0] for each in (across, down))
    size = np.hypot(gx, gy)
    angle = np.round(np.arctan2(gy, gx), 9) % math.pi
    strength = np.zeros((DIRECTIONS, *size.shape), dtype=np.float32)
    full = np.clip(size / CLEAR, 0, 1)
    for at in range(DIRECTIONS):
        away = (angle - math.pi * at / DIRECTIONS + math.pi / 2) % math.pi - math.pi / 2
        share = np.clip(1 - np.abs(away) * DIRECTIONS / math.pi, 0, 1)
        spread = ndimage.maximum_filter(full * share, 2 * int(NEAR) + 1)
        strength[at] = ndimage.gaussian_filter(spread, NEAR / 2)
    lines, votes = _voted(gx, gy, size, most)
    return Changes(strength, _like_rim(values), lines, votes)


def _voted(gx: Floats, gy: Floats, size: Floats, most: int) -> tuple[Floats, Floats]:
    from scipy import ndimage  # noqa: PLC0415

    rows, columns = size.shape
    row, column = np.nonzero(size > FAINT)
    angle = np.arctan2(gy[row, column], gx[row, column]) % math.pi
    weight = np.minimum(size[row, column], CLEAR)
    reach = math.hypot(rows, columns)
    bins = int(2 * reach / RHO) + 2
    table = np.zeros((ANGLES, bins))
    for turn in (-1, 0, 1):  # a gradient is right to a degree or two
        number = np.round(angle * ANGLES / math.pi).astype(int) + turn
        theta = number * math.pi / ANGLES
        rho = column * np.cos(theta) + row * np.sin(theta)
        wrapped = number % ANGLES
        rho = np.where((number // ANGLES) % 2 == 0, rho, -rho)
        at = np.round((rho + reach) / RHO).astype(int)
        np.add.at(table, (wrapped, at), weight * (1.0 if turn == 0 else 0.5))
    table = np.round(ndimage.gaussian_filter(table, 0.7), 6)
    peaks = (table == ndimage.maximum_filter(table, (7, 7))) & (table > 0)
    at_angle, at_rho = np.nonzero(peaks)
    order = np.argsort(-table[peaks], kind="stable")[:most]
    theta = at_angle[order] * math.pi / ANGLES
    lines = np.column_stack([np.cos(theta), np.sin(theta), at_rho[order] * RHO - reach])
    return lines, table[peaks][order]


def _like_rim(values: Floats) -> NDArray[np.float32]:
    """How like its nearest colour of the picture's rim each pixel looks."""
    from scipy.spatial import cKDTree  # noqa: PLC0415

    rows, columns, _ = values.shape
    wide = max(2, int(RIM * min(rows, columns)))
    rim = np.ones((rows, columns), dtype=bool)
    rim[wide:-wide, wide:-wide] = False
    colours, counts = np.unique(np.round(values[rim] * 40), axis=0, return_counts=True)
    colours = colours[counts >= max(3, rim.sum() // 2000)]
    if not len(colours):
        return np.ones((rows, columns), dtype=np.float32)
    away, _ = cKDTree(colours / 40).query(values.reshape(-1, 3))
    like: NDArray[np.float32] = np.exp(-((away / LIKE) ** 2)).reshape(rows, columns)
    return like.astype(np.float32)
