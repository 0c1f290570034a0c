"""The sets that are laid on a cabinet's faces: each face's own, or the opposite one's turned over.

Stands first in the room.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from mateline.paint.turned_sets import as_laid
from mateline.stencil.laying.laying import Around, laying_of, turned_laying
from mateline.stencil.laying.order import laying_order
from mateline.stencil.laying.sides import lowest
from mateline.stencil.laying.touching import touching
from mateline.stencil.lettering.edge_marks import marks_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from mateline.paint.turned_sets import TurnedSet
    from mateline.stencil.laying.laying import Laying
    from mateline.stencil.lettering.edge_marks import Mark
    from mateline.stencil.stencil import Stencil
    from mateline.survey import Job
    from mateline.tape.accuracy import Tape


@dataclass(frozen=True, slots=True)
class LaidSet:
    """The pieces of `stencil` as they are laid on the face of `laying`.

    `matrix` (2, 3) takes the stencil's frame to that face's where the set is turned over and does
    all of it. Where some of its pieces are no use there, the stencil is the face's own, with the
    names on the board. `marks` are the stencil's own, `joined` the ids of pieces in several parts.
    """

    laying: Laying
    stencil: Stencil
    marks: tuple[Mark, ...]
    matrix: NDArray[np.float64] | None = None
    joined: frozenset[str] = frozenset()


def laid_sets(job: Job, sets: Sequence[TurnedSet] = ()) -> dict[str, LaidSet]:
    """By face, what is laid on it; nothing where one piece of the base coat covers all of it.

    `sets` say which pieces of those that are turned over are no use on the other side.
    """
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
        joined = frozenset(join.piece for join in stencil.grid.joins)
        found[name] = LaidSet(laying_of(stencil, around, marks), stencil, marks, None, joined)
    short = {each.right: each for each in sets if each.own or each.unused}
    for name, pair in turned.items():
        if pair.left in found:
            face, laid = stencils[name].face, found[pair.left]
            around = Around(names, floor, carcases.get(face.panel.carcase))
            laying = turned_laying(laid.laying, face, around, pair.matrix)
            found[name] = replace(laid, laying=laying, matrix=pair.matrix)
            if name in short:
                found[name] = _with_own(found[name], as_laid(stencils[name], short[name]), job.tape)
    return found


def _with_own(laid: LaidSet, stencil: Stencil, tape: Tape) -> LaidSet:
    """The face as it will be, of the turned set and the pieces that are cut for it alone.

    Their order is found anew: what lies where the set's own pieces would may touch others.
    """
    sides = laid.laying.sides
    steps = laying_order(stencil, sides, touching(stencil, sides))
    laying = replace(laid.laying, steps=steps)
    return LaidSet(laying, stencil, marks_of(stencil, tape), None, laid.joined)
