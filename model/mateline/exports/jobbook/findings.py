"""The findings in the book, each with a link to its place on the drawing.

Stands after html. What stops the work comes first, and numbers follow that order.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.exports.findings_table import LEVELS, counted, place
from mateline.exports.jobbook.html import anchor, element, said, text

if TYPE_CHECKING:
    from mateline.checks.findings import Finding
    from mateline.survey import Job
    from mateline.tape.accuracy import Tape

_WORDS = {level: one for level, _, one, _ in LEVELS}
_ORDER = {level: rank for rank, (level, *_) in enumerate(LEVELS)}


def numbered(job: Job) -> dict[int, int]:
    """The number in the book of each finding, by its place in `job.findings`."""
    order = sorted(range(len(job.findings)), key=lambda at: (_ORDER[job.findings[at].level], at))
    return {at: count for count, at in enumerate(order, 1)}


def section(job: Job, numbers: dict[int, int]) -> str:
    """The list of all findings."""
    faces = {stencil.face.name for stencil in job.stencils}
    order = sorted(numbers, key=numbers.__getitem__)
    entries = [_entry(job.findings[at], numbers[at], job.tape, faces) for at in order]
    return element(
        "section",
        said("h2", "Findings", id="findings-title"),
        said("p", counted(job.findings), class_="hint"),
        element("ol", *entries, class_="findings") if entries else "",
        id="findings",
        aria_labelledby="findings-title",
    )


def _entry(finding: Finding, count: int, tape: Tape, faces: set[str]) -> str:
    about = [finding.piece or finding.face, finding.hardware]
    if finding.at is not None:
        about.append(place(finding.at, tape))
    return element(
        "li",
        element(
            "h3",
            said("b", _WORDS[finding.level], class_=f"level {finding.level}"),
            text(f" {count} {finding.code}"),
        ),
        said("p", " · ".join(part for part in about if part), class_="about"),
        said("p", finding.message),
        element("p", said("strong", "Remedy: "), text(finding.remedy)),
        _link(finding, count, faces),
        id=f"finding-{count}",
        tabindex="-1",
    )


def _link(finding: Finding, count: int, faces: set[str]) -> str:
    if finding.face is None or finding.face not in faces:
        return ""
    if finding.at is None:
        return said("a", f"Go to {finding.face}", href=f"#{anchor('face', finding.face)}")
    return said(
        "a",
        f"Show finding {count} on {finding.face}",
        href=f"#mark-{count}",
        class_="button",
        data_show=count,
    )
