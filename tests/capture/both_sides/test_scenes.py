"""Two sides of one design, painted by hand and worn each in its own places."""

import numpy as np
import pytest
import shapely

from mateline.capture.both_sides.joint import joined
from scenes.design import design
from scenes.judging import labels_right
from scenes.pair import off_the_brush, pair_of_sides


def judged_pair(seed, width, height, size, pitch):
    face = design(seed, width, height)
    brushed, sides = pair_of_sides(face, seed, size, pitch)
    both = joined(sides[0][2], sides[1][2])
    off = off_the_brush(both.registered.warp, brushed, face)
    shares = []
    for (each, wear, (_, alone)), (_, got) in zip(sides, (both.left, both.right), strict=True):
        shares.append((labels_right(alone, each, wear), labels_right(got, each, wear)))
    return both, float(np.sqrt(np.mean(off**2))), shares


def test_both_sides_are_laid_on_each_other_and_fill_each_others_damage():
    both, rms, shares = judged_pair(1, 150, 200, None, 0.4)
    assert rms < 0.25  # 0.15 mm of it is each shape's own
    for alone, got in shares:
        assert got["all"] > alone["all"]
        assert got["all"] > 0.99
        assert got["damaged"] > 0.96
        assert got["sound"] > 0.995
    assert both.differences == ()


@pytest.mark.scenes
@pytest.mark.parametrize("seed", [1, 3, 4, 5])
def test_many_pairs_are_joined(seed):
    both, rms, shares = judged_pair(seed, 300, 400, (1200, 1500), 0.4)
    assert rms < 0.2
    for alone, got in shares:
        assert got["all"] > max(0.995, alone["all"])
        assert got["damaged"] > 0.98
    assert both.differences == ()


@pytest.mark.scenes
def test_a_disc_that_was_moved_and_a_star_of_another_colour_are_told():
    face = design(2, 300, 400)
    star = next(at for at, (chain, _) in enumerate(face.shapes) if len(chain.segments) == 10)
    colour = "teal" if face.shapes[star][1] != "teal" else "green"
    _, sides = pair_of_sides(
        face, 2, (1200, 1500), 0.4, moved_shape=(star - 2, (6, 4)), recoloured=((star, colour),)
    )
    both = joined(sides[0][2], sides[1][2])
    moved, recoloured = face.areas[star - 2].buffer(10), face.areas[star].buffer(3)
    pair = (face.shapes[star][1], colour)
    spots = [(each, shapely.Point(each.at)) for each in both.differences]
    assert any((each.left, each.right) == pair and recoloured.contains(at) for each, at in spots)
    assert any(moved.contains(at) for _, at in spots)
    assert all(moved.contains(at) or recoloured.contains(at) for _, at in spots)
