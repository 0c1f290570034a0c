"""What a label may say, the fullest first, and how much room each wording takes.

Stands after single_stroke, before label_placement.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.stencil.lettering.single_stroke import CAP, GAP, overshoot, text_width

if TYPE_CHECKING:
    from mateline.stencil.pieces import Piece

HEIGHTS = (12.0, 10.0, 8.0, 6.0, 5.0, 4.0)  # mm: of capitals; the largest that fits is taken
SMALL = (3.0, 2.0)  # mm: for letter and number, where nothing larger fits
LINE = 1.6 * CAP  # units from one line's foot to the next one's
OUT = "this side out"
ARROW_ROOM = CAP + 2 * GAP  # units: the arrow in any turn, and the gap to the first letter


@dataclass(frozen=True, slots=True)
class Wording:
    """What a label may say, and the heights of capitals to write it in, largest first, mm."""

    lines: tuple[str, ...]
    arrow: bool
    heights: tuple[float, ...] = HEIGHTS


def wordings(
    piece: Piece, *, turned_over: bool = False, out: str | None = None
) -> tuple[tuple[Wording, ...], ...]:
    """All that a label of `piece` may say, the fullest first, each in all its layouts.

    `out` says on which face this side is out, where it isn't the piece's own.
    """
    over = turned_over or out is not None
    short, number = f"{piece.letter}{piece.number}", str(piece.number)
    any_size = (*HEIGHTS, *SMALL)
    return (
        _laid_out(piece.id, piece.colour, out or OUT),
        *(() if over else (_laid_out(short, piece.colour, OUT),)),
        (Wording((piece.id,), arrow=True),),
        _laid_out(short, piece.colour),
        (Wording((short,), arrow=True, heights=any_size),),
        (Wording((short,), arrow=False, heights=any_size),),
        (Wording((number,), arrow=False, heights=any_size),),
    )


def widths(lines: tuple[str, ...], *, arrow: bool) -> tuple[float, ...]:
    """Width of each line, units, with the arrow's room in the first one."""
    first, *others = map(text_width, lines)
    return (first + ARROW_ROOM if arrow else first, *others)


def size_of(text: Wording) -> tuple[float, float]:
    """Width and height of the lettering, units."""
    lines = text.lines
    over = max(map(overshoot, lines))
    return max(widths(lines, arrow=text.arrow)), (len(lines) - 1) * LINE + CAP + 2 * over


def _laid_out(*words: str) -> tuple[Wording, ...]:
    """The same words under one another, and on one line for a strip, all with the arrow."""
    stacked = [words, (" ".join(words[:2]), *words[2:])] if len(words) > 2 else [words]
    return tuple(Wording(lines, arrow=True) for lines in (*stacked, ("  ".join(words),)))
