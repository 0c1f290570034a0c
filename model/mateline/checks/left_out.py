"""What the input holds and the work doesn't: parts of drawings, and words of the definition.

Stands beside the other checks. The readers have noted text, pictures, filters, lines that close no
loop, each with its element; this says so before anything is cut. A drawing is told once, however
many faces it goes on.

Levels: lettering that vanishes stops, since nobody paints without it what it was drawn for;
whatever else is missing, or is not as it was drawn, warns; what was closed or mixed so that it
shows as it was drawn is a note.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from mateline.checks.findings import Finding
from mateline.checks.places import listed

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mateline.checks.findings import DrawingNotes, IdleWord, Level, Subject
    from mateline.drawing.shapes import Note, NoteKind

NAMED = 8  # elements named in one message
TOLD = 20  # findings of one kind for one drawing
ELSE = "if it is not meant to be painted, delete it, or name it in the art's leave_out."

KINDS: MappingProxyType[NoteKind, tuple[str, Level, str]] = MappingProxyType(
    {
        "lettering": (
            "lettering-left-out",
            "stop",
            f"Turn the text into outlines and save the drawing again; {ELSE}",
        ),
        "left-out": (
            "drawing-left-out",
            "warn",
            f"Draw it as closed shapes with flat fills; {ELSE}",
        ),
        "mended": (
            "drawing-mended",
            "note",
            "Nothing is needed if it looks right in the pattern; else mend the drawing.",
        ),
    }
)


def check(subject: Subject) -> tuple[Finding, ...]:
    """`lettering-left-out`, `drawing-left-out` and `drawing-mended` for each drawing."""
    return tuple(
        finding for each in subject.notes for kind in KINDS for finding in _of_kind(each, kind)
    )


def words(subject: Subject) -> tuple[Finding, ...]:
    """`word-without-effect`, a note for each fact of the definition that nothing uses."""
    return tuple(without_effect(each) for each in subject.idle)


def without_effect(word: IdleWord) -> Finding:
    """A word that says nothing where it stands."""
    return Finding(
        "word-without-effect",
        "note",
        f"{word.place[:1].upper()}{word.place[1:]} has no effect: {word.why}.",
        "Nothing is needed if that is meant; else look for the word that is missing beside it.",
    )


def _of_kind(drawing: DrawingNotes, kind: NoteKind) -> Iterator[Finding]:
    """One finding for all elements of which the same is to be said."""
    together: dict[str, list[Note]] = {}
    for note in drawing.notes:
        if note.kind == kind:
            together.setdefault(note.message, []).append(note)
    said = list(together.items())
    for message, notes in said[:TOLD]:
        names = [note.element for note in notes]
        more = [f"{len(names) - NAMED} more"] if len(names) > NAMED else []
        yield _finding(drawing, kind, f"{listed(names[:NAMED] + more)}: {message}")
    if len(said) > TOLD:
        rest = sum(len(notes) for _, notes in said[TOLD:])
        yield _finding(
            drawing, kind, f"and {rest} more; `mateline pattern {drawing.drawing}` lists them all."
        )


def _finding(drawing: DrawingNotes, kind: NoteKind, said: str) -> Finding:
    code, level, remedy = KINDS[kind]
    where = f", on {listed(list(drawing.faces))}" if drawing.faces else ""
    return Finding(
        code,
        level,
        f"{drawing.drawing}{where}: {said}",
        remedy,
        face=drawing.faces[0] if len(drawing.faces) == 1 else None,
    )
