"""The findings in the book, each with a link to its place on the drawing.

Stands after html. What stops the work comes first, and numbers follow that order. Those that the
definition settles come last, with their reasons and without a number.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from mateline.exports.findings_table import LEVELS, SETTLED, about, counted, follows
from mateline.exports.jobbook.html import anchor, element, listed, said, text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.checks.findings import Finding, Settled
    from mateline.survey import Job
    from mateline.tape.accuracy import Tape

_WORDS = {level: one for level, _, one, _ in LEVELS}


def section(job: Job, numbers: dict[int, int]) -> str:
    """The list of all findings."""
    faces = {stencil.face.name for stencil in job.stencils}
    order = sorted(numbers, key=numbers.__getitem__)
    entries = [_entry(job.findings[at], numbers[at], job.tape, faces) for at in order]
    return element(
        "section",
        said("h2", "Findings", id="findings-title"),
        said("p", counted(job.findings, job.settled), class_="hint"),
        element("ol", *entries, class_="findings") if entries else "",
        _settled(job.settled, job.tape, faces),
        id="findings",
        aria_labelledby="findings-title",
    )


def _settled(settled: Sequence[Settled], tape: Tape, faces: set[str]) -> str:
    """The list of those that are meant to be so, each with its reason."""
    if not settled:
        return ""
    entries = [
        element(
            "li",
            *_what(each.finding, "", tape),
            element("p", said("strong", "Because: "), text(each.because)),
            _link(replace(each.finding, at=None), 0, faces),  # it has no mark to be shown at
        )
        for each in settled
    ]
    return said("h3", SETTLED, id="settled") + element("ul", *entries, class_="settled")


def _entry(finding: Finding, count: int, tape: Tape, faces: set[str]) -> str:
    return element(
        "li",
        *_what(finding, f" {count}", tape),
        element("p", said("strong", "Remedy: "), text(finding.remedy)),
        _link(finding, count, faces),
        id=f"finding-{count}",
        tabindex="-1",
    )


def _what(finding: Finding, count: str, tape: Tape) -> Iterator[str]:
    """Its level, number and code, where it is, what it says and what comes of it."""
    level = said("b", _WORDS[finding.level], class_=f"level {finding.level}")
    yield element("h3", level, text(f"{count} {finding.code}"))
    yield said("p", about(finding, tape), class_="about")
    yield said("p", finding.message)
    if finding.consequences:
        yield element(
            "details",
            said("summary", f"With it: {follows(finding)}"),
            listed([_consequence(each, tape) for each in finding.consequences]),
        )


def _consequence(finding: Finding, tape: Tape) -> str:
    level = said("b", _WORDS[finding.level], class_=f"level {finding.level}")
    where = about(finding, tape)
    return level + text(f" {finding.code}{' · ' * bool(where)}{where}: {finding.message}")


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
