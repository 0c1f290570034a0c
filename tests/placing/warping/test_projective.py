"""The projective map, on figures worked here."""

import numpy as np
import pytest

from mateline.placing.warping.projective import projective

SQUARE = np.array([(0.0, 0.0), (400.0, 0.0), (400.0, 500.0), (0.0, 500.0)])
BENT = np.array([(0.0, 0.0), (400.0, 0.0), (392.0, 494.0), (0.0, 500.0)])


def test_four_corners_are_met_and_diagonals_cross_where_theirs_do():
    """Lines stay lines, so the middle of the square goes to where the diagonals cross then: on
    (0, 0) + t (392, 494) and (400, 0) + s (-400, 500), t = 400 * 500 / (392 * 500 + 494 * 400)."""
    found = projective(SQUARE, BENT)
    assert found.places(SQUARE) == pytest.approx(BENT, abs=1e-3)  # what the ridge leaves
    share = 400 * 500 / (392 * 500 + 494 * 400)
    there = found.places(np.array([(200.0, 250.0)]))[0]
    assert there == pytest.approx((392 * share, 494 * share), abs=1e-3)


def test_lines_stay_lines():
    found = projective(SQUARE, BENT)
    a, b, c = found.places(np.array([(20.0, 30.0), (120.0, 230.0), (195.0, 380.0)]))
    (x, y), (p, q) = b - a, c - a
    assert abs(x * q - y * p) / np.hypot(p, q) < 1e-9


def test_an_affine_map_is_met_to_the_last_digits():
    def affine(points):
        x, y = points.T
        return np.column_stack([1.02 * x - 0.01 * y + 3, 0.005 * x + 0.97 * y - 2])

    points = np.random.default_rng(1).uniform(0, 500, (50, 2))
    found = projective(SQUARE, affine(SQUARE))
    assert found.places(points) == pytest.approx(affine(points), abs=1e-9)


@pytest.mark.parametrize("axis", [0, 1])
def test_its_slopes_are_those_of_its_places(axis):
    found = projective(SQUARE, BENT)
    points = np.array([(20.0, 30.0), (333.0, 444.0)])
    step = np.eye(2)[axis] * 1e-3
    central = (found.places(points + step) - found.places(points - step)) / 2e-3
    assert found.slopes(points)[:, axis] == pytest.approx(central, abs=1e-8)


def test_three_points_of_four_in_a_line_ask_for_no_more_than_an_affine_map():
    places = np.array([(0.0, 0.0), (200.0, 0.0), (400.0, 0.0), (0.0, 500.0)])
    goals = places + np.array([(0, 0), (5, 0), (0, 0), (0, 0)])
    found = projective(places, goals)
    assert np.isfinite(found.numbers).all()
    assert np.abs(found.places(places) - goals).max() < 6


def test_places_in_a_line_are_refused():
    line = np.array([(0.0, 0.0), (100.0, 100.0), (200.0, 200.0), (300.0, 300.0)])
    with pytest.raises(ValueError, match="line"):
        projective(line, line)
