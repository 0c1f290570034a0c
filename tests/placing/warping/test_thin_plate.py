"""The thin-plate spline against scipy's, and against maps worked on the page."""

import numpy as np
import pytest
from scipy.interpolate import RBFInterpolator

from mateline.placing.warping.thin_plate import thin_plate

RANDOM = np.random.default_rng(7)
PLACES = RANDOM.uniform(0, 1000, (14, 2))
SHIFTS = RANDOM.normal(0, 6, (14, 2))
EVERYWHERE = RANDOM.uniform(-100, 1100, (500, 2))
SQUARE = np.array([(0.0, 0.0), (400.0, 0.0), (400.0, 500.0), (0.0, 500.0)])


def outside(points):
    """The same spline by scipy."""
    found = RBFInterpolator(PLACES, SHIFTS, kernel="thin_plate_spline", degree=1)
    return found(points)


def test_it_is_scipys_thin_plate_spline():
    ours = thin_plate(PLACES, SHIFTS)
    assert ours.shifts(EVERYWHERE) == pytest.approx(outside(EVERYWHERE), abs=2e-9)
    assert ours.shifts(PLACES) == pytest.approx(SHIFTS, abs=1e-9)


@pytest.mark.parametrize("axis", [0, 1])
def test_its_slopes_are_those_of_its_places(axis):
    step = np.eye(2)[axis] * 1e-3
    central = (outside(EVERYWHERE + step) - outside(EVERYWHERE - step)) / 2e-3
    assert thin_plate(PLACES, SHIFTS).slopes(EVERYWHERE)[:, axis] == pytest.approx(
        central, abs=1e-7
    )


def test_what_an_affine_map_meets_is_that_map_to_the_last_digit():
    # x' = x + 0.02 x - 0.01 y + 3, y' = y + 0.005 x + 0.04 y - 2
    def affine(points):
        x, y = points.T
        return np.column_stack([0.02 * x - 0.01 * y + 3, 0.005 * x + 0.04 * y - 2])

    ours = thin_plate(SQUARE, affine(SQUARE))
    assert ours.shifts(EVERYWHERE) == pytest.approx(affine(EVERYWHERE), abs=1e-9)
    assert ours.slopes(EVERYWHERE[:3])[:, 0] == pytest.approx(np.tile([0.02, 0.005], (3, 1)))


def test_a_square_out_of_square_moves_its_middle_by_a_quarter():
    """Four corners of a square have one figure that no affine map meets, + - + -, which by its
    symmetry is 0 at the middle; a corner moved by 8 mm is the mean of that and of maps that move
    the middle by 8 / 4."""
    ours = thin_plate(SQUARE, np.array([(0.0, 0.0), (0.0, 0.0), (8.0, 0.0), (0.0, 0.0)]))
    assert ours.shifts(np.array([(200.0, 250.0)])) == pytest.approx(np.array([(2.0, 0.0)]))


@pytest.mark.parametrize(
    "places",
    [
        [(0, 0), (1, 0)],
        [(0, 0), (100, 100), (200, 200), (300, 300)],
        [(0, 0), (0, 0), (100, 0), (0, 100)],
        [(5, 5), (5, 5), (5, 5)],
    ],
)
def test_places_that_span_no_plane_or_are_one_are_refused(places):
    with pytest.raises(ValueError, match=r"plane|line"):
        thin_plate(np.array(places, dtype=float), np.zeros((len(places), 2)))


def test_no_points_have_no_shifts():
    assert thin_plate(PLACES, SHIFTS).shifts(np.empty((0, 2))).shape == (0, 2)
