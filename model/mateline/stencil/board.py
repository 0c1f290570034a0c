"""Stencil board, and the tape tacks that hold its pieces down.

Stands first in stencil.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mateline.curves import Point

ROUNDING = 1e-3  # mm: more than a place in a program may be rounded by
LEAST_BED = 100.0  # mm: more than two strips that loads share, and a load between them


@dataclass(frozen=True, slots=True)
class Punch:
    """A hole punched for a tape tack, mm: a rectangle, or a disc where `round`."""

    length: float
    width: float
    round: bool = False


@dataclass(frozen=True, slots=True)
class Knife:
    """A machine's drag knife. mm below the top of the board, and mm a minute.

    `offset` is from the pivot back to the tip.
    """

    offset: float
    depth: float
    swivel_depth: float
    clearance: float
    feed: float
    swivel_feed: float
    plunge_feed: float

    @property
    def rim(self) -> float:
        """How far off an edge of the bed the tip is kept, so that the pivot stays on it, mm.

        The offset, and a little for places that are rounded, up to the next tenth.
        """
        return math.ceil((self.offset + ROUNDING) * 10) / 10


@dataclass(frozen=True, slots=True)
class Board:
    """The board that a stencil is cut from, and how it is held down. All mm.

    `least_width` is the narrowest part that holds together; `least_area` (mm²) the smallest
    piece that can be handled; `sharpest` the sharpest tip that doesn't curl, radians. `punches`
    go from the largest down; `reach` is how far a tack holds the board down; `tape_margin` is
    the tape's overlap around the punched hole. `knife` is None where nothing is cut by machine;
    `bed` is what its bed takes, None where that is any sheet.
    `join_tape` is the width of the tape over a join of two sheets.
    """

    sheet: tuple[float, float]
    thickness: float
    least_width: float
    least_area: float
    sharpest: float
    punches: tuple[Punch, ...]
    reach: float
    tape_margin: float
    kerf: float
    knife: Knife | None = None
    bed: tuple[float, float] | None = None
    join_tape: float = 24.0


@dataclass(frozen=True, slots=True)
class Tack:
    """One tape tack: where its punched hole is, in the face frame, mm and radians."""

    centre: Point
    punch: Punch
    turn: float = 0.0
