"""Corners of a board at a depth, one by one and all together."""

import numpy as np
import pytest

from boxes import square
from mateline.cabinet.panel import corner_at, level


@pytest.mark.parametrize("down", [0.0, 3.0, 11.5, 18.0])
def test_a_corner_alone_is_that_of_the_whole_level(down):
    more = """joints = ["left mitre front"]
edges."left and front" = { round = 14 }
edges."left and top" = { bevel = 9, angle = 35 }"""
    for face in square(more).faces:
        panel = face.panel
        alone = [corner_at(panel, index, down) for index in range(len(panel.edges))]
        np.testing.assert_allclose(alone, level(panel, down), rtol=0, atol=1e-9)
