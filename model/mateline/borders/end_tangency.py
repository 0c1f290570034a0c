"""Arcs that a node cuts off, made tangent again without losing their radius.

Stands after arc_fitting, in refit. A node lies on a facet, up to 0.005 mm inside its circle, so an
arc of the drawing's radius through the node misses the tangent at its other end by a little.
There the circle can roll along what it touches until it goes through the node:

    line o------------.          the centre stays a radius from the line, or the sum or the
                        `.       difference of both radii from another arc's centre, and a
                          ` node radius from the node; the joint goes where they touch
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.borders.arc_fitting import deviations, too_flat
from mateline.products import product

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.borders.arc_fitting import Bows

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

LEAST, MOST = 1e-9, 0.05  # rad: kinks that a node may have made


def tangent_at_nodes(
    points: Floats, bows: Bows, joints: tuple[Ints, Bools, Bools], firm: Bools, tolerance: float
) -> Bows:
    """The segments with firm arcs rolled to where they are tangent, if only one end is free to be.

    `joints` are, for the end of each segment: the segment that goes on there (-1 for none),
    whether it is a corner or a node, and whether it may move. An arc stays as it is where
    rolling would leave its vertices by more than the tolerance.
    """
    after, hard, movable = joints
    has = after >= 0
    before = np.full(len(after), -1)
    before[after[has]] = np.flatnonzero(has)
    leaving, arriving = bows.directions()
    kink = np.where(has, np.abs(np.angle(np.exp(1j * (leaving[after] - arriving)))), 0.0)
    arc = (bows.sin != 0) & firm
    mended = has & ~hard & movable & firm & firm[after] & (kink > LEAST) & (kink < MOST)
    hard_start = (before < 0) | hard[before]
    for row in np.flatnonzero(arc & mended & hard_start).tolist():
        bows = _rolled(points, bows, (row, after[row]), tolerance, forward=False)
    for row in np.flatnonzero(arc & hard & (before >= 0) & mended[before]).tolist():
        bows = _rolled(points, bows, (row, before[row]), tolerance, forward=True)
    return bows


def _rolled(
    points: Floats, bows: Bows, rows: tuple[int, int], tolerance: float, *, forward: bool
) -> Bows:
    """The arc in the first row rolled along the segment in the other one, which is before it
    where `forward`.
    """
    row, other = rows
    node, joint = (bows.end, bows.start) if forward else (bows.start, bows.end)
    both = bows.rows(np.array(rows))
    reach, beside = np.hypot(*(both.end - both.start).T) / 2 / np.maximum(np.abs(both.sin), 1e-300)
    centre, pivot = both.centres()
    if both.sin[1] == 0:
        along = (both.end[1] - both.start[1]) / np.hypot(*(both.end[1] - both.start[1]))
        foot, rolled = _on_line(centre, reach, node[row], (joint[row], along))
    else:
        inside = both.sin[0] * both.sin[1] > 0
        foot, rolled = _on_circle(centre, reach, node[row], (pivot, beside), inside=inside)
    if not np.isfinite(rolled).all():
        return bows
    start, end, sin, cos = (each.copy() for each in (bows.start, bows.end, bows.sin, bows.cos))
    if forward:
        start[row] = end[other] = foot
    else:
        end[row] = start[other] = foot
    for each, size in ((row, reach), (other, beside)):
        if sin[each] != 0:
            sin[each] = np.sign(sin[each]) * min(np.hypot(*(end[each] - start[each])) / 2 / size, 1)
            cos[each] = np.sign(cos[each]) * np.sqrt(1 - sin[each] ** 2)
    moved = replace(bows, start=start, end=end, sin=sin, cos=cos)
    pair = moved.rows(np.array(rows))
    off = deviations(points, pair, tolerance)
    if off.max() > tolerance or too_flat(pair).any():
        return bows
    away = bows.off.copy()
    away[[row, other]] = off
    return replace(moved, off=away)


def _on_line(
    centre: Floats, reach: float, node: Floats, line: tuple[Floats, Floats]
) -> tuple[Floats, Floats]:
    """Where a circle through `node` touches the line, and its centre, nearest to `centre`."""
    at, along = line
    across = np.array([-along[1], along[0]])
    across *= np.sign(product(across, centre - at))
    rise = product(node - at, across)
    under = 2 * reach * rise - rise * rise
    span = np.sqrt(under) if under >= 0 else np.nan
    places = product(node - at, along) + np.array([span, -span])
    feet = at + places[:, None] * along
    foot = feet[np.argmin(np.hypot(*(feet + reach * across - centre).T))]
    return foot, foot + reach * across


def _on_circle(
    centre: Floats, reach: float, node: Floats, pivot: tuple[Floats, float], *, inside: bool
) -> tuple[Floats, Floats]:
    """The same for a circle that rolls on another one, or inside it (or round it)."""
    middle, beside = pivot
    far = abs(beside - reach) if inside else beside + reach
    way = node - middle
    apart = np.hypot(*way)
    along = (far * far - reach * reach + apart * apart) / (2 * apart)
    under = far * far - along * along
    rise = np.sqrt(under) if under >= 0 else np.nan
    unit = way / apart
    found = middle + along * unit + np.outer([rise, -rise], [-unit[1], unit[0]])
    best = found[np.argmin(np.hypot(*(found - centre).T))]
    outward = (best - middle) / far if far > 0 else np.full(2, np.nan)
    return middle + (-beside if inside and reach > beside else beside) * outward, best
