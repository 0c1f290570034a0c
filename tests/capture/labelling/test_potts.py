"""Worked facts of the relaxation: the simplex, a hole that a straight border is put through."""

import numpy as np
import pytest

from mateline.capture.labelling.potts import net_of, projected, shortest


@pytest.mark.parametrize(("at", "nearest"), [
    ((1.0, 1.0), (0.5, 0.5)),  # both too large by a half
    ((2.0, 0.0), (1.0, 0.0)),  # (2 - t) + (0 - t) = 1 gives t = 1/2 and -1/2 for the other: it is 0
    ((0.2, 0.3, 0.5), (0.2, 0.3, 0.5)),  # on it already
    ((0.0, 0.0, 0.0), (1 / 3, 1 / 3, 1 / 3)),
    ((0.9, 0.5, -3.0), (0.7, 0.3, 0.0)),  # the third is out; the others are 0.4 too much
    ((-1.0, 5.0, -1.0, 4.5), (0.0, 0.75, 0.0, 0.25)),
])  # fmt: skip
def test_the_nearest_point_of_the_simplex(at, nearest):
    values = np.array(at, dtype=np.float32)[:, None]
    assert projected(values)[:, 0] == pytest.approx(nearest, abs=1e-6)


def halves(size, slope):
    """Two half-planes, label 1 right of a line that leans."""
    row, column = np.mgrid[:size, :size]
    return (column + slope * (row - size / 2) > size / 2).astype(int)


def solved(truth, hole, weight=None, labels=3, turns=300):
    start = np.zeros((labels, truth.size), dtype=np.float32)
    start[truth.ravel(), np.arange(truth.size)] = 1
    start[:, hole.ravel()] = 1 / labels
    weight = np.ones(truth.size, dtype=np.float32) if weight is None else weight.ravel()
    net = net_of(np.ones_like(hole))
    share = shortest(net, start, ~hole.ravel(), weight, turns)
    return share.argmax(axis=0).reshape(truth.shape)


@pytest.mark.parametrize("slope", [0.0, 0.3, 1.0])
def test_a_straight_border_is_put_through_a_hole(slope):
    truth = halves(60, slope)
    row, column = np.mgrid[:60, :60]
    hole = (abs(row - 30) < 12) & (abs(column - 30) < 16)
    found = solved(truth, hole)
    # a border of 24 rows may be half a cell off in each
    assert (found != truth).sum() <= 12
    assert 2 not in found


def test_a_band_goes_on_behind_a_wide_patch_only_where_borders_are_cheap():
    # A band 8 wide meets a patch 24 wide: its two sides are 48 long, its two ends 16. At a fifth
    # of the cost the sides come to 9.6.
    truth = np.zeros((48, 60), dtype=int)
    truth[20:28] = 1
    hole = np.zeros(truth.shape, dtype=bool)
    hole[8:40, 18:42] = True
    shortest_way = solved(truth, hole, labels=2)
    assert (shortest_way[20:28, 26:34] == 0).all()
    weight = np.ones(truth.shape, dtype=np.float32)
    weight[[19, 27]] = 0.2
    assert (solved(truth, hole, weight, labels=2) == truth).all()
