"""Findings: what a check returns, and what all checks look at.

Stands first in checks. A check is `check(subject) -> tuple[Finding, ...]`; it never repairs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from mateline.placing.letter_rows import LetterRow
from mateline.placing.placed import DrawingNotes, Lettering, PlacedArt

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

    from mateline.curves import Point
    from mateline.stencil.board import Board
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline

__all__ = [
    "DrawingNotes",
    "Finding",
    "IdleWord",
    "LetterRow",
    "Lettering",
    "Level",
    "MirrorPair",
    "PlacedArt",
    "Subject",
]

Level = Literal["stop", "warn", "note"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One result of a check. `at` is in the face frame, mm; None where it has no place."""

    code: str
    level: Level
    message: str
    remedy: str
    face: str | None = None
    piece: str | None = None
    hardware: str | None = None
    at: Point | None = None


@dataclass(frozen=True, slots=True)
class IdleWord:
    """A word of the definition that has no effect: where it stands, and why."""

    place: str
    why: str


@dataclass(frozen=True, slots=True)
class MirrorPair:
    """Two faces of one carcase that face each other across the cabinet's middle plane.

    `matrix` (2, 3) takes the left face's frame to the right face's, by reflection in space.
    `shared` says that the left stencil, turned over, is meant to paint the right face. Of a pair
    `by_hardware` only hardware is said to be mirrored, and nothing else is compared.
    """

    left: str
    right: str
    matrix: NDArray[np.float64]
    shared: bool
    by_hardware: bool = False


@dataclass(frozen=True, slots=True)
class Subject:
    """All that checks look at. Stencils in the order of the faces; outlines by carcase or side."""

    stencils: tuple[Stencil, ...]
    board: Board
    tape: Tape
    outlines: Mapping[str, Outline]
    pairs: tuple[MirrorPair, ...]
    letterings: tuple[Lettering, ...]
    art: tuple[PlacedArt, ...] = ()
    notes: tuple[DrawingNotes, ...] = ()
    idle: tuple[IdleWord, ...] = ()
    rows: tuple[LetterRow, ...] = ()
