"""What each pass really paints on a face, by offsetting areas: bare and doubled places.

Stands after lines, and costs more, so only exports and tests call it. The same model as there,
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
from shapely import LineString, MultiLineString, MultiPolygon, Polygon

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from shapely.geometry.base import BaseGeometry

    from mateline.curves import Point
    from mateline.paint.witness.lines import Spread
    from mateline.stencil.pieces import Piece
    from mateline.stencil.stencil import Stencil

QUARTER = 8  # facets a quarter circle: round a corner an offset is short by a share of 0.005
CRUMB = 1e-6  # mm²: smaller areas come from rounding


@dataclass(frozen=True, slots=True)
class Painted:
    """What all passes leave on one face, at worst. Areas in the face frame, mm.

    `bare` lies in pieces of painted colours and got no paint though no base-coloured board is
    near; `doubled` got paint in two passes or more.
    """

    face: str
    bare: MultiPolygon
    doubled: MultiPolygon


def painted(stencil: Stencil, rank: Mapping[str, int], spread: Spread) -> Painted:
    """What the passes leave on the face; `rank` is each colour's place in the order, base 0."""
    pieces = [piece for piece in stencil.pieces if piece.colour != stencil.base]
    colours = sorted({piece.colour for piece in pieces}, key=lambda name: rank[name])
    target = shapely.union_all([piece.area for piece in pieces])
    boards = _Boards(stencil, pieces, spread.kerf)
    coats = [
        shapely.intersection(_sprayed(colour, stencil, boards, rank, spread), target)
        for colour in colours
    ]
    bare = shapely.difference(target, shapely.union_all(coats))
    doubled = shapely.union_all(
        [shapely.intersection(one, two) for at, one in enumerate(coats) for two in coats[:at]]
    )
    return Painted(stencil.face.name, _polygons(bare), _polygons(doubled))


def widest(area: MultiPolygon, tolerance: float = 0.02) -> tuple[float, Point | None]:
    """Diameter of the largest disc in `area`, mm, and its centre; slow on long thin areas.

    Where three colours meet it is wider than any border's gap.
    """
    best: tuple[float, Point | None] = (0.0, None)
    for part in area.geoms:
        radius = shapely.maximum_inscribed_circle(part, tolerance=tolerance)
        (x, y), _ = radius.coords
        if 2 * radius.length > best[0]:
            best = (2 * radius.length, (float(x), float(y)))
    return best


class _Boards:
    """Boards of one face's painted pieces, as cut, and grown by what is asked for."""

    def __init__(self, stencil: Stencil, pieces: Sequence[Piece], kerf: float) -> None:
        self.pieces = pieces
        taken = _grown(_cuts(stencil), kerf / 2)
        self._cut = [
            shapely.difference(piece.area, shapely.clip_by_rect(taken, *piece.area.bounds))
            if kerf
            else piece.area
            for piece in pieces
        ]
        self._grown: dict[tuple[int, float], BaseGeometry] = {}

    def cover(self, at: int, reach: float) -> BaseGeometry:
        """The board of piece `at`, grown by `reach` mm."""
        key = (at, reach)
        if key not in self._grown:
            self._grown[key] = _grown(self._cut[at], reach)
        return self._grown[key]


def _sprayed(
    colour: str, stencil: Stencil, boards: _Boards, rank: Mapping[str, int], spread: Spread
) -> BaseGeometry:
    """What the pass of `colour` paints of the face at worst, boards of base colour left out."""
    covers = []
    for at, piece in enumerate(boards.pieces):
        if piece.colour != colour:
            play = spread.play if rank[piece.colour] < rank[colour] else 0.0
            covers.append(boards.cover(at, play + spread.shade(colour)))
    open_ = shapely.difference(stencil.face.outline, shapely.union_all(covers))
    return _grown(open_, spread.bleed)


def _cuts(stencil: Stencil) -> BaseGeometry:
    """All borders between pieces, joined to long lines, so that few corners are rounded."""
    lines = [
        LineString(border.points)
        for border in stencil.pattern.borders
        if border.left >= 0 and border.right >= 0
    ]
    joined: BaseGeometry = shapely.line_merge(MultiLineString(lines))
    return joined


def _grown(area: BaseGeometry, reach: float) -> BaseGeometry:
    grown: BaseGeometry = shapely.buffer(area, reach, quad_segs=QUARTER) if reach else area
    return grown


def _polygons(area: BaseGeometry) -> MultiPolygon:
    parts = [part for part in shapely.get_parts(area) if isinstance(part, Polygon)]
    return MultiPolygon([part for part in parts if part.area > CRUMB])
