"""Lines and arcs fitted to all courses of a network at once.

Stands last in fitting; tracing and pen lines use it. What is fitted is one thing:
the places of nodes and corners and the bends of arcs, so that borders meet because they share the
corner. Where what was fitted would cross itself, the courses that do go back step by step.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline import curves
from mateline.capture.fitting.adjustment import DECIMALS, adjusted, middle
from mateline.capture.fitting.chains import fitted_chain, kept_chain, rim_chain
from mateline.capture.fitting.courses import OUTSIDE, RING, Course, Network
from mateline.capture.fitting.frame import Joints, chords, distances
from mateline.capture.fitting.layout import Known, laid_out
from mateline.capture.fitting.parting import parted_where_rough, whole
from mateline.capture.fitting.planarity import crossing_places
from mateline.capture.fitting.rim import OnRim, rim_of
from mateline.capture.fitting.steps import (
    LINES,
    RAW,
    as_given,
    astray,
    ends_of,
    faults_of,
    stepped,
    stepped_back,
    strayed,
    ways_of,
)
from mateline.capture.fitting.ties import LIKELY, SameBend, Tangent, alike, smooth
from mateline.capture.traced import Traced, TracedBorder

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from mateline.capture.fitting.adjustment import Adjusted, Tie
    from mateline.capture.fitting.breakpoints import Leave
    from mateline.capture.fitting.layout import Layout
    from mateline.capture.fitting.rim import Rim
    from mateline.capture.fitting.steps import Faulty, Spans, Step
    from mateline.curves import Chain, Point

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

__all__ = ["OUTSIDE", "RING", "Course", "Fit", "Network", "fitted"]

PINNED = 1e-7  # mm: how far a node of a course that keeps its places may move
NARROWLY = 8  # rounds of falling back in which only what is near the fault goes back first
HASTY = 32  # after which stretches and whole courses go back at once
ROUNDS = 44  # after which courses that were at fault in so many of them go as their paths do,
OFTEN = 3
LAST = 10  # and those that still are, and in the last of so many rounds all of them
MISFIT = 2.5  # sigma: half of a segment's places are off by less, or it is not theirs
SOUND = 0.25  # share of a segment's places that have to be sound for that
FAR = 0.15  # mm: off by less, it is left
QUIET = 1e3  # times the errors of places that have no say
SYSTEMATIC = 0.003  # mm: what all places of a border are wrong by together: pixels, compression
AT_NODE = 0.1  # mm: how well the other borders know a node
HALF_LONG = 0.05  # mm: half a segment that is shorter has no direction to go on in
FEW = 4  # sound places: fewer say nothing of a border's error
ASKED = 24  # places of a course that its expected error is reckoned at


@dataclass(frozen=True, slots=True)
class Fit:
    """What was fitted, and which courses had to fall back, because what was fitted would have
    crossed something: `finer` have more segments than they need, `rough` are as they were given.
    """

    traced: Traced
    finer: tuple[int, ...] = ()
    rough: tuple[int, ...] = ()


def fitted(network: Network, outline: Chain) -> Fit:
    """The courses as the fewest lines and arcs that their places' errors explain.

    `outline` is closed, walked either way. Regions tile it: no gap, no overlap. Rims are numbered
    among the courses; `traced` has its borders in the order of the courses, its regions as they
    are in the network.

    Raises RuntimeError if even raw paths cross one another.
    """
    rim, known = rim_of(outline), Known()
    ways = ways_of(network.courses)
    now, free = whole(network), dict(enumerate(network.courses))
    steps = as_given(network.courses, ())
    faults: Counter[int] = Counter()
    for turn in range(ROUNDS + LAST):
        drawn = _drawn(now.network, (rim, ways), free, steps, known)
        wrong, spots = _wrong(now.network, drawn, (rim, ways))
        if not wrong:
            return Fit(
                Traced(
                    drawn.nodes[: now.nodes], now.back(_told(now.network, drawn)), network.regions
                ),
                now.firsts(each for each, step in steps.items() if step.finer),
                now.firsts(each for each, step in steps.items() if step.whole > LINES),
            )
        faults.update(now.firsts(wrong))
        if turn >= ROUNDS - 1:
            faults.update(dict.fromkeys(now.firsts(wrong), OFTEN))
            now, free = whole(network), dict(enumerate(network.courses))
            often = [at for at, count in faults.items() if count >= OFTEN]
            steps = as_given(network.courses, often if turn < ROUNDS + LAST - 2 else free)
            continue
        courses, both = now.network.courses, wrong is drawn.off or turn >= HASTY
        near = spots if turn < NARROWLY else {}
        changed = stepped_back(courses, steps, wrong, drawn.spans, near, both=both)
        before, asked = len(courses), {at: wrong[at] for at in changed}
        now = parted_where_rough(now, steps, asked, drawn.spans, spots)
        courses = now.network.courses
        for number in [*changed, *range(before, len(courses))]:
            free[number] = stepped(courses[number], steps[number])
    raise RuntimeError(f"borders cross one another, whatever is fitted: {sorted(wrong)}")


def _wrong(
    network: Network, drawn: _Drawn, around: tuple[Rim, shapely.Geometry]
) -> tuple[Faulty, dict[int, Floats]]:
    """Courses at fault, and the spots that they are at fault at."""
    rim, ways = around
    stray = strayed(network.courses, drawn.borders, ways)
    if stray:
        return stray, ends_of(network.courses, stray, drawn.spans)
    if drawn.off:
        return drawn.off, {}
    wrong = faults_of(network, drawn.borders, drawn.spans, rim)
    return wrong, crossing_places(drawn.borders, wrong)


@dataclass(frozen=True, slots=True)
class _Drawn:
    """All borders, the nodes, and the places of its course (first, last) that each segment of a
    fitted border stands for; `off` are courses that are far from most of a segment's own places.
    """

    borders: tuple[TracedBorder, ...]
    nodes: tuple[Point, ...]
    spans: Mapping[int, Spans]
    off: Faulty
    layout: Layout
    found: Adjusted
    free: Mapping[int, Course]


def _drawn(
    network: Network,
    around: tuple[Rim, shapely.Geometry],
    every: Mapping[int, Course],
    steps: Mapping[int, Step],
    known: Known,
) -> _Drawn:
    """All borders, with courses fitted as their steps say; `every` are the courses with the errors
    that they are taken for.
    """
    courses = network.courses
    rim, ways = around
    free = {at: every[at] for at, step in steps.items() if step.whole <= LINES}
    kept = {at: courses[at] for at, step in steps.items() if step.whole > LINES}
    slack = np.full(len(network.nodes), network.slack)
    for course in kept.values():
        if not course.ring:
            slack[[course.start, course.end]] = PINNED
    rims = np.array(
        sorted({at for each in courses if each.rim and not each.ring
                for at in (each.start, each.end)}), dtype=np.int64)  # fmt: skip
    start = network.nodes.copy()
    for node in rims.tolist():
        _, number, share = rim.foot((float(start[node, 0]), float(start[node, 1])))
        start[node] = rim.place(number, share)
    leaves = {at: steps[at].leave for at in free}
    layout, found, free = _agreed(free, (start, slack), leaves, (rim, rims, ways), known)
    at = np.round(found.frame.at, DECIMALS)
    feet: dict[int, tuple[int, float]] = {}
    for node in rims.tolist():
        x, y = found.frame.at[node].tolist()
        _, number, share = rim.foot((x, y))
        feet[node] = (number, share)
        at[node] = rim.place(number, share)
    borders, spans = [], {}
    for number, course in enumerate(courses):
        if course.rim:
            chain = rim_chain(course, rim, feet)
        elif number in kept:
            chain = kept_chain(course, at, rim, raw=steps[number].whole == RAW)
        else:
            chain, spans[number] = fitted_chain(layout, found, at, number)
        borders.append(TracedBorder(chain, course.start, course.end, course.left, course.right))
    nodes = tuple((x, y) for x, y in at[: len(network.nodes)].tolist())
    off: Faulty = {
        at: own if len(spans[at]) == len(layout.segments[at]) else None
        for at, own in sorted(_misfits(layout, found, free, least=FAR).items())
    }
    return _Drawn(tuple(borders), nodes, spans, off, layout, found, free)


def _told(network: Network, drawn: _Drawn) -> tuple[TracedBorder, ...]:
    """The borders with what is guessed of them, and their expected errors."""
    borders = []
    for number, (course, border) in enumerate(zip(network.courses, drawn.borders, strict=True)):
        guessed: tuple[tuple[float, float], ...] = ()
        error = 0.0
        if number in drawn.free:
            own = drawn.free[number]
            guessed = _guessed(own, border.chain)
            error = _expected(drawn.layout, drawn.found, number, own)
        elif not course.rim:
            guessed = ((0.0, curves.length(border.chain)),)
            error = _spread(course)
        borders.append(replace(border, guessed=guessed, error=round(error, DECIMALS)))
    return tuple(borders)


def _agreed(
    courses: dict[int, Course],
    nodes: tuple[Floats, Floats],
    leaves: Mapping[int, Leave | None],
    held: tuple[Rim, Ints, shapely.Geometry],
    known: Known,
) -> tuple[Layout, Adjusted, dict[int, Course]]:
    """The layout and what fits it best. Breakpoints know nothing of where a course's neighbours
    end; one that leaves its own places for a node is laid out again, through the node as the
    others have it.
    """
    layout = laid_out(courses, *nodes, leaves, known)
    rim, rims, ways = held
    found = adjusted(layout.frame, layout.measured, layout.anchors, _fixed(layout, rim, rims))
    if astray(ways, found.frame.at).any():
        return layout, found, courses  # what is far off is mended before anything else
    found = _settled(layout, courses, found, (rim, rims))
    off = _misfits(layout, found, courses)
    if not off:
        return layout, found, courses
    quiet = {
        at: replace(course, errors=course.errors * QUIET) if at in off else course
        for at, course in courses.items()
    }
    layout = laid_out(quiet, *nodes, leaves, known)
    others = adjusted(
        layout.frame, layout.measured, layout.anchors, [OnRim(rim, rims)] if len(rims) else []
    )
    again = {
        at: _through_nodes(course, others.frame.at) if at in off else course
        for at, course in courses.items()
    }
    leaves = {
        at: replace(leave, where=np.pad(leave.where, len(again[at].places) - len(leave.where) >> 1))
        if leave is not None else None
        for at, leave in leaves.items()
    }  # fmt: skip
    layout = laid_out(again, *nodes, leaves, known)
    found = adjusted(layout.frame, layout.measured, layout.anchors, _fixed(layout, rim, rims))
    return layout, _settled(layout, again, found, (rim, rims)), again


def _through_nodes(course: Course, at: Floats) -> Course:
    """The course with its nodes as its first and last places."""
    if course.ring:
        return course
    return replace(
        course,
        places=np.vstack([at[course.start], course.places, at[course.end]]),
        errors=np.concatenate([[AT_NODE], course.errors, [AT_NODE]]),
        sound=np.concatenate([[True], course.sound, [True]]),
    )


def _misfits(
    layout: Layout, found: Adjusted, courses: Mapping[int, Course], least: float = 0.0
) -> dict[int, set[int]]:
    """Courses that have a segment most of whose sound places are off, and by `least` mm, with
    which of their segments.
    """
    seen = np.zeros(len(layout.row), dtype=bool)
    for number, course in courses.items():
        own = layout.row == number
        seen[own] = course.sound[layout.index[own]]
    of = layout.measured.of[seen]
    away, _ = distances(found.frame, layout.measured.places[seen], of)
    usual = middle(np.abs(away) / layout.measured.errors[seen], of, len(found.frame.tail))
    far = middle(np.abs(away), of, len(found.frame.tail)) >= least
    # A few sound places amid guessed ones are as likely to be wrong themselves.
    count = len(found.frame.tail)
    known = np.bincount(of, minlength=count) >= SOUND * np.bincount(
        layout.measured.of, minlength=count
    )
    wrong = set(np.flatnonzero((np.round(usual, DECIMALS) > MISFIT) & far & known).tolist())
    return {
        at: {step for step, segment in enumerate(own) if segment in wrong}
        for at, own in layout.segments.items()
        if wrong & set(own)
    }


def _always(layout: Layout) -> NDArray[np.bool_]:
    """Joints inside circles."""
    within = [segment for at in layout.circles for segment in layout.segments[at]]
    found: NDArray[np.bool_] = np.isin(layout.joints.one, within)
    return found


def _fixed(layout: Layout, rim: Rim, rims: Ints) -> list[Tie]:
    """What must hold whatever places say."""
    ties: list[Tie] = [OnRim(rim, rims)] if len(rims) else []
    always = _always(layout)
    if always.any():
        joints = layout.joints.rows(always)
        ties += [Tangent(joints), SameBend(joints)]
    return ties


def _settled(
    layout: Layout, courses: Mapping[int, Course], found: Adjusted, held: tuple[Rim, Ints]
) -> Adjusted:
    """The frame that fits best, with joints tied that places say nothing against."""
    rims = held[1]
    ties, joints, always = _fixed(layout, *held), layout.joints, _always(layout)
    bent = (layout.frame.round[joints.one] | layout.frame.round[joints.other]) & ~always
    rest = joints.rows(bent)
    if len(rest.one):
        good, _ = smooth(found, rest)
        if good.any():
            ties.append(Tangent(rest.rows(good)))
    through, same = _through(layout, courses, found, set(rims.tolist()))
    if len(through.one):
        ties.append(Tangent(through))
    if len(same.one):
        ties.append(SameBend(same))
    if len(ties) > (len(rims) > 0):
        found = adjusted(found.frame, layout.measured, layout.anchors, ties)
    return found


def _through(
    layout: Layout, courses: Mapping[int, Course], found: Adjusted, rims: set[int]
) -> tuple[Joints, Joints]:
    """Borders that go on through a node in one line or one arc: joints, and those that are arcs.

    Each end goes on in one other at most; the surest pairs are taken first.
    """
    ends: dict[int, list[tuple[int, bool]]] = {}
    for number, course in courses.items():
        if course.ring:
            continue
        segments = layout.segments[number]
        ends.setdefault(course.start, []).append((segments[0], False))
        ends.setdefault(course.end, []).append((segments[-1], True))
    pairs = [
        (node, one, other)
        for node, own in ends.items()
        if node not in rims
        for at, one in enumerate(own)
        for other in own[at + 1 :]
        if one[0] != other[0]
    ]
    if not pairs:
        return layout.joints.rows(np.zeros(0, dtype=np.int64)), layout.joints.rows(
            np.zeros(0, dtype=np.int64)
        )
    joints = Joints(
        np.array([one for _, (one, _), _ in pairs]),
        np.array([other for _, _, (other, _) in pairs]),
        np.array([not head for _, (_, head), _ in pairs]),
        np.array([head for _, _, (_, head) in pairs]),
    )
    bent = layout.frame.round
    both = bent[joints.one] & bent[joints.other]
    half, _ = chords(found.frame)
    good, sigma = smooth(found, joints)
    good &= bent[joints.one] == bent[joints.other]
    good &= np.minimum(half[joints.one], half[joints.other]) >= HALF_LONG
    if both.any():
        apart = alike(found, joints.rows(both))
        good[np.flatnonzero(both)[apart > LIKELY]] = False
    taken: set[tuple[int, int, bool]] = set()
    chosen = []
    for row in np.argsort(sigma, kind="stable").tolist():
        node, one, other = pairs[row]
        if good[row] and not taken & {(node, *one), (node, *other)}:
            taken |= {(node, *one), (node, *other)}
            chosen.append(row)
    which = np.array(sorted(chosen), dtype=np.int64)
    return joints.rows(which), joints.rows(which[both[which]])


def _expected(layout: Layout, found: Adjusted, number: int, course: Course) -> float:
    """The expected rms distance of the sound parts of a course from the true border, mm."""
    own = np.flatnonzero(layout.row == number)
    own = own[course.sound[layout.index[own]]]
    if len(own) < FEW:
        return _spread(course)
    own = own[np.unique(np.round(np.linspace(0, len(own) - 1, ASKED)).astype(np.int64))]
    of = layout.measured.of[own]
    _, slopes = distances(found.frame, layout.measured.places[own], of)
    mean = float(np.mean(found.variance(slopes, found.frame.columns()[of])))
    return float(np.hypot(np.sqrt(mean), SYSTEMATIC))


def _spread(course: Course) -> float:
    """The rms of a course's errors, mm."""
    return float(np.sqrt(np.mean(course.errors**2))) if len(course.errors) else 0.0


def _guessed(course: Course, chain: Chain) -> tuple[tuple[float, float], ...]:
    """Stretches along the chain that no sound place shows."""
    total = curves.length(chain)
    if course.sound.all():
        return ()
    if not course.sound.any():
        return ((0.0, total),)
    along = _along(chain, course.places)
    order = np.argsort(along, kind="stable")
    along, sound = along[order], course.sound[order]
    middle = np.concatenate([[0.0], (along[1:] + along[:-1]) / 2, [total]])
    change = np.flatnonzero(sound[1:] != sound[:-1]) + 1
    cuts = [0, *change.tolist(), len(sound)]
    return tuple(
        (round(float(middle[low]), 3), round(float(middle[high]), 3))
        for low, high in pairwise(cuts)
        if not sound[low]
    )


def _along(chain: Chain, places: Floats) -> Floats:
    """How far along the chain each place is, mm."""
    line = shapely.linestrings(curves.flattened(chain, 0.01))
    shapely.prepare(line)
    share = shapely.line_locate_point(line, shapely.points(places), normalized=True)
    found: Floats = np.asarray(share, dtype=np.float64) * curves.length(chain)
    return found
