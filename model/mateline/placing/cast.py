"""Casting: a drawing carried along one direction onto every face that looks that way.

Stands after faces, before place. What is meant is a projector far away: a face that leans is
reached with the drawing stretched by its lean. Does not notice that one face hides another.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from mateline.placing.similarity import inverse

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from shapely import Polygon

    from mateline.cabinet.faces import Cell, Face

    Array = NDArray[np.float64]

GRAZING = 0.1  # no unit: cosine; a face nearer to edge-on than 84° is not painted from there

# What the viewer on that side has to the right and up, in the cabinet frame.
VIEWS = MappingProxyType(
    {
        "front": ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
        "back": ((-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
        "left": ((0.0, -1.0, 0.0), (0.0, 0.0, 1.0)),
        "right": ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
        "top": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
    }
)


@dataclass(frozen=True, slots=True)
class View:
    """One face as it is seen: for each of its parts the map from the view to the face's frame."""

    face: Face
    parts: tuple[tuple[Array, Polygon], ...]


def casts(
    side: str, faces: Sequence[Face]
) -> tuple[tuple[View, ...], tuple[float, float, float, float]]:
    """The faces seen from `side`, and the box (x, y, x, y) of all of them in the view, mm."""
    axes = np.array(VIEWS[side])
    toward = np.cross(axes[0], axes[1])
    views: list[View] = []
    seen: list[Array] = []
    for face in faces:
        parts = [cell for cell in face.cells if float(cell.outward @ toward) > GRAZING]
        if parts:
            views.append(
                View(face, tuple((inverse(axes @ cell.lift), cell.area) for cell in parts))
            )
            seen.extend(_corners(cell, axes) for cell in parts)
    points = np.vstack(seen) if seen else np.zeros((1, 2))
    (x, y), (far_x, far_y) = points.min(axis=0), points.max(axis=0)
    return tuple(views), (float(x), float(y), float(far_x), float(far_y))


def _corners(cell: Cell, axes: Array) -> Array:
    ring = np.array(cell.area.exterior.coords)
    seen: Array = np.column_stack([ring, np.ones(len(ring))]) @ (axes @ cell.lift).T
    return seen
