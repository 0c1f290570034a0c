"""Findings as a table for the terminal: what stops the work first, wrapped to its width.

Stands beside json_report. Places are written as a tape is read.
"""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.checks.findings import Finding
    from mateline.curves import Point
    from mateline.tape.accuracy import Tape

# Level, heading, and what one and several of them are called.
LEVELS = (
    ("stop", "Stop: mend these first", "stop", "stops"),
    ("warn", "Warnings", "warning", "warnings"),
    ("note", "Notes", "note", "notes"),
)
LEAST_WIDTH = 40  # characters; narrower terminals scroll


def findings_table(findings: Sequence[Finding], tape: Tape, width: int) -> str:
    """Findings grouped by level, each with its place, reason and remedy; ends in a count."""
    width = max(width, LEAST_WIDTH)
    lines: list[str] = []
    for level, heading, _, _ in LEVELS:
        group = [finding for finding in findings if finding.level == level]
        if group:
            lines += [heading, "-" * len(heading)]
            for finding in group:
                lines += [*_entry(finding, tape, width), ""]
    return "\n".join([*lines, counted(findings), ""])


def counted(findings: Sequence[Finding]) -> str:
    """How many of each level, in words: "1 stop, 2 warnings", or "No findings."."""
    parts = []
    for level, _, one, several in LEVELS:
        count = sum(finding.level == level for finding in findings)
        if count:
            parts.append(f"{count} {one if count == 1 else several}")
    return f"{', '.join(parts)}." if parts else "No findings."


def place(at: Point, tape: Tape) -> str:
    """A place on a face in the user's unit: `12 1/2" across, 3" up` from its lower-left corner."""
    return f"{printed(at[0], tape)} across, {printed(at[1], tape)} up"


def _entry(finding: Finding, tape: Tape, width: int) -> Iterator[str]:
    on = finding.piece or finding.face  # a piece's id names its face
    parts = [finding.code, on, finding.hardware]
    if finding.at is not None:
        parts.append(place(finding.at, tape))
    yield from _wrapped(" · ".join(part for part in parts if part), width, "", "  ")
    yield from _wrapped(finding.message, width, "  ", "  ")
    yield from _wrapped(finding.remedy, width, "  Remedy: ", "    ")


def _wrapped(text: str, width: int, first: str, rest: str) -> list[str]:
    return textwrap.wrap(
        text, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
