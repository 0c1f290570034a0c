"""The faces of a cabinet as a table for the terminal.

Stands beside findings_table. Sizes are written as a tape is read.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from mateline.tape.quantities import NO_BREAK, TERMINAL, columns
from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape

HEAD = ("face", "width", "height", "pieces", "tacks", "by colour")


def faces_table(stencils: Sequence[Stencil], tape: Tape, width: int = TERMINAL) -> str:
    """One row a face, and a total; its last column wraps into a terminal's `width`."""
    rows = [HEAD, *(_row(stencil, tape) for stencil in stencils)]
    pieces = sum(len(stencil.pieces) for stencil in stencils)
    tacks = sum(len(piece.tacks) for stencil in stencils for piece in stencil.pieces)
    rows.append((f"{len(stencils)} faces", "", "", str(pieces), str(tacks), ""))
    return "\n".join([*columns(rows, (0,), width), ""])


def _row(stencil: Stencil, tape: Tape) -> tuple[str, ...]:
    _, _, width, height = stencil.face.outline.bounds
    count = Counter(piece.colour for piece in stencil.pieces)
    colours = ", ".join(f"{colour}{NO_BREAK}{number}" for colour, number in sorted(count.items()))
    return (
        stencil.face.name,
        printed(width, tape),
        printed(height, tape),
        str(len(stencil.pieces)),
        str(sum(len(piece.tacks) for piece in stencil.pieces)),
        colours if stencil.has_board else f"{stencil.base} only: no board",
    )
