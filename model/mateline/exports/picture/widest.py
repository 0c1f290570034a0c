"""The widest place of each piece, where its id is written in pictures.

Stands beside legend. Not where its label is: that is made for a knife, in single strokes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.exports.cut.layers import open_holes
from mateline.stencil.lettering.label_placement import areas_of, rooms_in

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.curves import Point
    from mateline.stencil.stencil import Stencil

    Lines = NDArray[np.object_]

NEARLY = 1.0  # mm: how exactly a place is found


def widest_places(stencil: Stencil) -> Lines:
    """For each piece a line from the middle of its widest place to the rim there, face frame, mm.

    Tacks and open holes are no place; a piece that is all tack and hole has it over them.
    """
    rooms = rooms_in(stencil.pieces, open_holes(stencil))
    lines: Lines = shapely.maximum_inscribed_circle(rooms, tolerance=NEARLY)
    none = np.flatnonzero(shapely.is_empty(lines))
    if len(none):
        areas = areas_of(stencil.pieces)[none]
        lines[none] = shapely.maximum_inscribed_circle(areas, tolerance=NEARLY)
    return lines


def spots_of(stencil: Stencil, places: Lines) -> dict[str, Point]:
    """Where each piece's id goes, by the piece's: the middle of its widest place."""
    found = {}
    for piece, line in zip(stencil.pieces, places, strict=True):
        x, y, *_ = line.coords[0]
        found[piece.id] = (x, y)
    return found
