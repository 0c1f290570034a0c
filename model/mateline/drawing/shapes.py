"""What a drawing is once it has been read: flat-coloured shapes, back to front.

Stands first in drawing; the readers make it, the pattern is made from it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Protocol

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Iterable
    from typing import Any

    from shapely import MultiPolygon, Polygon

    from mateline.planar.affine import Affine

DOWN = (1.0, -1.0)  # y of a drawing runs down

NoteKind = Literal["lettering", "left-out", "mended"]


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
    """Something in a drawing that is not flat geometry, and what was done about it.

    What is "mended" shows as it was drawn; what is "left-out" does not, or not as it was drawn, and
    "lettering" is text, all of which is. `within` names what it stands in, itself too, as
    `Drawing.elements` does; None where it is the whole drawing's.
    """

    element: str
    message: str
    kind: NoteKind = "left-out"
    within: tuple[str, ...] | None = None


class TakesNotes(Protocol):
    """Keeps a note on an element of the file."""

    def __call__(self, element: Any, message: str, kind: NoteKind = "left-out") -> None:
        """Keep one."""


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


def drawing_of(
    shapes: Iterable[tuple[Polygon | MultiPolygon, str]], name: str = "drawing"
) -> Drawing:
    """A drawing of (area, colour) in mm, y up, back to front, as wide and high as its shapes.

    Colours are "#rrggbb", or a palette's names. Elements are called "1", "2" ... in their order.
    Raises ValueError where there is no shape.
    """
    shapes = list(shapes)
    areas = [area for area, _ in shapes]
    if not areas:
        raise ValueError("a drawing has a shape at least")
    left, low, right, high = shapely.total_bounds(areas).tolist()
    moved = shapely.transform(np.array(areas, dtype=object), lambda at: (at - (left, high)) * DOWN)
    names = [str(number) for number in range(1, len(areas) + 1)]
    middles = [((x + u) / 2, (y + v) / 2) for x, y, u, v in shapely.bounds(moved).tolist()]
    return Drawing(
        file=name,
        view=(0.0, 0.0, right - left, high - low),
        to_mm=(1.0, 0.0, 0.0, -1.0, 0.0, high - low),
        shapes=tuple(
            Shape(area, colour.lower(), element)
            for area, (_, colour), element in zip(moved, shapes, names, strict=True)
        ),
        notes=(),
        elements={element: (at,) for at, element in enumerate(names)},
        landmarks=dict(zip(names, middles, strict=True)),
    )
