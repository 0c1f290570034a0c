"""An arc is found wherever one follows the vertices, told by trying thousands."""

import numpy as np

from mateline.borders.arc_fitting import bows_of

TOLERANCE = 0.02
TURNS = np.concatenate([side * np.linspace(1e-3, 0.4, 1000) for side in (-1, 1)])  # halves, rad


def dented(seed):
    """An arc or nearly one over a chord of 20 along x, with one short bump of 1.7 tolerances."""
    dice = np.random.default_rng(seed)
    x = np.linspace(0, 20, 61)
    bump = np.exp(-(((x - dice.uniform(4, 16)) / dice.uniform(0.5, 1.5)) ** 2))
    y = dice.uniform(-1.5, 1.5) * (1 - ((x - 10) / 10) ** 2)
    y += 1.7 * TOLERANCE * bump * dice.choice([-1, 1])
    y[[0, -1]] = 0
    return np.column_stack([x, y])


def best_of_all(points):
    """How far the best of all `TURNS` is off: the circle through both ends, about (10, level)."""
    facets = np.vstack([points, (points[1:] + points[:-1]) / 2])
    level, radius = 10 / np.tan(TURNS), np.abs(10 / np.sin(TURNS))
    away = np.hypot(facets[:, :1] - 10, facets[:, 1:] - level) - radius
    return np.abs(away).max(axis=0).min()


def test_a_dent_that_draws_the_nearest_arc_away_leaves_another_one():
    """Least squares follow the rest and leave the dent; between both, an arc has room for both."""
    tried = 0
    for seed in range(20):
        points = dented(seed)
        if best_of_all(points) <= 0.95 * TOLERANCE:
            found = bows_of(points, np.array([0]), np.array([60]), TOLERANCE)
            assert found.sin[0] != 0
            assert found.off[0] <= TOLERANCE
            tried += 1
    assert tried > 10
