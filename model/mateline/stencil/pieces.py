"""Pieces: one for each connected region of colour of a face, with an id to call out.

Stands after board and necks, before sheets and tacks. Pieces mate because they are regions of one
pattern, which stores every border once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from shapely import Polygon

    from mateline.stencil.board import Tack
    from mateline.stencil.necks import Neck


@dataclass(frozen=True, slots=True)
class Piece:
    """One part of a face's stencil, in the face frame, mm.

    `id` is the face, the colour's letter and a number: "body-left B3". `region` is its place in
    the stencil's pattern. `exact` is its area within true lines and arcs, mm², where its borders
    are known as such; `area` is of facets, 0.02 % smaller on a disc. `necks` are the places that
    are narrower than board holds together. `own` marks a piece that a face has beside the set of
    another one that is turned over for it.
    """

    id: str
    face: str
    colour: str
    letter: str
    number: int
    region: int
    area: Polygon
    tacks: tuple[Tack, ...] = ()
    necks: tuple[Neck, ...] = ()
    exact: float | None = None
    own: bool = False

    @property
    def short(self) -> str:
        """Letter and number: what is called out where the face is known."""
        return f"{'own ' if self.own else ''}{self.letter}{self.number}"

    @property
    def size(self) -> float:
        """Its area as well as it is known, mm²: what is told to people."""
        return self.area.area if self.exact is None else self.exact


@dataclass(frozen=True, slots=True)
class Colours:
    """The palette as stencils need it: paint and letter by name, and the base coat's name."""

    paints: Mapping[str, str]
    letters: Mapping[str, str]
    base: str
