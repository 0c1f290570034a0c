"""The faces of a cabinet as a table for the terminal.

Stands beside findings_table. Sizes are written as a tape is read; pieces are those that are cut.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from mateline.tape.quantities import NO_BREAK, TERMINAL, columns
from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.paint.turned_sets import TurnedSet
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape

HEAD = ("face", "width", "height", "pieces", "tacks", "by colour")


def faces_table(
    stencils: Sequence[Stencil],
    tape: Tape,
    width: int = TERMINAL,
    sets: Sequence[TurnedSet] = (),
) -> str:
    """One row a face, and a total; its last column wraps into a terminal's `width`. Faces that one
    of the `sets` is turned over for are cut only what that set has not.
    """
    here = {each.right: each for each in sets}
    rows = [HEAD, *(_row(stencil, tape, here.get(stencil.face.name)) for stencil in stencils)]
    pieces = sum(_cut(stencil, here.get(stencil.face.name)) for stencil in stencils)
    tacks = sum(len(piece.tacks) for stencil in stencils for piece in stencil.pieces)
    rows.append((f"{len(stencils)} faces", "", "", str(pieces), str(tacks), ""))
    return "\n".join([*columns(rows, (0,), width), ""])


def _cut(stencil: Stencil, borrowed: TurnedSet | None) -> int:
    return len(stencil.pieces if borrowed is None else borrowed.own)


def _row(stencil: Stencil, tape: Tape, borrowed: TurnedSet | None) -> tuple[str, ...]:
    _, _, width, height = stencil.face.outline.bounds
    count = Counter(piece.colour for piece in stencil.pieces)
    colours = ", ".join(f"{colour}{NO_BREAK}{number}" for colour, number in sorted(count.items()))
    return (
        stencil.face.name,
        printed(width, tape),
        printed(height, tape),
        str(_cut(stencil, borrowed)),
        str(sum(len(piece.tacks) for piece in stencil.pieces)),
        _what(stencil, borrowed, colours),
    )


def _what(stencil: Stencil, borrowed: TurnedSet | None, colours: str) -> str:
    """What the pieces are: by colour, or whose set lies there."""
    if borrowed is not None:
        own = ", ".join(piece.rsplit(" ", 1)[-1] for piece in borrowed.own)
        return f"the set of {borrowed.left}, turned over" + f", and {own} of its own" * bool(own)
    return colours if stencil.has_board else f"{stencil.base} only: no board"
