"""A camera's view of a face: where each of its points falls in the picture, and back.

Stands after nothing of squaring. A point of the face (x, y, 0), mm, comes to (X, Y, Z) before the
camera, to u = X/Z, v = Y/Z; the lens moves it to u (1 + k1 r² + k2 r⁴), r² = u² + v²; it falls on
`focal` times that + `centre`. Pixels are column, row, the middle of the first one is (0, 0), rows
run down. Source: D. C. Brown, Close-range camera calibration, Photogrammetric Engineering 37
(1971), the radial terms.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

UNKNOWNS = 11  # of a view: three turns, three shifts, focal length, centre, k1, k2
DECIMALS = 9  # of a turned axis: what is kept, so that every machine has the same view
MOST_GROWN = 0.4  # of the focal length's logarithm in one step
ROUNDS = 15  # of the inverse lens: each leaves a few per cent of what was left


@dataclass(frozen=True, slots=True)
class View:
    """`turn` are the rows of a rotation and `shift` mm: face frame to camera (x right, y down, z
    away); `focal` and `centre` in px.
    """

    turn: tuple[tuple[float, float, float], ...]
    shift: tuple[float, float, float]
    focal: float
    centre: tuple[float, float]
    k1: float = 0.0
    k2: float = 0.0


def pixels_of(view: View, points: Floats) -> Floats:
    """Where face points (n, 2), mm, fall in the picture: (n, 2), column and row."""
    u, v, _ = _before(view, points)
    r2 = u * u + v * v
    bent = 1 + view.k1 * r2 + view.k2 * r2 * r2
    return np.column_stack(
        [u * bent * view.focal + view.centre[0], v * bent * view.focal + view.centre[1]]
    )


def places_of(view: View, pixels: Floats) -> Floats:
    """Which face points (n, 2), mm, are seen at pixels (n, 2): `pixels_of` backwards.

    Does not notice pixels beyond where the lens folds the picture over.
    """
    bent_u = (pixels[:, 0] - view.centre[0]) / view.focal
    bent_v = (pixels[:, 1] - view.centre[1]) / view.focal
    u, v = bent_u, bent_v
    for _ in range(ROUNDS):
        r2 = u * u + v * v
        share = 1 + view.k1 * r2 + view.k2 * r2 * r2
        u, v = bent_u / share, bent_v / share
    (a, b, c), (d, e, f), (g, h, i) = view.turn
    x, y, z = view.shift
    # The ray (u, v, 1) and the camera, both turned back into the face frame.
    along = [a * u + d * v + g, b * u + e * v + h, c * u + f * v + i]
    start = [-(a * x + d * y + g * z), -(b * x + e * y + h * z), -(c * x + f * y + i * z)]
    far = -start[2] / along[2]
    return np.column_stack([start[0] + far * along[0], start[1] + far * along[1]])


def slopes(view: View, points: Floats) -> tuple[Floats, Floats]:
    """How pixels move with the view, (n, 2, UNKNOWNS), and with the face points, (n, 2, 2).

    Unknowns: turns about the camera's x, y, z (radians), shift (mm), the logarithm of the focal
    length with the camera stepping back as it grows, so that the face keeps its size and the lens
    its bend (or this one would hardly be told from three others), centre (px), k1, k2.
    """
    u, v, depth = _before(view, points)
    r2 = u * u + v * v
    bent = 1 + view.k1 * r2 + view.k2 * r2 * r2
    steep = 2 * (view.k1 + 2 * view.k2 * r2)
    focal = view.focal
    # pixel by u and v
    cu, cv = focal * (bent + steep * u * u), focal * steep * u * v
    ru, rv = cv, focal * (bent + steep * v * v)
    moved = np.zeros((len(points), 2, UNKNOWNS))
    # u = X/Z: by X 1/Z, by Z -u/Z. A turn by w moves (X', Y', Z'), before the shift, by w x it.
    px, py, pz = u * depth - view.shift[0], v * depth - view.shift[1], depth - view.shift[2]
    nothing, one = np.zeros_like(px), np.ones_like(px)
    dx: Floats | float
    dy: Floats | float
    dz: Floats | float
    ways = [
        (nothing, -pz, py), (pz, nothing, -px), (-py, px, nothing),
        (one, nothing, nothing), (nothing, one, nothing), (nothing, nothing, one),
    ]  # fmt: skip
    for at, (dx, dy, dz) in enumerate(ways):
        du, dv = (dx - u * dz) / depth, (dy - v * dz) / depth
        moved[:, 0, at] = cu * du + cv * dv
        moved[:, 1, at] = ru * du + rv * dv
    moved[:, 0, 7] = 1
    moved[:, 1, 8] = 1
    moved[:, 0, 9], moved[:, 1, 9] = focal * u * r2, focal * v * r2
    moved[:, 0, 10], moved[:, 1, 10] = focal * u * r2 * r2, focal * v * r2 * r2
    moved[:, 0, 6], moved[:, 1, 6] = focal * u * bent, focal * v * bent
    moved[:, :, 6] += view.shift[2] * moved[:, :, 5]
    moved[:, :, 6] += 2 * view.k1 * moved[:, :, 9] + 4 * view.k2 * moved[:, :, 10]
    by_place = np.zeros((len(points), 2, 2))
    for at in (0, 1):
        dx, dy, dz = (row[at] for row in view.turn)
        du, dv = (dx - u * dz) / depth, (dy - v * dz) / depth
        by_place[:, 0, at] = cu * du + cv * dv
        by_place[:, 1, at] = ru * du + rv * dv
    return moved, by_place


def moved_by(view: View, step: Floats) -> View:
    """The view after a step (UNKNOWNS,) of what `slopes` is about."""
    turn = turned(view.turn, (float(step[0]), float(step[1]), float(step[2])))
    x, y, z = view.shift
    grown = math.exp(min(MOST_GROWN, max(-MOST_GROWN, float(step[6]))))
    return replace(
        view,
        turn=turn,
        shift=(x + float(step[3]), y + float(step[4]), grown * z + float(step[5])),
        focal=grown * view.focal,
        centre=(view.centre[0] + float(step[7]), view.centre[1] + float(step[8])),
        k1=grown**2 * view.k1 + float(step[9]),
        k2=grown**4 * view.k2 + float(step[10]),
    )


def turned(
    turn: tuple[tuple[float, float, float], ...], by: tuple[float, float, float]
) -> tuple[tuple[float, float, float], ...]:
    """A rotation turned further about the camera's axes, `by` a rotation vector, radians.

    By Rodrigues' formula, v cos a + (k x v) sin a + k (k v)(1 - cos a), on each column.
    """
    angle = math.sqrt(sum(each * each for each in by))
    if angle == 0:
        return turn
    kx, ky, kz = (each / angle for each in by)
    cos, sin = math.cos(angle), math.sin(angle)
    columns = []
    for x, y, z in zip(*turn, strict=True):
        along = (kx * x + ky * y + kz * z) * (1 - cos)
        columns.append((
            x * cos + (ky * z - kz * y) * sin + kx * along,
            y * cos + (kz * x - kx * z) * sin + ky * along,
            z * cos + (kx * y - ky * x) * sin + kz * along,
        ))  # fmt: skip
    return tuple(zip(*columns, strict=True))


def rounded(view: View) -> View:
    """The view to a millionth of a pixel or so: digits beyond it differ between processors."""
    return View(
        tuple(
            (round(a, DECIMALS), round(b, DECIMALS), round(c, DECIMALS)) for a, b, c in view.turn
        ),
        (round(view.shift[0], 6), round(view.shift[1], 6), round(view.shift[2], 6)),
        round(view.focal, 5),
        (round(view.centre[0], 5), round(view.centre[1], 5)),
        round(view.k1, DECIMALS),
        round(view.k2, DECIMALS),
    )


def _before(view: View, points: Floats) -> tuple[Floats, Floats, Floats]:
    """Places u, v on the flat picture one unit before the camera, and the depth, mm."""
    x, y = points[:, 0], points[:, 1]
    rows = [
        row[0] * x + row[1] * y + shift for row, shift in zip(view.turn, view.shift, strict=True)
    ]
    return rows[0] / rows[2], rows[1] / rows[2], rows[2]
