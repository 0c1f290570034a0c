"""Edges as rows, lower end first."""

import numpy as np

from mateline.planar.edges import undirected


def test_the_lower_end_comes_first_by_x_and_then_by_y_and_what_comes_after_stays():
    edges = np.array([
        (0.0, 5.0, 1.0, 0.0, 7.0),
        (1.0, 0.0, 0.0, 5.0, 7.0),
        (2.0, 3.0, 2.0, 1.0, 8.0),
        (2.0, 1.0, 2.0, 3.0, 9.0),
        (4.0, 4.0, 4.0, 4.0, 1.0),
    ])  # fmt: skip
    given = edges.copy()
    found, turned = undirected(edges)
    assert found.tolist() == [
        [0, 5, 1, 0, 7],
        [0, 5, 1, 0, 7],
        [2, 1, 2, 3, 8],
        [2, 1, 2, 3, 9],
        [4, 4, 4, 4, 1],
    ]
    assert turned.tolist() == [False, True, True, False, False]
    assert (edges == given).all()
    assert undirected(np.empty((0, 4)))[0].shape == (0, 4)
