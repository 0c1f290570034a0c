"""A frame from courses: their breakpoints become vertices, their places are measured.

Stands in fitting after adjustment and breakpoints, before network.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.fitting.adjustment import Measured
from mateline.capture.fitting.breakpoints import CORNER, GUESSED, stretches
from mateline.capture.fitting.frame import Frame, Joints

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.capture.fitting.breakpoints import Leave, Stretch
    from mateline.capture.fitting.courses import Course

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

TOGETHER = 3  # neighbouring places that are taken for one,
CORNERED = 1.0  # mm: how far a corner may be from where it is seen, and most is nearer
MANY = 30  # where a segment has so many


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """A frame, its measured places (`row`: of which course, `index`: which of its places), the
    segments of each course in order and the `stretches` that they stand for, joints inside courses,
    rings that are one circle, and how far each vertex may be from where it is.
    """

    frame: Frame
    measured: Measured
    row: Ints
    index: Ints
    segments: Mapping[int, tuple[int, ...]]
    stretches: Mapping[int, tuple[Stretch, ...]]
    joints: Joints
    circles: tuple[int, ...]
    anchors: Floats


class Known:
    """Stretches that were found before: each course is asked about many times, and most of them
    unchanged.
    """

    def __init__(self) -> None:
        self._found: dict[int, tuple[Course, Leave | None, list[Stretch]]] = {}

    def stretches(self, number: int, course: Course, leave: Leave | None) -> list[Stretch]:
        """The stretches of a course, where some have a leave of their own."""
        before = self._found.get(number)
        if before is not None and before[0] is course and before[1] is leave:
            return before[2]
        found = stretches(course.places, course.errors, ring=course.ring, leave=leave)
        self._found[number] = (course, leave, found)
        return found


def laid_out(
    courses: Mapping[int, Course],
    nodes: Floats,
    slack: Floats,
    leaves: Mapping[int, Leave | None],
    known: Known,
) -> Layout:
    """The layout of some courses, by their numbers. `slack` is how far each node may be from where
    it is, mm; `leaves` are those of the courses.
    """
    at, anchors = [*nodes.tolist()], [*slack.tolist()]
    most = float(slack.max(initial=1.0))
    table: list[tuple[int, int, float, bool]] = []  # tail, head, turn, round
    parts: list[tuple[int, int, Ints]] = []  # course, segment, places
    own: dict[int, tuple[int, ...]] = {}
    stood: dict[int, tuple[Stretch, ...]] = {}
    joints: list[tuple[int, int]] = []
    circles: list[int] = []
    straight: set[frozenset[int]] = set()  # nodes that a single line joins
    for number, course in courses.items():
        found = _opened(course, known.stretches(number, course, leaves[number]), straight)
        if len(found) == 1 and not found[0].round and course.start != course.end:
            straight.add(frozenset((course.start, course.end)))
        if course.ring and len(found) == 1:
            circles.append(number)
            half = len(course.places) // 2
            found = [_part(found[0], 0, half), _part(found[0], half, len(course.places))]
        cuts = _cuts(course, found)
        vertices = [*range(len(at), len(at) + len(cuts))]
        at.extend(cuts)
        anchors.extend(_hold(course, found, most))
        ends = [*vertices, vertices[0]] if course.ring else [course.start, *vertices, course.end]
        segments = []
        for step, stretch in enumerate(found):
            places = _counted(course, found, step, whole=number in circles)
            segment = len(table)
            turn = _turn(course, stretch, at[ends[step]], at[ends[step + 1]])
            table.append((ends[step], ends[step + 1], turn, stretch.round))
            parts.append((number, segment, places))
            segments.append(segment)
        own[number] = tuple(segments)
        stood[number] = tuple(found)
        joints.extend(pairwise(segments))
        if course.ring:
            joints.append((segments[-1], segments[0]))
    return _made(courses, (at, anchors), table, parts, (own, stood, joints, tuple(circles)))


def _opened(course: Course, found: list[Stretch], straight: set[frozenset[int]]) -> list[Stretch]:
    """The stretches, with more of them where so few would have no area: from a node back to it, or
    in one line where another course is one already.
    """
    if course.ring:
        return found
    loop = course.start == course.end
    bent = any(each.round for each in found)
    if loop and len(found) == 1:
        return _split(_split(found)) if not bent else _split(found)
    flat = len(found) == 1 and not bent and frozenset((course.start, course.end)) in straight
    if (loop and len(found) == 2 and not bent) or flat:
        return _split(found)
    return found


def _split(found: list[Stretch]) -> list[Stretch]:
    """The stretches with the longest cut in halves, if it can be."""
    sizes = [each.last - each.first for each in found]
    at = sizes.index(max(sizes))
    one = found[at]
    middle = (one.first + one.last) // 2
    if not one.first < middle < one.last:
        return found
    halves = [
        type(one)(one.first, middle, one.round), type(one)(middle, one.last, one.round)
    ]  # fmt: skip
    return [*found[:at], *halves, *found[at + 1 :]]


def _part(whole: Stretch, first: int, last: int) -> Stretch:
    return type(whole)(first, last, round=True)


def _cuts(course: Course, found: Sequence[Stretch]) -> list[list[float]]:
    """A place for each joint, between those on both sides of it."""
    count = len(course.places)
    first = [each.first for each in (found if course.ring else found[1:])]
    return [
        ((course.places[(at - 1) % count] + course.places[at % count]) / 2).tolist() for at in first
    ]


def _hold(course: Course, found: Sequence[Stretch], most: float) -> list[float]:
    """How far each joint may be from its cut, mm: CORNERED where places beside it tell."""
    count = len(course.places)
    first = [each.first for each in (found if course.ring else found[1:])]
    telling = course.errors < GUESSED
    return [CORNERED if telling[[(at - 1) % count, at % count]].all() else most for at in first]


def _counted(course: Course, found: Sequence[Stretch], step: int, *, whole: bool) -> Ints:
    """Which places count for a segment: none beside its corners, unless there are too few."""
    stretch = found[step]
    low, high = stretch.first, stretch.last
    if not whole:
        trimmed = (
            low + (CORNER if course.ring or step > 0 else 0),
            high - (CORNER if course.ring or step < len(found) - 1 else 0),
        )
        if trimmed[1] - trimmed[0] >= 2:
            low, high = trimmed
    return np.arange(low, high) % max(1, len(course.places))


def _turn(course: Course, stretch: Stretch, tail: list[float], head: list[float]) -> float:
    """Half the turn of the arc through both ends and the middle place: half a turn less the angle
    that the chord is seen under from there.
    """
    if not stretch.round:
        return 0.0
    x, y = course.places[((stretch.first + stretch.last) // 2) % len(course.places)].tolist()
    ax, ay, bx, by = tail[0] - x, tail[1] - y, head[0] - x, head[1] - y
    seen = np.arctan2(ax * by - ay * bx, ax * bx + ay * by)
    return float(seen - np.sign(seen) * np.pi)


def _made(
    courses: Mapping[int, Course],
    vertices: tuple[list[list[float]], list[float]],
    table: list[tuple[int, int, float, bool]],
    parts: list[tuple[int, int, Ints]],
    structure: tuple[
        dict[int, tuple[int, ...]],
        dict[int, tuple[Stretch, ...]],
        list[tuple[int, int]],
        tuple[int, ...],
    ],
) -> Layout:
    own, stood, pairs, circles = structure
    taken = [_together(courses[number], which) for number, _, which in parts]
    count = np.array([len(index) for _, _, index in taken], dtype=np.int64)
    of = np.repeat(np.array([segment for _, segment, _ in parts], dtype=np.int64), count)
    row = np.repeat(np.array([number for number, _, _ in parts], dtype=np.int64), count)
    index = np.concatenate([np.zeros(0, dtype=np.int64), *(each for _, _, each in taken)])
    frame = Frame(
        np.array(vertices[0], dtype=np.float64).reshape(-1, 2),
        np.array([each[0] for each in table], dtype=np.int64),
        np.array([each[1] for each in table], dtype=np.int64),
        np.array([each[2] for each in table], dtype=np.float64),
        np.array([each[3] for each in table], dtype=bool),
    )
    measured = Measured(
        np.concatenate([np.zeros((0, 2)), *(places for places, _, _ in taken)]),
        np.concatenate([np.zeros(0), *(errors for _, errors, _ in taken)]),
        of,
    )
    joined = np.array(pairs, dtype=np.int64).reshape(-1, 2)
    ahead = np.zeros(len(joined), dtype=bool)
    joints = Joints(joined[:, 0], joined[:, 1], ahead, ahead)
    return Layout(
        frame, measured, row, index, own, stood, joints, circles,
        np.array(vertices[1], dtype=np.float64),
    )  # fmt: skip


def _together(course: Course, which: Ints) -> tuple[Floats, Floats, Ints]:
    """Places of a segment, neighbours together where there are many: their means, the errors of
    those, and the surest place of each. An arc of 5 mm lies within 0.005 mm of such a mean.
    """
    if len(which) < MANY:
        return course.places[which], course.errors[which], which
    first = np.arange(0, len(which), TOGETHER)
    weight = 1 / course.errors[which] ** 2
    total = np.add.reduceat(weight, first)
    means = np.add.reduceat(course.places[which] * weight[:, None], first, axis=0)
    surest = np.lexsort((course.errors[which], np.arange(len(which)) // TOGETHER))[first]
    return means / total[:, None], 1 / np.sqrt(total), which[surest]
