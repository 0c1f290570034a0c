"""Casting: a drawing carried along one direction onto every part of a face that looks that way.

Stands after placed, before place. What is meant is a projector far away: a part that leans is
reached with the drawing stretched by its lean. The flat part, each bevel and each round of a face
are asked on their own, and nothing leaves the part that it falls on. It goes through faces that
stand before others: a check tells of those.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.placing.hidden import flats_of, hidden_of
from mateline.placing.lit_round import lit_board, lit_round
from mateline.placing.placed import Part

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon

    from mateline.cabinet.faces import Face
    from mateline.placing.hidden import Flat

    Array = NDArray[np.float64]

UNMOVED = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])

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
    """One face as it is seen: its parts that look that way, with maps from the view.

    What is `hidden` of it, in its net, stands behind the faces `before` it.
    """

    face: Face
    parts: tuple[Part, ...]
    hidden: MultiPolygon
    before: tuple[str, ...]


def casts(
    side: str, faces: Sequence[Face], cabinet: Sequence[Face]
) -> tuple[tuple[View, ...], tuple[float, float, float, float]]:
    """The faces seen from `side`, and the box (x, y, x, y) of all that is seen, mm.

    All faces of the `cabinet` may stand before them.
    """
    axes = np.array(VIEWS[side])
    flats = {face.name: flats_of(face, axes) for face in cabinet}
    every = [flat for of_face in flats.values() for flat in of_face]
    views: list[View] = []
    seen: list[Array] = []
    for face in faces:
        parts: list[Part] = []
        for part, corners in (*_flat(face, flats[face.name]), *_round(face, axes)):
            parts.append(part)
            seen.append(corners)
        if parts:
            views.append(View(face, tuple(parts), *hidden_of(flats[face.name], every)))
    points = np.vstack(seen) if seen else np.zeros((1, 2))
    (x, y), (far_x, far_y) = points.min(axis=0), points.max(axis=0)
    return tuple(views), (float(x), float(y), float(far_x), float(far_y))


def _flat(face: Face, flats: Sequence[Flat]) -> Iterator[tuple[Part, Array]]:
    """The flat parts and bevels that look towards the viewer, and their corners in his view."""
    if face.panel.bend is not None:
        return
    whole = not face.strips  # the pattern cuts it then, and knows what was cut
    for flat in flats:
        yield Part(flat.back, None if whole else flat.area), shapely.get_coordinates(flat.seen)


def _round(face: Face, axes: Array) -> Iterator[tuple[Part, Array]]:
    """The same of rounds, and of bent boards."""
    if face.panel.bend is not None:
        lit = lit_board(face, axes)
        if lit is not None:
            corners = shapely.get_coordinates(lit.lit(face.flat))
            yield Part(UNMOVED, face.flat, lit), lit.seen(corners)
    for strip in face.strips:
        if face.panel.edges[strip.edge].section.segments[strip.segment].centre is not None:
            lit = lit_round(face, strip, axes)
            if lit is not None:
                corners = shapely.get_coordinates(lit.lit(strip.area))
                yield Part(UNMOVED, strip.area, lit), lit.seen(corners)
