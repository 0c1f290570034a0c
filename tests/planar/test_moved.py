"""Areas that are moved stay valid, however thin they are."""

import numpy as np
import shapely
from shapely import Polygon

from mateline.planar.moved import moved

# A hair of two steps of the floats at 200, which at 312 lie twice as far apart.
HAIR = Polygon([
    (12.0, 200.00000000000009), (10.0, 200.0), (13.0, 200.00000000000014),
    (12.0, 200.00000000000003), (11.0, 200.0), (12.0, 200.00000000000006),
])  # fmt: skip
PLATE = shapely.box(9, 311, 15, 312)


def turned(points):
    return points * (1, -1) + (0, 512)


def test_a_hair_that_a_map_crosses_is_valid_again():
    assert HAIR.is_valid
    assert not shapely.transform(HAIR, turned).is_valid
    hair, plate = moved([HAIR, shapely.transform(PLATE, turned)], turned)
    assert hair.is_valid
    assert hair.area < 1e-12
    assert plate.equals(PLATE)
    assert abs(shapely.difference(plate, hair).area - PLATE.area) < 1e-12  # GEOS can reckon with it


def test_no_areas_are_none():
    assert moved(np.array([], dtype=object), turned).tolist() == []
