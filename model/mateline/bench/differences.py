"""What an edit did to the findings and the pieces, in words.

Stands beside events. Findings of two surveys are the same where code, face, hardware and place
agree, first exactly, then nearly, then by code and face alone: a piece that gets another name, or
moves a little, has the finding that it had.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from math import dist, floor
from typing import TYPE_CHECKING, Any

from mateline.checks.findings import with_consequences

if TYPE_CHECKING:
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
    for reach in (HERE, NEAR, None):
        gone, appeared = _unmatched(gone, appeared, reach)
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
    before: list[Finding], after: list[Finding], reach: float | None
) -> tuple[list[Finding], list[Finding]]:
    """Those of either survey that have none of the other within `reach`, mm, for their own; without
    a reach, of those that have no place in one of the two.
    """
    left: dict[tuple[Any, ...], list[Finding]] = {}
    for each in after:
        left.setdefault(_cell(each, reach), []).append(each)
    gone: list[Finding] = []
    for each in before:
        for cell in _cells_round(each, reach):
            others = left.get(cell, [])
            found = next((n for n, other in enumerate(others) if _within(each, other, reach)), None)
            if found is not None:
                del others[found]
                break
        else:
            gone.append(each)
    rest = {id(each) for others in left.values() for each in others}
    return gone, [each for each in after if id(each) in rest]


def _cell(finding: Finding, reach: float | None, right: int = 0, up: int = 0) -> tuple[Any, ...]:
    """What a finding is about, and in which square of a grid of `reach`: thousands are compared."""
    about = finding.code, finding.face, finding.hardware
    if finding.at is None or reach is None:
        return about
    return (*about, floor(finding.at[0] / reach) + right, floor(finding.at[1] / reach) + up)


def _cells_round(finding: Finding, reach: float | None) -> list[tuple[Any, ...]]:
    """The squares in which one within reach may be, its own first."""
    steps = sorted(product((0, 1, -1), repeat=2), key=lambda step: step != (0, 0))
    return list(dict.fromkeys(_cell(finding, reach, *step) for step in steps))


def _within(one: Finding, other: Finding, reach: float | None) -> bool:
    if reach is None:
        return one.at is None or other.at is None
    if one.at is None or other.at is None:
        return one.at is other.at
    return dist(one.at, other.at) <= reach
