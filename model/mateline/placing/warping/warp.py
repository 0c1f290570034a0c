"""A drawing bent smoothly so that points of it come to points of a face.

Last of the room. First an affine map (of boxes, or the similarity that fits best), then the
projective map that fits best, which keeps lines straight, and the thin-plate spline of what that
leaves. Shapes share the images of the vertices that they share, so
borders stay shared to the last bit. What lies hidden under a straight border may show by the
little by which the border was kept straight.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from mateline.placing.warping.carriers import as_points, forms_of
from mateline.placing.warping.kept_forms import SmoothMap, places_of
from mateline.placing.warping.projective import Projective, projective
from mateline.placing.warping.thin_plate import ThinPlate, thin_plate
from mateline.planar.moved import valid
from mateline.products import comparable, mapped

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.curves import Point
    from mateline.drawing.shapes import Shape

    Array = NDArray[np.float64]

ONE_PLACE = 1e-9  # mm: a vertex that is no farther from a matched point is it
FOLDED = 0.2  # no unit: where areas grow less than this share of what they do overall, it folds


@dataclass(frozen=True, slots=True)
class Warped:
    """What a drawing was bent to, for whoever tells it: `moved` is by how much, mm, a matched point
    was taken at most from where the drawing, turned and scaled, would put it, and `at` that point,
    in the face's frame. `scales` say how many times as wide and as high the drawing is.
    """

    to: Literal["corners", "landmarks"]
    moved: float
    at: Point
    scales: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Warp:
    """Takes a drawing to a face: `to_mm` (2, 3) from drawing units, then `base` (2, 3) to the
    face's frame, `lens` there, and the shifts of `plate`. Points of the drawing that are
    `matched` (k, 2), mm, go to `goals` (k, 2) of the face.
    """

    to_mm: Array
    base: Array
    lens: Projective
    plate: ThinPlate
    matched: Array
    goals: Array

    def points(self, points: Array) -> Array:
        """Where points (n, 2) in drawing units go, by the smooth map alone."""
        return self._places(mapped(points, self.to_mm))

    def laid(self, shapes: Sequence[Shape]) -> NDArray[np.object_]:
        """The areas of `shapes` on the face."""
        areas = np.array([shape.area for shape in shapes], dtype=object)
        if len(areas) == 0:
            return areas
        areas = shapely.transform(areas, lambda points: mapped(points, self.to_mm))
        forms = forms_of(areas)
        which, at = shapely.STRtree(as_points(forms.vertices)).query(
            as_points(self.matched), predicate="dwithin", distance=ONE_PLACE
        )
        goals = self.goals[which].tolist()
        pinned = {vertex: (x, y) for vertex, (x, y) in zip(at.tolist(), goals, strict=True)}
        there = places_of(forms, SmoothMap(self._places, self._slopes), pinned)
        return valid(shapely.transform(areas, lambda _: there[forms.places]))

    def folds(self, points: Array) -> bool:
        """Whether the map folds, or nearly does, at any of these points (n, 2) in drawing units, or
        at those that are matched.
        """
        slopes = self._slopes(np.concatenate([mapped(points, self.to_mm), self.matched]))
        (a, c, _), (b, d, _) = self.base.tolist()
        grown = slopes[:, 0, 0] * slopes[:, 1, 1] - slopes[:, 0, 1] * slopes[:, 1, 0]
        return bool((np.round(grown / (a * d - b * c), 6) < FOLDED).any())

    @property
    def stretch(self) -> float:
        """By how much lengths in drawing units grow at most, at the matched points."""
        slopes = self._slopes(self.matched)
        a, b, c, d = slopes[:, 0, 0], slopes[:, 0, 1], slopes[:, 1, 0], slopes[:, 1, 1]
        half = (a * a + b * b + c * c + d * d) / 2
        size = half + np.sqrt(np.maximum(half * half - (a * d - b * c) ** 2, 0.0))
        (p, r, _), (q, s, _) = self.to_mm.tolist()
        unit = abs(p * s - q * r)
        return float(np.sqrt(size.max() * unit))

    def _places(self, points: Array) -> Array:
        there = self.lens.places(mapped(points, self.base))
        found: Array = there + self.plate.shifts(there)
        return found

    def _slopes(self, points: Array) -> Array:
        there = mapped(points, self.base)
        last = self.plate.slopes(self.lens.places(there)) + np.eye(2)
        first = np.broadcast_to(self.base[:, :2].T, last.shape)
        return _one_after(_one_after(first, self.lens.slopes(there)), last)


def warp_to(to_mm: Array, base: Array, drawn: Array, points: Array) -> Warp:
    """The map that takes `drawn` (k, 2), mm of the drawing, to `points` (k, 2) of the face.

    Raises ValueError where they are fewer than three, or lie in a line, or two in one place.
    """
    there = mapped(drawn, base)
    lens = projective(there, points)
    there = lens.places(there)
    return Warp(to_mm, base, lens, thin_plate(there, points - there), drawn, points)


def _one_after(first: Array, second: Array) -> Array:
    """The slopes of a map that does `first` and then `second`, (n, 2, 2) each."""
    found: Array = first[:, :, :1] * second[:, :1] + first[:, :, 1:] * second[:, 1:]
    return found


def warped(to: Literal["corners", "landmarks"], base: Array, drawn: Array, points: Array) -> Warped:
    """How much a drawing is bent that `base` would put on the face."""
    off = comparable(np.hypot(*(points - mapped(drawn, base)).T))
    worst = int(np.argmax(off))
    x, y = points[worst].tolist()
    (a, c, _), (b, d, _) = base.tolist()
    return Warped(to, float(off[worst]), (x, y), (math.hypot(a, b), math.hypot(c, d)))
