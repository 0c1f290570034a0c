"""A drawing put down by elements that are matched to points of the face.

Stands after agreement, before place.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.placing.agreement import Landmark, fit_of
from mateline.placing.similarity import composed
from mateline.planar.affine import carried

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.drawing.shapes import Drawing
    from mateline.errors import Faults
    from mateline.placing.art import Landmarks

    Array = NDArray[np.float64]

NOWHERE = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])


def matched(
    put: Landmarks, drawing: Drawing, faults: Faults, place: str
) -> tuple[Array, tuple[Landmark, ...]]:
    """The map (2, 3) from drawing units to the face's frame, and the landmarks that make it."""
    names = [name for name, _ in put.points]
    unknown = [name for name in names if name not in drawing.landmarks]
    for name in unknown:
        faults.unknown(place, name, f"element of {drawing.file}", drawing.landmarks)
    stray = [name for name in put.ignored if name not in names]
    for name in stray:
        faults.unknown(f"{place}, ignored", name, "landmark", names)
    if unknown or stray:
        return NOWHERE, ()
    deviations = put.deviations or (0.0,) * len(names)
    found = tuple(
        Landmark(
            name, carried(drawing.to_mm, *drawing.landmarks[name]), point, off, name in put.ignored
        )
        for (name, point), off in zip(put.points, deviations, strict=True)
    )
    used = [each for each in found if not each.ignored]
    if len(used) < 2:
        faults.add(place, "One landmark fixes no size.", "Give two or more.")
        return NOWHERE, ()
    try:
        fit = fit_of(used)
    except ValueError:
        faults.add(
            place,
            "These landmarks leave the drawing no size: their elements or their points are in one "
            "place, or contradict each other altogether.",
            "Look whether two of them are swapped, or one point was given twice.",
        )
        return NOWHERE, ()
    (a, b, c, d, e, f) = drawing.to_mm
    return composed(fit.matrix, np.array([[a, c, e], [b, d, f]])), found
