"""Findings as a table for the terminal: what stops the work first, wrapped to its width.

Stands beside json_report. Places are written as a tape is read. What the definition settles comes
last, with its reason, and is not among the counts of levels.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.tape.quantities import wrapped
from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.checks.findings import Finding, Settled
    from mateline.curves import Point
    from mateline.tape.accuracy import Tape

# Level, heading, and what one and several of them are called.
LEVELS = (
    ("stop", "Stop: mend these first", "stop", "stops"),
    ("warn", "Warnings", "warning", "warnings"),
    ("note", "Notes", "note", "notes"),
)
SETTLED = "Settled: meant to be so"
LEAST_WIDTH = 40  # characters; narrower terminals scroll
_RANK = {level: rank for rank, (level, *_) in enumerate(LEVELS)}


def numbered(findings: Sequence[Finding]) -> dict[int, int]:
    """The number of each finding, by its place among `findings`: what stops the work comes first.

    It is the same in the terminal, in a face's picture and in the book.
    """
    order = sorted(range(len(findings)), key=lambda at: (_RANK[findings[at].level], at))
    return {at: count for count, at in enumerate(order, 1)}


def findings_table(
    findings: Sequence[Finding], tape: Tape, width: int, settled: Sequence[Settled] = ()
) -> str:
    """Findings grouped by level, each with its place, reason and remedy, then those that are
    settled; ends in a count.
    """
    width = max(width, LEAST_WIDTH)
    lines: list[str] = []
    numbers = numbered(findings)
    for level, heading, _, _ in LEVELS:
        group = [(numbers[at], each) for at, each in enumerate(findings) if each.level == level]
        if group:
            lines += _headed(heading)
            for count, finding in group:
                lines += [*_entry(finding, tape, width, f"{count} "), *_remedy(finding, width), ""]
    if settled:
        lines += _headed(SETTLED)
        for each in settled:
            because = wrapped(each.because, width, "  Because: ", "    ")
            lines += [*_entry(each.finding, tape, width), *because, ""]
    return "\n".join([*lines, counted(findings, settled), ""])


def counted(findings: Sequence[Finding], settled: Sequence[Settled] = ()) -> str:
    """How many of each level, in words: "1 stop, 2 warnings; 1 settled.", or "No findings."."""
    parts = []
    for level, _, one, several in LEVELS:
        count = sum(finding.level == level for finding in findings)
        if count:
            parts.append(f"{count} {one if count == 1 else several}")
    said = ", ".join(parts) if parts else "No findings"
    return f"{said}; {len(settled)} settled." if settled else f"{said}."


def about(finding: Finding, tape: Tape) -> str:
    """What a finding is about and where: `body-left N6 · vent 5 · 3" across, 8" up on the stencil`.

    Its message tells the place from the edges of the cabinet, which a board's net may end short of.
    """
    on = finding.piece or finding.face  # a piece's id names its face
    if finding.piece and finding.face and not finding.piece.startswith(f"{finding.face} "):
        on = f"{finding.piece}, turned over on {finding.face}"
    at = None if finding.at is None else f"{place(finding.at, tape)} on the stencil"
    return " · ".join(part for part in (on, finding.hardware, at) if part)


def follows(finding: Finding) -> str:
    """What comes of a finding, by code: `2 piece-narrow (body-left C1, body-left C4)`; "" if
    nothing does.
    """
    names: dict[str, list[str]] = {}
    for each in finding.consequences:
        named = each.hardware or each.piece or each.face or ""
        names.setdefault(each.code, []).append(named)
    return ", ".join(
        f"{len(named)} {code} ({', '.join(dict.fromkeys(named))})" for code, named in names.items()
    )


def place(at: Point, tape: Tape) -> str:
    """A place on a face in the user's unit: `12 1/2" across, 3" up` from its lower-left corner."""
    return f"{printed(at[0], tape)} across, {printed(at[1], tape)} up"


def _headed(heading: str) -> list[str]:
    return [heading, "-" * len(heading)]


def _entry(finding: Finding, tape: Tape, width: int, count: str = "") -> Iterator[str]:
    """One that is settled has no number, and names its level, which no heading tells."""
    code = f"{count}{finding.code}" if count else f"{finding.code} ({finding.level})"
    head = " · ".join(part for part in (code, about(finding, tape)) if part)
    yield from wrapped(head, width, "", "  ")
    yield from wrapped(finding.message, width, "  ", "  ")
    if _of_one_piece(finding):
        for each in finding.consequences:
            yield from wrapped(f"{each.code}: {each.message}", width, "  With it: ", "    ")
    elif finding.consequences:
        yield from wrapped(follows(finding), width, "  With it: ", "    ")


def _of_one_piece(finding: Finding) -> bool:
    """Whether each that comes of it tells something else of the same piece."""
    return all(
        each.piece == finding.piece is not None and each.code != finding.code
        for each in finding.consequences
    )


def _remedy(finding: Finding, width: int) -> list[str]:
    return wrapped(finding.remedy, width, "  Remedy: ", "    ")
