"""A drawing put down by elements that are matched to points of the face.

Stands after similarity, before place.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.placing.similarity import composed, fitted_similarity

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.drawing.shapes import Drawing
    from mateline.errors import Faults
    from mateline.placing.art import Landmarks

    Array = NDArray[np.float64]


def matched(put: Landmarks, drawing: Drawing, faults: Faults, place: str) -> tuple[Array, float]:
    """The map (2, 3) from drawing units to the face's frame, and the largest residual, mm."""
    sources, targets = [], []
    for name, point in put.points:
        if name not in drawing.landmarks:
            faults.unknown(place, name, f"element of {drawing.file}", drawing.landmarks)
            continue
        sources.append(drawing.landmarks[name])
        targets.append(point)
    if len({*sources}) < 2 or len({*targets}) < 2:
        if len(put.points) < 2:
            faults.add(place, "One landmark fixes no size.", "Give two or more.")
        return np.array([[1.0, 0, 0], [0, 1, 0]]), 0.0
    flip = np.array([[1.0, 0, 0], [0, -1, 0]])  # drawings run y down
    points = np.array(sources) * (1, -1)
    matrix, residual = fitted_similarity(points, np.array(targets))
    return composed(matrix, flip), residual
