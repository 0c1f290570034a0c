"""Outlines of lines and arcs, and what the tape leaves open of their corners."""

import numpy as np
import pytest

from mateline.capture.squaring.outline import lengths, modes, outline_of, places_on
from mateline.curves import Chain, Segment

SQUARE = np.array([(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)])
#  A half disc of radius 30: a flat side of 60 and an arc of 30 pi.
HALF_DISC = Chain((0.0, 0.0), (Segment((60.0, 0.0)), Segment((0.0, 0.0), (30.0, 0.0))))
ROUNDED = Chain((0.0, 0.0), (
    Segment((60.0, 0.0)), Segment((60.0, 40.0)), Segment((0.0, 40.0), (30.0, 40.0)),
    Segment((0.0, 0.0)),
))  # fmt: skip


def test_a_clockwise_outline_is_walked_the_other_way_with_its_names_and_covariance():
    spread = np.diag(np.arange(8.0))
    turned = outline_of("side", SQUARE[[0, 3, 2, 1]], spread, ["p", "q", "r", "s"])
    np.testing.assert_array_equal(turned.corners, SQUARE)
    assert turned.edge_names == ("p-s", "s-r", "r-q", "q-p")
    np.testing.assert_array_equal(np.diag(turned.covariance), [0, 1, 6, 7, 4, 5, 2, 3])


def test_places_along_an_arc_lie_on_it():
    outline = outline_of("side", ROUNDED)
    shares = np.linspace(0, 1, 9)
    there = places_on(outline, outline.corners, 2, shares)
    np.testing.assert_allclose(np.hypot(*(there - (30.0, 40.0)).T), 30.0, atol=1e-9)
    np.testing.assert_allclose(there[4], (30.0, 70.0), atol=1e-9)
    assert lengths(outline).tolist() == pytest.approx([60, 40, 30 * np.pi, 40])


def test_an_arc_goes_with_its_corners():
    outline = outline_of("side", ROUNDED)
    moved = places_on(outline, outline.corners + np.array([1.0, 2.0]), 2, np.array([0.5]))
    np.testing.assert_allclose(moved, [(31.0, 72.0)], atol=1e-9)


def test_modes_make_the_covariance_and_leave_out_what_is_exact():
    rng = np.random.default_rng(0)
    half = rng.normal(size=(8, 5))
    half[:2] = 0  # the first corner is where the frame was laid
    outline = outline_of("side", SQUARE, half @ half.T)
    found = modes(outline)
    assert found.shape == (8, 5)
    np.testing.assert_allclose(found @ found.T, half @ half.T, atol=1e-9)
    assert modes(outline_of("side", SQUARE)).shape == (8, 0)


def test_what_is_no_outline_is_a_fault_of_ours():
    with pytest.raises(ValueError, match="three corners"):
        outline_of("side", HALF_DISC)
    with pytest.raises(ValueError, match="does not close"):
        outline_of("side", Chain((0.0, 0.0), (Segment((1.0, 0.0)),)))
