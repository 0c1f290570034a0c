"""How far courses have gone back to their places, because what was fitted crossed something.

Stands in tracing after layout, before network. First only stretches of a course that the picture
doesn't show are kept to more closely, and of those the ones that are at fault: where labels are
wrong behind damage, borders that paint shows stay the lines and arcs that they are. Where no such
stretch is left, the whole course goes back a step.

    near    how closely each place is kept to, 0 to 3
    whole   FITTED; FINER: more segments are allowed; LINES: and no arcs;
            ROUGH: the places themselves, as many as are needed, from node to node;
            RAW: the path that the course was given with
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from mateline.capture.tracing.courses import Course

    Ints = NDArray[np.int64]

FITTED, FINER, LINES, ROUGH, RAW = range(5)
WEAK = 0.35  # mm: places of such errors are not measured; only the labels tell of them
NEARER = (np.inf, 0.35, 0.12, 0.04)  # mm: the most that their errors are taken for
BESIDE = 4  # places beside a segment at fault that may be at fault themselves


@dataclass(frozen=True, slots=True, eq=False)
class Step:
    """Where one course is: `near` (n,) of its n places, and `whole`."""

    near: Ints
    whole: int = FITTED

    @property
    def finer(self) -> bool:
        """Whether the course may have more segments than it needs."""
        return self.whole in {FINER, LINES} or (self.whole == FITTED and bool(self.near.any()))


def first_step(course: Course) -> Step:
    """The step of a course that nothing is wrong with."""
    return Step(np.zeros(len(course.places), dtype=np.int64))


def stepped(course: Course, step: Step) -> Course:
    """The course with the errors that its places are taken for."""
    if not step.near.any():
        return course
    return replace(course, errors=np.minimum(course.errors, np.array(NEARER)[step.near]))


def nearer(course: Course, step: Step, spans: Iterable[tuple[int, int]] | None) -> Step | None:
    """The next step, where places that aren't measured, in or beside any of `spans` (first, last),
    can be kept to more closely; None where they can't. None for the spans is all of it.
    """
    weak = course.errors >= WEAK
    touched = np.full(len(weak), spans is None)
    for first, last in spans or ():
        at = np.arange(first - BESIDE, last + BESIDE)
        at = at % len(weak) if course.ring else at[(at >= 0) & (at < len(weak))]
        touched[at] = True
    run = np.cumsum(np.append(False, weak[1:] != weak[:-1])) if len(weak) else np.zeros(0, int)
    raised = weak & np.isin(run, run[touched & weak]) & (step.near < len(NEARER) - 1)
    return Step(step.near + raised, step.whole) if raised.any() else None
