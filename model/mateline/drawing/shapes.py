"""What a drawing is once it has been read: flat-coloured shapes, back to front.

Stands first in drawing; the readers make it, the pattern is made from it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shapely import MultiPolygon, Polygon

    from mateline.planar.affine import Affine


@dataclass(frozen=True, slots=True)
class Shape:
    """One flat-coloured area. `colour` is "#rrggbb" in lower case; `element` says where in the
    file it stands (its id, or its tag and line), for messages and for names of lettering.
    """

    area: Polygon | MultiPolygon
    colour: str
    element: str


@dataclass(frozen=True, slots=True)
class Note:
    """Something in a drawing that is not flat geometry, and what was done about it."""

    element: str
    message: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing's shapes, back to front, in the units of its viewBox, y down as in the file.

    `view` is (min x, min y, width, height) in drawing units. `to_mm` takes drawing units to
    mm, y up, with (0, 0) at the picture's lower-left corner. `elements` maps an id of the file
    to the positions in `shapes` of what it drew (a group's id covers all that is in it).
    `landmarks` maps ids of elements to the centre of their box in drawing units.
    """

    file: str
    view: tuple[float, float, float, float]
    to_mm: Affine
    shapes: tuple[Shape, ...]
    notes: tuple[Note, ...]
    elements: dict[str, tuple[int, ...]]
    landmarks: dict[str, tuple[float, float]]
