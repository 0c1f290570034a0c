"""Faces found in small pictures, nobody pointing at them."""

import numpy as np
import pytest

from mateline.capture.squaring.finding import found
from mateline.capture.squaring.outline import outline_of
from mateline.capture.squaring.square import sight
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


@pytest.mark.parametrize(
    ("wall", "seed"),
    [
        ("#8b9097", 5),  # bare wood runs along the upper edge, and its rim was taken for it
        ("#8b9097", 11),
        ("#8b9097", 10),
        ("#e2d6b6", 12),  # a wall of the base's colour: a stripe of the art was the upper edge
    ],
)
def test_a_worn_rectangle_is_found_and_not_a_part_of_it(wall, seed):
    made = design(seed, 300.0, 400.0, rectangle)
    camera = standing(made.outline, (600, 740), 1.4, yaw_deg=(-14, 14)[seed % 2])
    light = Light(wall=wall)
    scene = photographed(made, camera, worn(made.outline, 0.2, 8, seed), light, seed)
    sighted = sight(picture_of(scene), outline_of("front", made.corners))
    assert map_errors(sighted.solved.view, scene).max() < 0.2
