"""Both sides of a cabinet, painted by hand: one design, mirrored, that the brush moved a little.

`moved` is where the right side's paint is, in the left's frame: a smooth field of up to `most` mm,
a shift and a scale. The right side's own frame is the mirror image, x = width - x.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from scipy import ndimage
from shapely import affinity

from scenes.design import Design
from scenes.ideal import labelled


@dataclass(frozen=True)
class Brush:
    """How the right side's paint lies: `field` (2, rows, columns) mm every 20 mm from `corner`,
    `scale` and `shift` besides.
    """

    field: np.ndarray
    corner: tuple
    scale: float
    shift: tuple

    def moved(self, places):
        """Where the right side has what the left has at places (n, 2), in the left's frame, mm."""
        at = [(places[:, 1] - self.corner[1]) / 20, (places[:, 0] - self.corner[0]) / 20]
        off = [ndimage.map_coordinates(each, at, order=3, mode="nearest") for each in self.field]
        return places * self.scale + self.shift + np.column_stack(off)


@dataclass(frozen=True)
class Repainted(Design):
    """A design whose shapes are polygons as painted, not chains."""

    flat: tuple = ()

    @cached_property
    def areas(self):
        return list(self.flat)


def brush(design, seed, most=2.0, scale=1.003, shift=(0.8, -1.1), over=70.0):
    """A brush that leaves the left side's places by up to `most` mm, alike over about `over` mm."""
    rng = np.random.default_rng(seed)
    left, low, right, up = design.outline.bounds
    shape = (int((up - low) / 20) + 12, int((right - left) / 20) + 12)
    smooth = [
        ndimage.gaussian_filter(rng.standard_normal(shape), over / 20, mode="wrap") for _ in "xy"
    ]
    field = np.array(smooth)
    field *= most / np.hypot(*field).max()
    return Brush(field, (left - 100, low - 100), scale, shift)


def other_side(design, brushed, moved_shape=None, recoloured=(), seed=0, jitter=0.15):
    """The right side's design in its own frame. `moved_shape` is (number, (dx, dy)): a shape that
    the painter put elsewhere; `recoloured` has (number, colour); each shape is off by `jitter` mm.
    """
    rng = np.random.default_rng(seed)
    width = design.outline.bounds[0] + design.outline.bounds[2]
    flat = []
    for at, area in enumerate(design.areas):
        off = jitter * rng.standard_normal(2)
        if moved_shape and moved_shape[0] == at:
            off += moved_shape[1]
        dense = shapely.segmentize(affinity.translate(area, *off), 2.0)
        painted = shapely.transform(dense, lambda xy: mirrored(brushed.moved(xy), width))
        flat.append(shapely.make_valid(painted))
    shapes = list(design.shapes)
    for at, colour in recoloured:
        shapes[at] = (shapes[at][0], colour)
    corners = mirrored(design.corners, width)[::-1]
    return Repainted(corners, tuple(shapes), design.base, design.palette, tuple(flat))


def mirrored(places, width):
    return np.column_stack([width - places[:, 0], places[:, 1]])


def guessed(design, wear, pitch=0.4):
    """Labels as `labelled` gives them, but behind damage the nearest sound colour, 0.6 sure."""
    whole = labelled(design, wear, pitch)
    hidden = (whole.numbers >= 0) & ~whole.sound
    known = whole.sound
    at = ndimage.distance_transform_edt(~known, return_distances=False, return_indices=True)
    numbers = whole.numbers.copy()
    numbers[hidden] = whole.numbers[tuple(at)][hidden]
    return replace(whole, numbers=numbers)
