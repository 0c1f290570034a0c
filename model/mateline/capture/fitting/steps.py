"""What is wrong with borders that were fitted, and how their courses go back to their places.

Stands in fitting after planarity and rim, before network. First only stretches of a course that
the picture doesn't show are kept to more closely, and of those the ones that are at fault: where
labels are wrong behind damage, borders that paint shows stay the lines and arcs that they are.
Where no such stretch is left, the whole course goes back a step.

    near    how closely each place is kept to, 0 to 3
    whole   FITTED; FINER: more segments are allowed where it is at fault; LINES: and no arcs there;
            ROUGH: the places themselves, as many as are needed, from node to node;
            RAW: the path that the course was given with
    spots   where courses cross: only what is near them is kept to more closely, if it is there
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline import curves
from mateline.capture.fitting.breakpoints import WEAK, Leave
from mateline.capture.fitting.planarity import segments_at_fault, tiled
from mateline.curves import Chain
from mateline.pattern.tiling import Tiling

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.capture.fitting.courses import Course, Network
    from mateline.capture.fitting.rim import Rim
    from mateline.capture.traced import TracedBorder

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]
    #  places of its course (first, last) that each segment of a border stands for
    Spans = list[tuple[int, int]]
    #  courses at fault, and which segments of their borders; None: all of it
    Faulty = dict[int, set[int] | None]

FITTED, FINER, LINES, ROUGH, RAW = range(5)
NEARER = (np.inf, 0.35, 0.12, 0.04)  # mm: the most that their errors are taken for
STRAY = 6.0  # mm: how far a border may be from its path
LEFT = 0.3  # mm: how far from a border its measured places may be, but for
SPIKE = 2.0  # mm: how far from its places two segments may meet where these were measured
MANY = 0.2  # this share of a segment's own
DECIMALS = 6  # of what decides
CHEAPER = {FINER: 0.5, LINES: 0.3}  # share of what a segment has to be worth
AROUND = 10.0  # mm: how far from where courses cross they may be at fault
BESIDE = 4  # places beside a segment at fault that may be at fault themselves


@dataclass(frozen=True, slots=True, eq=False)
class Step:
    """Where one course is: `near` (n,) of its n places, and `whole`, with the `leave` that makes
    its segments cheaper.
    """

    near: Ints
    whole: int = FITTED
    leave: Leave | None = None

    @property
    def finer(self) -> bool:
        """Whether the course may have more segments than it needs."""
        return self.whole in {FINER, LINES} or (self.whole == FITTED and bool(self.near.any()))


def first_step(course: Course) -> Step:
    """The step of a course that nothing is wrong with."""
    return Step(np.zeros(len(course.places), dtype=np.int64))


def as_given(courses: Sequence[Course], which: Iterable[int]) -> dict[int, Step]:
    """Steps that have the courses `which` go as their paths do, and all others be fitted."""
    asked = set(which)
    return {
        at: replace(first_step(course), whole=RAW if at in asked else FITTED)
        for at, course in enumerate(courses)
        if not course.rim
    }


def stepped(course: Course, step: Step) -> Course:
    """The course with the errors that its places are taken for."""
    if not step.near.any():
        return course
    return replace(course, errors=np.minimum(course.errors, np.array(NEARER)[step.near]))


def nearer(
    course: Course, step: Step, spans: Spans | None, spots: Floats | None = None
) -> Step | None:
    """The next step, where places that aren't measured, in or beside any of `spans` (first, last),
    can be kept to more closely; None where they can't. None for the spans is all of it. If places
    near `spots` (k, 2) can be, only these are.
    """
    weak = course.errors >= WEAK
    touched = weak & _touched(course, spans)
    free = step.near < len(NEARER) - 1
    raised = touched & free & _around(course, spots)
    if not raised.any():
        run = np.cumsum(np.append(False, weak[1:] != weak[:-1])) if len(weak) else np.zeros(0, int)
        raised = weak & np.isin(run, run[touched]) & free
    return replace(step, near=step.near + raised) if raised.any() else None


def _touched(course: Course, spans: Spans | None) -> Bools:
    """Places in or beside the spans; None is all."""
    count = len(course.places)
    touched = np.full(count, spans is None)
    for first, last in spans or ():
        at = np.arange(first - BESIDE, last + BESIDE)
        touched[at % count if course.ring else at[(at >= 0) & (at < count)]] = True
    return touched


def _around(course: Course, spots: Floats | None) -> Bools:
    """Places that are near one of the spots."""
    if spots is None or not len(course.places):
        return np.zeros(len(course.places), dtype=bool)
    away = shapely.distance(shapely.points(course.places), shapely.multipoints(spots))
    found: Bools = np.round(away, DECIMALS) <= AROUND
    return found


def _coarser(course: Course, step: Step, spans: Spans | None) -> Step:
    """The step with `whole` put forward; more of its segments are cheaper."""
    whole = min(RAW, step.whole + 1)
    if whole not in CHEAPER:
        return replace(step, whole=whole)
    where = _touched(course, spans)
    if step.leave is not None:
        where |= step.leave.where
    leave = Leave(where, CHEAPER[whole], straight=whole == LINES)
    return replace(step, whole=whole, leave=leave)


def stepped_back(
    courses: Sequence[Course],
    steps: dict[int, Step],
    wrong: Faulty,
    every: Mapping[int, Spans],
    spots: Mapping[int, Floats],
    *,
    both: bool,
) -> list[int]:
    """Put the steps of courses at fault forward, those of stretches that aren't measured before
    any others, or `both` at once; which courses they were. `every` has the spans of each course,
    `spots` (k, 2) where it crosses others.
    """
    asked = {
        number: None if segments is None or number not in every
        else [every[number][at] for at in sorted(segments)]
        for number, segments in wrong.items()
    }  # fmt: skip
    found = {}
    for number, spans in asked.items():
        if number in every and steps[number].whole <= LINES:
            step = nearer(courses[number], steps[number], spans, spots.get(number))
            if step is not None:
                found[number] = step
    if not found or both:
        for number, spans in asked.items():
            found[number] = _coarser(courses[number], found.get(number, steps[number]), spans)
    steps.update(found)
    return list(found)


def faults_of(
    network: Network, borders: Sequence[TracedBorder], spans: Mapping[int, Spans], rim: Rim
) -> Faulty:
    """Courses that left their places or cross something, or whose regions are no areas that tile
    the outline.
    """
    courses = network.courses
    left = _left(courses, borders, spans)
    if left:
        return left
    wrong: Faulty = {}
    for number, segment in segments_at_fault(borders).tolist():
        if not courses[number].rim:
            own = wrong.setdefault(number, set())
            if own is not None:
                own.add(segment)
    wrong.update(dict.fromkeys(_torn(network, borders, rim)))
    if wrong:
        return wrong
    tiling, regions = tiled(borders, network.regions)
    around = {
        max(at, ~at) for region in regions.tolist()
        for loop in network.regions[region].loops for at in loop
    }  # fmt: skip
    if not around and tiling != Tiling(0.0, 0.0, 0):
        around = set(range(len(courses)))
    return {at: None for at in sorted(around) if not courses[at].rim}


def _left(
    courses: Sequence[Course], borders: Sequence[TracedBorder], every: Mapping[int, Spans]
) -> Faulty:
    """Courses with segments whose own measured places are not beside them: an arc's other half is
    on the same circle.
    """
    found: Faulty = {}
    for number, spans in every.items():
        course, border = courses[number], borders[number]
        if not border.chain.segments:
            continue
        line = shapely.linestrings(curves.flattened(border.chain, 0.1))
        shapely.prepare(line)
        away = shapely.distance(line, shapely.points(course.places))
        far = (course.errors < WEAK) & (np.round(away, DECIMALS) > LEFT)
        own = {
            step for step, (first, last) in enumerate(spans)
            if far[np.arange(first, min(last, len(far))) % len(far)].sum() > MANY * (last - first)
        } if far.any() else set()  # fmt: skip
        own |= _spikes(course, border, spans)
        if own:
            found[number] = own
    return found


def _spikes(course: Course, border: TracedBorder, spans: Spans) -> set[int]:
    """Segments that run on far beyond their places to meet, though what is between those was
    measured: the end of a narrow stripe, whose sides are almost parallel.
    """
    if len(spans) < 2 or len(course.places) < 2:
        return set()
    corners = np.array([segment.to for segment in border.chain.segments[: len(spans) - 1]])
    away = shapely.distance(shapely.linestrings(course.places), shapely.points(corners))
    found: set[int] = set()
    for step in np.flatnonzero(np.round(away, DECIMALS) > SPIKE).tolist():
        low, high = spans[step][1] - BESIDE, spans[step + 1][0] + BESIDE
        between = course.errors[max(low, 0) : max(high, 0)]
        if len(between) and bool((between < WEAK).all()):
            found |= {step, step + 1}
    return found


def ways_of(courses: Sequence[Course]) -> shapely.Geometry:
    """The paths of all courses, in one."""
    paths = [each.places if each.path is None else each.path for each in courses]
    ways = shapely.union_all([shapely.LineString(path) for path in paths if len(path) > 1])
    shapely.prepare(ways)
    return ways


def astray(ways: shapely.Geometry, spots: Floats) -> Bools:
    """Which spots (n, 2) are far from all paths."""
    found: Bools = np.round(shapely.distance(ways, shapely.points(spots)), DECIMALS) > STRAY
    return found


def strayed(
    courses: Sequence[Course], borders: Sequence[TracedBorder], ways: shapely.Geometry
) -> Faulty:
    """Courses with segments whose end or middle is far from all paths: where borders meet at a
    sharp angle, a node may be far from where it was, but then on another's path. They are at fault
    before all others: what they cross or pull along is not.
    """
    found: Faulty = {}
    for number, (course, border) in enumerate(zip(courses, borders, strict=True)):
        own: set[int] = set()
        if course.rim:
            continue
        at = border.chain.start
        for step, segment in enumerate(border.chain.segments):
            facets = curves.flattened(Chain(at, (segment,)), 1.0)
            spots = np.vstack([[at], [segment.to], (facets[1:] + facets[:-1]) / 2])
            if astray(ways, spots).any():
                own.add(step)
            at = segment.to
        if own:
            found[number] = own
    return found


def ends_of(
    courses: Sequence[Course], wrong: Faulty, every: Mapping[int, Spans]
) -> dict[int, Floats]:
    """The first and last places of the segments at fault (n, 2), of each course."""
    found = {}
    for number, segments in wrong.items():
        places = courses[number].places
        if segments and len(places) and number in every:
            at = np.array([every[number][step] for step in sorted(segments)])
            found[number] = places[(at - [0, 1]).ravel() % len(places)]
    return found


def _torn(network: Network, borders: Sequence[TracedBorder], rim: Rim) -> set[int]:
    """Courses that reach the outline in another order than their nodes did, or vanished."""
    rims = [at for at, course in enumerate(network.courses) if course.rim]
    empty = {at for at, border in enumerate(borders) if not border.chain.segments}
    total = sum(curves.length(borders[at].chain) for at in rims)
    turned = empty & set(rims)
    if total > 1.5 * rim.length:
        long = rim.length / 2
        turned |= {at for at in rims if curves.length(borders[at].chain) > long}
    nodes = {node for at in turned for node in (network.courses[at].start, network.courses[at].end)}
    near = {
        at for at, course in enumerate(network.courses)
        if not course.rim and nodes & {course.start, course.end}
    }  # fmt: skip
    return (empty - set(rims)) | near
