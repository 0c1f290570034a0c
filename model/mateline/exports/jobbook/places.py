"""Where the ids of pieces stand in the book's drawings.

Stands first in jobbook; both books use the same places.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.exports.picture.widest import widest_places

if TYPE_CHECKING:
    from mateline.exports.picture.widest import Lines
    from mateline.survey import Job


def widest(job: Job) -> dict[str, Lines]:
    """The widest places of each face's pieces, by the face's name."""
    return {stencil.face.name: widest_places(stencil) for stencil in job.stencils}
