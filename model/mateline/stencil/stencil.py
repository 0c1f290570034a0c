"""The stencil of one face: its pieces, with their tacks, on its sheets of board.

Stands after pieces, sheets and tacks. Pieces mate because they are regions of one pattern, which
stores every border once.

A face with nothing but base coat on it is painted whole before any board is laid, so it has no
piece, no tack and no sheet: `has_board` says so. Hardware that stays on it is taped over by hand.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.cabinet.hole import kept_area
from mateline.pattern.repair import MENDED, repaired
from mateline.stencil.cutouts import cleared
from mateline.stencil.narrow_places import necks_of, waist
from mateline.stencil.pieces import Colours, Piece
from mateline.stencil.sheets.joins import NO_BOARD, grid_for, mirrored
from mateline.stencil.tacks.mirrored import mirrored_tacks
from mateline.stencil.tacks.tape_tacks import tacks_of
from mateline.stencil.tacks.underneath import beneath

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import MultiPolygon, Polygon

    from mateline.cabinet.faces import Face
    from mateline.curves import Chain
    from mateline.drawing.shapes import Shape
    from mateline.pattern.pattern import Pattern, Region
    from mateline.pattern.repair import Repair
    from mateline.stencil.board import Board, Tack
    from mateline.stencil.sheets.joins import Grid
    from mateline.stencil.tacks.mirrored import OppositeSide


@dataclass(frozen=True, slots=True)
class Stencil:
    """The stencil of one face.

    `design` are the regions as if nothing stuck out of the face; `pattern` tiles the face
    without the hardware that stays, and `chains[i]` is its border i as true lines and arcs
    (empty until `refitted`: checks don't need them). Regions carry the palette's names;
    `paints` takes a name to "#rrggbb", and `base` is the base coat's name. `grid` are the sheets
    of board that the face takes. `repairs` are the gaps and slivers of the drawing that were
    closed. `faceted` are the borders whose lines and arcs did not measure up, so that their chains
    are their facets. `exact` are the areas of the pattern's regions within lines and arcs, mm²,
    where these are known.
    """

    face: Face
    design: tuple[Region, ...]
    pattern: Pattern
    chains: tuple[Chain, ...]
    pieces: tuple[Piece, ...]
    paints: dict[str, str]
    base: str
    grid: Grid
    repairs: tuple[Repair, ...] = ()
    faceted: tuple[int, ...] = ()
    exact: tuple[float, ...] = ()

    @property
    def has_board(self) -> bool:
        """Whether any board is laid on the face: some of it has another colour than the base."""
        return bool(self.pieces)

    @property
    def sizes(self) -> tuple[float, ...]:
        """The areas of the pattern's regions as well as they are known, mm²."""
        if self.pieces:
            return tuple(piece.size for piece in self.pieces)
        return self.exact or tuple(region.area.area for region in self.pattern.regions)


def stencil_of(
    face: Face,
    shapes: Sequence[Shape],
    colours: Colours,
    board: Board,
    like: OppositeSide | None = None,
    beyond: Sequence[Polygon] = (),
) -> Stencil:
    """Cut the shapes on `face` (back to front, coloured by palette names) into its stencil.

    Pieces of one colour are numbered from left to right, by the left end of each. Where `like`
    has a piece's mirror image, its tacks are taken over if they hold here too. `beyond` is what
    the set lies on when it is turned over: tacks have to hold there as well. A face of base
    coat only has no piece.
    """
    design, repairs = repaired(shapes, face.outline, MENDED, base=colours.base)
    pattern = design
    clear = [kept_area(hole) for hole in face.holes if hole.stays]
    if clear:
        pattern = cleared(design, shapes, face.outline, clear, colours.base)
    named = _named(face, pattern, colours)
    paints, base = dict(colours.paints), colours.base
    if all(piece.colour == base for piece in named):
        return Stencil(face, design.regions, pattern, (), (), paints, base, NO_BOARD, repairs)
    grid = None if like is None else mirrored(like.grid, like.matrix, face, named, board)
    if grid is None:
        grid = grid_for(face, pattern, named, board)
    return Stencil(
        face,
        design.regions,
        pattern,
        (),
        _held(named, (*beneath(face), *beyond), grid, board, like),
        paints,
        base,
        grid,
        repairs,
    )


def refitted(stencil: Stencil, tolerance: float, step: float | None = None) -> Stencil:
    """The stencil with each border as true lines and arcs within `tolerance` mm, and radii near a
    multiple of `step` mm taken to it; its pieces with their exact areas.
    """
    from mateline.borders import refit  # noqa: PLC0415  only files need it, no check does

    found = refit.refitted(stencil.pattern, tolerance, step)
    # To a millionth of a mm²: less hangs on last bits.
    exact = tuple(round(area, 6) for area in found.areas)
    pieces = tuple(replace(piece, exact=exact[piece.region]) for piece in stencil.pieces)
    return replace(stencil, chains=found.chains, pieces=pieces, faceted=found.faceted, exact=exact)


def _held(
    pieces: Sequence[Piece],
    under: Sequence[Polygon],
    grid: Grid,
    board: Board,
    like: OppositeSide | None,
) -> tuple[Piece, ...]:
    """`pieces` with their tacks, clear of what is `under`, of necks and of the tape over joins."""
    off: dict[int, list[Polygon | MultiPolygon]] = defaultdict(list)
    place = {piece.id: at for at, piece in enumerate(pieces)}
    for join in grid.joins:
        off[place[join.piece]].append(join.band)
    areas = np.array([piece.area for piece in pieces], dtype=object)
    necks = necks_of(areas, board)
    for at, found in necks.items():
        off[at] += [waist(neck, pieces[at].area, board.least_width) for neck in found]
    tacks: dict[int, tuple[Tack, ...]] = {}
    if like is not None:
        for at, piece in enumerate(pieces):
            clear = [*under, *off.get(at, ())]
            tacks[at] = mirrored_tacks(piece.area, piece.colour, clear, board, like) or ()
    left = [at for at in range(len(pieces)) if not tacks.get(at)]
    own = {k: off[at] for k, at in enumerate(left) if at in off}
    tacks |= zip(left, tacks_of(areas[left], under, own, board), strict=True)
    return tuple(
        replace(piece, tacks=tacks[at], necks=necks.get(at, ())) for at, piece in enumerate(pieces)
    )


def _named(face: Face, pattern: Pattern, colours: Colours) -> tuple[Piece, ...]:
    """A piece for each region, in their order, not yet held by tacks."""
    order = sorted(
        range(len(pattern.regions)), key=lambda at: (pattern.regions[at].area.bounds, at)
    )
    count: dict[str, int] = defaultdict(int)
    pieces: dict[int, Piece] = {}
    for at in order:
        region = pattern.regions[at]
        count[region.colour] += 1
        letter, number = colours.letters[region.colour], count[region.colour]
        pieces[at] = Piece(
            f"{face.name} {letter}{number}",
            face.name,
            region.colour,
            letter,
            number,
            at,
            region.area,
        )
    return tuple(pieces[at] for at in range(len(pattern.regions)))
