"""Arcs among a ring's vertices, with circles written beside them."""

import math

import numpy as np
import pytest
import shapely
from shapely import Point, Polygon, box

from mateline.placing.warping.arcs import arc_runs


def runs(area):
    return list(arc_runs(shapely.get_coordinates(area.exterior)[:-1]))


def test_a_whole_circle_is_one_run_that_closes():
    (run,) = runs(Point(30, 40).buffer(25, 32))
    assert (*run.centre, run.radius) == pytest.approx((30, 40, 25))
    assert len(run.vertices) == 4 * 32 + 1
    assert run.vertices[0] == run.vertices[-1]


def test_the_four_corners_of_a_rounded_box_are_four_quarters():
    found = runs(box(10, 10, 90, 60).buffer(10, 16))
    assert [run.radius for run in found] == pytest.approx([10] * 4)
    assert {tuple(np.round(run.centre, 6)) for run in found} == {
        (10, 10), (10, 60), (90, 10), (90, 60)}  # fmt: skip
    assert [len(run.vertices) for run in found] == [17] * 4


@pytest.mark.parametrize("shift", [0, 1, 2, 3, 30, 62, 63, 64])
def test_an_arc_is_found_wherever_its_ring_begins(shift):
    """A half disc of 64 facets: 65 vertices of one circle."""
    angles = np.linspace(0, math.pi, 65)
    ring = np.roll(50 * np.column_stack([np.cos(angles), np.sin(angles)]), shift, axis=0)
    (run,) = arc_runs(ring)
    assert (*run.centre, run.radius) == pytest.approx((0, 0, 50), abs=1e-6)
    assert len(set(run.vertices.tolist())) == 65


@pytest.mark.parametrize(
    "area",
    [
        box(0, 0, 40, 30),
        Point(0, 0).buffer(30, 2),  # an octagon, meant as one
        Polygon([(0, 0), (10, 0), (20, 0), (30, 0), (40, 0), (40, 30)]),
        Polygon([(t, t * t / 400) for t in range(0, 200, 2)]),  # a parabola
    ],
)
def test_what_is_no_arc_is_none(area):
    assert runs(area) == []
