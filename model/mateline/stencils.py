"""The stencils of all faces, and which sides mirror each other.

Stands after placed_art, before survey. A side that the other one's set paints too is cut after it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import shapely

from mateline.cabinet.cabinet import opposites, reflection
from mateline.checks.findings import MirrorPair
from mateline.errors import InputError
from mateline.stencil.stencil import stencil_of
from mateline.stencil.tacks.mirrored import OppositeSide
from mateline.stencil.tacks.underneath import beneath_turned
from mateline.tape.quantities import bound_said
from mateline.tape.reading import printed_exact

if TYPE_CHECKING:
    from mateline.cabinet.cabinet import Cabinet
    from mateline.definition.definition import Definition
    from mateline.memory import Stages
    from mateline.placing.placed import PlacedArt
    from mateline.stencil.stencil import Stencil

MOST_HELD = 10_000  # points of one face that a tack must reach
PER_REACH = 4  # such points to one reach


def stencils_of(
    definition: Definition,
    cabinet: Cabinet,
    art: tuple[PlacedArt, ...],
    pairs: tuple[MirrorPair, ...],
    stages: Stages,
) -> tuple[Stencil, ...]:
    """The stencils in the order of the faces; a right side takes over what it can of its left."""
    _refuse_many_tacks(cabinet, definition.board.reach, definition.tape.unit)
    faces = {face.name: face for face in cabinet.faces}
    sides = {pair.right: pair for pair in pairs if pair.shared and pair.left in faces}
    beyond = {
        pair.left: beneath_turned(faces[pair.right], pair.matrix)
        for pair in pairs
        if pair.shared and pair.right in faces
    }
    found: dict[str, Stencil] = {}

    def call(name: str, like: OppositeSide | None) -> tuple[Any, ...]:
        shapes = tuple(shape for each in art if each.face == name for shape in each.shapes)
        colours, board = definition.colours, definition.board
        return faces[name], shapes, colours, board, like, beyond.get(name, ())

    # By what there is to cut: a crew begins at both ends, and each hand with a long one (see Crew).
    first = _long_ends(
        sorted(set(faces) - set(sides), key=lambda name: (-_corners(name, art), name))
    )
    calls = [call(name, None) for name in first]
    found |= zip(first, stages.recall_each(stencil_of, calls), strict=True)
    lefts = {name: found[pair.left] for name, pair in sides.items()}
    calls = [
        call(name, OppositeSide(left.pieces, sides[name].matrix, left.grid))
        for name, left in lefts.items()
    ]
    found |= zip(lefts, stages.recall_each(stencil_of, calls), strict=True)
    return tuple(found[name] for name in faces)


def _refuse_many_tacks(cabinet: Cabinet, reach: float, unit: str) -> None:
    """Count the points that tacks must reach, before any are looked for.

    Raises InputError for a reach so short that a face has too many.
    """
    for face in cabinet.faces:
        count = face.outline.area / (reach / PER_REACH) ** 2
        if count > MOST_HELD:
            least = PER_REACH * math.sqrt(face.outline.area / MOST_HELD)
            raise InputError(
                "", "stencil, reach",
                f"A reach of {printed_exact(reach, unit)} is too short for {face.name}, with "
                f"{count:.2g} points to be held down, more than {MOST_HELD}.",
                f"Give {bound_said(least, unit)} or more; a number without a unit is in the "
                "tape's.",
            )  # fmt: skip


def _long_ends(names: list[str]) -> list[str]:
    """Names that come from the longest to the shortest, the longest at both ends."""
    return [*names[0::2], *reversed(names[1::2])]


def _corners(face: str, art: tuple[PlacedArt, ...]) -> int:
    """How many corners the shapes on a face have: about how long it takes to cut."""
    areas = [shape.area for each in art if each.face == face for shape in each.shapes]
    return int(shapely.get_num_coordinates(areas).sum()) if areas else 0


def mirror_pairs(
    definition: Definition, cabinet: Cabinet, art: tuple[PlacedArt, ...]
) -> tuple[MirrorPair, ...]:
    """The faces that lie opposite each other, and whether one set is meant for both.

    Boards of a plan or a front view only where something is said to be mirrored on them: a table
    may well look different all round.
    """
    pairs = []
    meant = {each.on for each in definition.hardware if each.both_sides}
    for left, right in opposites(cabinet):
        both = {left.name, right.name}
        matrix = reflection(cabinet, left, right)
        turned = any(each.mirrored and each.face in both for each in art)
        plane = cabinet.planes[left.panel.carcase]
        sides = plane is not None and plane.of_sides
        if matrix is not None and (sides or turned or both & meant):
            shared = definition.turned_over and turned
            by_hardware = not sides and not turned
            pairs.append(MirrorPair(left.name, right.name, matrix, shared, by_hardware))
    return tuple(pairs)
