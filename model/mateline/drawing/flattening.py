"""Béziers and elliptical arcs made into facets, the same ones whichever way they are walked.

Stands between the readers' paths and areas. Two shapes that share a curve must get the
same vertices to the bit, or a hair lies between them: so each Bézier is evaluated from its
lower end point, and vertices of an arc stand on a lattice of angles of the whole ellipse.

Source of the arc formulas: SVG 2, appendix B.2.4 (end points to centre) and B.2.5 (radii).
"""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import chain
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from mateline.curves import facet_count
from mateline.drawing.path import Arc, Cubic, Line
from mateline.planar.affine import carried, carried_all, determinant, is_similarity, stretch

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from mateline.drawing.path import Subpath
    from mateline.planar.affine import Affine

    Floats = NDArray[np.float64]
    Point = tuple[float, float]
    Vertex = tuple[float, float, float, float]  # x, y and the direction of travel there

LATTICE = 24  # facets of a whole ellipse are a multiple of this: 15° steps are always among them
PLACES = 9  # decimals kept of a circle's centre and radius, so that its arcs agree to the bit
ON_LATTICE = 1e-6  # share of a facet: a vertex this near the end of its arc is the end
HALF = 1e-13  # share: an arc this near to half an ellipse is one; its centre would be noise
LARGEST = 1e12  # drawing units: squares of such coordinates can still be reckoned with
NO_CHORD = 1e-12  # share of the radius: ends of an arc nearer than this are one point
FLATTEST = 1e-14  # no unit: deviation over radius; with less no facet can be told from its arc
NOTHING = 1e-100  # the same, any unit: squares of less than this are 0
MOST_FACETS = 200_000  # of one curve: more can't be a drawing
MOST_POINTS = 100_000  # of one path, for the same reason
MOST_KEPT = 2_000  # places of a lattice that is kept for the next arc
MANY = 5_000  # steps of a path: with fewer the facets need not be counted first


def flattened(subpath: Subpath, matrix: Affine, deviation: float) -> Floats:
    """Vertices (n, 2) of the subpath carried by `matrix`, ends of segments included.

    No facet is farther than `deviation` (unit of the carried path) from its curve. Raises
    ValueError when a curve is too large for that or not finite.
    """
    many = len(subpath.steps) > MANY
    straight = many and all(isinstance(step, Line) for step in subpath.steps)
    if many and not straight:
        _refuse_facets(subpath, matrix, deviation)
    here = (subpath.x, subpath.y)
    parts: list[Point] = [carried(matrix, *here)]
    if straight:
        places = np.fromiter(chain(here, chain.from_iterable(subpath.steps)), dtype=np.float64)
        points = carried_all(matrix, places.reshape(-1, 2))
    else:
        for step in subpath.steps:
            if not isinstance(step, Line):
                parts.extend(_places(here, step, matrix, deviation))
                if len(parts) > MOST_POINTS:
                    raise _too_many(len(parts))
            here = (step.x, step.y)
            parts.append(carried(matrix, *here))
        points = np.array(parts, dtype=np.float64)
    if not (np.abs(points) <= LARGEST).all():  # not a number is not below it either
        raise ValueError("a coordinate is too large to reckon with")
    return points


def _too_many(least: int) -> ValueError:
    return ValueError(f"the curves would need more than {MOST_POINTS} facets, {least} at least")


def _refuse_facets(subpath: Subpath, matrix: Affine, deviation: float) -> None:
    """Raise ValueError for curves that would need too many facets, before any are made."""
    at = [(subpath.x, subpath.y), *((step.x, step.y) for step in subpath.steps)]
    steps = [pair for pair in zip(at, subpath.steps, strict=False) if not isinstance(pair[1], Line)]
    cubics = np.array([(*at, *step) for at, step in steps if isinstance(step, Cubic)])
    arcs = np.array([(*at, *step) for at, step in steps if isinstance(step, Arc)])
    with np.errstate(all="ignore"):  # what is too large is refused when it is its turn
        counts = [_bezier_facets(cubics, matrix, deviation) if len(cubics) else 0.0,
                  _arc_facets(arcs, matrix, deviation) if len(arcs) else 0.0]  # fmt: skip
    if MOST_POINTS < sum(counts) < math.inf:
        raise _too_many(int(sum(counts)))


def _bezier_facets(cubics: Floats, matrix: Affine, deviation: float) -> float:
    """Facets of Béziers (n, 8: start, both controls and end), as `_bezier` counts them."""
    a, b, c, d, _, _ = matrix
    x, y = np.moveaxis(cubics.reshape(-1, 4, 2), 2, 0)
    ends = np.stack([a * x + c * y, b * x + d * y], axis=2)
    bend = np.hypot(*np.moveaxis(np.diff(ends, 2, axis=1), 2, 0)).max(axis=1)
    return float(np.ceil(np.sqrt(0.75 * bend / deviation)).sum())


def _arc_facets(arcs: Floats, matrix: Affine, deviation: float) -> float:
    """No more facets than arcs (n, 9: start, radii, turn, flags and end) need.

    An arc turns by as much at least as the circle of its larger radius over the same chord.
    """
    reach = arcs[:, 2:4].max(axis=1)
    chord = np.hypot(*(arcs[:, 7:9] - arcs[:, :2]).T)
    turn = np.where(arcs[:, 5] > 0, math.pi, 2 * np.arcsin(np.minimum(1, chord / (2 * reach))))
    # Radii that are too small for the chord grow (B.2.5); the least size, however it lies.
    size = np.maximum(reach, chord / 2) * (abs(determinant(matrix)) / stretch(matrix))
    step = 2 * np.arccos(np.maximum(0, 1 - deviation / size))
    return float(np.maximum(0, np.floor(turn / step) - 1).sum())


def _places(start: Point, step: Cubic | Arc, matrix: Affine, deviation: float) -> Iterable[Point]:
    """Vertices strictly between the ends of a curved step: those of `inner`, only faster."""
    if isinstance(step, Cubic):
        return [(x, y) for x, y, _, _ in inner(start, step, matrix, deviation)]
    back = (step.x, step.y) < start
    if back:
        start, step = (step.x, step.y), _backwards(start, step)
    drawn = _elliptic(start, step, matrix, deviation)
    if drawn is None:
        return []
    places = drawn.places()
    return reversed(places) if back else places


def inner(start: Point, step: Cubic | Arc, matrix: Affine, deviation: float) -> list[Vertex]:
    """Vertices strictly between the ends of a curved step, each with its direction of travel."""
    # Reckoned from the lower end whichever way it is walked, so both neighbours agree.
    if (step.x, step.y) < start:
        vertices = inner((step.x, step.y), _turned_round(start, step), matrix, deviation)
        return [(x, y, -u, -v) for x, y, u, v in reversed(vertices)]
    if isinstance(step, Cubic):
        x1, y1, x2, y2, x, y = step
        return _bezier(
            [carried(matrix, *p) for p in (start, (x1, y1), (x2, y2), (x, y))], deviation
        )
    drawn = _elliptic(start, step, matrix, deviation)
    if drawn is None:
        return []
    return [(*place, *way) for place, way in zip(drawn.places(), drawn.directions(), strict=True)]


def _turned_round(start: Point, step: Cubic | Arc) -> Cubic | Arc:
    if isinstance(step, Cubic):
        return Cubic(step.x2, step.y2, step.x1, step.y1, *start)
    return _backwards(start, step)


def _backwards(start: Point, arc: Arc) -> Arc:
    return Arc(arc.rx, arc.ry, arc.turn, arc.large, not arc.sweep, *start)


def _bezier(ends: list[Point], deviation: float) -> list[Vertex]:
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = ends
    bend = max(
        math.hypot(ax - 2 * bx + cx, ay - 2 * by + cy),
        math.hypot(bx - 2 * cx + dx, by - 2 * cy + dy),
    )
    # Second differences bound how far a chord leaves its curve: n² >= 3/4 bend / deviation.
    count = _counted(math.sqrt(0.75 * bend / deviation))
    vertices: list[Vertex] = []
    for i in range(1, count):
        t = i / count
        s = 1 - t
        p, q, r, u = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
        f, g, h = s * s, 2 * s * t, t * t
        vertices.append(
            (
                p * ax + q * bx + r * cx + u * dx,
                p * ay + q * by + r * cy + u * dy,
                f * (bx - ax) + g * (cx - bx) + h * (dx - cx),
                f * (by - ay) + g * (cy - by) + h * (dy - cy),
            )
        )
    return vertices


def facets(reach: float, turn: float, deviation: float) -> int:
    """`facet_count`, or ValueError for an arc so large that it would need too many."""
    if not deviation > FLATTEST * reach:
        raise ValueError(f"an arc of radius {reach:g} is too large to reckon with")
    return _counted(facet_count(reach, turn, deviation))


def _counted(count: float) -> int:
    if not count <= MOST_FACETS:  # not a number is not below it either
        raise ValueError(f"a curve would need {count:.3g} facets, at most {MOST_FACETS} are drawn")
    return max(1, math.ceil(count))


class _Ellipse(NamedTuple):
    """Some vertices of the ellipse middle + along cos + across sin, and the way that they run."""

    middle: Point
    along: Point
    across: Point
    lattice: list[Point]  # cosine and sine of each
    way: float

    def places(self) -> list[Point]:
        """Places of the vertices."""
        (x, y), (ax, ay), (bx, by) = self.middle, self.along, self.across
        return [(x + ax * cos + bx * sin, y + ay * cos + by * sin) for cos, sin in self.lattice]

    def directions(self) -> list[Point]:
        """Directions of travel there."""
        (ax, ay), (bx, by), way = self.along, self.across, self.way
        return [(way * (bx * cos - ax * sin), way * (by * cos - ay * sin))
                for cos, sin in self.lattice]  # fmt: skip


def _elliptic(start: Point, arc: Arc, matrix: Affine, deviation: float) -> _Ellipse | None:
    """The vertices strictly between the ends of an arc; None for one that is no arc."""
    chord = math.hypot(start[0] - arc.x, start[1] - arc.y)
    if chord <= max(NO_CHORD * min(arc.rx, arc.ry), NOTHING):
        return None  # as good as one point (9.5.1)
    centre, rx, ry = centre_of(start, arc)
    turn = 0.0 if rx == ry else arc.turn
    cos, sin = math.cos(turn), math.sin(turn)
    a, b, c, d, _, _ = matrix
    along = (a * rx * cos + c * rx * sin, b * rx * cos + d * rx * sin)
    across = (-a * ry * sin + c * ry * cos, -b * ry * sin + d * ry * cos)
    middle = carried(matrix, *centre)
    if rx == ry and _is_similarity(matrix):
        # Still a circle: angles are those of the drawing, whatever the element was turned by.
        reach = round(rx * _stretch(matrix), PLACES)
        middle = (round(middle[0], PLACES), round(middle[1], PLACES))
        along, across = (reach, 0.0), (0.0, reach)
    size = _stretch((*along, *across, 0.0, 0.0))
    if not math.isfinite(size):
        raise ValueError("an arc is too large to reckon with")
    if size == 0:
        return None
    count = facets(size, math.tau, min(deviation, size / 2))
    count = LATTICE * math.ceil(count / LATTICE)
    first = _angle(carried(matrix, *start), middle, along, across)
    last = _angle(carried(matrix, arc.x, arc.y), middle, along, across)
    mirrored = determinant((*along, *across, 0.0, 0.0)) * determinant(matrix) < 0
    forward = arc.sweep != mirrored
    some = _lattice_between(first, last, count, forward=forward)
    return _Ellipse(middle, along, across, _on_lattice(some, count), 1.0 if forward else -1.0)


@lru_cache(maxsize=16)
def _is_similarity(matrix: Affine) -> bool:
    return is_similarity(matrix)


@lru_cache(maxsize=16)
def _stretch(matrix: Affine) -> float:
    return stretch(matrix)


def _angle(point: Point, middle: Point, along: Point, across: Point) -> float:
    """Angle of a point on the ellipse middle + along cos + across sin, 0 .. 2 pi."""
    x, y = point[0] - middle[0], point[1] - middle[1]
    area = along[0] * across[1] - along[1] * across[0]
    if area == 0:
        return 0.0
    cos = (x * across[1] - y * across[0]) / area
    sin = (along[0] * y - along[1] * x) / area
    return math.atan2(sin, cos) % math.tau


def _lattice_between(first: float, last: float, count: int, *, forward: bool) -> slice:
    """Lattice places strictly between two angles, in the order in which they are passed."""
    if not forward:
        first, last = last, first
    low, high = first / math.tau * count, last / math.tau * count
    if high <= low:
        high += count
    begin, end = math.floor(low + ON_LATTICE) + 1, math.ceil(high - ON_LATTICE)
    if forward:
        return slice(begin, end)
    return slice(end - 1, begin - 1, -1) if end > begin else slice(0)


def _on_lattice(some: slice, count: int) -> list[Point]:
    """Cosines and sines of some of `count` even angles; twice round, for arcs that pass 0."""
    if count <= MOST_KEPT:
        return _lattice(count)[some]
    # Of so large a circle an arc is mostly a small part: the whole would be made in vain.
    quarter = count // 4
    places = range(*some.indices(2 * count + 1))
    return [(_cosine(k, count), _cosine(k - quarter, count)) for k in places]


@lru_cache(maxsize=256)
def _lattice(count: int) -> list[Point]:
    """Cosines and sines of even angles, 2 count + 1 of them."""
    cosines = [_cosine(k, count) for k in range(count)]
    quarter = count // 4
    once = [(cosines[k], cosines[k - quarter]) for k in range(count)]
    return [*once, *once, once[0]]


def _cosine(k: int, count: int) -> float:
    """Of the k-th of `count` even angles: exact at the quarters, mirrored to the bit."""
    quarter = count // 4
    quadrant, near = divmod(k % count, quarter)
    if quadrant % 2:
        near = quarter - near
    if near <= count // 8:
        value = math.cos(math.tau * near / count)
    else:
        value = math.sin(math.tau * (quarter - near) / count)
    return -value if quadrant in {1, 2} else value


def centre_of(start: Point, arc: Arc) -> tuple[Point, float, float]:
    """Centre of an arc and its radii, made larger when the end points are too far apart."""
    cos, sin = math.cos(arc.turn), math.sin(arc.turn)
    hx, hy = (start[0] - arc.x) / 2, (start[1] - arc.y) / 2
    x, y = cos * hx + sin * hy, cos * hy - sin * hx
    rx, ry = arc.rx, arc.ry
    u, v = x / rx, y / ry
    far = u * u + v * v  # no **: it raises where this is infinite
    if not math.isfinite(far):
        raise ValueError("an arc is too large to reckon with")
    if far >= 1 - HALF:  # (B.2.5)
        rx, ry, offset = rx * math.sqrt(far), ry * math.sqrt(far), 0.0
    else:
        offset = math.sqrt((1 - far) / far)
    if arc.large == arc.sweep:
        offset = -offset
    u, v = offset * rx * y / ry, -offset * ry * x / rx
    middle = ((start[0] + arc.x) / 2, (start[1] + arc.y) / 2)
    return (cos * u - sin * v + middle[0], sin * u + cos * v + middle[1]), rx, ry
