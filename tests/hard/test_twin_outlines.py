"""Discs, rings and boxes laid over one another again and again, apart by rounding only.

So are shapes that a drawing repeats through other transforms. Every colour is checked point by
point against the shapes themselves.
"""

import random

import numpy as np
import pytest
import shapely
from shapely import Point, Polygon, affinity, box

from mateline.drawing.shapes import Shape
from mateline.pattern.pattern import Tiling, pattern_of, tiling

FACE = box(0, 0, 400, 300)
COLOURS = ("#ff0000", "#0000ff", "#00ff00")
WHITE = "#ffffff"
PLACES = np.asarray(
    shapely.points([(x, y) for x in np.arange(2.013, 400, 3.1) for y in np.arange(1.517, 300, 2.9)])
)


def outlines(rng):
    found = []
    for _ in range(rng.randint(2, 6)):
        x, y = rng.randint(1, 7) * 50, rng.randint(1, 5) * 50
        reach = rng.choice([20, 30, 50, 70])
        kind = rng.random()
        if kind < 0.4:
            found.append(Point(x, y).buffer(reach, quad_segs=rng.choice([4, 8, 16])))
        elif kind < 0.7:
            found.append(box(x - reach, y - reach / 2, x + reach, y + reach / 2))
        else:
            disc = Point(x, y).buffer(reach, quad_segs=8)
            found.append(disc.difference(Point(x, y).buffer(reach / 2, quad_segs=8)))
    return found


def laid_again(area, others, rng):
    kind = rng.random()
    if kind < 0.3:
        return affinity.rotate(area, rng.choice([90, 45, 180, 30, 1e-9]), origin="center")
    if kind < 0.5:
        return affinity.translate(area, rng.choice([0, 1e-13, 50, 25]), rng.choice([0, 1e-12, 50]))
    if kind < 0.65:
        return affinity.scale(area, rng.choice([-1, 1, 0.5]), rng.choice([1, -1, 1 + 1e-12]))
    if kind < 0.75:
        return area.union(rng.choice(others))
    return area.difference(rng.choice(others)) if kind < 0.85 else area


def last_bits_changed(area, rng):
    moved = {}

    def one(point):
        if point not in moved:
            moved[point] = tuple(x + rng.choice([0, 0, 1, -1, 2]) * np.spacing(x) for x in point)
        return moved[point]

    return shapely.transform(area, lambda points: np.array([one(tuple(p)) for p in points]))


def drawn(seed):
    rng = random.Random(seed)  # noqa: S311  # drawings, not secrets
    first = outlines(rng)
    turn = rng.choice([0, 0.2, 0.7])
    shapes = []
    for at in range(rng.choice([5, 10, 30, 80, 120])):
        area = affinity.rotate(
            laid_again(rng.choice(first), first, rng), turn, (200, 150), use_radians=True
        )
        area = last_bits_changed(area, rng) if rng.random() < 0.5 else area
        area = shapely.intersection(shapely.make_valid(area), FACE)
        parts = [part for part in shapely.get_parts(area) if isinstance(part, Polygon)]
        if parts:
            shapes.append(Shape(shapely.MultiPolygon(parts), COLOURS[at % 3], "twin"))
    return shapes


@pytest.mark.parametrize("seed", [*range(60), 68, 135, 242, 250, 380])
def test_every_place_has_the_colour_of_the_uppermost_shape(seed):
    shapes = drawn(seed)
    made = pattern_of(shapes, FACE, base=WHITE)
    assert tiling(made, FACE) == Tiling(0.0, 0.0, 0)
    top = np.full(len(PLACES), WHITE, dtype=object)
    clear = np.ones(len(PLACES), dtype=bool)
    for shape in shapes:
        shapely.prepare(shape.area)
        top[shapely.contains(shape.area, PLACES)] = shape.colour
        clear &= ~shapely.dwithin(shape.area.boundary, PLACES, 0.01)
    ours = np.full(len(PLACES), "none", dtype=object)
    for region in made.regions:
        shapely.prepare(region.area)
        ours[shapely.contains(region.area, PLACES)] = region.colour
    assert (ours[clear] == top[clear]).all()
    assert clear.mean() > 0.9
