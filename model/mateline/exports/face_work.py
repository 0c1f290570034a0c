"""What all files of one face are made from.

Stands before face_files, and imports no format: whoever hands out the work needs none.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mateline.checks.findings import Finding, Settled
    from mateline.exports.by_hand.face_cutting import FaceCutting
    from mateline.exports.laying.sets import LaidSet
    from mateline.paint.turned_sets import TurnedSet
    from mateline.stencil.board import Board
    from mateline.stencil.stencil import Stencil
    from mateline.stencil.turned_over import TurnedOver
    from mateline.tape.accuracy import Tape


@dataclass(frozen=True, slots=True)
class FaceWork:
    """One face, and all that its files depend on. `turn` is how its set is turned over for the
    opposite face, `borrowed` the opposite face's set that lies here turned over; None where not.
    `cutting` says how it is cut, `laid` is the set that is laid on it, `numbers` are those of the
    findings in the whole job.
    """

    stencil: Stencil
    findings: tuple[Finding, ...]
    numbers: tuple[int, ...]
    tape: Tape
    board: Board
    paper: str | None
    cutting: FaceCutting
    turn: TurnedOver | None = None
    borrowed: TurnedSet | None = None
    settled: tuple[Settled, ...] = ()
    laid: LaidSet | None = None
