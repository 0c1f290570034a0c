"""Readings that do not close, and outlines that nothing checks.

Stands beside the other checks. The outline has judged its readings already; this says so. A wrong
reading that moves corners by more than the tape explains is a stop, at the corner that it moves
most; `face` is then the end board that has this corner.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mateline.checks.findings import Finding
from mateline.checks.places import listed, size
from mateline.tape.arcs.told import doubtful
from mateline.tape.reading import printed
from mateline.tape.report import checks, parts

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mateline.checks.findings import Level, Subject
    from mateline.curves import Point
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Closure, Outline


def check(subject: Subject) -> tuple[Finding, ...]:
    """Every outline; without a `face` where no corner is meant, or no painted board has it."""
    return tuple(
        finding
        for name, outline in subject.outlines.items()
        for finding in _of(name, outline, subject)
    )


def _of(name: str, outline: Outline, subject: Subject) -> Iterator[Finding]:
    if outline.verdict in {"suspect", "cannot-tell"}:
        face, at = _place(name, outline, subject)
        if outline.suspect is not None:
            message, remedy = _suspect(name, outline, outline.suspect, subject.tape)
        else:
            message, remedy = _cannot_tell(name, outline, subject.tape)
        yield Finding("reading-suspect", _level(outline), message, remedy, face=face, at=at)
    yield from _of_curves(name, outline)
    if outline.verdict == "unchecked":
        assumed = listed(list(outline.assumption))
        square = f", and {assumed} {_are(outline.assumption)} taken as square" if assumed else ""
        yield Finding(
            "outline-unchecked",
            "note",
            f"No reading of {name} is checked by another{square}: a slip of the tape would not "
            "show.",
            _one_more(outline),
        )


def _of_curves(name: str, outline: Outline) -> Iterator[Finding]:
    """Curves whose readings contradict each other, or the corners."""
    for arc in outline.arcs:
        wrong = doubtful(arc)
        if wrong is not None:
            yield Finding(
                "reading-suspect",
                "warn",
                f"The {wrong.label} of {name} does not go with what else was read: it is "
                f"{abs(wrong.w or 0.0):.1f} times out of what is usual for it. The curve "
                f"{arc.label}, and the board on it, may be out of shape by part of that.",
                f"Measure {wrong.label} again, and look whether the curve is an arc and runs on "
                "into its neighbours as stated.",
            )


def _level(outline: Outline) -> Level:
    """A stop where corners are, or would be, further out than the tape explains."""
    beyond = outline.left_out or (outline.shift is not None and outline.shift.beyond)
    return "stop" if beyond else "warn"


def _place(name: str, outline: Outline, subject: Subject) -> tuple[str | None, Point | None]:
    """The corner that moves most, on the first end board of the carcase that has it."""
    if outline.shift is None:
        return None, None
    for stencil in subject.stencils:
        panel = stencil.face.panel
        if name in {panel.carcase, f"{panel.carcase} {panel.name}"}:
            ends = dict(zip(panel.corners, panel.outline, strict=True))
            if set(outline.corners) <= ends.keys():
                return stencil.face.name, ends[outline.shift.corner]
    return None, None


def _one_more(outline: Outline) -> str:
    advice = outline.advice
    if advice is None:
        return "Add a height or a square corner: every distance between corners is read."
    what = "side" if advice.side else "diagonal"
    return f"Add one more reading, best the {what} {advice.label}: {checks(advice)}."


def _are(corners: tuple[str, ...]) -> str:
    return "is" if len(corners) == 1 else "are"


def _effect(outline: Outline, tape: Tape) -> str:
    """What it does to the faces."""
    shift = outline.shift
    if shift is None:
        return "No outline has it, so this one is solved without it, and nobody has confirmed that."
    least = "" if outline.suspect is not None else "at least "
    way = "more than" if shift.beyond else "no more than"
    return (
        f"Every face of this outline is out of shape by part of it: corner {shift.corner} by "
        f"{least}{size(shift.size, tape)}, {way} the tape explains."
    )


def _cannot_tell(name: str, outline: Outline, tape: Tape) -> tuple[str, str]:
    labels = [closure.label for closure in outline.candidates]
    effect = _effect(outline, tape)
    if outline.more_than_one:
        said = f"likely {listed(labels)}" if labels else "and no single one explains it"
        first = f"Measure {labels[0]} again first." if labels else "Measure all of them again."
        return f"More than one reading of {name} is wrong, {said}. {effect}", first
    advice = outline.advice
    if advice is None:
        remedy = "Measure these again: no distance that is still unread would tell."
    else:
        expected = [
            f"{printed(length, tape)} if {label} is wrong"
            for label, length in zip(labels, advice.lengths, strict=True)
        ]
        remedy = f"Measure {advice.label}: {parts(advice)}. It is {listed(expected)}."
    message = (
        f"The readings of {name} do not close: one of {listed(labels)} is wrong, but these "
        f"readings cannot tell which. {effect}"
    )
    return message, remedy


def _suspect(name: str, outline: Outline, suspect: Closure, tape: Tape) -> tuple[str, str]:
    effect = _effect(outline, tape)
    if suspect.kind == "square":
        off = abs(math.degrees(suspect.slip))
        message = f"The {suspect.label} of {name} is {off:.1f}° off square by all other readings."
        remedy = "Take it out of the square corners, or measure a diagonal across it."
        return f"{message} {effect}", remedy
    if suspect.angular:
        read, likely = (math.degrees(each) for each in (suspect.read, suspect.read - suspect.slip))
        message = (
            f"The angle {suspect.label.removeprefix('angle ')} of {name}, {read:.1f}°, looks "
            f"wrong: the other readings say {likely:.1f}°."
        )
        return f"{message} {effect}", "Set the gauge or the level to it again."
    way = "long" if suspect.slip > 0 else "short"
    likely = suspect.read - suspect.slip
    message = (
        f"The reading {suspect.label} of {name}, {printed(suspect.read, tape)}, looks "
        f"{size(abs(suspect.slip), tape)} too {way}: the others say {printed(likely, tape)}."
    )
    remedy = (
        f"Measure {suspect.label} again, and look for a hook, a trim or a wrong line on the tape."
    )
    return f"{message} {effect}", remedy
