"""What is nearly mirrored about one line, and what is made of it."""

import math

import numpy as np
import pytest

from mateline import curves
from mateline.capture.regularity.regular import proposed, regular
from traced_islands import islands, polygon, sound


def turned(points, degrees, about=(100.0, 50.0)):
    """Points turned about a place, and drawn nearer to it."""
    c, s = (0.6 * each(math.radians(degrees)) for each in (math.cos, math.sin))
    return [
        (about[0] + c * (x - about[0]) - s * (y - about[1]),
         about[1] + s * (x - about[0]) + c * (y - about[1]))
        for x, y in points
    ]  # fmt: skip


SAIL = [(60.0, 30.0), (90.0, 35.0), (82.0, 70.0)]
FLAG = [(40.0, 60.0), (58.0, 66.0), (48.0, 80.0)]


def images(points, off=0.0):
    """The mirror image about x = 100, the other way round, with each corner a little off."""
    return [(200 - x + off * math.sin(3 * x), y + off * math.cos(5 * y)) for x, y in points[::-1]]


@pytest.mark.parametrize("degrees", [0, 25, 90])
def test_what_is_nearly_mirrored_becomes_so(degrees):
    figures = [SAIL, images(SAIL, 0.02), FLAG, images(FLAG, 0.02)]
    discs = turned([(70, 20), (130.015, 20.01)], degrees)
    own = islands(
        *(polygon(*turned(each, degrees)) for each in figures),
        curves.circle(discs[0], 6.0), curves.circle(discs[1], 6.02),
    )  # fmt: skip
    made, (change,) = regular(own, ("mirrored",), 0.1)
    assert change.kind == "mirrored"
    assert change.words.startswith("7 pairs mirrored about")
    assert change.borders == (1, 2, 3, 4, 5, 6)
    assert 0.005 < change.moved < 0.03
    (ax, ay), (bx, by) = (made.borders[at].chain.segments[0].centre for at in (5, 6))
    way = np.array([bx - ax, by - ay]) / math.hypot(bx - ax, by - ay)
    d = float(((ax + bx) * way[0] + (ay + by) * way[1]) / 2)
    for left, right in ((1, 2), (3, 4)):
        points = np.array(made.borders[left].chain.points[:-1])
        mirrored = points - 2 * ((points * way).sum(axis=1) - d)[:, None] * way
        others = np.array(made.borders[right].chain.points[:-1])
        far = np.hypot(*(mirrored[:, None] - others[None]).transpose(2, 0, 1)).min(axis=1)
        assert far.max() < 1e-4
    assert sound(made)


def test_a_figure_on_the_axis_is_its_own_image():
    own = islands(
        polygon(*SAIL), polygon(*images(SAIL)), curves.circle((100.02, 20), 8.0),
        polygon((92, 80), (108.02, 80), (100.02, 92)),
    )  # fmt: skip
    made, (change,) = regular(own, ("mirrored",), 0.1)
    assert change.borders == (1, 2, 3, 4)
    middle = made.borders[3].chain.segments[0].centre[0]
    assert middle == pytest.approx(100.0, abs=0.02)
    ends = sorted(x for at in (1, 2) for x, _ in made.borders[at].chain.points[:-1])
    assert [a + b for a, b in zip(ends, ends[::-1], strict=True)] == pytest.approx([2 * middle] * 6)


def test_what_is_off_by_more_than_errors_explain_stays():
    own = islands(polygon(*SAIL), polygon(*images(SAIL, 0.5)))
    assert regular(own, ("mirrored",), 1.0) == (own, ())
    moved = [(x + 0.6, y) for x, y in images(FLAG)]
    own = islands(polygon(*SAIL), polygon(*images(SAIL)), polygon(*FLAG), polygon(*moved))
    assert all(each.borders == (1, 2) for each in proposed(own, 0.3) if each.kind == "mirrored")


def test_two_pairs_are_no_mirror():
    centres = ((30, 30), (170, 30), (30, 70), (170, 71))
    own = islands(*(curves.circle(each, 5.0) for each in centres))
    assert not [each for each in proposed(own, 0.1) if each.kind == "mirrored"]
