"""Lines that cross in one point: two junctions so near that the pen covers both are one.

Stands in pen lines after stroke centres. Areas of squares meet in threes, so a crossing of two
lines comes as two junctions with a border between them that is no longer than the pen is wide.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.fitting.courses import OUTSIDE, RING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.capture.fitting.courses import Course

    Floats = NDArray[np.float64]

NEAR = 0.9  # pens: a border that is no longer joins two junctions of one crossing

Loops = tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Joined:
    """Nodes (k, 2), mm, courses between them, and loops of signed courses for each region."""

    nodes: Floats
    courses: tuple[Course, ...]
    loops: tuple[Loops, ...]


def joined(nodes: Floats, courses: Sequence[Course], loops: Sequence[Loops], pen: float) -> Joined:
    """The network without borders that are shorter than a pen of `pen` mm is wide."""
    short = [at for at, course in enumerate(courses) if _spurious(course, pen)]
    ends = [tuple(sorted((courses[at].start, courses[at].end))) for at in short]
    twice = {pair for pair in ends if _between(courses, pair) > 1}
    group = np.arange(len(nodes))
    gone: set[int] = set()
    for at, pair in zip(short, ends, strict=True):
        if pair in twice or not _spared(loops, at, gone):
            continue
        one, other = (int(group[each]) for each in pair)
        if one != other:
            gone.add(at)
            group[group == max(one, other)] = min(one, other)
    kept, node_of = np.unique(group, return_inverse=True)
    place = np.array([nodes[group == each].mean(axis=0) for each in kept]).reshape(-1, 2)
    fresh = {at: number for number, at in
             enumerate(at for at in range(len(courses)) if at not in gone)}  # fmt: skip
    moved = tuple(
        courses[at] if courses[at].start == RING
        else replace(courses[at], start=int(node_of[courses[at].start]),
                     end=int(node_of[courses[at].end]))
        for at in fresh
    )  # fmt: skip
    return Joined(place, moved, tuple(
        tuple(tuple(fresh[half] if half >= 0 else ~fresh[~half]
                    for half in loop if max(half, ~half) not in gone) for loop in own)
        for own in loops
    ))  # fmt: skip


def _spurious(course: Course, pen: float) -> bool:
    if course.start in {RING, course.end} or course.path is None:
        return False
    if OUTSIDE in {course.left, course.right}:
        return False
    return float(np.hypot(*np.diff(course.path, axis=0).T).sum()) < NEAR * pen


def _between(courses: Sequence[Course], pair: tuple[int, ...]) -> int:
    return sum(tuple(sorted((each.start, each.end))) == pair for each in courses)


def _spared(loops: Sequence[Loops], at: int, gone: set[int]) -> bool:
    """Whether every loop keeps two courses at least."""
    for own in loops:
        for loop in own:
            rest = {max(half, ~half) for half in loop}
            if at in rest and len(rest - gone) < 4:
                return False
    return True
