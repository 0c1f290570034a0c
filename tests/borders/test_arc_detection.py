"""Arcs of the drawing are told from curves by the corners that one curvature has in a row."""

import math

import numpy as np
import pytest

from mateline.borders.arc_detection import exact_runs
from mateline.borders.polylines import Polylines

TOLERANCE = 0.02


def alone(points):
    """One border from node to node."""
    return Polylines(
        points, np.array([0, len(points)]), np.zeros(len(points), dtype=np.int64),
        np.array([False]), np.array([False]),
    )  # fmt: skip


def rounded(facets, radius=20.0, step=0.06):
    """A line along x, an arc of so many facets that it is tangent to, and a line on from it."""
    turn = step * np.arange(facets + 1)
    arc = radius * np.column_stack([np.sin(turn), 1 - np.cos(turn)])
    on = arc[-1] + 50 * np.array([math.cos(turn[-1]), math.sin(turn[-1])])
    return np.vstack([(-50.0, 0.0), arc, on])


@pytest.mark.parametrize(("facets", "told"), [(3, False), (4, True), (12, True)])
def test_an_arc_is_told_by_three_corners_of_one_curvature(facets, told):
    """Those between its facets: where a line goes on, the circle through three points is wider."""
    lines = alone(rounded(facets))
    runs = list(exact_runs(lines, np.zeros(len(lines.points), dtype=bool), TOLERANCE))
    assert len(runs) == told
    for first, last, radius, centre in runs:
        assert (first, last) == (1, 1 + facets)
        assert radius == pytest.approx(20)
        assert centre == pytest.approx([0, 20])


def test_the_two_like_corners_of_a_symmetric_curve_are_no_arc():
    """A Bézier from (0, 0) to (30, 0), drawn in four facets: its middle corner is another one."""
    s = np.linspace(0, 1, 5)[:, None]
    a, b, c, d = np.array([(0, 0), (10, 1.0), (20, 1.0), (30, 0)], dtype=float)
    curve = (1 - s) ** 3 * a + 3 * s * (1 - s) ** 2 * b + 3 * s**2 * (1 - s) * c + s**3 * d
    lines = alone(curve)
    assert list(exact_runs(lines, np.zeros(5, dtype=bool), TOLERANCE)) == []
