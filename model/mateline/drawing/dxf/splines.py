"""Splines of a DXF drawing as cubic Béziers, exactly wherever those can follow them.

Stands before the other entities' steps. A spline of degree 1, 2 or 3 without weights is made of
such Béziers; any other one is parted until they follow it within FOLLOWS of its size. Only the
knots between the first and last full span count, so periodic splines close.

Source: L. Ramshaw, Blossoming, 1987 (a Bézier's points are the blossom's values at the ends of
its span); DXF Reference, SPLINE (flag 1: closed; codes 40, 41, 10, 11).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from mateline.drawing.path import MOST_CONTROL, Cubic, Line, refuse_more

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.drawing.path import Step

    Floats = NDArray[np.float64]
    Point = tuple[float, float]

MOST_FIT, MOST_DEGREE = 1_000, 25
FOLLOWS = 1e-6  # share of the spline's size: how far a cubic may leave it
MOST_PARTED = 12  # times that a span is halved
LOOKED_AT = np.array([0.25, 0.5, 0.75])  # shares of a span where the cubic is compared
AT_ONE = 1e-9  # share of the knots' extent: knots this near to one another are one


def spline_steps(entity: Any) -> tuple[Point, list[Step]]:
    """Where a SPLINE starts and its steps.

    Raises ValueError for one that can't be drawn, or has too many points.
    """
    _refuse(entity)
    if len(entity.control_points) == 0 and entity.closed:
        return _steps(_closed_through(_flat(entity.fit_points)))
    points, weights, knots, degree = _given(entity)
    homogeneous = np.column_stack([points * weights[:, None], weights])
    with np.errstate(all="ignore"):  # what is not finite is refused below
        pieces = _spans(homogeneous, knots, degree)
        cubics = _cubics(pieces) if degree > 3 or np.ptp(weights) else _elevated(pieces)
    if not np.isfinite(cubics).all():
        raise ValueError("one of its numbers is too large, or is none")
    return _steps(cubics, straight=degree == 1)


def _refuse(entity: Any) -> None:
    fit, control = len(entity.fit_points), len(entity.control_points)
    if not control and fit > MOST_FIT:  # the curve through them takes a table of n by n
        raise ValueError(f"it goes through {fit} fit points, more than {MOST_FIT}")
    if control > MOST_CONTROL:
        raise ValueError(f"it has {control} control points, more than {MOST_CONTROL}")
    given = (*entity.weights, *entity.knots)
    if not all(map(math.isfinite, given)) or any(weight <= 0 for weight in entity.weights):
        raise ValueError("a weight is not above 0, or a weight or a knot is no number")


def _flat(points: Any) -> Floats:
    return np.array([(float(point[0]), float(point[1])) for point in points]).reshape(-1, 2)


def _given(entity: Any) -> tuple[Floats, Floats, Floats, int]:
    """Points (n, 2), weights (n,), knots (n + degree + 1,) and degree."""
    if len(entity.control_points):
        points, degree = _flat(entity.control_points), int(entity.dxf.degree)
        weights, knots = np.array(entity.weights, float), np.array(entity.knots, float)
    else:
        tool = _through(entity)
        points, degree = _flat(tool.control_points), 3
        weights, knots = np.empty(0), np.array(tool.knots(), float)
    count = len(points)
    if not 1 <= degree <= MOST_DEGREE or count <= degree:
        raise ValueError(f"it is no sound spline: degree {degree} and {count} control points")
    if len(knots) == 0:
        ends = [[0.0] * degree, range(count - degree + 1), [float(count - degree)] * degree]
        knots = np.concatenate([np.asarray(part, float) for part in ends])
    if len(knots) != count + degree + 1:
        raise ValueError(
            f"it is no sound spline: {len(knots)} knots, and {count + degree + 1} are needed"
        )
    if (np.diff(knots) < 0).any() or knots[count] <= knots[degree]:
        raise ValueError("it is no sound spline: its knots don't grow")
    if len(weights) not in {0, count}:
        raise ValueError(f"it is no sound spline: {len(weights)} weights for {count} points")
    return points, weights if len(weights) else np.ones(count), knots, degree


def _through(entity: Any) -> Any:
    from ezdxf.lldxf.const import DXFError  # noqa: PLC0415  # only for DXF drawings

    try:
        return entity.construction_tool()
    except (DXFError, ValueError, ArithmeticError, LookupError) as wrong:
        raise ValueError(f"it is no sound spline ({wrong})") from wrong


def _closed_through(points: Floats) -> Floats:
    """Cubics (n, 4, 2) of the curve that is smooth all round and goes through `points` (n, 2)."""
    from scipy.interpolate import CubicSpline  # noqa: PLC0415  # slow to import, and seldom met

    if not np.isfinite(points).all():
        raise ValueError("one of its numbers is too large, or is none")
    ring = np.vstack([points, points[:1]])
    far = np.hypot(*np.diff(ring, axis=0).T)
    ring = ring[np.append(True, far > AT_ONE * far.max(initial=0.0))]
    if len(ring) < 4 or (ring[0] != ring[-1]).any():
        raise ValueError("it is no sound spline: a closed one takes three fit points")
    at = np.append(0.0, np.cumsum(np.hypot(*np.diff(ring, axis=0).T)))
    slope = CubicSpline(at, ring, bc_type="periodic")(at, 1)
    third = np.diff(at)[:, None] / 3
    start, end = ring[:-1], ring[1:]
    return np.stack([start, start + third * slope[:-1], end - third * slope[1:], end], axis=1)


def _spans(points: Floats, knots: Floats, degree: int) -> Floats:
    """Bézier points (spans, degree + 1, 3) of the spans between knots that differ."""
    small = AT_ONE * (knots[-1] - knots[0])
    inside = knots[degree : len(points) + 1]
    which = np.flatnonzero(np.diff(inside) > small) + degree
    low, high = knots[which], knots[which + 1]
    pieces = np.empty((len(which), degree + 1, 3))
    for ends in range(degree + 1):  # arguments of the blossom that are the span's end
        values = points[which[:, None] + np.arange(-degree, 1)]
        for level in range(1, degree + 1):
            at = high if level <= ends else low
            first = which[:, None] + np.arange(-degree + level, 1)
            left, right = knots[first], knots[first + degree + 1 - level]
            share = ((at[:, None] - left) / (right - left))[..., None]
            values = (1 - share) * values[:, :-1] + share * values[:, 1:]
        pieces[:, ends] = values[:, 0]
    return pieces


def _elevated(pieces: Floats) -> Floats:
    """Bézier pieces of degree 1 to 3 as cubics (n, 4, 2)."""
    points = pieces[..., :2] / pieces[..., 2:]
    while points.shape[1] < 4:
        degree = points.shape[1]
        share = (np.arange(1, degree) / degree)[:, None]
        between = share * points[:, :-1] + (1 - share) * points[:, 1:]
        points = np.concatenate([points[:, :1], between, points[:, -1:]], axis=1)
    return points


def _cubics(pieces: Floats) -> Floats:
    """Cubics (n, 4, 2) with the ends and end tangents of rational pieces, parted until they fit."""
    flat = pieces[..., :2] / pieces[..., 2:]
    near = FOLLOWS * float(np.ptp(flat.reshape(-1, 2), axis=0).max(initial=0.0))
    place, done, found = np.arange(len(pieces), dtype=np.float64), [], []
    for level in range(MOST_PARTED + 1):
        cubics = _hermite(pieces)
        away = np.abs(_valued(pieces) - _valued(np.dstack([cubics, np.ones(cubics.shape[:2])])))
        good = (away <= near).all(axis=(1, 2)) | (level == MOST_PARTED)
        found.append(cubics[good])
        done.append(place[good])
        rest = ~good
        if not rest.any():
            break
        refuse_more(2 * int(rest.sum()))
        pieces = np.concatenate(_halves(pieces[rest]))
        place = np.concatenate([place[rest], place[rest] + 0.5 ** (level + 1)])
    ordered: Floats = np.concatenate(found)[np.argsort(np.concatenate(done), kind="stable")]
    return ordered


def _hermite(pieces: Floats) -> Floats:
    degree = pieces.shape[1] - 1
    points, weights = pieces[..., :2] / pieces[..., 2:], pieces[..., 2:]
    start, end = points[:, 0], points[:, -1]
    # A rational Bézier leaves its end with degree * (next weight / end's weight) * (next - end).
    first = degree / 3 * weights[:, 1] / weights[:, 0] * (points[:, 1] - start)
    last = degree / 3 * weights[:, -2] / weights[:, -1] * (end - points[:, -2])
    return np.stack([start, start + first, end - last, end], axis=1)


def _valued(pieces: Floats) -> Floats:
    """Points (n, looked at, 2) of rational pieces (n, degree + 1, 3)."""
    degree = pieces.shape[1] - 1
    shares = [
        math.comb(degree, k) * (1 - LOOKED_AT) ** (degree - k) * LOOKED_AT**k
        for k in range(degree + 1)
    ]
    weights = np.array(shares)
    values = weights[0][None, :, None] * pieces[:, None, 0]
    for share, control in zip(weights[1:], np.moveaxis(pieces, 1, 0)[1:], strict=True):
        values = values + share[None, :, None] * control[:, None]
    found: Floats = values[..., :2] / values[..., 2:]
    return found


def _halves(pieces: Floats) -> tuple[Floats, Floats]:
    values, left, right = pieces, [pieces[:, 0]], [pieces[:, -1]]
    while values.shape[1] > 1:
        values = (values[:, :-1] + values[:, 1:]) / 2
        left.append(values[:, 0])
        right.append(values[:, -1])
    return np.stack(left, axis=1), np.stack(right[::-1], axis=1)


def _steps(cubics: Floats, *, straight: bool = False) -> tuple[Point, list[Step]]:
    refuse_more(len(cubics))
    start_x, start_y = cubics[0, 0].tolist()
    if straight:
        return (start_x, start_y), [Line(*end) for end in cubics[:, 3].tolist()]
    return (start_x, start_y), [Cubic(*row) for row in cubics[:, 1:].reshape(-1, 6).tolist()]
