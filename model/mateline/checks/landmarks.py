"""Art that was placed by landmarks: how well they fit.

A similarity has four numbers, so two landmarks always fit; from three on they check each other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.checks.findings import Finding
from mateline.tape.reading import printed_exact

if TYPE_CHECKING:
    from mateline.checks.findings import Subject

CLOSE = 0.05  # mm: below this nothing on a stencil moves
FAR = 3.0  # mm: more than a border can be out without being seen (common practice, no source)


def check(subject: Subject) -> tuple[Finding, ...]:
    """`landmark-off` for each drawing whose landmarks leave a residual."""
    unit = subject.tape.unit
    return tuple(
        Finding(
            "landmark-off",
            "warn" if each.residual > FAR else "note",
            f"The landmarks of {each.drawing} do not all fit on {each.face}: the worst is "
            f"{printed_exact(each.residual, unit)} from its point.",
            "Measure the points again, or leave out the landmark that is wrong.",
            face=each.face,
        )
        for each in subject.art
        if each.residual > CLOSE and not each.mirrored
    )
