"""Affine maps against numpy's matrices: products, determinants, singular values."""

import itertools
import math

import numpy as np
import pytest

from mateline.planar.affine import after, carried, carried_all, determinant, is_similarity, stretch


def matrix(affine):
    a, b, c, d, e, f = affine
    return np.array([[a, c, e], [b, d, f], [0, 0, 1]])


MAPS = [tuple(row) for row in np.random.default_rng(0).uniform(-3, 3, (30, 6)).tolist()]


def test_one_map_after_another_is_their_matrices_product():
    for outer, inner in itertools.pairwise(MAPS):
        found = matrix(after(outer, inner))
        assert found == pytest.approx(matrix(outer) @ matrix(inner), abs=1e-12)


@pytest.mark.parametrize("affine", MAPS)
def test_points_go_where_the_matrix_takes_them(affine):
    points = np.array([(0.0, 0.0), (2.0, -1.0), (0.5, 7.0)])
    there = (matrix(affine) @ np.column_stack([points, np.ones(3)]).T).T[:, :2]
    assert carried_all(affine, points) == pytest.approx(there)
    assert [carried(affine, x, y) for x, y in points.tolist()] == [
        pytest.approx(tuple(each)) for each in there.tolist()
    ]


@pytest.mark.parametrize("affine", [*MAPS, (2.0, 0.0, 0.0, 0.5, 3.0, 4.0)])
def test_determinant_and_stretch_are_those_of_linear_algebra(affine):
    linear = matrix(affine)[:2, :2]
    assert determinant(affine) == pytest.approx(np.linalg.det(linear))
    assert stretch(affine) == pytest.approx(np.linalg.svd(linear, compute_uv=False)[0])
    assert not is_similarity(affine)


def test_a_turn_stretches_nothing_at_any_angle():
    """Two equal singular values: their difference is the root of 0, or of a hair below."""
    for degree in range(360):
        for mirror in (1, -1):
            cos, sin = math.cos(math.radians(degree)), math.sin(math.radians(degree))
            turn = (3 * cos, 3 * sin, -3 * sin * mirror, 3 * cos * mirror, 1.0, 2.0)
            assert stretch(turn) == pytest.approx(3, rel=1e-7)
            assert is_similarity(turn)
