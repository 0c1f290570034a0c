"""What all files of one face are made from.

Stands before face_files, and imports no format: whoever hands out the work needs none.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mateline.checks.findings import Finding, MirrorPair, Settled
    from mateline.exports.laying.sets import LaidSet
    from mateline.stencil.board import Board
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape


@dataclass(frozen=True, slots=True)
class FaceWork:
    """One face, and all that its files depend on. `opposite` is the side that its set paints too,
    turned over as `pair` says; None where it isn't. `laid` is the set that is laid on it.
    """

    stencil: Stencil
    findings: tuple[Finding, ...]
    tape: Tape
    board: Board
    paper: str | None
    opposite: Stencil | None = None
    pair: MirrorPair | None = None
    settled: tuple[Settled, ...] = ()
    laid: LaidSet | None = None
