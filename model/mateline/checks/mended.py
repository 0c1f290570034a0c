"""What was mended in a drawing before it was cut: hair gaps, slivers and doubled shapes.

The pattern closes what is narrower than a hair so that neighbours share one border; whoever drew
it should know where.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from mateline.checks.findings import Finding
from mateline.checks.places import spot
from mateline.pattern.repair import MENDED
from mateline.tape.reading import printed_exact

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mateline.checks.findings import Subject
    from mateline.pattern.repair import Repair

KINDS = {"gap": "hair gap", "sliver": "sliver", "doubled": "doubled shape"}


def check(subject: Subject) -> tuple[Finding, ...]:
    """`drawing-mended`, a note for each face on which anything was."""
    return tuple(_notes(subject))


def _notes(subject: Subject) -> Iterator[Finding]:
    for stencil in subject.stencils:
        if stencil.repairs:
            worst = max(stencil.repairs, key=lambda repair: (repair.size[0], repair.at))
            yield Finding(
                "drawing-mended",
                "note",
                f"{_counted(stencil.repairs)} on {stencil.face.name} "
                f"{'was' if len(stencil.repairs) == 1 else 'were'} mended, the longest at "
                f"{spot(worst.at, subject.tape)}; no border moved by more than "
                f"{printed_exact(MENDED, subject.tape.unit)}.",
                "Nothing is needed; let shapes overlap in the drawing, and no gap can open.",
                face=stencil.face.name,
                at=worst.at,
            )


def _counted(repairs: tuple[Repair, ...]) -> str:
    counts = Counter(repair.kind for repair in repairs)
    return ", ".join(
        f"{number} {KINDS[kind]}{'' if number == 1 else 's'}"
        for kind, number in sorted(counts.items())
    )
