"""Facts of tracing's parts: cracks between labels, labels tidied."""

import numpy as np
import pytest

from mateline.capture.tracing.cleaning import tidied
from mateline.capture.tracing.cracks import crack_map


def test_three_regions_have_one_junction_and_rims_between_three_more():
    #  0 0 1
    #  0 0 1     the junction is the corner between rows 1 and 2, columns 1 and 2
    #  2 2 2
    made = crack_map(np.array([[0, 0, 1], [0, 0, 1], [2, 2, 2]]))
    assert sorted(map(tuple, made.nodes.tolist())) == [
        (-0.5, 1.5), (1.5, -0.5), (1.5, 1.5), (2.5, 1.5),
    ]  # fmt: skip
    assert len(made.paths) == 6
    assert made.colours == (0, 1, 2)
    for region, loops in enumerate(made.loops):
        (loop,) = loops
        for at in loop:
            assert (made.left if at >= 0 else made.right)[max(at, ~at)] == region


def test_a_hole_is_a_second_loop_walked_backwards():
    numbers = np.zeros((5, 5), dtype=int)
    numbers[2, 2] = 1
    made = crack_map(numbers)
    outer, hole = made.loops[0]
    assert [len(outer), len(hole)] == [1, 1]
    assert made.loops[1] == ((~hole[0],),)
    assert all(start == -1 for start in made.start)


def test_pixels_that_touch_at_corners_only_are_parted():
    numbers = np.zeros((40, 40), dtype=int)
    numbers[:20, :20] = 1
    numbers[20:, 20:] = 1
    sound = np.ones(numbers.shape, dtype=bool)
    found = tidied(numbers, sound, sound, 0.4)
    a, b, c, d = found[:-1, :-1], found[:-1, 1:], found[1:, :-1], found[1:, 1:]
    assert not ((a == d) & (b == c) & (a != b)).any()


@pytest.mark.parametrize("long", [24, 60])
def test_a_strip_goes_to_what_is_nearest_be_that_far_or_not(long):
    numbers = np.zeros((long, 60), dtype=int)
    numbers[:, 30:] = 1
    numbers[3 : long - 3, 29:31] = 2  # two pixels wide
    none = np.zeros(numbers.shape, dtype=bool)
    found = tidied(numbers, none, none, 0.4)
    assert (found[:, :30] == 0).all()
    assert (found[:, 30:] == 1).all()


@pytest.mark.parametrize(("seen", "stays"), [(100, True), (40, False), (25, False)])
def test_a_slit_whose_border_is_not_to_be_measured_stays_if_its_paint_is_seen(seen, stays):
    """Five by forty pixels, 32 mm², in another colour; blur spoils all around it."""
    numbers = np.zeros((30, 60), dtype=int)
    numbers[12:17, 10:50] = 1
    paint = np.ones(numbers.shape, dtype=bool)
    slit = np.argwhere(numbers == 1)
    hidden = slit[np.argsort(-np.abs(slit[:, 0] - 14), kind="stable")][seen * len(slit) // 100 :]
    paint[tuple(hidden.T)] = False
    found = tidied(numbers, np.zeros(numbers.shape, dtype=bool), paint, 0.4)
    assert (found == 1).any() == stays
