"""Where a circle that rolls on another one touches it, from distances alone."""

import numpy as np
import pytest

from mateline.borders.end_tangency import _on_circle

PIVOT = np.array([40.0, -25.0])


@pytest.mark.parametrize(
    ("reach", "beside", "inside"),
    [(10.0, 30.0, False), (30.0, 10.0, False), (10.0, 30.0, True), (30.0, 10.0, True)],
)
@pytest.mark.parametrize("turn", [0.3, 2.0, -1.1])
def test_a_circle_rolled_on_another_one_touches_it_and_keeps_its_node(reach, beside, inside, turn):
    """On it, inside it, or round it: centre, touching point and pivot are in one line."""
    far = abs(beside - reach) if inside else beside + reach
    true = PIVOT + far * np.array([np.cos(turn), np.sin(turn)])
    node = true + reach * np.array([np.cos(turn + 2), np.sin(turn + 2)])
    foot, centre = _on_circle(true + 0.01, reach, node, (PIVOT, beside), inside=inside)
    assert centre == pytest.approx(true)
    for one, other, apart in ((foot, PIVOT, beside), (foot, centre, reach), (node, centre, reach)):
        assert np.hypot(*(one - other)) == pytest.approx(apart)
