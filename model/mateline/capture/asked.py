"""What is asked of capture: which photos show which face, and how its art is to be traced.

Stands first in capture; the definition is read into these. Places in a photo are pixels, column
then row, from the outer corner of the first pixel, as its orientation shows it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

if TYPE_CHECKING:
    from mateline.curves import Point

Kind = Literal["circles", "equal", "rays", "through", "parallel", "radii", "mirrored"]
KINDS: tuple[Kind, ...] = get_args(Kind)


@dataclass(frozen=True, slots=True)
class KnownPlace:
    """A point of the face that can be seen in a photo: at `pixel`, and on the face at `at`, mm,
    with its deviation; None: where the hardware of that name is.
    """

    name: str
    pixel: Point
    at: Point | None = None
    deviation: float = 0.0


@dataclass(frozen=True, slots=True)
class KnownDistance:
    """Two places of a photo and the distance between them on the face, mm."""

    pixels: tuple[Point, Point]
    length: float
    deviation: float


@dataclass(frozen=True, slots=True)
class KnownCard:
    """A grey or white card in a photo: the pixels of two opposite corners of what is plain on it,
    and which share of the light it sends back, 0 to 1.
    """

    pixels: tuple[Point, Point]
    reflectance: float


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo of a face. `corners`, where they are given, are those of the face's outline from its
    lower left one on, counter-clockwise as it is seen; `place` is what messages call the entry.
    """

    file: str
    face: str
    corners: tuple[Point, ...] = ()
    places: tuple[KnownPlace, ...] = ()
    distances: tuple[KnownDistance, ...] = ()
    card: KnownCard | None = None
    place: str = ""


@dataclass(frozen=True, slots=True)
class Trace:
    """How the art of a face is traced: into which `drawing` (None: that of the face's art), with
    the photos of the `opposite` face too, which of the regularities are `true`, the colours of
    `bare` wood and primer, "#rrggbb", and which of the palette's `colours` it has (none: all).
    """

    face: str
    drawing: str | None = None
    opposite: str | None = None
    true: tuple[Kind, ...] = ()
    bare: tuple[str, ...] = ()
    colours: tuple[str, ...] = ()
    place: str = ""
