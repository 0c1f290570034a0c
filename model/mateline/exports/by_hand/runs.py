r"""Runs: what a hand draws at one go, a straight line or an arc, of as many borders as lie on it.

Stands first in the room. A file's borders are parted at every meeting place, and by hundredths of
a mm where they were fitted. A hand sees neither: so runs are the fewest that stay near.

    run     a line, an arc of half a turn at most, or a whole circle, between two of the points
            where lines or arcs met before
    course  the points of borders that one run stands for: it leaves none of them by `NEAR`

    o----o----o----o        one line through two meeting places
         |    |
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.curves import radius, sweep

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.curves import Chain, Point, Segment

NEAR = 0.4  # mm: how far a run may leave its borders; a knife in a hand wanders as much
LEAST = 0.5  # mm: what is shorter is no step of its own
SAMPLES = 8  # points that an arc is judged by
FLATTEST = 5000.0  # mm: no arc of a larger radius is looked for
ON = math.cos(math.radians(12))  # no unit: two that run on into each other turn by less
HALF_TURN = math.pi + 1e-6  # radians: an arc that turns farther is parted


@dataclass(frozen=True, slots=True)
class Run:
    """From `start` to `to`, mm; `centre` is None for a line. An arc turns left or `clockwise`.

    A circle starts where it ends. `course` are points of the borders that it stands for, and
    `order` is the place of the last of these in the order of cutting.
    """

    start: Point
    to: Point
    centre: Point | None
    clockwise: bool
    course: tuple[Point, ...]
    order: int

    @property
    def circle(self) -> bool:
        """Whether it is a whole circle."""
        return self.centre is not None and self.start == self.to

    @property
    def reach(self) -> float:
        """Radius, mm; 0 for a line."""
        return 0.0 if self.centre is None else math.dist(self.start, self.centre)

    @property
    def turn(self) -> float:
        """The angle that it turns through, radians, left positive; 0 for a line."""
        if self.centre is None:
            return 0.0
        if self.circle:
            return -math.tau if self.clockwise else math.tau
        (cx, cy) = self.centre
        ahead = math.atan2(self.to[1] - cy, self.to[0] - cx)
        behind = math.atan2(self.start[1] - cy, self.start[0] - cx)
        left = (ahead - behind) % math.tau
        return left - math.tau if self.clockwise else left

    def at(self, share: float) -> Point:
        """The point at a share of its length."""
        if self.centre is None:
            (ax, ay), (bx, by) = self.start, self.to
            return ax + share * (bx - ax), ay + share * (by - ay)
        (cx, cy) = self.centre
        angle = math.atan2(self.start[1] - cy, self.start[0] - cx) + share * self.turn
        return cx + self.reach * math.cos(angle), cy + self.reach * math.sin(angle)

    @property
    def length(self) -> float:
        """Along it, mm."""
        if self.centre is None:
            return math.dist(self.start, self.to)
        return self.reach * abs(self.turn)


def runs_of(chains: Sequence[tuple[int, Chain, bool]]) -> tuple[Run, ...]:
    """The runs of `chains`, which come with their place in the order of cutting, and whether they
    are of the trim: that runs on into nothing else.

    Those of one colour's border that end where two others meet run on through it where they can.
    """
    found: list[Run] = []
    for trim in (False, True):
        parts = [run for order, chain, rim in chains if rim is trim for run in _plain(chain, order)]
        found += _run_on(parts)
    found = [half for run in found for half in _halves(run)]
    return tuple(sorted(found, key=lambda run: run.order))  # those of one border along it


def _plain(chain: Chain, order: int) -> Iterator[Run]:
    """The fewest runs of one chain: each goes as far as it can."""
    whole = _whole_circle(chain, order)
    if whole is not None:
        yield whole
        return
    points = chain.points
    courses = [
        _sampled(points[at], segment) for at, segment in enumerate(chain.segments)
    ]  # without their first points
    at = 0
    while at < len(courses):
        best, until = None, at + 1
        course = [points[at]]
        missed = 0
        for end in range(at, len(courses)):
            course = [*course, *courses[end]]
            run = _one(chain.segments[end], course, order) if end == at else fitted(course, order)
            if run is not None:
                best, until, missed = run, end + 1, 0
            else:
                missed += 1
            if missed == 2:
                break
        if best is not None:
            yield best
        at = until


def _one(segment: Segment, course: list[Point], order: int) -> Run | None:
    """The run of a single segment, as it is; None where it has no length."""
    start, to = course[0], segment.to
    if start == to:
        return None
    centre = segment.centre
    if centre is None or radius(segment) > FLATTEST:
        return Run(start, to, None, False, tuple(course), order)
    return Run(start, to, centre, not segment.counterclockwise, tuple(course), order)


def _whole_circle(chain: Chain, order: int) -> Run | None:
    first = chain.segments[0].centre
    if first is None or not chain.closed or any(s.centre != first for s in chain.segments):
        return None
    course = [chain.start]
    for segment in chain.segments:
        course += _sampled(course[-1], segment)
    way = not chain.segments[0].counterclockwise
    return Run(chain.start, chain.start, first, way, tuple(course), order)


def _sampled(start: Point, segment: Segment) -> list[Point]:
    """Points along a segment, its end last and its start left out."""
    if segment.centre is None:  # by its ends alone four sides of a box would be a circle
        (ax, ay), (bx, by) = start, segment.to
        return [((ax + bx) / 2, (ay + by) / 2), segment.to]
    (cx, cy), reach, turn = segment.centre, radius(segment), sweep(start, segment)
    first = math.atan2(start[1] - cy, start[0] - cx)
    steps = [first + turn * step / SAMPLES for step in range(1, SAMPLES)]
    return [*((cx + reach * math.cos(a), cy + reach * math.sin(a)) for a in steps), segment.to]


def fitted(course: Sequence[Point], order: int) -> Run | None:
    """One run from the first of the points to the last that none of them leaves by `NEAR`."""
    start, to = course[0], course[-1]
    long = math.dist(start, to)
    if long < LEAST:
        return None
    if _along_line(course, long):
        return Run(start, to, None, False, tuple(course), order)
    return _arc(course, order)


def _along_line(course: Sequence[Point], long: float) -> bool:
    (ax, ay), (bx, by) = course[0], course[-1]
    ux, uy = (bx - ax) / long, (by - ay) / long
    for x, y in course:
        along, off = (x - ax) * ux + (y - ay) * uy, (x - ax) * uy - (y - ay) * ux
        if abs(off) > NEAR or not -NEAR <= along <= long + NEAR:
            return False
    return True


def _arc(course: Sequence[Point], order: int) -> Run | None:
    """The arc through the first, the last, and the point that is farthest off their chord."""
    (ax, ay), (bx, by) = start, to = course[0], course[-1]
    # To a millionth: of two alike the first, whatever their last bits.
    mx, my = max(
        course, key=lambda p: round(abs((p[0] - ax) * (by - ay) - (p[1] - ay) * (bx - ax)), 6)
    )
    centre = _through((ax, ay), (mx, my), (bx, by))
    if centre is None or math.dist(centre, start) > FLATTEST:
        return None
    reach = math.dist(centre, start)
    if any(abs(math.dist(centre, point) - reach) > NEAR for point in course):
        return None
    clockwise = (mx - ax) * (by - ay) - (my - ay) * (bx - ax) < 0
    arc = Run(start, to, centre, clockwise, tuple(course), order)
    return arc if abs(arc.turn) <= HALF_TURN and _goes_on(arc) else None


def _goes_on(arc: Run) -> bool:
    """Whether its course goes round one way, from one end to the other, but for hairs."""
    assert arc.centre is not None  # noqa: S101  an arc has one
    (cx, cy), way = arc.centre, -1.0 if arc.clockwise else 1.0
    slack = NEAR / arc.reach
    first = math.atan2(arc.start[1] - cy, arc.start[0] - cx)
    farthest, whole = 0.0, abs(arc.turn)
    for x, y in arc.course[1:-1]:
        angle = (way * (math.atan2(y - cy, x - cx) - first) + slack) % math.tau - slack
        if angle < farthest - 2 * slack or angle > whole + slack:
            return False
        farthest = max(farthest, angle)
    return True


def _through(a: Point, b: Point, c: Point) -> Point | None:
    """The centre of the circle through three points; None where they are in line."""
    bx, by, cx, cy = b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]
    twice = 2 * (bx * cy - by * cx)
    if abs(twice) < 1e-9 * (bx * bx + by * by + cx * cx + cy * cy):
        return None
    bb, cc = bx * bx + by * by, cx * cx + cy * cy
    return a[0] + (cy * bb - by * cc) / twice, a[1] + (bx * cc - cx * bb) / twice


def _run_on(parts: Sequence[Run]) -> list[Run]:
    """The runs, those that run on into each other joined; what is shorter than a step left out."""
    runs: dict[int, Run] = {
        at: run for at, run in enumerate(parts) if run.circle or run.length >= LEAST
    }
    ends: dict[Point, list[int]] = defaultdict(list)
    for at, run in runs.items():
        if not run.circle:
            ends[run.start].append(at)
            ends[run.to].append(at)
    for node in sorted(ends):
        for first, second in _pairs(node, ends[node], runs):
            if first == second or not {first, second} <= runs.keys():
                continue
            joined = _joined(runs[first], runs[second], node)
            if joined is None:
                continue
            runs[first] = joined
            far = next(e for e in (runs[second].start, runs[second].to) if e != node)
            del runs[second]
            ends[far] = [first if at == second else at for at in ends[far]]
            ends[node] = [at for at in ends[node] if at not in {first, second}]
    return list(runs.values())


def _pairs(node: Point, here: Sequence[int], runs: dict[int, Run]) -> list[tuple[int, int]]:
    """Which two of the runs that meet at a node go on into each other, the straightest first."""
    ways = {at: _leaves(runs[at], node) for at in here if at in runs}
    found = []
    for place, first in enumerate(here):
        for second in here[place + 1 :]:
            if first in ways and second in ways:
                (ax, ay), (bx, by) = ways[first], ways[second]
                straight = -(ax * bx + ay * by)
                if straight > ON:
                    found.append((-round(straight, 6), min(first, second), max(first, second)))
    return [(first, second) for _, first, second in sorted(found)]


def _leaves(run: Run, node: Point) -> Point:
    """Unit vector along a run, away from the end that it has at a node."""
    ahead = run.start == node
    if run.centre is None:
        far = run.to if ahead else run.start
        long = math.dist(node, far)
        return (far[0] - node[0]) / long, (far[1] - node[1]) / long
    (cx, cy), reach = run.centre, run.reach
    x, y = (node[0] - cx) / reach, (node[1] - cy) / reach
    left = ahead != run.clockwise
    return (-y, x) if left else (y, -x)


def _joined(first: Run, second: Run, node: Point) -> Run | None:
    """Both as one, where one is near enough to all that both stand for."""
    if (first.centre is None) != (second.centre is None):
        return None
    before = first.course if first.to == node else first.course[::-1]
    after = second.course if second.start == node else second.course[::-1]
    if before[0] == after[-1]:
        return None
    order = max(first.order, second.order)
    whole = fitted((*before, *after[1:]), order)
    if whole is None or (whole.centre is None) != (first.centre is None):
        return None
    return whole


def _halves(run: Run) -> Iterator[Run]:
    """An arc of more than half a turn in two: through two marks go two such arcs."""
    if run.circle or abs(run.turn) <= HALF_TURN:
        yield run
        return
    middle = run.at(0.5)
    at = min(range(len(run.course)), key=lambda k: math.dist(run.course[k], middle))
    for start, to, course in (
        (run.start, middle, run.course[: at + 1]),
        (middle, run.to, run.course[at:]),
    ):
        yield Run(start, to, run.centre, run.clockwise, course, run.order)
