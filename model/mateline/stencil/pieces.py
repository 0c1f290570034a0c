"""Pieces: one for each connected region of colour of a face, with an id to call out.

Stands after board and the artwork, before tacks. Pieces mate because they are regions of one
pattern, which stores every border once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shapely import Polygon

    from mateline.artwork.pattern import Pattern, Region
    from mateline.cabinet.faces import Face
    from mateline.curves import Chain
    from mateline.stencil.board import Tack


@dataclass(frozen=True, slots=True)
class Piece:
    """One part of a face's stencil, in the face frame, mm.

    `id` is the face, the colour's letter and a number: "body-left B3". `region` is its place in
    the stencil's pattern.
    """

    id: str
    face: str
    colour: str
    letter: str
    number: int
    region: int
    area: Polygon
    tacks: tuple[Tack, ...] = ()


@dataclass(frozen=True, slots=True)
class Stencil:
    """The stencil of one face.

    `design` are the regions as if nothing stuck out of the face; `pattern` tiles the face
    without the hardware that stays, and `chains[i]` is its border i as true lines and arcs.
    `paints` maps a palette colour's name to "#rrggbb"; the base coat's name is `base`.
    """

    face: Face
    design: tuple[Region, ...]
    pattern: Pattern
    chains: tuple[Chain, ...]
    pieces: tuple[Piece, ...]
    paints: dict[str, str]
    base: str
