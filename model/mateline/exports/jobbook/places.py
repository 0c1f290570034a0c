"""Where the ids of pieces stand in the book's drawings, and how each face is cut.

Stands first in jobbook; a build has found both for its other files.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.exports.by_hand.face_cutting import face_cutting
from mateline.exports.picture.widest import widest_places

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.exports.by_hand.face_cutting import FaceCutting
    from mateline.exports.picture.widest import Lines
    from mateline.paint.turned_sets import TurnedSet
    from mateline.survey import Job


def widest(job: Job) -> dict[str, Lines]:
    """The widest places of each face's pieces, by the face's name."""
    return {stencil.face.name: widest_places(stencil) for stencil in job.stencils}


def cuttings_of(job: Job, sets: Sequence[TurnedSet]) -> dict[str, FaceCutting]:
    """How each face is cut, by its name."""
    own = {each.right: each.own for each in sets}
    paper = job.definition.paper
    return {
        name: face_cutting(stencil, job.tape, paper, own.get(name))
        for name, stencil in ((each.face.name, each) for each in job.stencils)
    }
