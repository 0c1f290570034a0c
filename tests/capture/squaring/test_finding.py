"""Faces found in small pictures, nobody pointing at them."""

import numpy as np
import pytest

from mateline.capture.squaring.finding import found
from mateline.capture.squaring.outline import outline_of
from scenes.camera import standing
from scenes.design import design
from scenes.photograph import Light, photographed
from scenes.wear import worn
from squaring_errors import map_errors, picture_of


def rectangle(width, height):
    return np.array([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])


@pytest.mark.parametrize("seed", [1, 2, 4, 6])
def test_a_rectangle_is_found_the_right_way_up(seed):
    """Turned by half a turn its outline is the same: a front panel has no more to show."""
    made = design(seed, 300.0, 400.0, rectangle)
    camera = standing(made.outline, (500, 620), 1.2, yaw_deg=(-14, 14)[seed % 2])
    scene = photographed(made, camera, worn(made.outline, 0.05, 5, seed), Light(), seed)
    finding = found(picture_of(scene).light, outline_of("front", made.corners))
    assert map_errors(finding.view, scene).max() < 2.0
