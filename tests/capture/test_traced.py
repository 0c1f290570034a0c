"""What is told of borders that were traced."""

import pytest

from mateline.capture.traced import TracedBorder, expected_error
from mateline.curves import Chain, Segment


def line(long, error, *guessed):
    return TracedBorder(Chain((0.0, 0.0), (Segment((long, 0.0)),)), 0, 1, 0, 1, guessed, error)


def test_the_error_of_borders_is_that_of_what_is_seen_of_them():
    # 100 mm seen to 0.1, 25 mm of another to 0.3, and 75 of it guessed like all of the third
    borders = [line(100.0, 0.1), line(100.0, 0.3, (25.0, 100.0)), line(50.0, 1.5, (0.0, 50.0))]
    assert expected_error(borders) == pytest.approx(((100 * 0.01 + 25 * 0.09) / 125) ** 0.5)
    assert expected_error(borders[2:]) == 0.0
