"""Where on a face something is, in words and in the user's unit.

Stands beside findings; every check's message uses it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.cabinet.fitting.place_words import place_words
from mateline.tape.quantities import area_said
from mateline.tape.reading import printed, printed_exact

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.cabinet.faces import Face
    from mateline.cabinet.hole import Hole
    from mateline.curves import Point
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape


def spot(at: Point, tape: Tape, face: Face | None, hole: Hole | None = None) -> str:
    """The place `at` (face frame, mm), or that of a `hole`, as it is found with a tape on `face`.

    None for a face that is not known here: then from the sides of its box.
    """
    if face is None:
        x, y = at
        return (
            f"{printed(x, tape)} from the face's left edge and {printed(y, tape)} above its bottom"
        )
    return place_words(face, at, lambda length: printed(length, tape), hole)


def face_of(name: str, stencils: Sequence[Stencil]) -> Face | None:
    """The face called `name`, where a check is given it."""
    return next((each.face for each in stencils if each.face.name == name), None)


def size(length: float, tape: Tape) -> str:
    """A small length (mm) finer than a tape is read, in the tape's unit."""
    return printed_exact(length, tape.unit)


def listed(names: list[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def area_size(area: float, tape: Tape) -> str:
    """An area (mm²) in square inches or square centimetres, as goes with the tape's unit."""
    return area_said(area, tape.unit)
