"""What each pass really paints on a face, by offsetting areas: bare and doubled places.

Stands after witness, and costs more, so only exports and tests call it. The same model as there,
on the plane instead of at one border:

    board of a piece   the piece less a kerf's half along its borders with other pieces
    it covers          that grown by the play (if it was put back before) and by the shade,
                       both in the worst direction everywhere, less the bleed
    a pass paints      the face without what is covered by the boards that stay

The rim of the face is not cut back: board is laid flush with it or over it. Board of base colour
is left out on purpose: where it shades a colour, base coat shows beside base coat, which is no
line between two colours. Round corners are facets: `QUARTER` a quarter circle.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely
from shapely import LineString, MultiPolygon, Polygon

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from shapely.geometry.base import BaseGeometry

    from mateline.curves import Point
    from mateline.paint.witness import Spread
    from mateline.stencil.pieces import Piece, Stencil

QUARTER = 16  # facets a quarter circle: an offset is short by a share of 0.0012 at most
CRUMB = 1e-6  # mm²: smaller areas come from rounding
DISC = 1e-6  # mm: how nearly the largest disc is found


@dataclass(frozen=True, slots=True)
class Painted:
    """What all passes leave on one face, at worst. Areas in the face frame, mm.

    `bare` lies in pieces of painted colours and got no paint though no base-coloured board is
    near; `doubled` got paint in two passes or more. `widest` is the diameter of the largest disc
    in `bare`, and `at` its centre.
    """

    face: str
    bare: MultiPolygon
    doubled: MultiPolygon
    widest: float
    at: Point | None


def painted(stencil: Stencil, rank: Mapping[str, int], spread: Spread) -> Painted:
    """What the passes leave on the face; `rank` is each colour's place in the order, base 0."""
    pieces = [piece for piece in stencil.pieces if piece.colour != stencil.base]
    borders = _cuts(stencil)
    boards = {piece.id: _board(piece, borders, spread.kerf) for piece in pieces}
    target = shapely.union_all([piece.area for piece in pieces])
    coats = [
        sprayed(colour, stencil, pieces, boards, rank, spread)
        for colour in sorted({piece.colour for piece in pieces}, key=lambda name: rank[name])
    ]
    coats = [shapely.intersection(coat, target) for coat in coats]
    bare = shapely.difference(target, shapely.union_all(coats))
    doubled = shapely.union_all(
        [shapely.intersection(one, two) for at, one in enumerate(coats) for two in coats[:at]]
    )
    widest, at = _widest(_polygons(bare))
    return Painted(stencil.face.name, _polygons(bare), _polygons(doubled), widest, at)


def sprayed(
    colour: str,
    stencil: Stencil,
    pieces: Sequence[Piece],
    boards: Mapping[str, BaseGeometry],
    rank: Mapping[str, int],
    spread: Spread,
) -> BaseGeometry:
    """What the pass of `colour` paints of the face at worst, boards of base colour left out."""
    covers = []
    for piece in pieces:
        if piece.colour == colour:
            continue
        play = spread.play if rank[piece.colour] < rank[colour] else 0.0
        covers.append(_grown(boards[piece.id], play + spread.shade(colour)))
    open_ = shapely.difference(stencil.face.outline, shapely.union_all(covers))
    return _grown(open_, spread.bleed)


def _cuts(stencil: Stencil) -> BaseGeometry:
    lines = [
        LineString(border.points)
        for border in stencil.pattern.borders
        if border.left >= 0 and border.right >= 0
    ]
    return shapely.union_all(lines)


def _board(piece: Piece, cuts: BaseGeometry, kerf: float) -> BaseGeometry:
    if kerf == 0:
        return piece.area
    near = shapely.clip_by_rect(cuts, *shapely.buffer(piece.area, kerf).bounds)
    taken = shapely.buffer(near, kerf / 2, quad_segs=QUARTER)
    board: BaseGeometry = shapely.difference(piece.area, taken)
    return board


def _grown(area: BaseGeometry, reach: float) -> BaseGeometry:
    grown: BaseGeometry = shapely.buffer(area, reach, quad_segs=QUARTER) if reach else area
    return grown


def _polygons(area: BaseGeometry) -> MultiPolygon:
    parts = [part for part in shapely.get_parts(area) if isinstance(part, Polygon)]
    return MultiPolygon([part for part in parts if part.area > CRUMB])


def _widest(area: MultiPolygon) -> tuple[float, Point | None]:
    best: tuple[float, Point | None] = (0.0, None)
    for part in area.geoms:
        radius = shapely.maximum_inscribed_circle(part, tolerance=DISC)
        (x, y), _ = radius.coords
        if 2 * radius.length > best[0]:
            best = (2 * radius.length, (float(x), float(y)))
    return best
