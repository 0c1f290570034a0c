"""Passes: for each colour and face, which pieces come off, which stay, which go back.

Stands after order, before lines. Pass 0 is the base coat, sprayed on the bare face before any
board is laid; pieces of its colour are never lifted while colours are sprayed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from mateline.cabinet.hole import kept_area
from mateline.pattern.tiling import tiling_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry.base import BaseGeometry

    from mateline.cabinet.edges.ends import SeenEnd
    from mateline.paint.order import Placed
    from mateline.stencil.pieces import Piece
    from mateline.stencil.stencil import Stencil


@dataclass(frozen=True, slots=True)
class FacePass:
    """What one pass does on one face. Ids of pieces.

    `off` is sprayed. `stays` lies on the face meanwhile. `back` goes back once it is dry: the
    same pieces as `off`, or none after the last pass of the face, when all board comes off.
    `turned` says that another face's set lies here, turned over: ids are those on its board.
    """

    face: str
    off: tuple[str, ...]
    stays: tuple[str, ...]
    back: tuple[str, ...]
    turned: bool = False

    def short(self, piece: str) -> str:
        """What is called out here: letter and number, "own R5" for board of the face's own."""
        face, name = piece.rsplit(" ", 1)
        return f"own {name}" if self.turned and face == self.face else name


@dataclass(frozen=True, slots=True)
class Pass:
    """One colour. `order` is 0 for the base coat; `area` is what is painted, mm²."""

    order: int
    colour: str
    why: str
    area: float
    faces: tuple[FacePass, ...]


@dataclass(frozen=True, slots=True)
class Proof:
    """What is wrong with the passes of a face: mm² painted not once, ids that break a rule.

    `bare` should have had a colour and got none, `twice` got more than one; `loose` edges of
    sprayed areas have no partner. `wrong` are pieces lifted in another colour's pass, `lifted`
    are base-coloured pieces that were lifted.
    """

    face: str
    bare: float
    twice: float
    loose: int
    wrong: tuple[str, ...]
    lifted: tuple[str, ...]

    @property
    def holds(self) -> bool:
        """Whether every place of the face is painted exactly once."""
        return not any((self.bare, self.twice, self.loose, self.wrong, self.lifted))


def passes_of(
    stencils: Sequence[Stencil],
    order: Sequence[Placed],
    base: str,
    ends: Sequence[SeenEnd] = (),
) -> tuple[Pass, ...]:
    """The base coat, then a pass for each colour of `order` on every face that has it.

    The base coat is on those of the seen `ends` of boards too that are painted with it.
    """
    whole = sum(size for stencil in stencils for size in stencil.sizes)
    bare = tuple(FacePass(stencil.face.name, (), (), ()) for stencil in stencils)
    whole += sum(end.size for end in ends if end.finish == "base")
    seen = [end for end in ends if not end.inside]
    coated = sum(end.finish == "base" for end in seen)
    first = Pass(0, base, _under(seen, coated), whole, bare)
    rank = {placed.colour: number for number, placed in enumerate(order, start=1)}
    return (first, *(_pass(rank[each.colour], each, stencils, rank) for each in order))


def _under(ends: Sequence[SeenEnd], coated: int) -> str:
    """What the base coat is for, and what becomes of the ends of boards."""
    left = [end.board for end in ends if end.finish == "left"]
    on = f", and on {_ends(coated)} of boards that {_show(coated)}" if coated else ""
    taped = ""
    if left:
        names = ", ".join(dict.fromkeys(left))
        stay = "stays unpainted: tape it" if len(left) == 1 else "stay unpainted: tape them"
        taped = f" {_ends(len(left))} ({names}) {stay} over first."
    return f"The base coat lies under everything{on}.{taped}"


def _ends(count: int) -> str:
    return "1 end" if count == 1 else f"{count} ends"


def _show(count: int) -> str:
    return "shows" if count == 1 else "show"


def _pass(number: int, placed: Placed, stencils: Sequence[Stencil], rank: dict[str, int]) -> Pass:
    faces: list[FacePass] = []
    area = 0.0
    for stencil in stencils:
        off = [piece for piece in stencil.pieces if piece.colour == placed.colour]
        if not off:
            continue
        ids = tuple(piece.id for piece in off)
        last = max(rank.get(piece.colour, 0) for piece in stencil.pieces) == number
        stays = tuple(piece.id for piece in stencil.pieces if piece.colour != placed.colour)
        faces.append(FacePass(stencil.face.name, ids, stays, () if last else ids))
        area += sum(piece.size for piece in off)
    return Pass(number, placed.colour, placed.why, area, tuple(faces))


def painted_once(stencil: Stencil, passes: Sequence[Pass]) -> Proof:
    """Whether the passes paint every place of a face exactly once, on the geometry.

    The areas sprayed (pieces as drawn, without kerf) and the pieces of base colour have to tile
    the face without its hardware: edges pair and areas close, or what is bare and what is
    covered twice is measured. It starts from the face's outline, not from the pattern that the
    pieces came from.
    """
    by_id = {piece.id: piece for piece in stencil.pieces}
    sprayed: list[tuple[str, Piece]] = [
        (each.colour, by_id[piece])
        for each in passes
        for there in each.faces
        if there.face == stencil.face.name
        for piece in there.off
    ]
    # Base coat stays where pieces of its colour lie, and all over a face that takes no board.
    kept = [
        each.area
        for each in (stencil.pieces or stencil.pattern.regions)
        if each.colour == stencil.base
    ]
    laid = tiling_of([*(piece.area for _, piece in sprayed), *kept], _room(stencil))
    return Proof(
        stencil.face.name,
        laid.gap_area,
        laid.overlap_area,
        laid.unpaired_edges,
        tuple(piece.id for colour, piece in sprayed if piece.colour != colour),
        tuple(piece.id for _, piece in sprayed if piece.colour == stencil.base),
    )


def _room(stencil: Stencil) -> BaseGeometry:
    """What is painted of the face: its outline without hardware that stays."""
    clear = [kept_area(hole) for hole in stencil.face.holes if hole.stays]
    room: BaseGeometry = stencil.face.outline.difference(shapely.union_all(clear))
    return room
