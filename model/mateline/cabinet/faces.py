r"""Faces: the outside of each panel unrolled flat, with the bevel and round strips it owns.

Stands after panel, before artwork. Knows no drawing and no solid.

    +--------------------+  strip of the top edge, at its true width
    +---score------------+
    |                    |  flat part
    +--------------------+

The net of a face is its flat part and its strips, laid out by true lengths. Its frame is the
face frame: the viewer's x and y, (0, 0) at the lower-left corner of the net's bounding box.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shapely import LineString, Polygon

    from mateline.cabinet.hole import Hole
    from mateline.cabinet.panel import Panel


@dataclass(frozen=True, slots=True)
class Strip:
    """A bevel or round strip beyond one flat edge, in the face frame, mm.

    `score` is the fold between it and what lies before it. `segment` is its place in the
    section of the panel's edge `edge`.
    """

    edge: int
    segment: int
    area: Polygon
    score: LineString


@dataclass(frozen=True, slots=True)
class Face:
    """The outside of one panel, unrolled. `outline` is the whole net without its holes, mm."""

    name: str
    panel: Panel
    flat: Polygon
    strips: tuple[Strip, ...]
    outline: Polygon

    @property
    def holes(self) -> tuple[Hole, ...]:
        """Hardware on the face, in the face frame."""
        return self.panel.holes
