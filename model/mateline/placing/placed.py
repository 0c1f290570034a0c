"""What a drawing is once it lies on faces.

Stands after art, before place. A shape is carried whole to every face that its drawing reaches; the
pattern cuts it at the rim.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.memory import AFRESH

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face
    from mateline.curves import Point
    from mateline.drawing.shapes import Drawing, Shape
    from mateline.memory import Stages

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class PlacedArt:
    """A drawing as it was put on one face: its shapes in that face's frame, mm, back to front.

    All that one entry of art does has one `placement`. Where it puts a drawing on several
    faces (wrapped, cast), each has the same shapes in the same order, whether they fall on it
    or not. `positions` are those of the shapes in the drawing; `residual` is the largest
    distance of a landmark from its point, mm; `mirrored` says that it was turned over. `enlarged`
    is how many times a length of the drawing grows at most.
    """

    placement: int
    drawing: str
    face: str
    shapes: tuple[Shape, ...]
    positions: tuple[int, ...] = ()
    residual: float = 0.0
    mirrored: bool = False
    one_way: tuple[str, ...] = ()
    enlarged: float = 1.0


@dataclass(frozen=True, slots=True)
class Lettering:
    """A region of `face` that reads one way; `backwards` says that it was placed mirrored."""

    face: str
    element: str
    at: Point
    backwards: bool


@dataclass(frozen=True, slots=True)
class Carry:
    """Maps a drawing's shapes to a face: by one map, or by one for each part of the face."""

    parts: tuple[tuple[Array, shapely.Polygon | None], ...]

    @property
    def stretch(self) -> float:
        """By how much lengths in drawing units grow at most."""
        return max(float(np.linalg.norm(matrix[:, :2], 2)) for matrix, _ in self.parts)

    def __call__(self, shapes: Sequence[Shape]) -> tuple[Shape, ...]:
        """The shapes on the face."""
        areas = [carried(shapes, matrix) for matrix, _ in self.parts]
        if len(self.parts) > 1:
            cut = [
                shapely.intersection(area, part)
                for area, (_, part) in zip(areas, self.parts, strict=True)
            ]
            areas = [np.array([_areal(shapely.union_all(list(p))) for p in zip(*cut, strict=True)])]
        return tuple(
            replace(shape, area=area) for shape, area in zip(shapes, areas[0], strict=True)
        )


def carried(shapes: Sequence[Shape], matrix: Array) -> NDArray[np.object_]:
    """The areas of `shapes` taken by an affine `matrix` (2, 3)."""
    areas = np.array([shape.area for shape in shapes], dtype=object)
    moved: NDArray[np.object_] = shapely.transform(
        areas, lambda points: points @ matrix[:, :2].T + matrix[:, 2]
    )
    return moved


def letterings(
    art: Sequence[PlacedArt],
    drawings: Mapping[str, Drawing],
    faces: Sequence[Face],
    stages: Stages = AFRESH,
) -> tuple[Lettering, ...]:
    """What reads one way, on each face that it falls on."""
    outlines = {face.name: face.outline for face in faces}
    return tuple(
        lettering
        for each in art
        if each.one_way
        for lettering in stages.recall(
            _lettered, each, drawings[each.drawing].elements, outlines[each.face]
        )
    )


def _lettered(
    art: PlacedArt, elements: Mapping[str, tuple[int, ...]], outline: shapely.Polygon
) -> tuple[Lettering, ...]:
    found = []
    for name in art.one_way:
        wanted = set(elements.get(name, ()))
        areas = [
            shape.area
            for position, shape in zip(art.positions, art.shapes, strict=True)
            if position in wanted
        ]
        here = shapely.union_all(areas).intersection(outline)
        if not here.is_empty:
            at = here.centroid
            found.append(Lettering(art.face, name, (at.x, at.y), art.mirrored))
    return tuple(found)


def _areal(geometry: shapely.Geometry) -> shapely.MultiPolygon:
    """Only the areas of a geometry: shapes that touch a fold leave lines behind."""
    parts = shapely.get_parts(geometry)
    return shapely.MultiPolygon([part for part in parts if part.geom_type == "Polygon"])
