"""What is seen of a face in a photo beside its edges, and what is known of cameras beforehand.

Stands after the view, before the adjustment.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.squaring.view import View

    Floats = NDArray[np.float64]

# A camera before it is known. A phone's focal length is 0.7 of its picture's longer side, a long
# lens' 2 to 3 (common practice, no source); the axis goes through the middle unless the picture was
# cropped; radial terms of lenses that are sold are a few per cent.
FOCAL, FOCAL_SPREAD = 1.0, 0.5  # of the longer side; standard deviation of its logarithm
CENTRE_SPREAD = 0.02  # of the longer side
K1_SPREAD, K2_SPREAD = 0.15, 0.06
CLICK = 1.5  # px: how well a person points at a place


@dataclass(frozen=True, slots=True)
class PointSight:
    """A named place of the face that is seen at `pixel` (column, row, from the outer corner of the
    first pixel): `place` mm, known to `deviation` mm.
    """

    name: str
    pixel: tuple[float, float]
    place: tuple[float, float]
    deviation: float = 0.5


@dataclass(frozen=True, slots=True)
class DistanceSight:
    """A distance taped between two places of the face that are seen at `pixels`, mm; pixels as of
    a point.
    """

    name: str
    pixels: tuple[tuple[float, float], tuple[float, float]]
    length: float
    deviation: float = 0.5


@dataclass(frozen=True, slots=True)
class Sights:
    """What a person points at: it helps where the outline does not suffice."""

    points: tuple[PointSight, ...] = ()
    distances: tuple[DistanceSight, ...] = ()

    def from_middles(self) -> Sights:
        """The same with pixels from the middle of the first one, as views have them."""
        points = tuple(
            PointSight(each.name, (each.pixel[0] - 0.5, each.pixel[1] - 0.5), each.place,
                       each.deviation) for each in self.points
        )  # fmt: skip
        distances = tuple(
            DistanceSight(
                each.name,
                (
                    (each.pixels[0][0] - 0.5, each.pixels[0][1] - 0.5),
                    (each.pixels[1][0] - 0.5, each.pixels[1][1] - 0.5),
                ),
                each.length,
                each.deviation,
            )
            for each in self.distances
        )
        return Sights(points, distances)


def beforehand(
    view: View, size: tuple[int, int], lens: float = 1.0, camera: float = 1.0
) -> tuple[Floats, Floats]:
    """What is known of a camera, as five observations of the view's unknowns: how they hang on
    these, (5, 11), and how far off the view is, (5,); both in standard deviations. Taken as known
    `lens` and `camera` (focal length and centre) times better than they are.
    """
    wide, high = size
    longer = max(size)
    spread = CENTRE_SPREAD * longer
    rows, off = np.zeros((5, 11)), np.zeros(5)
    spread = spread / camera
    rows[0, 6] = camera / FOCAL_SPREAD
    off[0] = math.log(view.focal / (FOCAL * longer)) * camera / FOCAL_SPREAD
    for axis, middle in ((0, (wide - 1) / 2), (1, (high - 1) / 2)):
        rows[1 + axis, 7 + axis] = 1 / spread
        off[1 + axis] = (view.centre[axis] - middle) / spread
    for at, (value, known, power) in enumerate(((view.k1, K1_SPREAD, 2), (view.k2, K2_SPREAD, 4))):
        rows[3 + at, 9 + at] = lens / known
        rows[3 + at, 6] = power * value * lens / known  # the lens goes with the focal length
        off[3 + at] = value * lens / known
    return rows, off
