"""Runs of facets that were arcs or lines in the drawing, told by their curvature.

Stands before refit. Vertices of a true arc lie on its circle to the last bits, so corner after
corner has one curvature, 2 sin(turn) / chord (the circle through three points, elementary);
facets of a Bézier drift.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.borders.polylines import LONGER
from mateline.planar.crossings import ranges
from mateline.products import cross, dots

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from mateline.borders.polylines import Polylines

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]
    Run = tuple[int, int, float, Floats]  # first and last vertex, radius, centre

SAME = 1e-7  # mm: bulges of facets on one circle agree to this
SAME_SHARE = 0.05  # share: and their curvatures to this
EXACT = 1e-6  # mm: how far a vertex of a true arc may lie off its circle
FLAT = 1e-12  # no unit: how thin a ring may be, its two spreads multiplied, and not be a line
CORNERS = 3  # corners in a row of one curvature make an arc; a symmetric Bézier has two


def circles(lines: Polylines, tolerance: float) -> Iterator[Run]:
    """Closed polylines that are whole circles, each as two half turns."""
    first, last = lines.offsets[:-1], lines.offsets[1:] - 1
    closed = (lines.points[first] == lines.points[last]).all(axis=1) & (last - first >= 8)
    for a, b in zip(first[closed].tolist(), last[closed].tolist(), strict=True):
        own = lines.points[a:b]
        reach, centre = _circle(own, tolerance)
        if reach:
            middle = a + int(np.argmax(np.hypot(*(own - own[0]).T)))
            yield a, middle, reach, centre
            yield middle, b, reach, centre


def _circle(points: Floats, tolerance: float) -> tuple[float, Floats]:
    """Radius and centre of the circle that a closed ring is, radius 0 for none.

    Kåsa's fit: linear least squares of x² + y² = 2 a x + 2 b y + c.
    """
    middle = points.mean(axis=0)
    rel = points - middle
    # About the middle the sums of x and y are 0, and two equations are left (elementary).
    x, y = rel.T
    square = x * x + y * y
    xx, xy, yy = (x * x).sum(), (x * y).sum(), (y * y).sum()
    right, up, size = (x * square).sum() / 2, (y * square).sum() / 2, xx * yy - xy * xy
    if not size > FLAT * (xx + yy) ** 2:
        return 0.0, middle
    a, b = (right * yy - up * xy) / size, (up * xx - right * xy) / size
    reach = float(np.sqrt(square.mean() + a * a + b * b))
    around = rel - (a, b)
    off = np.abs(np.hypot(around[:, 0], around[:, 1]) - reach).max()
    if not off <= tolerance:
        return 0.0, middle
    ahead = np.roll(around, -1, axis=0)
    step = np.arctan2(cross(around, ahead), dots(around, ahead))
    once = abs(abs(float(step.sum())) - 2 * np.pi) < 1e-6 and (step * step[0] > 0).all()
    bulge = reach * (1 - np.cos(np.abs(step).max() / 2))
    round_enough = once and bulge <= tolerance
    return reach if round_enough else 0.0, middle + np.array([a, b])


def exact_runs(lines: Polylines, cornered: Bools, tolerance: float) -> Iterator[Run]:
    """Arcs of the drawing: runs of corners with one curvature, and the facets beside them."""
    bend, reach = _curvatures(lines)
    facet = np.maximum(reach, np.roll(reach, 1))
    usable = (bend != 0) & (np.abs(bend) * facet**2 / 8 <= tolerance)
    same = np.zeros(len(bend), dtype=bool)  # this corner and the next one
    change = np.abs(bend[1:] - bend[:-1])
    long = np.maximum(np.maximum(reach[:-1], np.roll(reach, 1)[:-1]), reach[1:])
    same[:-1] = (
        usable[:-1]
        & usable[1:]
        & (change * long**2 / 8 <= SAME)
        & (change <= SAME_SHARE * np.abs(bend[:-1]))
    )
    edge = np.diff(np.concatenate([[False], same, [False]]).astype(np.int8))
    starts, stops = np.flatnonzero(edge == 1), np.flatnonzero(edge == -1)
    enough = stops - starts >= CORNERS - 1
    ends = lines.ends
    hard = ends | cornered
    for a, b in zip(starts[enough].tolist(), stops[enough].tolist(), strict=True):
        yield from _run(lines.points, (ends, hard), (a - 1, b + 1), tolerance)


def _run(
    points: Floats, stops: tuple[Bools, Bools], span: tuple[int, int], tolerance: float
) -> Iterator[Run]:
    ends, hard = stops
    first, last = span
    third = (last - first) // 3
    centre, reach = _through(points[first], points[first + third], points[last - third])
    away = np.hypot(*(points[first : last + 1] - centre).T) - reach
    if np.abs(away).max() > EXACT:
        return  # a curve that drifts too slowly for its corners to tell
    # A node or a corner cuts an arc on one of its facets, a little inside its circle.
    circle = (centre, reach, tolerance)
    if not ends[first] and hard[first - 1] and _on(points[first - 1 : first + 2][::-1], circle):
        first -= 1
    if not ends[last] and hard[last + 1] and _on(points[last - 1 : last + 2], circle):
        last += 1
    if (points[first] == points[last]).all():
        yield first, (first + last) // 2, reach, centre
        yield (first + last) // 2, last, reach, centre
    else:
        yield first, last, reach, centre


def shared_circles(
    lines: Polylines, stretches: tuple[Ints, Ints], runs: Sequence[Run], tolerance: float
) -> tuple[Ints, Ints, Floats]:
    """Stretches too short to tell their own circle, whose inner vertices are on that of a run:
    first and last vertices, and radii.

    A circle that many borders end on is cut into such pieces, and all must keep its radius.
    """
    first, last = stretches
    if len(first) == 0 or not runs:
        return first[:0], last[:0], np.empty(0)
    table = np.array([(*centre, reach) for _, _, reach, centre in runs])
    _, kept = np.unique(np.round(table, 6), axis=0, return_index=True)
    x, y, reach = table[kept].T
    # Few circles' boxes hold a vertex: comparing each vertex with each circle takes minutes.
    far = reach + EXACT
    boxes = shapely.STRtree(shapely.box(x - far, y - far, x + far, y + far))
    inside = lines.points[first + 1]
    which, circle = boxes.query(shapely.points(inside))
    near = np.abs(np.hypot(*(inside[which] - table[kept[circle], :2]).T) - reach[circle]) <= EXACT
    which, circle = which[near], circle[near]
    order = np.lexsort((circle, which))
    which, circle = which[order], circle[order]
    a, b = first[which], last[which]
    good = _all_on(lines.points, (a, b), table[kept[circle]], tolerance)
    which, at = np.unique(which[good], return_index=True)
    return first[which], last[which], reach[circle[good][at]]


def _all_on(
    points: Floats, stretches: tuple[Ints, Ints], circles: Floats, tolerance: float
) -> Bools:
    """Whether each stretch is on its circle (x, y, radius): ends, which may be nodes, within the
    tolerance, all others exactly.
    """
    first, last = stretches
    count = last - first + 1
    if len(count) == 0:
        return np.empty(0, dtype=bool)
    start = np.cumsum(count) - count
    row = np.repeat(np.arange(len(first)), count)
    own = points.take(ranges(first, last + 1), axis=0)
    away = np.abs(np.hypot(*(own - circles[row, :2]).T) - circles[row, 2])
    allowed = np.full(len(row), EXACT)
    allowed[start] = allowed[start + count - 1] = tolerance
    found: Bools = np.logical_and.reduceat(away <= allowed, start)
    return found


def _on(three: Floats, circle: tuple[Floats, float, float]) -> bool:
    """Whether the last of three vertices goes on along the circle of the other two."""
    centre, reach, tolerance = circle
    before, at, end = three - centre
    off = abs(float(np.hypot(*end)) - reach)
    facet = float(np.hypot(*(end - at)))
    way = (before[0] * at[1] - before[1] * at[0]) * (at[0] * end[1] - at[1] * end[0])
    return off <= tolerance and facet * facet / (8 * reach) <= tolerance and bool(way > 0)


def _through(a: Floats, b: Floats, c: Floats) -> tuple[Floats, float]:
    """Centre and radius of the circle through three points."""
    p, q = b - a, c - a
    area = 2 * (p[0] * q[1] - p[1] * q[0])
    pp, qq = float(p[0] * p[0] + p[1] * p[1]), float(q[0] * q[0] + q[1] * q[1])
    centre = np.array([q[1] * pp - p[1] * qq, p[0] * qq - q[0] * pp]) / area
    return a + centre, float(np.hypot(*centre))


def line_edges(lines: Polylines, cornered: Bools, tolerance: float) -> Bools:
    """Edges that were lines in the drawing: an arc as bent as their corners would leave them
    by more than the tolerance.

    A corner of the drawing (`cornered`) says nothing of the bend of a facet of a curve that
    ends there, so beside one only an edge longer than such a facet counts.
    """
    turn = np.abs(lines.turns())
    _, reach = lines.edges()
    hard = cornered | lines.ends
    ahead, behind = np.roll(reach, -1), np.roll(reach, 1)
    start = turn * (~cornered | np.roll(hard, -1) | (reach > LONGER * ahead))
    end = np.roll(turn, -1) * (~np.roll(cornered, -1) | hard | (reach > LONGER * behind))
    found: Bools = reach * np.maximum(start, end) / 8 > tolerance
    return found


def _curvatures(lines: Polylines) -> tuple[Floats, Floats]:
    """Signed curvature at each corner (0 at ends), and the length of the edge after it."""
    way, reach = lines.edges()
    before = np.roll(way, 1, axis=0)
    cross = before[:, 0] * way[:, 1] - before[:, 1] * way[:, 0]
    size = np.roll(reach, 1) * reach * np.hypot(*(before + way).T)
    bend = np.divide(2 * cross, size, out=np.zeros_like(cross), where=size > 0)
    bend[lines.ends] = 0.0
    return bend, reach
