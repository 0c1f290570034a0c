r"""Centres spread over an area: as few as can be found such that each demand is within reach.

Stands after farthest_point, before tape_tacks. Plain points; `room` is where centres may be.

A k-centre problem, solved as Lloyd's iteration does for means: each demand goes to its nearest
centre, each centre to the middle of the smallest circle round its demands, and back into the room.
It starts from a triangular lattice, the thinnest cover of the plane by discs (R. Kershner, The
number of circles covering a set, 1939: at least area / (2.598 reach²) discs), in several positions,
and from demands chosen as far apart as can be. No start is random.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.products import comparable
from mateline.stencil.tacks.farthest_point import gaps

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

    Floats = NDArray[np.float64]

HEXAGON = 3 * math.sqrt(3) / 2  # area of a regular hexagon in a circle of radius 1
RIM = 0.3  # no unit: the share of a border's length times reach that discs waste; by trial
MOVES = 40  # how often the centres are moved before a start is given up
HASTY = 0.98  # no unit: a move that leaves more than this share of the worst gap is too slow
PATIENT = 0.998  # the same where little is missing
IN_ROW = 4  # so few centres are tried in a row first
SPARE = 0.96  # no unit: moves go on to this share of the reach, for what lies between demands
NEARLY = 1.04  # no unit: a worst gap over the reach by less than this may yet be moved into it
ROUNDING = 1e-9  # no unit: a point that lies on a circle but for rounding does not move it
GROWTH = 1.5  # no unit: how the number of discs answers to the share of the reach that is missing
# Lattices to start from: whether their rows run up, and their position as shares of a step.
# A second one saves one tack in five hundred and costs a tenth of the time.
LATTICES = ((False, (0.25, 0.75)),)


@dataclass(frozen=True, slots=True)
class Task:
    """Demands (n, 2) to be reached, from centres in `room`. Lengths in one unit."""

    demand: Floats
    room: BaseGeometry
    reach: float


def k_centres(task: Task, area: Polygon, *, least: int = 1) -> Floats:
    """Few centres (k, 2) in the task's room, each demand within reach of one.

    Fewer than `least` are not tried. Raises ValueError where a demand is out of the room's reach.
    """
    guess = (area.area + RIM * task.reach * area.length) / (HEXAGON * task.reach**2)
    count, failed = max(least, math.floor(guess)), least - 1
    found: Floats | None = None
    while found is None or len(found) > failed + 1:
        if count >= len(task.demand):
            return _one_each(task)
        tried, worst = _tried(task, area, count)
        if worst <= task.reach:
            found = tried
            count = len(found) - 1
        else:
            failed = count
            # Discs that reach only so far have to be more in number; the exponent by trial.
            count = max(count + 1, math.floor(count * (worst / task.reach) ** GROWTH))
    return found


def _one_each(task: Task) -> Floats:
    if not shapely.dwithin(task.room, shapely.points(task.demand), task.reach).all():
        raise ValueError("a demand is out of reach of the room")
    return within(task.room, task.demand)


def mended(task: Task, area: Polygon, centres: Floats) -> Floats:
    """`centres` moved or spread anew, and more where that is not enough, as for `k_centres`."""
    found, worst = _moved(task, centres, PATIENT)
    if worst > task.reach:
        found, worst = _tried(task, area, len(centres))
    while worst > task.reach:
        far = gaps(task.demand, centres).min(axis=1)
        lonely = task.demand[[int(comparable(far).argmax())]]
        centres = np.vstack([centres, within(task.room, lonely)])
        found, worst = _moved(task, centres, PATIENT)
    return found


def within(room: BaseGeometry, points: Floats) -> Floats:
    """`points` (n, 2), each moved to the nearest point of `room`."""
    outside = ~shapely.intersects_xy(room, points[:, 0], points[:, 1])
    if not outside.any():
        return points
    moved = points.copy()
    lines = shapely.shortest_line(room, shapely.points(points[outside]))
    moved[outside] = shapely.get_coordinates(lines)[::2]
    return moved


def _tried(task: Task, area: Polygon, count: int) -> tuple[Floats, float]:
    """`count` centres and the largest gap they leave, from the first start that reaches all.

    From the best one where none does; where that nearly does it is given more moves.
    """
    best: tuple[Floats, float] | None = None
    for start in _starts(task, area, count):
        moved = _moved(task, within(task.room, start), HASTY)
        if moved[1] <= task.reach:
            return moved
        if best is None or moved[1] < best[1]:
            best = moved
    if best is None:
        raise ValueError("there is no start to spread from")
    return _moved(task, best[0], PATIENT) if best[1] < NEARLY * task.reach else best


def _moved(task: Task, centres: Floats, worth: float) -> tuple[Floats, float]:
    """The centres after as many moves as it takes to reach all, and the largest gap they leave.

    `worth` is the share of the largest gap that a move may leave and still be followed by
    another.
    """
    best = centres, math.inf
    for _ in range(MOVES):
        apart = gaps(task.demand, centres)
        nearest = comparable(apart).argmin(axis=1)
        worst = float(apart.min(axis=1).max())
        slow = worst > worth * best[1]
        if worst < best[1]:
            best = centres, worst
        if worst <= SPARE * task.reach or slow:
            break
        centres = within(task.room, _middles(task.demand, nearest, centres))
    return best


def _middles(demand: Floats, nearest: NDArray[np.intp], centres: Floats) -> Floats:
    """Middles of small circles round the demands of each centre; idle centres stay.

    The circle on two far points, or on those and a third one that lies outside: the smallest
    there is wherever these are what holds it, and near it elsewhere. All centres at once, since
    the exact circles cost most of the time of a layout.
    """
    order = np.argsort(nearest, kind="stable")
    points = demand[order]
    count = np.bincount(nearest, minlength=len(centres))
    busy = count.nonzero()[0]
    count = count[busy]
    starts = count.cumsum() - count
    own = np.repeat(np.arange(len(busy)), count)

    def farthest(from_: Floats) -> tuple[Floats, Floats]:
        away = points - from_[own]
        far = comparable(np.hypot(away[:, 0], away[:, 1]))
        most = np.maximum.reduceat(far, starts)
        first = (far == most[own]).nonzero()[0]
        if len(first) > len(starts):  # some are as far as another: the first of each
            first = first[np.searchsorted(own[first], np.arange(len(starts)))]
        return points[first], most

    one, _ = farthest(np.add.reduceat(points, starts) / count[:, None])
    two, width = farthest(one)
    middles = (one + two) / 2
    third, gap = farthest(middles)
    outside = (gap > width / 2 * (1 + ROUNDING)).nonzero()[0]
    if len(outside):
        middles[outside] = _round_three(one[outside], two[outside], third[outside])
    moved = centres.copy()
    moved[busy] = middles
    return moved


def _round_three(a: Floats, b: Floats, c: Floats) -> Floats:
    """Centres of the smallest circles round three points each, (n, 2).

    The circumcentre by the side lengths (barycentric weights a² (b² + c² - a²)); on the longest
    side where the angle across from it is not acute. Elementary.
    """
    corners = np.array((a, b, c))
    edges = corners[[1, 0, 0]] - corners[[2, 2, 1]]
    edges *= edges
    sides = edges[:, :, 0] + edges[:, :, 1]
    weights = np.maximum(sides * (_sum_of_three(sides) - 2 * sides), 0.0)
    # A weight of 0 leaves two weights of the same size: the middle of the longest side.
    none = weights == 0.0
    blunt = none.any(axis=0)
    if blunt.any():
        weights[:, blunt] = np.where(none[:, blunt], 0.0, 1.0)
    weights /= _sum_of_three(weights)
    corners *= weights[:, :, None]
    centres: Floats = corners[0] + corners[1] + corners[2]
    return centres


def _sum_of_three(rows: Floats) -> Floats:
    total: Floats = rows[0] + rows[1] + rows[2]
    return total


def _starts(task: Task, area: Polygon, count: int) -> Iterator[Floats]:
    if count <= IN_ROW:
        yield _along(area, count)
    step = math.sqrt(2 * area.area / (math.sqrt(3) * count))
    for upright, offset in LATTICES:
        lattice = _lattice(area.bounds, step, offset, upright=upright)
        inside = shapely.intersects_xy(area, lattice[:, 0], lattice[:, 1])
        if not inside.all():
            far = gaps(lattice[~inside], task.demand).min(axis=1)
            lattice = np.vstack(
                [lattice[inside], lattice[~inside][np.argsort(comparable(far), kind="stable")]]
            )
        if len(lattice) >= count:
            yield lattice[:count]
    if count > IN_ROW:
        yield _along(area, count)
    yield _far_apart(task.demand, count)


def _along(area: Polygon, count: int) -> Floats:
    """`count` points evenly along the middle of the smallest rectangle round `area`."""
    a, b, c, d = shapely.get_coordinates(shapely.oriented_envelope(area))[:4]
    if math.dist(a, b) < math.dist(b, c):
        a, b, c, d = b, c, d, a
    share = (np.arange(count)[:, None] + 0.5) / count
    row: Floats = (a + d) / 2 + share * (b - a + c - d) / 2
    return row


def _lattice(
    bounds: tuple[float, float, float, float],
    step: float,
    offset: tuple[float, float],
    *,
    upright: bool,
) -> Floats:
    """A triangular lattice over `bounds` and a step beyond; rows run up where `upright`."""
    left, low, right, high = bounds
    if upright:
        left, low, right, high = low, left, high, right
    rise = step * math.sqrt(3) / 2
    xs = np.arange(left - (1 - offset[0]) * step, right + step, step)
    ys = np.arange(low - (1 - offset[1]) * rise, high + rise, rise)
    grid = np.stack(np.meshgrid(xs, ys), axis=-1)
    grid[1::2, :, 0] += step / 2
    points = grid.reshape(-1, 2)
    return points[:, ::-1] if upright else points


def _far_apart(demand: Floats, count: int) -> Floats:
    """`count` demands, each as far as can be from those before it."""
    chosen = [int(np.argmin(comparable(demand.sum(axis=1))))]
    far = gaps(demand, demand[chosen])[:, 0]
    while len(chosen) < count:
        chosen.append(int(comparable(far).argmax()))
        far = np.minimum(far, gaps(demand, demand[chosen[-1:]])[:, 0])
    return demand[chosen]
