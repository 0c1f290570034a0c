"""Where an element stands in the tree, what it paints, and what it may ask of its renderer.

Stands before clipping, markers and rendering. Clips, masks and markers draw elements, and elements
ask for clips and markers; so the first know the second only as `Renderer`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np
import shapely
from shapely import Polygon

from mateline.drawing.flattening import LARGEST
from mateline.planar.affine import carried_all
from mateline.planar.unions import polygons

if TYPE_CHECKING:
    from collections.abc import Iterable

    from shapely import MultiPolygon

    from mateline.drawing.shapes import NoteKind
    from mateline.drawing.svg.cascade import Sheet, Style
    from mateline.drawing.svg.census import Census
    from mateline.drawing.svg.values import Paint, Scale
    from mateline.errors import InputError
    from mateline.planar.affine import Affine

    Area = Polygon | MultiPolygon


@dataclass(frozen=True, slots=True)
class Place:
    """What an element has from where it stands. `matrix` takes its units to the drawing's."""

    matrix: Affine
    style: Style
    scale: Scale
    seen: bool = True  # not inside anything of opacity 0
    clip: Area | None = None
    hidden: bool = False
    clipping: bool = False  # inside a clipPath: areas only, no paint
    measuring: bool = False  # for a box, which no clip makes smaller (SVG 2, 8.10)
    via: tuple[Any, ...] = ()
    deep: int = 0


@dataclass(frozen=True, slots=True)
class Painted:
    """An area in drawing units, its paint, and the element it came from."""

    area: Area
    paint: Paint
    element: Any


class Renderer(Protocol):
    """What draws elements, as clips, masks and markers see it."""

    ids: dict[str, Any]
    sheet: Sheet
    deviation: float
    census: Census

    def note(self, element: Any, message: str, kind: NoteKind = "left-out") -> None:
        """Keep a note on an element."""

    def fault(self, element: Any, what: str, remedy: str) -> InputError:
        """The error that ends the reading at `element`."""

    def visit(self, element: Any, place: Place) -> None:
        """Draw an element and all that is in it."""

    def inside(self, children: Iterable[Any], place: Place) -> list[Painted]:
        """What children would paint, kept apart from the picture."""

    def content(self, element: Any, place: Place) -> list[Painted]:
        """What a container draws, kept apart, its own transform and clips left aside."""

    def expect(self, element: Any, elements: int) -> None:
        """Refuse to draw so many elements more, for the sake of `element`."""

    def spend(self, points: int) -> None:
        """Count points that are drawn. Raises ValueError when there are too many."""

    def matrix(self, style: Style, place: Place, element: Any = None) -> Affine:
        """The map from the units of an element of that style to the drawing's."""

    def in_context(self, style: Style, element: Any, of: Style) -> Style:
        """The style inside a marker of an element whose style is `of`."""


def cut(area: Area, clip: Area | None) -> Area:
    """The part of an area inside a clip; all of it when there is none."""
    if clip is None or area.is_empty:
        return area
    low_x, low_y, high_x, high_y = area.bounds
    left, low, right, high = clip.bounds if not clip.is_empty else (0.0, 0.0, 0.0, 0.0)
    apart = low_x >= right or high_x <= left or low_y >= high or high_y <= low
    if clip.is_empty or apart:
        return Polygon()
    if clip.covers(area):
        return area
    try:
        return polygons(shapely.intersection(area, clip))
    except shapely.GEOSException as wrong:  # sizes so far apart that the floats run out
        raise ValueError(
            "the area is too large, or too small, for what it is clipped by"
        ) from wrong


def frame(box: tuple[float, float, float, float], matrix: Affine) -> Polygon:
    """A rectangle (x, y, width, height) carried by `matrix`.

    Raises ValueError for one that is too large to reckon with.
    """
    x, y, wide, high = box
    if not max(map(abs, (*box, *matrix))) <= LARGEST:
        raise ValueError(f"a rectangle {wide:g} by {high:g} is too large to reckon with")
    corners = np.array([(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)])
    return Polygon(carried_all(matrix, corners))
