"""What was mended in a drawing before it was cut: hair gaps, slivers and doubled shapes; and
borders that are cut along their facets.

The pattern closes what is narrower than a hair so that neighbours share one border; whoever drew
it should know where. Borders are measured once they are lines and arcs, so only a job with true
borders has those that did not measure up.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from mateline.checks.findings import Finding
from mateline.checks.places import spot
from mateline.pattern.repair import MENDED
from mateline.tape.reading import printed_exact

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.checks.findings import Subject
    from mateline.curves import Point
    from mateline.pattern.repair import Repair
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape

KINDS = {"gap": "hair gap", "sliver": "sliver", "doubled": "doubled shape"}


def check(subject: Subject) -> tuple[Finding, ...]:
    """`drawing-mended`, a note for each face on which anything was."""
    return tuple(_notes(subject))


def faceted(stencils: Sequence[Stencil], tape: Tape) -> tuple[Finding, ...]:
    """`border-faceted`, a note for each face whose borders are not all lines and arcs."""
    return tuple(
        Finding(
            "border-faceted",
            "note",
            f"{_borders(stencil)} cut along short straight lines, the first at "
            f"{spot(at, tape, stencil.face)}: "
            "no arcs came near enough to it.",
            "Nothing is needed; a machine follows it, and by hand cut it as one curve.",
            face=stencil.face.name,
            at=at,
        )
        for stencil in stencils
        if stencil.faceted
        for at in [_start(stencil)]
    )


def _start(stencil: Stencil) -> Point:
    return stencil.chains[stencil.faceted[0]].start


def _borders(stencil: Stencil) -> str:
    count, face = len(stencil.faceted), stencil.face.name
    return f"1 border on {face} is" if count == 1 else f"{count} borders on {face} are"


def _notes(subject: Subject) -> Iterator[Finding]:
    for stencil in subject.stencils:
        if stencil.repairs:
            worst = max(stencil.repairs, key=lambda repair: (repair.size[0], repair.at))
            yield Finding(
                "drawing-mended",
                "note",
                f"{_counted(stencil.repairs)} on {stencil.face.name} "
                f"{'was' if len(stencil.repairs) == 1 else 'were'} mended, the longest at "
                f"{spot(worst.at, subject.tape, stencil.face)}; no border moved by more than "
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
