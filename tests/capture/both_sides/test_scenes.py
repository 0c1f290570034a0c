"""Two sides of one design, painted by hand and worn each in its own places."""

import numpy as np
import pytest
import shapely

from mateline.capture.both_sides.joint import joined
from mateline.capture.face_picture import FacePicture, Grid
from scenes.both import brush, guessed, other_side
from scenes.camera import standing
from scenes.design import design
from scenes.ideal import grid_of, places_of, squared
from scenes.judging import _samples, labels_right, true_numbers
from scenes.photograph import WOOD, linear_of, photographed
from scenes.wear import sampled, worn


def painted(each, wear, pitch):
    """A face as its pixels would be in a picture without fault: means of nine places each."""
    grid = grid_of(each, pitch)
    fine = Grid(3 * grid.rows, 3 * grid.columns, pitch / 3, grid.left, grid.low)
    places = places_of(fine)
    names = list(each.palette)
    numbers = true_numbers(each, places, names)
    paints = np.array([linear_of(each.palette[name]) for name in names])
    light = np.where(numbers[:, None] < 0, 0.25, paints[numbers])
    bare = np.maximum(sampled(wear.wood, wear, places), sampled(wear.scratch, wear, places))[
        :, None
    ]
    light = light * (1 - bare) + linear_of(WOOD) * bare
    light = light.reshape(grid.rows, 3, grid.columns, 3, 3).mean(axis=(1, 3))
    seen = (numbers >= 0).reshape(fine.rows, fine.columns)[1::3, 1::3]
    return FacePicture("side", grid, light.astype(np.float32), seen)


def pair_of_sides(face, seed, size, pitch, **unlike):
    """Designs, wear and what squaring and labelling would give, of the left and the right: of
    photographs of `size` px, or without a size of pictures without fault.
    """
    brushed = brush(face, seed + 50)
    sides = []
    for each, own, yaw in (
        (face, 7 * seed + 1, 14.0),
        (other_side(face, brushed, **unlike), 7 * seed + 2, -11.0),
    ):
        wear = worn(each.outline, seed=own, scratches=20)
        if size is None:
            picture = painted(each, wear, pitch)
        else:
            camera = standing(each.outline, size=size, density=3.0, yaw_deg=yaw)
            picture = squared(photographed(each, camera, wear=wear, seed=own), pitch)
        sides.append((each, wear, (picture, guessed(each, wear, pitch))))
    return brushed, sides


def off_the_brush(warp, brushed, face):
    """How far borders under the warp are from where the brush put them, mm."""
    lines = shapely.segmentize(face.borders, 1.0)
    there = shapely.transform(lines, brushed.moved)
    return shapely.distance(shapely.points(_samples(shapely.transform(lines, warp.moved))), there)


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
