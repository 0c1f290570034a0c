"""Both sides of one design as squaring and labelling would give them, each worn in its places."""

import numpy as np
import shapely

from mateline.capture.face_picture import FacePicture, Grid
from scenes.both import brush, guessed, other_side
from scenes.camera import standing
from scenes.ideal import grid_of, places_of, squared
from scenes.judging import _samples, true_numbers
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
