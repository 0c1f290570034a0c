r"""Witness lines: base coat left showing, or paint over paint, where two colours meet.

Stands after passes. Between two colours A (sprayed first) and B, seen in section:

    pass A   A is off: paint reaches   k/2 - s + b   beyond the line, into B
                 ======|..k/2..|      B's board, never lifted yet: it lies where it was cut
    pass B   B is off: paint reaches   k/2 - s + b - d   beyond the line, into A
      A's board, put back  |====      it may lie d nearer to B than it did

    gap = d + s_A + s_B - k - 2 b     more than 0: base coat shows; less: paint over paint

k  kerf: a cut takes k/2 off both its neighbours (cutting the whole line once, in the middle)
d  play: how far a piece may come back from where it lay, any direction
s  shade: board of thickness t keeps spray that leans by a off a strip t tan a; none for a brush
b  bleed: how far paint creeps under an edge

All of it is taken in the worst direction, at every border at once; a piece that comes back too
far to one side overlaps on its other side, so not all gaps are ever found together. Elementary
geometry, no source; exact for straight borders away from corners, and for curved ones, as an
offset curve is parallel. Pieces of base colour never come off and need no meeting: beside them
what shows is base coat anyway. `shaded` has what comes of corners and thin pieces, on the plane.
Not in here: board that lifts at a bevel or between tacks, paint that builds up on edges.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.paint.witness.shared_borders import meetings_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from mateline.curves import Point
    from mateline.paint.passes import Pass
    from mateline.paint.shop import Shop
    from mateline.paint.witness.shared_borders import Meeting
    from mateline.stencil.board import Board
    from mateline.stencil.stencil import Stencil


@dataclass(frozen=True, slots=True)
class Spread:
    """What moves the edge of a colour, mm and radians. `brushed` colours have no shade."""

    kerf: float
    play: float
    thickness: float
    angle: float
    bleed: float
    brushed: frozenset[str] = frozenset()

    def shade(self, colour: str) -> float:
        """Width of the strip beside a board that spray of `colour` leaves out, mm."""
        return 0.0 if colour in self.brushed else self.thickness * math.tan(self.angle)

    def gap(self, first: str, second: str) -> float:
        """Largest gap where the two meet, painted in this order, mm; negative: least overlap."""
        shade = self.shade(first) + self.shade(second)
        return self.play + shade - self.kerf - 2 * self.bleed

    def overlap(self) -> float:
        """Largest overlap: sprayed square on, the board put back too far the other way."""
        return self.kerf + self.play + 2 * self.bleed


@dataclass(frozen=True, slots=True)
class Witness:
    """One border between two painted colours, in the order in which they are painted.

    `gap` is the widest line of base coat there, mm; where it is negative, the least overlap.
    `first` and `second` are ids of pieces.
    """

    face: str
    border: int
    first: str
    second: str
    colours: tuple[str, str]
    gap: float
    length: float
    at: Point

    @property
    def bare(self) -> float:
        """mm² of base coat along the border, as if it were straight."""
        return max(self.gap, 0.0) * self.length


@dataclass(frozen=True, slots=True)
class Limits:
    """What still closes every border, the rest as it is; None where nothing of it does.

    `play` and `kerf` in mm, `angle` in radians. `cut_back` is what to take off every edge of
    every piece, mm, so that all borders close: 0 where they do.
    """

    play: float | None
    angle: float | None
    kerf: float
    cut_back: float


def spread_of(shop: Shop, board: Board) -> Spread:
    """What moves edges in this shop with this board."""
    brushed = frozenset(name for name, each in shop.coatings.items() if each.method == "brush")
    return Spread(board.kerf, shop.play, board.thickness, shop.angle, shop.bleed, brushed)


def rank_of(passes: Iterable[Pass]) -> dict[str, int]:
    """The place of every colour in the order; 0 is the base coat."""
    return {each.colour: each.order for each in passes}


def witness_lines(
    stencil: Stencil,
    rank: Mapping[str, int],
    spread: Spread,
    meetings: Iterable[Meeting] | None = None,
) -> tuple[Witness, ...]:
    """Every border of the face between two colours that are both painted over the base coat.

    `meetings` are the face's own, where they are known already.
    """
    found: list[Witness] = []
    for meeting in meetings_of(stencil) if meetings is None else meetings:
        one, other = meeting.pieces
        if rank[meeting.colours[0]] > rank[meeting.colours[1]]:
            one, other = other, one
        first, second = stencil.pieces[one], stencil.pieces[other]
        if stencil.base in meeting.colours:
            continue
        found.append(
            Witness(
                meeting.face,
                meeting.border,
                first.id,
                second.id,
                (first.colour, second.colour),
                spread.gap(first.colour, second.colour),
                meeting.length,
                meeting.at,
            )
        )
    return tuple(found)


def worst(lines: Iterable[Witness]) -> Witness | None:
    """The border with the widest gap; of equal ones the longest. None where there is none."""
    return max(lines, key=lambda line: (line.gap, line.length, -line.border), default=None)


def limits_of(lines: Sequence[Witness], spread: Spread) -> Limits | None:
    """The largest play and angle, the least kerf and cut-back that close all of `lines`.

    None where no two painted colours meet.
    """
    if not lines:
        return None
    pairs = {line.colours for line in lines}
    sprayed = max(sum(colour not in spread.brushed for colour in pair) for pair in pairs)
    gap = max(line.gap for line in lines)
    play = spread.play - gap
    shade = spread.kerf + 2 * spread.bleed - spread.play  # what the sprayed passes may share
    angle: float | None = None
    if shade >= 0:
        none_shades = sprayed == 0 or spread.thickness == 0
        angle = math.pi / 2 if none_shades else math.atan(shade / sprayed / spread.thickness)
    return Limits(
        play=play if play >= 0 else None,
        angle=angle,
        kerf=max(0.0, spread.kerf + gap),
        cut_back=max(0.0, gap / 2),
    )
