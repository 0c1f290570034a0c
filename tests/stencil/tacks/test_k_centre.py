"""Centres spread over an area: what a layout may not depend on, and what it starts from."""

import math

import numpy as np
import pytest
import shapely
from shapely import affinity, box

from mateline.stencil.tacks.farthest_point import gaps
from mateline.stencil.tacks.k_centre import LATTICES, Task, _lattice, _round_three, k_centres

AREAS = {
    "bar": box(0, 0, 512, 96),
    "square": box(0, 0, 448, 448),
    "wedge": shapely.Polygon([(0, 0), (640, 64), (192, 448)]),
    "ring": box(0, 0, 512, 384).difference(box(160, 128, 352, 256)),
}


def demands(area):
    """Points 32 apart inside `area` and no farther on its border."""
    left, low, right, high = area.bounds
    grid = np.meshgrid(np.arange(left, right, 32), np.arange(low, high, 32))
    points = np.stack(grid, axis=-1).reshape(-1, 2)
    rim = shapely.get_coordinates(shapely.segmentize(area, 32))
    return np.vstack([points[shapely.contains_xy(area, *points.T)], rim])


@pytest.mark.parametrize("name", AREAS)
def test_a_piece_is_laid_out_alike_wherever_it_lies_and_in_any_unit(name):
    area, demand = AREAS[name], demands(AREAS[name])
    here = k_centres(Task(demand, area, 128.0), area)
    assert len(here) > 1
    assert gaps(demand, here).min(axis=1).max() <= 128
    way = np.array([2048, -1024])
    moved = affinity.translate(area, *way)
    there = k_centres(Task(demand + way, moved, 128.0), moved)
    assert there == pytest.approx(here + way, abs=1e-6)
    small = affinity.scale(area, 1 / 64, 1 / 64, origin=(0, 0))
    there = k_centres(Task(demand / 64, small, 2.0), small)
    assert there == pytest.approx(here / 64, abs=1e-7)


@pytest.mark.parametrize(("upright", "offset"), LATTICES)
def test_a_lattice_covers_its_box_with_the_discs_of_a_triangular_one(upright, offset):
    """Discs round the corners of triangles with sides of 30 cover all from 30 / sqrt(3) on."""
    points = _lattice((100.0, -50.0, 300.0, 80.0), 30.0, offset, upright=upright)
    inside = np.stack(np.meshgrid(np.arange(100, 301), np.arange(-50, 81)), axis=-1)
    far = gaps(inside.reshape(-1, 2).astype(float), points).min(axis=1)
    assert 0.95 * 30 / math.sqrt(3) < far.max() <= 30 / math.sqrt(3)


def test_the_circle_round_three_points_is_the_smallest():
    """As shapely's, of sharp and of blunt triangles, and of three points in a row."""
    corners = np.random.default_rng(3).uniform(-100, 100, (3, 200, 2))
    corners[2, :20] = 3 * corners[1, :20] - 2 * corners[0, :20]
    found = _round_three(*corners)
    circles = shapely.minimum_bounding_circle(shapely.multipoints(np.swapaxes(corners, 0, 1)))
    assert found == pytest.approx(shapely.get_coordinates(shapely.centroid(circles)), abs=1e-6)
