"""A camera's view against a worked example, another library and its own inverse."""

import math

import numpy as np
import pytest
from skimage.transform import ProjectiveTransform

from mateline.capture.squaring.first_view import view_from
from mateline.capture.squaring.sights import beforehand
from mateline.capture.squaring.view import (
    UNKNOWNS,
    View,
    moved_by,
    pixels_of,
    places_of,
    slopes,
    turned,
)

FRONT = ((1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0))  # square on; rows run down
#  A face 1000 mm away, seen square on, 500 px of focal length: half a pixel to the mm.
SQUARE_ON = View(FRONT, (0.0, 0.0, 1000.0), 500.0, (320.0, 240.0), k1=-0.1, k2=0.02)
LEANING = View(
    turned(turned(FRONT, (0.0, 0.3, 0.0)), (-0.15, 0.0, 0.02)),
    (-280.0, 600.0, 2000.0), 4600.0, (1510.0, 1990.0), k1=-0.08, k2=0.03,
)  # fmt: skip
PLACES = np.random.default_rng(0).uniform((0, 0), (600, 1300), (50, 2))


def test_the_lens_is_browns():
    """(600, 800) is at u = 0.6, v = -0.8, r² = 1: moved by 1 - 0.1 + 0.02 = 0.92.

    Column 320 + 500 · 0.6 · 0.92 = 596, row 240 - 500 · 0.8 · 0.92 = -128.
    """
    np.testing.assert_allclose(pixels_of(SQUARE_ON, np.array([[600.0, 800.0]])), [[596.0, -128.0]])


def test_without_a_lens_a_view_is_a_homography():
    """As another library finds it from four places, and maps fifty others."""
    plain = View(LEANING.turn, LEANING.shift, LEANING.focal, LEANING.centre)
    four = np.array([(0.0, 0.0), (600.0, 0.0), (600.0, 1300.0), (0.0, 1300.0)])
    homography = ProjectiveTransform.from_estimate(four, pixels_of(plain, four))
    np.testing.assert_allclose(pixels_of(plain, PLACES), homography(PLACES), atol=1e-6)


def test_there_and_back():
    np.testing.assert_allclose(places_of(LEANING, pixels_of(LEANING, PLACES)), PLACES, atol=1e-6)


def test_a_turn_is_a_turn():
    turn = np.array(turned(FRONT, (0.2, -0.4, 0.1)))
    np.testing.assert_allclose(turn @ turn.T, np.eye(3), atol=1e-12)
    quarter = turned(FRONT, (0.0, 0.0, math.pi / 2))  # x to y, y to -x
    np.testing.assert_allclose(quarter, [(0, 1, 0), (1, 0, 0), (0, 0, -1)], atol=1e-12)


@pytest.mark.parametrize("unknown", range(UNKNOWNS))
def test_slopes_are_those_of_small_steps(unknown):
    by_view, _ = slopes(LEANING, PLACES)
    step = np.zeros(UNKNOWNS)
    step[unknown] = 1e-6
    ahead, behind = (pixels_of(moved_by(LEANING, way * step), PLACES) for way in (1, -1))
    np.testing.assert_allclose(
        (ahead - behind) / 2e-6, by_view[:, :, unknown], rtol=1e-4, atol=2e-3
    )


def test_slopes_by_places_are_those_of_small_steps():
    _, by_place = slopes(LEANING, PLACES)
    for axis in (0, 1):
        step = np.zeros(2)
        step[axis] = 1e-4
        moved = (pixels_of(LEANING, PLACES + step) - pixels_of(LEANING, PLACES - step)) / 2e-4
        np.testing.assert_allclose(moved, by_place[:, :, axis], atol=1e-6)


def test_what_is_known_of_cameras_has_the_slopes_that_it_says():
    rows, off = beforehand(LEANING, (3000, 4000))
    for unknown in range(UNKNOWNS):
        step = np.zeros(UNKNOWNS)
        step[unknown] = 1e-6
        _, ahead = beforehand(moved_by(LEANING, step), (3000, 4000))
        np.testing.assert_allclose((ahead - off) / 1e-6, rows[:, unknown], rtol=1e-3, atol=1e-3)


def test_the_first_view_is_right_to_what_the_lens_leaves():
    corners = np.array([(0.0, 0.0), (600.0, 0.0), (600.0, 800.0), (420.0, 1300.0), (0.0, 1300.0)])
    plain = View(LEANING.turn, LEANING.shift, 4200.0, (1499.5, 1999.5))
    view, left = view_from(corners, pixels_of(plain, corners), (3000, 4000), 3.0)
    assert left < 1.0
    np.testing.assert_allclose(pixels_of(view, PLACES), pixels_of(plain, PLACES), atol=5.0)
