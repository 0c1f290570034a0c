"""The faces of a cabinet as a table for the terminal.

Stands beside findings_table. Sizes are written as a tape is read.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape

HEAD = ("face", "width", "height", "pieces", "tacks", "by colour")


def faces_table(stencils: Sequence[Stencil], tape: Tape) -> str:
    """One line a face, and a total."""
    rows = [HEAD, *(_row(stencil, tape) for stencil in stencils)]
    pieces = sum(len(stencil.pieces) for stencil in stencils)
    tacks = sum(len(piece.tacks) for stencil in stencils for piece in stencil.pieces)
    rows.append((f"{len(stencils)} faces", "", "", str(pieces), str(tacks), ""))
    widths = [max(len(row[column]) for row in rows) for column in range(len(HEAD))]
    lines = []
    for row in rows:
        cells = [
            cell.rjust(width) if 1 <= column <= 4 else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append("  ".join(cells).rstrip())
    return "\n".join([*lines, ""])


def _row(stencil: Stencil, tape: Tape) -> tuple[str, ...]:
    _, _, width, height = stencil.face.outline.bounds
    count = Counter(piece.colour for piece in stencil.pieces)
    colours = ", ".join(f"{colour} {number}" for colour, number in sorted(count.items()))
    return (
        stencil.face.name,
        printed(width, tape),
        printed(height, tape),
        str(len(stencil.pieces)),
        str(sum(len(piece.tacks) for piece in stencil.pieces)),
        colours if stencil.has_board else f"{stencil.base} only: no board",
    )
