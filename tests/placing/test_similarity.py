"""The similarity that fits points best."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis.strategies import floats

from mateline.placing.similarity import best_similarity, composed, inverse

SQUARE = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]


@given(floats(0, math.tau), floats(0.2, 5), floats(-500, 500), floats(-500, 500))
def test_a_similarity_is_found_again_from_three_points(turn, scale, x, y):
    sources = np.array([(0.0, 0.0), (100.0, 0.0), (30.0, 80.0)])
    cos, sin = scale * math.cos(turn), scale * math.sin(turn)
    matrix = np.array([[cos, -sin, x], [sin, cos, y]])
    targets = sources @ matrix[:, :2].T + matrix[:, 2]
    found = best_similarity(sources.tolist(), targets.tolist())
    np.testing.assert_allclose(found.matrix, matrix, rtol=0, atol=1e-9)
    assert found.scale == pytest.approx(scale)
    left = [math.dist(found.carried(a), b) for a, b in zip(sources, targets, strict=True)]
    assert max(left) < 1e-9


def test_points_that_do_not_fit_leave_a_residual():
    # four corners of a square, one pulled 8 mm out along x: the fit leaves 6 mm or less there
    targets = [*SQUARE[:2], (108.0, 100.0), SQUARE[3]]
    found = best_similarity(SQUARE, targets)
    assert 2 < math.dist(found.carried(SQUARE[2]), targets[2]) < 6


@pytest.mark.parametrize(
    ("sources", "targets"),
    [
        ([(5.0, 5.0)] * 3, SQUARE[:3]),
        (SQUARE[:3], [(5.0, 5.0)] * 3),
        # Corners on a diagonal exchanged: what one half asks for the other takes back.
        (SQUARE, [SQUARE[2], SQUARE[1], SQUARE[0], SQUARE[3]]),
    ],
)
def test_points_that_leave_no_size_are_refused(sources, targets):
    with pytest.raises(ValueError, match="no size"):
        best_similarity(sources, targets)


@given(floats(-3, 3), floats(-3, 3), floats(-500, 500))
def test_a_map_and_its_inverse_are_none(a, b, far):
    matrix = np.array([[4 + a, b, far], [-b, 5 + a, -far]])
    np.testing.assert_allclose(
        composed(inverse(matrix), matrix), [[1, 0, 0], [0, 1, 0]], rtol=0, atol=1e-9
    )
