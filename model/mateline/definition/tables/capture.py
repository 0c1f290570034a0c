"""What the definition may say of photos and of how art is traced in them.

Stands after part, before schema. Places in a photo are pixels, column then row from its upper left
corner, as a picture viewer tells them.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from mateline.capture.asked import Kind  # noqa: TC001  pydantic reads it
from mateline.definition.tables.part import Name, Part, Reading

Pixels = tuple[float, float]
Colour = Annotated[str, Field(pattern=r"^#[0-9a-fA-F]{6}$")]


class SightTable(Part):
    """A point of the face that the photo shows: `pixel`, and where it is `at` on the face, as the
    landmarks of art say it. Without `at` it is the middle of the hardware that it is called by.
    """

    pixel: Pixels
    at: tuple[Reading, Reading] | None = None


class SpanTable(Part):
    """A distance taken with the tape between two places of the photo."""

    between: tuple[Pixels, Pixels]
    reading: Reading = Field(alias="is")


class CardTable(Part):
    """A grey or white card in the photo: two opposite corners of a plain part of it, `between` two
    pixels, and which share of the light it `reflects` (a grey card 0.18, white paper about 0.85).
    """

    between: tuple[Pixels, Pixels]
    reflects: Annotated[float, Field(ge=0.02, le=1)] = 0.18


class PhotoTable(Part):
    """A photo of a face. `corners` are rough, from the face's lower left one on, counter-clockwise
    as it is seen, and needed only where they can't be found.
    """

    file: Annotated[str, Field(min_length=1)]
    on: Name
    corners: Annotated[tuple[Pixels, ...], Field(max_length=60)] = ()
    landmarks: Annotated[dict[str, SightTable], Field(max_length=200)] = {}
    distances: Annotated[tuple[SpanTable, ...], Field(max_length=60)] = ()
    card: CardTable | None = None


class TraceTable(Part):
    """How the art of the face `on` is traced: `beside` the photos of the opposite face, with what
    is `true` (circles, equal, rays, mirrored ...), and the colours of `bare` wood and primer.
    """

    on: Name
    drawing: str | None = None
    beside: Name | None = None
    true: tuple[Kind, ...] = ()
    bare: Annotated[tuple[Colour, ...], Field(max_length=8)] = ()
    colours: tuple[str, ...] = ()
