"""Findings: what a check returns, and what all checks look at.

Stands first in checks. A check is `check(subject) -> tuple[Finding, ...]`; it never repairs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

    from mateline.artwork.shapes import Shape
    from mateline.curves import Point
    from mateline.stencil.board import Board
    from mateline.stencil.pieces import Stencil
    from mateline.tape.outline import Outline
    from mateline.tape.tolerance import Tape

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
class MirrorPair:
    """Two faces of one carcase that face each other across the cabinet's middle plane.

    `matrix` (2, 3) takes the left face's frame to the right face's, by reflection in space.
    `shared` says that the left stencil, turned over, is meant to paint the right face.
    """

    left: str
    right: str
    matrix: NDArray[np.float64]
    shared: bool


@dataclass(frozen=True, slots=True)
class Lettering:
    """A region of `face` that reads one way; `backwards` says that it was placed mirrored."""

    face: str
    element: str
    at: Point
    backwards: bool


@dataclass(frozen=True, slots=True)
class PlacedArt:
    """A drawing as it was put on one face: its shapes in that face's frame, mm, back to front.

    All that one `[[art]]` entry does has one `placement`. Where it puts a drawing on several
    faces (wrapped, cast), each has the same shapes in the same order, whether they fall on it
    or not.
    """

    placement: int
    drawing: str
    face: str
    shapes: tuple[Shape, ...]


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
