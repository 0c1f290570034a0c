"""Findings: what a check returns, and what all checks look at.

Stands first in checks. A check is `check(subject) -> tuple[Finding, ...]`; it never repairs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

from mateline.placing.letter_rows import LetterRow
from mateline.placing.placed import DrawingNotes, Lettering, PlacedArt

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    import numpy as np
    from numpy.typing import NDArray

    from mateline.cabinet.edges.ends import SeenEnd
    from mateline.curves import Point
    from mateline.stencil.board import Board
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline

__all__ = [
    "CODES",
    "STAGES",
    "Code",
    "DrawingNotes",
    "Finding",
    "IdleWord",
    "LetterRow",
    "Lettering",
    "Level",
    "MirrorPair",
    "PlacedArt",
    "Settled",
    "Settlement",
    "Subject",
    "with_consequences",
]

Level = Literal["stop", "warn", "note"]
# The codes, by the stage of the road whose flaw they tell. What a later stage shows may come of an
# earlier one.
OfTape = Literal["reading-suspect", "outline-unchecked", "mirror-outline"]
OfFile = Literal["word-without-effect"]
OfDrawing = Literal["lettering-left-out", "drawing-left-out", "drawing-mended"]
OfPlacing = Literal[
    "landmarks-swapped",
    "landmarks-contradict",
    "landmark-off",
    "landmarks-unchecked",
    "landmark-ignored",
    "art-warped",
    "art-off-face",
    "art-over-end",
    "art-guessed",
    "cast-hidden",
    "face-uncovered",
    "lettering-unmarked",
]
OfStencil = Literal[
    "border-faceted",
    "border-over-hole",
    "hole-splits-piece",
    "hole-swallows-piece",
    "hole-thins-piece",
    "join-sliver",
    "mirror-art-colour",
    "mirror-art-extra",
    "mirror-art-missing",
    "mirror-art-moved",
    "mirror-art-other",
    "mirror-breaks-piece",
    "mirror-extra",
    "mirror-lettering",
    "mirror-missing",
    "mirror-moved",
    "mirror-size",
    "piece-narrow",
    "piece-tiny",
    "piece-without-tack",
    "tack-out-of-reach",
    "tip-sharp",
]
Code = Literal[OfTape, OfFile, OfDrawing, OfPlacing, OfStencil]  # all that can be settled
STAGES: tuple[tuple[str, ...], ...] = tuple(
    get_args(each) for each in (OfTape, OfFile, OfDrawing, OfPlacing, OfStencil)
)
CODES: tuple[str, ...] = get_args(Code)


@dataclass(frozen=True, slots=True)
class Finding:
    """One result of a check. `at` is in the face frame, mm; None where it has no place.

    `consequences` are findings that have this one as their cause; its level is at least theirs.
    """

    code: str
    level: Level
    message: str
    remedy: str
    face: str | None = None
    piece: str | None = None
    hardware: str | None = None
    at: Point | None = None
    consequences: tuple[Finding, ...] = ()


def with_consequences(findings: Iterable[Finding]) -> Iterator[Finding]:
    """Each finding, and then all that comes of it."""
    for each in findings:
        yield each
        yield from with_consequences(each.consequences)


@dataclass(frozen=True, slots=True)
class Settlement:
    """What the definition says of `count` findings: that each is meant to be so, `because` of
    something.

    They have this `code` and whatever else is stated: face, piece, hardware, a place within a
    centimetre of `at` (face frame, mm), a text that their message `says`. `place` is what messages
    call the entry: where it stands in its file.
    """

    code: str
    because: str
    face: str | None = None
    piece: str | None = None
    hardware: str | None = None
    at: Point | None = None
    says: str | None = None
    count: int = 1
    place: str = ""


@dataclass(frozen=True, slots=True)
class Settled:
    """A finding that the definition settles, and why."""

    finding: Finding
    because: str


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
    """All that checks look at. Stencils in the order of the faces; outlines by carcase or side.

    `ends` are the ends of boards that are seen. With those beside one face, `run_on` are the
    placements of art on those boards' own faces.
    """

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
    ends: tuple[SeenEnd, ...] = ()
    run_on: tuple[int, ...] = ()
