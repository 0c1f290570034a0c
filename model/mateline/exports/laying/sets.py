"""The sets that are laid on a cabinet's faces: each face's own, or the opposite one's turned over.

Stands first in the room.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.stencil.laying.laying import Around, laying_of, turned_laying
from mateline.stencil.laying.sides import lowest
from mateline.stencil.lettering.edge_marks import marks_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from mateline.stencil.laying.laying import Laying
    from mateline.stencil.lettering.edge_marks import Mark
    from mateline.stencil.stencil import Stencil
    from mateline.survey import Job


@dataclass(frozen=True, slots=True)
class LaidSet:
    """The pieces of `stencil` as they are laid on the face of `laying`.

    `matrix` (2, 3) takes the stencil's frame to that face's where the set is turned over. `marks`
    are the stencil's own.
    """

    laying: Laying
    stencil: Stencil
    marks: tuple[Mark, ...]
    matrix: NDArray[np.float64] | None = None


def laid_sets(job: Job) -> dict[str, LaidSet]:
    """By face, what is laid on it; nothing where one piece of the base coat covers all of it."""
    boards = (*job.cabinet.faces, *job.cabinet.hidden)
    names, floor = frozenset(face.name for face in boards), lowest(boards)
    carcases = {carcase.name: carcase for carcase in job.definition.carcases}
    turned = {pair.right: pair for pair in job.pairs if pair.shared}
    stencils = {stencil.face.name: stencil for stencil in job.stencils}
    found: dict[str, LaidSet] = {}
    for name, stencil in stencils.items():
        if name in turned or all(piece.colour == stencil.base for piece in stencil.pieces):
            continue
        marks = marks_of(stencil, job.tape)
        around = Around(names, floor, carcases.get(stencil.face.panel.carcase))
        found[name] = LaidSet(laying_of(stencil, around, marks), stencil, marks)
    for name, pair in turned.items():
        if pair.left in found:
            face, laid = stencils[name].face, found[pair.left]
            around = Around(names, floor, carcases.get(face.panel.carcase))
            laying = turned_laying(laid.laying, face, around, pair.matrix)
            found[name] = LaidSet(laying, laid.stencil, laid.marks, pair.matrix)
    return found
