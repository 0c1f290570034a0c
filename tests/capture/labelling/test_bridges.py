"""Borders that are seen on both sides of a patch are one border; others run on."""

import numpy as np
import pytest

from mateline.capture.labelling.bridges import bridges_of
from mateline.capture.labelling.stretches import Stretch, ends_of, stretches_of

PITCH = 0.8


def shares(inside):
    """Two labels with soft borders: how much each cell is `inside` (mm, positive within)."""
    part = np.clip(inside / PITCH + 0.5, 0, 1).astype(np.float32)
    return np.stack([1 - part, part], axis=2)


def places(rows=100, columns=120):
    row, column = np.mgrid[:rows, :columns]
    return column * PITCH, row * PITCH


def patch(shape, rows, columns):
    hole = np.zeros(shape, dtype=bool)
    hole[rows[0] : rows[1], columns[0] : columns[1]] = True
    return hole


def test_a_line_is_bridged_where_it_was():
    x, y = places()
    share = shares(y - 20 - 0.3 * x)
    known = ~patch(x.shape, (30, 80), (50, 80))
    joined = [each for each in bridges_of(share, known, np.ones_like(known), PITCH) if each.joined]
    assert joined
    for bridge in joined:
        row, column = bridge.path.T * PITCH
        assert abs(row - 20 - 0.3 * column).max() < 0.25


def test_an_arc_is_bridged_where_it_was():
    x, y = places()
    share = shares(30 - np.hypot(x - 48, y - 40))
    known = ~patch(x.shape, (0, 40), (45, 75))
    joined = [each for each in bridges_of(share, known, np.ones_like(known), PITCH) if each.joined]
    assert joined
    for bridge in joined:
        row, column = bridge.path.T * PITCH
        assert abs(np.hypot(column - 48, row - 40) - 30).max() < 0.6


def test_the_bend_of_a_ring_is_its_radius():
    x, y = places()
    share = shares(30 - np.hypot(x - 48, y - 40))
    known = ~patch(x.shape, (0, 40), (45, 75))
    ends = ends_of(stretches_of(share, known, PITCH), PITCH)
    long = ends.told & (ends.length > 20)
    assert long.sum() == 4  # two ends, from either label's side
    assert abs(ends.bend[long]) == pytest.approx(PITCH / 30, rel=0.1)


def test_a_border_that_ends_in_a_patch_runs_on_alone_to_where_paint_is_seen():
    # the corner of a square is hidden: both its sides run on, and cross
    x, y = places()
    share = shares(np.minimum(x - 40, y - 30))
    known = ~patch(x.shape, (20, 60), (35, 75))
    bridges = bridges_of(share, known, np.ones_like(known), PITCH)
    assert bridges
    assert not any(each.joined for each in bridges)
    for bridge in bridges:
        row, column = bridge.path.T * PITCH
        assert min(abs(column - 40).max(), abs(row - 30).max()) < 0.6


def test_a_stretch_that_comes_back_to_where_it_began_tells_no_way_there():
    angle = np.linspace(0, 2 * np.pi, 90)
    ring = Stretch(np.column_stack([20 + 5 * np.sin(angle), 20 + 5 * np.cos(angle)]), 0)
    assert np.isfinite(ends_of([ring], PITCH).way).all()
