"""Drawings that are bent to a face that they were not drawn for: to its corners, or to landmarks.

Stands after placed, before place. What can't be bent is told in words; `warping` does the rest.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.placing.agreement import agreement_of
from mateline.placing.placed import Carry, Part
from mateline.placing.similarity import composed, inverse
from mateline.placing.warping.outline_corners import (
    DIFFER,
    NoOutlineError,
    PartnerlessError,
    corner_match,
)
from mateline.placing.warping.warp import warp_to, warped
from mateline.products import mapped

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face
    from mateline.drawing.shapes import Drawing, Shape
    from mateline.errors import Faults
    from mateline.placing.agreement import Landmark
    from mateline.placing.warping.warp import Warp

    Array = NDArray[np.float64]
    Drawn = tuple[Drawing, Sequence[Shape]]  # and those of its shapes that are put down

FEWEST = 4  # landmarks: a similarity has four numbers, and three points fit any affine map
TOLD = 4  # corners named in one message


def to_corners(face: Face, drawn: Drawn, faults: Faults, place: str) -> Carry | None:
    """What bends a drawing so that its outline's corners come to those of a face."""
    drawing, shapes = drawn
    if not shapes:
        faults.add(f"{place}, fit", f"{drawing.file} has no shapes there.", "Draw some.")
        return None
    to_mm = _to_mm(drawing)
    table = np.array([shape.area for shape in shapes], dtype=object)
    areas = shapely.transform(table, lambda points: mapped(points, to_mm))
    try:
        match = corner_match(areas, face.outline)
    except NoOutlineError as error:
        faults.add(
            f"{place}, fit",
            f"The shapes of {drawing.file} lie in {error.parts} parts, so that they have no one "
            f"outline whose corners could come to those of {face.name}.",
            "Put a background under them that is as large as the face.",
        )
        return None
    except PartnerlessError as error:
        faults.add(
            f"{place}, fit",
            _partnerless(error, drawing, face, faults),
            "Draw the missing corner, straighten the one that is too many, or place the drawing by "
            "landmarks.",
        )
        return None
    warp = warp_to(to_mm, match.base, match.drawn, match.of_face)
    if _folds(warp, drawn, faults, f"{place}, fit"):
        return None
    told = warped("corners", match.base, match.drawn, match.of_face)
    return Carry((Part(composed(match.base, to_mm), warp=warp),), warped=told)


def to_landmarks(
    landmarks: Sequence[Landmark], matrix: Array, drawn: Drawn, faults: Faults, place: str
) -> Carry | None:
    """What bends a drawing, put on a face by `matrix`, so that its landmarks come to their points.

    None where that can't be. By landmarks that contradict each other it is not bent.
    """
    drawing, _ = drawn
    used = [each for each in landmarks if not each.ignored]
    if not used:  # they are refused already
        return None
    if len(used) < FEWEST:
        faults.add(
            f"{place}, warp",
            f"{len(used)} landmarks say too little of how a drawing is bent.",
            f"Give {FEWEST} or more, or remove it.",
        )
        return None
    to_mm = _to_mm(drawing)
    places = np.array([each.drawn for each in used])
    points = np.array([each.point for each in used])
    base = composed(matrix, inverse(to_mm))
    told = warped("landmarks", base, places, points)
    if not agreement_of(used, DIFFER).agree:  # a check stops at that, and says which one is wrong
        return Carry((Part(matrix),), warped=told)
    try:
        warp = warp_to(to_mm, base, places, points)
    except ValueError:
        faults.add(
            f"{place}, warp",
            "These landmarks lie in a line, or two of them in one place of the drawing, so that "
            "they don't say how it is bent.",
            "Choose landmarks all over the face.",
        )
        return None
    if _folds(warp, drawn, faults, f"{place}, warp"):
        return None
    return Carry((Part(matrix, warp=warp),), warped=told)


def _folds(warp: Warp, drawn: Drawn, faults: Faults, place: str) -> bool:
    drawing, shapes = drawn
    points = shapely.get_coordinates([shape.area for shape in shapes])
    if not warp.folds(points):
        return False
    faults.add(
        place,
        f"{drawing.file} would be folded or squeezed flat there: points that are near each other "
        "in the drawing would have to be moved by very different ways.",
        "Look whether two points are swapped or one was read wrong.",
    )
    return True


def _partnerless(error: PartnerlessError, drawing: Drawing, face: Face, faults: Faults) -> str:
    """Which corners have no partner."""
    near = faults.said(round(error.reach, 1))
    found = []
    for points, whose, other in (
        (error.drawn, drawing.file, face.name),
        (error.of_face, face.name, drawing.file),
    ):
        for x, y in points[:TOLD].tolist():
            where = f"{faults.said(x)} from the left and {faults.said(y)} from below"
            found.append(f"The corner of {whose} {where} has no corner of {other} within {near}.")
        if len(points) > TOLD:
            found.append(f"{len(points) - TOLD} more corners of {whose} have none either.")
    if not found:
        return f"The corners of {drawing.file} come in another order than those of {face.name}."
    return " ".join(found)


def _to_mm(drawing: Drawing) -> Array:
    a, b, c, d, e, f = drawing.to_mm
    return np.array([[a, c, e], [b, d, f]])
