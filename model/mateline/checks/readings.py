"""Readings that do not close, and outlines that nothing checks.

Stands beside the other checks. The outline has judged its readings already; this says so.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mateline.checks.findings import Finding
from mateline.checks.places import listed, size
from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mateline.checks.findings import Subject
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Closure, Outline


def check(subject: Subject) -> tuple[Finding, ...]:
    """Every outline; `face` is None, since an outline is that of several faces."""
    return tuple(
        finding
        for name, outline in subject.outlines.items()
        for finding in _of(name, outline, subject.tape)
    )


def _of(name: str, outline: Outline, tape: Tape) -> Iterator[Finding]:
    if outline.verdict == "suspect" and outline.suspect is not None:
        yield _suspect(name, outline.suspect, tape)
    elif outline.verdict == "cannot-tell":
        yield Finding(
            "reading-suspect",
            "warn",
            f"The readings of {name} do not close: at least one of "
            f"{listed([closure.label for closure in outline.candidates])} is wrong, but these "
            "readings cannot tell which. Every face of this outline may be out of shape.",
            "Measure these again, or add a reading between two corners that are not joined yet.",
        )
    elif outline.verdict == "unchecked":
        assumed = listed(list(outline.assumption))
        square = f", and {assumed} {_are(outline.assumption)} taken as square" if assumed else ""
        yield Finding(
            "outline-unchecked",
            "note",
            f"No reading of {name} is checked by another{square}: a slip of the tape would not "
            "show.",
            "Add one more reading, best a diagonal between corners that are not joined yet.",
        )


def _are(corners: tuple[str, ...]) -> str:
    return "is" if len(corners) == 1 else "are"


def _suspect(name: str, suspect: Closure, tape: Tape) -> Finding:
    if suspect.kind == "square":
        return Finding(
            "reading-suspect",
            "warn",
            f"The {suspect.label} of {name} is {abs(math.degrees(suspect.slip)):.1f}° off square "
            "by all other readings.",
            "Take it out of the square corners, or measure a diagonal across it.",
        )
    way = "long" if suspect.slip > 0 else "short"
    likely = suspect.read - suspect.slip
    return Finding(
        "reading-suspect",
        "warn",
        f"The reading {suspect.label} of {name}, {printed(suspect.read, tape)}, looks "
        f"{size(abs(suspect.slip), tape)} too {way}: the others say {printed(likely, tape)}. Every "
        "face of this outline is out of shape by part of it.",
        f"Measure {suspect.label} again, and look for a hook, a trim or a wrong line on the tape.",
    )
