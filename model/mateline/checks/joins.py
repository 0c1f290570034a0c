"""Slivers that joins leave, where no choice of lines between sheets could do without.

Stands beside the other checks. Which sheets a face takes is planned with its stencil (see
stencil.sheets.joins).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.checks.findings import Finding
from mateline.checks.places import area_size, size, spot

if TYPE_CHECKING:
    from mateline.cabinet.faces import Face
    from mateline.checks.findings import Subject
    from mateline.stencil.board import Board
    from mateline.stencil.sheets.slivers import Sliver
    from mateline.tape.accuracy import Tape


def check(subject: Subject) -> tuple[Finding, ...]:
    """Every face that takes more than one sheet of board."""
    return tuple(
        _finding(stencil.face, sliver, subject)
        for stencil in subject.stencils
        for sliver in stencil.grid.slivers
    )


def _finding(face: Face, sliver: Sliver, subject: Subject) -> Finding:
    extent = _extent(sliver, subject.board, subject.tape)
    return Finding(
        "join-sliver",
        "warn",
        f"The join of two sheets through piece {sliver.piece} leaves a part of it at "
        f"{spot(sliver.at, subject.tape, face)} "
        f"that is {extent}, whichever way the sheets are laid: it "
        "tears or is lost before it is taped.",
        "Use a larger sheet, shift the art, or give that part to a neighbouring colour.",
        face=face.name,
        piece=sliver.piece,
        at=sliver.at,
    )


def _extent(sliver: Sliver, board: Board, tape: Tape) -> str:
    if sliver.area is not None and sliver.width is None:
        least = area_size(board.least_area, tape)
        return f"only {area_size(sliver.area, tape)} where {least} can be handled"
    width = 0.0 if sliver.width is None else sliver.width
    return f"only {size(width, tape)} wide where {size(board.least_width, tape)} holds together"
