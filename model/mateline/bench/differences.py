"""What an edit did to the findings and the pieces, in words.

Stands beside events. Findings of two surveys are the same where code, face, hardware and place
agree, first exactly, then nearly, then by code and face alone: a piece that gets another name, or
moves a little, has the finding that it had.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import dist
from typing import TYPE_CHECKING

from mateline.checks.findings import with_consequences

if TYPE_CHECKING:
    from collections.abc import Callable

    from mateline.checks.findings import Finding
    from mateline.survey import Job

NEAR = 20.0  # mm: how far what a finding is about moves in a small edit
HERE = 1.0  # mm: a place that has not moved


@dataclass(frozen=True, slots=True)
class Difference:
    """What became of the findings and pieces of the last ready survey, in words too."""

    appeared: tuple[Finding, ...]
    gone: tuple[Finding, ...]
    pieces: int  # more, or less below 0
    said: str  # "3 findings less, 2 pieces more"


def difference(before: Job, after: Job) -> Difference | None:
    """What is more and less after an edit; None where nothing is."""
    gone = list(with_consequences(before.findings))
    appeared = list(with_consequences(after.findings))
    for alike in (_is_here, _is_near, _is_of_its_kind):
        gone, appeared = _unmatched(gone, appeared, alike)
    pieces = _pieces(after) - _pieces(before)
    if not (gone or appeared or pieces):
        return None
    said = [
        _counted(len(appeared), "finding", "more"),
        _counted(len(gone), "finding", "less"),
        _counted(abs(pieces), "piece", "more" if pieces > 0 else "less"),
    ]
    return Difference(tuple(appeared), tuple(gone), pieces, ", ".join(filter(None, said)))


def _pieces(job: Job) -> int:
    return sum(len(each.pieces) for each in job.stencils)


def _counted(count: int, what: str, which: str) -> str:
    return f"{count} {what}{'s' * (count > 1)} {which}" if count else ""


def _unmatched(
    before: list[Finding], after: list[Finding], alike: Callable[[Finding, Finding], bool]
) -> tuple[list[Finding], list[Finding]]:
    """Those of either survey that have none of the other for their own."""
    gone: list[Finding] = []
    left: dict[tuple[str, str | None], list[Finding]] = {}
    for each in after:
        left.setdefault((each.code, each.face), []).append(each)
    for each in before:
        others = left.get((each.code, each.face), [])
        found = next((nth for nth, other in enumerate(others) if alike(each, other)), None)
        if found is None:
            gone.append(each)
        else:
            del others[found]
    rest = {id(each) for others in left.values() for each in others}
    return gone, [each for each in after if id(each) in rest]


def _is_here(one: Finding, other: Finding) -> bool:
    return one.hardware == other.hardware and _within(one, other, HERE)


def _is_near(one: Finding, other: Finding) -> bool:
    return one.hardware == other.hardware and _within(one, other, NEAR)


def _is_of_its_kind(one: Finding, other: Finding) -> bool:
    """Where one of the two has no place."""
    return one.hardware == other.hardware and (one.at is None or other.at is None)


def _within(one: Finding, other: Finding, most: float) -> bool:
    if one.at is None or other.at is None:
        return one.at is other.at
    return dist(one.at, other.at) <= most
