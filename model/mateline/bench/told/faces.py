"""One face as the page draws it: pieces, tacks, joins, hardware, edges, and the art upon it.

Stands after facets. Places are in the face frame, mm; path data has y down from the face's top.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from mateline.bench.told.facets import facet_data
from mateline.cabinet.hole import kept_area, open_area
from mateline.exports.cut.layers import punched, scores
from mateline.exports.cut.sheets import join_lines
from mateline.exports.svg_path import path_data
from mateline.stencil.laying.sides import lowest, sides_of

if TYPE_CHECKING:
    from shapely import LineString

    from mateline.cabinet.hole import Hole
    from mateline.placing.placed import PlacedArt
    from mateline.stencil.laying.sides import Side
    from mateline.stencil.pieces import Piece
    from mateline.stencil.stencil import Stencil
    from mateline.survey import Job

ROUGH = 0.3  # mm: what an area may be simplified by where its id goes
NEARLY = 1.0  # mm: how exactly the widest place is found
Json = dict[str, Any]


def face_told(job: Job, stencil: Stencil) -> Json:
    """The face of `stencil`. A face of base coat only has one area, `base`, and no piece."""
    face = stencil.face
    top = face.outline.bounds[3]
    faces = [each.face for each in job.stencils]
    names = {each.name for each in (*job.cabinet.faces, *job.cabinet.hidden)}
    sides = sides_of(face, names, lowest(faces))
    return {
        "name": face.name,
        "width": face.outline.bounds[2],
        "height": top,
        "outline": facet_data(face.outline, top),
        "base": stencil.paints[stencil.base],
        "pieces": _pieces(stencil, top),
        "holes": [_hole(hole, top, _entry(hole, job)) for hole in face.holes],
        "edges": [_edge(side) for side in sides],
        "joins": [path_data([line], top) for line in join_lines(stencil.grid)]
        if stencil.has_board
        else [],
        "scores": path_data(scores(stencil), top),
    }


def art_told(job: Job, stencil: Stencil) -> list[Json]:
    """Each entry of art on the face of `stencil`, all its shapes back to front, whether or not
    others lie on them: what is dragged.
    """
    top = stencil.face.outline.bounds[3]
    name = stencil.face.name
    return [_art(each, top) for each in job.art if each.face == name and each.shapes]


def _pieces(stencil: Stencil, top: float) -> list[Json]:
    if not stencil.has_board:
        return []
    rough = shapely.simplify([piece.area for piece in stencil.pieces], ROUGH)
    rooms = shapely.maximum_inscribed_circle(rough, tolerance=NEARLY)
    return [
        _piece(piece, stencil.paints[piece.colour], room, top)
        for piece, room in zip(stencil.pieces, rooms, strict=True)
    ]


def _piece(piece: Piece, paint: str, widest: LineString, top: float) -> Json:
    """`at` and `room` are the middle and the radius of the widest circle in the piece, mm, tacks
    and holes or not.
    """
    if widest.is_empty:  # simplified to nothing
        middle = piece.area.representative_point()
        x, y, room = middle.x, middle.y, 0.0
    else:
        x, y, room = *widest.coords[0][:2], widest.length
    return {
        "id": piece.id,
        "short": piece.short,
        "colour": piece.colour,
        "paint": paint,
        "d": facet_data(piece.area, top),
        "at": [round(x, 2), round(y, 2)],
        "room": round(room, 2),
        "area": round(piece.area.area, 1),
        "tacks": [path_data([punched(tack)], top, 2) for tack in piece.tacks],
    }


def _hole(hole: Hole, top: float, entry: int | None) -> Json:
    return {
        "name": hole.name,
        "index": entry,
        "kind": hole.kind,
        "d": facet_data(open_area(hole), top),
        "clear": facet_data(kept_area(hole), top),
        "stays": hole.stays,
        "at": [float(each) for each in hole.centre],
        "measured": None
        if hole.measured is None
        else {"from": hole.measured[0], "names": list(hole.measured[1])},
    }


def _entry(hole: Hole, job: Job) -> int | None:
    """Which entry of the definition's hardware a hole is of: the one with the longest name that
    the hole's begins with; None where none has.
    """
    named = [
        (len(each.name), index)
        for index, each in enumerate(job.definition.hardware)
        if hole.name == each.name or hole.name.startswith(f"{each.name} ")
    ]
    return max(named)[1] if named else None


def _edge(side: Side) -> Json:
    (x0, y0), (x1, y1) = side.ends
    return {
        "name": side.name,
        "way": side.way,
        "beyond": side.beyond,
        "from": [float(x0), float(y0)],
        "to": [float(x1), float(y1)],
        "out": [float(each) for each in side.out],
        "straight": side.straight,
    }


def _art(placed: PlacedArt, top: float) -> Json:
    box = shapely.total_bounds([shape.area for shape in placed.shapes])
    page = None if placed.page is None else shapely.get_coordinates(placed.page)[:-1].tolist()
    return {
        "index": placed.placement,
        "drawing": placed.drawing,
        "mirrored": placed.mirrored,
        "wrapped": placed.wrapped,
        "cast": placed.cast,
        "box": np.round(box, 3).tolist(),
        "page": page,
        "shapes": [
            {"paint": shape.colour, "element": shape.element, "d": facet_data(shape.area, top)}
            for shape in placed.shapes
        ],
    }
