"""Stretches that can't bend as they were fitted bend once some of their segments are halved."""

import numpy as np
import pytest
import shapely

from mateline.borders.arc_fitting import bows_of
from mateline.borders.fewest import fewest
from mateline.borders.tangency import Ends, tangent, wrapped

TOLERANCE = 0.1
TRACED = [  # two smooth curves by hand, to a tenth; among their segments is a facet by itself
    [(0, 0), (5, 2.7), (9, 4.4), (16, 6.6), (19, 7), (23, 7.5), (29, 7.4), (33, 7), (35, 6.6),
     (38, 5.8), (39, 5.6), (41, 4.8), (45, 3.2)],
    [(0, 0), (3, 0.9), (8, 2.1), (12, 2.6), (17, 3.4), (24, 3.7), (25, 3.7), (28, 3.8), (33, 3.5),
     (35, 3.4), (43, 2.2), (51, 0.1), (55, -1.1)],
]  # fmt: skip


@pytest.mark.parametrize("vertices", TRACED)
def test_a_lone_facet_follows_once_its_neighbours_are_halved(vertices):
    points = np.array(vertices, dtype=float)
    last = fewest(points, np.array([0]), np.array([len(points) - 1]), TOLERANCE)
    first = np.append(0, last[:-1])
    assert (last - first == 1).any()
    free = np.full(len(last), np.nan)
    linked = np.arange(len(last)) < len(last) - 1
    bows = bows_of(points, first, last, TOLERANCE)
    made = tangent(points, bows, Ends(linked, free, free.copy()), TOLERANCE)
    leaving, arriving = made.directions()
    assert np.abs(wrapped(leaving[1:] - arriving[:-1])).max() < 1e-6
    assert (made.start[1:] == made.end[:-1]).all()
    joints = np.vstack([made.start, made.end[-1:]])
    away = shapely.distance(shapely.LineString(points), shapely.points(joints))
    assert away.max() <= TOLERANCE
