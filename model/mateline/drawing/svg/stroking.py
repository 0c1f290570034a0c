"""Strokes made into the areas that they cover.

Stands between path data and shapes. Works in the element's own units, so a stroke under an
uneven transform gets uneven width. Source: SVG 2, 13.5 (joins, caps, miter limit, dashes).

    run     vertices that follow one another smoothly, each with its direction
    strip   what a run covers: both offsets of it, without ends
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from mateline.drawing.flattening import centre_of, facets, flattened, inner
from mateline.drawing.path import Cubic, Line
from mateline.drawing.svg.values import number
from mateline.planar.affine import IDENTITY
from mateline.planar.crossings import meet_more_than
from mateline.planar.unions import united
from mateline.products import product

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from numpy.typing import NDArray

    from mateline.drawing.path import Step, Subpath

    Floats = NDArray[np.float64]
    Point = tuple[float, float]

MITERED = ("miter", "arcs")  # arcs are drawn as miters where renderers know none
SMOOTH = 1e-6  # rad: runs that meet at less than this have no join
SHRINKS = 0.75  # share: a turn that half the step doesn't lessen so far is a cusp
MANY = 2_000  # parts of a stroke: fewer are not worth counting
MOST_CROSSINGS = 500_000  # of a stroke with itself
PER_STEP, PER_DASH = 16, 75  # points that one counts for: it takes the time of so many
NONE = np.empty((0, 2))
MOST_DASHES = 10_000  # of one subpath


@dataclass(frozen=True, slots=True)
class Pen:
    """How a stroke is drawn: width, ends and corners; `dashes` are on and off lengths."""

    width: float
    cap: str
    join: str
    miter_limit: float
    dashes: tuple[float, ...]
    dash_offset: float


@dataclass(frozen=True, slots=True)
class _Run:
    """Vertices (n, 2) and unit directions (n, 2) at them."""

    points: Floats
    along: Floats


def stroked(
    subpaths: Sequence[Subpath], pen: Pen, deviation: float, spend: Callable[[int], None]
) -> Polygon | MultiPolygon:
    """The area that a pen covers along the subpaths, within `deviation` of the true outline.

    `spend` is told the points that this takes, before they are used.
    """
    parts: list[Polygon | MultiPolygon] = []
    for subpath in subpaths:
        spend(PER_STEP * len(subpath.steps))
        runs = list(_runs(subpath, pen, deviation))
        if not runs:
            parts.extend(_dot(subpath, pen, deviation))
        elif pen.dashes:
            parts.extend(
                part
                for dash in _dashed(runs, pen, spend, closed=subpath.closed)
                for part in _covered(dash, pen, deviation, closed=False)
            )
        else:
            parts.extend(_covered(runs, pen, deviation, closed=subpath.closed))
    if len(parts) > MANY and meet_more_than(np.asarray(shapely.bounds(parts)), MOST_CROSSINGS):
        raise ValueError("the stroke crosses itself too often")
    return united(parts)


def path_unit(given: str | None, subpaths: Sequence[Subpath], deviation: float) -> float:
    """How long a unit along the path is when the whole is `given` long (SVG 2, 9.6.1).

    Infinite for 0; a length that is negative is not listened to.
    """
    whole = 1.0 if given is None else number(given)
    if given is None or whole < 0:
        return 1.0
    lines = [flattened(part, IDENTITY, deviation) for part in subpaths]
    total = sum(float(np.hypot(*np.diff(line, axis=0).T).sum()) for line in lines)
    return total / whole if whole else math.inf


def _runs(subpath: Subpath, pen: Pen, deviation: float) -> Iterator[_Run]:
    """Smooth stretches of the subpath. A step without length is none."""
    vertices: list[tuple[float, float, float, float]] = []
    here = (subpath.x, subpath.y)
    for step in subpath.steps:
        made = _vertices(here, step, pen, deviation)
        if made and vertices and _turn(vertices[-1][2:], made[0][2:]) > SMOOTH:
            yield _run(vertices)
            vertices = []
        vertices.extend(made[1:] if vertices else made)
        here = (step.x, step.y)
    if vertices:
        yield _run(vertices)


def _run(vertices: list[tuple[float, float, float, float]]) -> _Run:
    table = np.array(vertices)
    along = table[:, 2:]
    return _Run(table[:, :2], along / np.hypot(*along.T)[:, None])


def _vertices(
    here: Point, step: Step, pen: Pen, deviation: float
) -> list[tuple[float, float, float, float]]:
    there = (step.x, step.y)
    if isinstance(step, Line):
        way = (there[0] - here[0], there[1] - here[1])
        return [] if way == (0.0, 0.0) else [(*here, *way), (*there, *way)]
    start, end = directions(here, step)
    if start == (0.0, 0.0):
        return []
    finer, sharpest = deviation, math.inf
    while True:
        between = [v for v in inner(here, step, IDENTITY, finer) if v[2] or v[3]]
        made = [(*here, *start), *between, (*there, *end)]
        turn = max(_turn(a[2:], b[2:]) for a, b in pairwise(made))
        # The outer offset of a facet leaves its curve by the half width times (1 - cos(turn/2)).
        if pen.width / 2 * (1 - math.cos(turn / 2)) <= deviation or turn > SHRINKS * sharpest:
            return made
        finer, sharpest = finer / 4, turn  # half the step


def directions(here: Point, step: Step) -> tuple[Point, Point]:
    """Direction of travel at both ends of a curve (SVG 2, 9.5.3: the next control point that
    is somewhere else).
    """
    there = (step.x, step.y)
    if isinstance(step, Cubic):
        points = [here, (step.x1, step.y1), (step.x2, step.y2), there]
        forward = next((p for p in points[1:] if p != here), here)
        back = next((p for p in points[2::-1] if p != there), there)
        return (
            (forward[0] - here[0], forward[1] - here[1]),
            (there[0] - back[0], there[1] - back[1]),
        )
    if isinstance(step, Line):
        way = (there[0] - here[0], there[1] - here[1])
        return way, way
    (cx, cy), rx, ry = centre_of(here, step)
    cos, sin = math.cos(step.turn), math.sin(step.turn)
    sign = 1.0 if step.sweep else -1.0

    def direction(point: Point) -> Point:
        x, y = point[0] - cx, point[1] - cy
        u, v = (cos * x + sin * y) / rx, (cos * y - sin * x) / ry
        p, q = -v * rx * sign, u * ry * sign
        return cos * p - sin * q, sin * p + cos * q

    return direction(here), direction(there)


def _turn(one: Sequence[float], other: Sequence[float]) -> float:
    """Angle between two directions, 0 .. pi."""
    cross = one[0] * other[1] - one[1] * other[0]
    return abs(math.atan2(cross, one[0] * other[0] + one[1] * other[1]))


def _covered(
    runs: list[_Run], pen: Pen, deviation: float, *, closed: bool
) -> Iterator[Polygon | MultiPolygon]:
    half = pen.width / 2
    if closed and len(runs) == 1 and _turn(runs[0].along[-1], runs[0].along[0]) <= SMOOTH:
        yield _ring(runs[0], half)
        return
    # Strips have the vertex itself where a join or cap stands on it, which would touch their ends
    # within rounding only.
    bare = not closed and pen.cap == "butt"
    for at, run in enumerate(runs):
        first = NONE if bare and at == 0 else run.points[:1]
        last = NONE if bare and at == len(runs) - 1 else run.points[-1:]
        yield _strip(_left(run, half), _left(run, -half), first, last)
    for before, past in pairwise([*runs, runs[0]] if closed else runs):
        yield from _join(before, past, pen, deviation)
    if not closed:
        yield from _cap(runs[0].points[0], -runs[0].along[0], pen, deviation)
        yield from _cap(runs[-1].points[-1], runs[-1].along[-1], pen, deviation)


def _left(run: _Run, by: float) -> Floats:
    """The run moved `by` to its left (y up)."""
    return run.points + by * np.column_stack([-run.along[:, 1], run.along[:, 0]])


def _strip(
    left: Floats, right: Floats, first: Floats = NONE, last: Floats = NONE
) -> Polygon | MultiPolygon:
    """Both offsets of a run, with its own `first` and `last` point between them where wanted."""
    area = Polygon(np.vstack([left, last, right[::-1], first]))
    if area.is_valid:
        return area
    # Bent more sharply than half its width: each facet's own strip is still sound.
    quads = np.stack([left[:-1], left[1:], right[1:], right[:-1]], axis=1)
    hulls = np.asarray(shapely.convex_hull(shapely.multipoints(quads)))
    whole = shapely.union_all(hulls[shapely.get_type_id(hulls) == shapely.GeometryType.POLYGON])
    return whole if isinstance(whole, Polygon | MultiPolygon) else Polygon()


def _ring(run: _Run, half: float) -> Polygon | MultiPolygon:
    """What a smooth closed run covers: the same as its strip, but with no seam."""
    if _same_turn(run, half):
        sides = [Polygon(_left(run, by)[:-1]) for by in (half, -half)]
        outer, inside = sorted(sides, key=lambda side: -side.area)
        ring = Polygon(outer.exterior, [inside.exterior])
        if ring.is_valid:
            return ring
    return _strip(_left(run, half), _left(run, -half))


def _same_turn(run: _Run, half: float) -> bool:
    """Whether neither offset is turned inside out: its facets run the way of the run's own."""
    way = np.diff(run.points, axis=0)
    return all(
        bool(((np.diff(_left(run, by), axis=0) * way).sum(axis=1) > 0).all())
        for by in (half, -half)
    )


def _join(before: _Run, past: _Run, pen: Pen, deviation: float) -> Iterator[Polygon]:
    """What fills the open side of a corner (SVG 2, 13.5.5)."""
    (x, y), one, other = past.points[0], before.along[-1], past.along[0]
    turn = math.atan2(one[0] * other[1] - one[1] * other[0], float(product(one, other)))
    if abs(turn) <= SMOOTH:
        return
    side = -math.copysign(pen.width / 2, turn)
    a = np.array([x - side * one[1], y + side * one[0]])
    b = np.array([x - side * other[1], y + side * other[0]])
    if pen.join == "round":
        yield _fan((x, y), (a, b), turn, deviation)
        return
    points = [(x, y), tuple(a), tuple(b)]
    # Miter length over width is 1 / sin(half the angle between the segments).
    opening = math.cos(turn / 2)
    if pen.join.startswith(MITERED) and opening > 0 and 1 / opening <= pen.miter_limit:
        reach = pen.width / 2 * math.tan(abs(turn) / 2)
        points.insert(2, tuple(a + reach * one))
    elif pen.join == "miter-clip":
        # Cut square to its axis, half a miter length of the limit from the corner.
        reach = pen.width / 2 * (pen.miter_limit - opening) / math.sin(abs(turn) / 2)
        points[2:2] = [tuple(a + reach * one), tuple(b - reach * other)]
    yield Polygon(points)


def _fan(middle: Point, ends: tuple[Floats, Floats], turn: float, deviation: float) -> Polygon:
    x, y = middle
    first = math.atan2(ends[0][1] - y, ends[0][0] - x)
    reach = math.dist(middle, ends[0])
    count = facets(reach, turn, deviation)
    rim = [
        (
            x + reach * math.cos(first + turn * k / count),
            y + reach * math.sin(first + turn * k / count),
        )
        for k in range(1, count)
    ]
    return Polygon([middle, tuple(ends[0]), *rim, tuple(ends[1])])


def _cap(at: Floats, out: Floats, pen: Pen, deviation: float) -> Iterator[Polygon]:
    """What stands out beyond an open end."""
    half = pen.width / 2
    across = half * np.array([-out[1], out[0]])
    a, b = at - across, at + across
    if pen.cap == "square":
        yield Polygon([a, at, b, b + half * out, a + half * out])
    elif pen.cap == "round":
        yield _fan((float(at[0]), float(at[1])), (a, b), math.pi, deviation)


def _dot(subpath: Subpath, pen: Pen, deviation: float) -> Iterator[Polygon]:
    """A subpath without length is a dot when its ends are not cut flat (SVG 2, 13.5.4)."""
    if pen.cap == "butt" or not (subpath.steps or subpath.closed):
        return
    if pen.dashes and not _starts_on(_even(pen.dashes), pen.dash_offset):
        return
    at, out = np.array([subpath.x, subpath.y]), np.array([1.0, 0.0])
    for way in (out, -out):
        yield from _cap(at, way, pen, deviation)


def _dashed(
    runs: list[_Run], pen: Pen, spend: Callable[[int], None], *, closed: bool
) -> Iterator[list[_Run]]:
    """The parts of the runs that are drawn, each as runs of its own."""
    dashes = _even(pen.dashes)
    period = sum(dashes)
    along = [np.append(0.0, np.cumsum(np.hypot(*np.diff(r.points, axis=0).T))) for r in runs]
    begins = np.append(0.0, np.cumsum([steps[-1] for steps in along]))
    total = float(begins[-1])
    if total / period * len(dashes) > MOST_DASHES:
        raise ValueError(f"the stroke has more than {MOST_DASHES} dashes")
    spend(PER_DASH * math.ceil(total / period * len(dashes)))
    made = []
    for a, b in _on(dashes, pen.dash_offset, total):
        low, high = max(0.0, a), min(total, b)
        first = max(0, int(np.searchsorted(begins, low)) - 1)
        last = int(np.searchsorted(begins, high, side="right"))
        made.append(_cut(runs, along, begins, (low, high), range(first, min(last, len(runs)))))
    if closed and len(made) > 1 and _meets(runs, made, total):
        made = [[*made[-1], *made[0]], *made[1:-1]]
    yield from (_welded(dash) for dash in made if dash)


def _even(dashes: tuple[float, ...]) -> tuple[float, ...]:
    return dashes * (2 if len(dashes) % 2 else 1)


def _starts_on(dashes: tuple[float, ...], offset: float) -> bool:
    """Whether the start of a subpath is in a dash or at the end of one (SVG 2, 13.5.6)."""
    left = offset % sum(dashes)
    for index, size in enumerate(dashes):
        if left <= size:
            return index % 2 == 0
        left -= size
    return False


def _on(dashes: tuple[float, ...], offset: float, total: float) -> Iterator[tuple[float, float]]:
    at = -(offset % sum(dashes))
    while at < total:
        for index, size in enumerate(dashes):
            if index % 2 == 0 and at + size >= 0 and at < total:
                yield at, at + size
            at += size


def _meets(runs: list[_Run], made: list[list[_Run]], total: float) -> bool:
    """Whether a dash runs over the place where a closed subpath starts."""
    near = 1e-9 * total
    first, last = made[0], made[-1]
    return bool(
        first
        and last
        and np.allclose(first[0].points[0], runs[0].points[0], rtol=0, atol=near)
        and np.allclose(last[-1].points[-1], runs[-1].points[-1], rtol=0, atol=near)
    )


def _welded(dash: list[_Run]) -> list[_Run]:
    """Neighbouring runs that go on smoothly, made one."""
    welded = [dash[0]]
    for run in dash[1:]:
        last = welded[-1]
        if _turn(last.along[-1], run.along[0]) <= SMOOTH:
            welded[-1] = _Run(
                np.vstack([last.points, run.points[1:]]), np.vstack([last.along, run.along[1:]])
            )
        else:
            welded.append(run)
    return welded


def _cut(
    runs: list[_Run], along_runs: list[Floats], begins: Floats, span: tuple[float, float],
    which: range,
) -> list[_Run]:  # fmt: skip
    """Runs between two distances along them, out of those numbered `which`."""
    found = []
    low, high = span
    for index in which:
        run, steps, begin = runs[index], along_runs[index], float(begins[index])
        a, b = max(low - begin, 0.0), min(high - begin, float(steps[-1]))
        if b < a or (b == a and low != high):
            continue
        at = np.concatenate([[a], steps[(steps > a) & (steps < b)], [b]])
        points, along = (
            np.column_stack([np.interp(at, steps, table[:, axis]) for axis in (0, 1)])
            for table in (run.points, run.along)
        )
        found.append(_Run(points, along / np.hypot(*along.T)[:, None]))
        if low == high:
            break
    return found
