"""Neighbours mate exactly, however hostile the shapes: each edge is shared, and none cross.

What is proved of a pattern is asked of no library: with exact fractions, no two edges cross and
no vertex lies on an edge; every edge is walked once each way, or once along the outline. Winding
numbers are then 1 inside and 0 outside, so nothing is bare and nothing covered twice.
(`coverage_is_valid` of GEOS 3.14 is not asked here: it finds fault with holes that touch their
shell at a corner where a third region meets them.)
"""

import math
from collections import Counter
from fractions import Fraction
from itertools import pairwise

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis.strategies import composite, floats, integers, lists, sampled_from, tuples
from shapely import Polygon, box

from mateline.drawing.shapes import Shape
from mateline.pattern.pattern import Tiling, pattern_of, tiling

WIDE, HIGH = 400.0, 300.0
COLOURS = ("#000000", "#000001", "#000002")
hairs = sampled_from([0.0, 1e-12, 1e-10, 1e-9, 1e-8, 1e-7, 1e-6, 1e-4])
shares = floats(-1, 1).map(lambda share: round(share, 3))
places = tuples(floats(0, WIDE), floats(0, HIGH))
tens = integers(-4, 30).map(lambda step: 10.0 * step)


@composite
def rings_at(draw, a, b):
    """Corners of a ring on the edge from a to b or across it."""
    kind = draw(sampled_from(["on the edge", "along the edge", "sliver", "disc"]))
    if kind == "on the edge":
        return np.array([a, b, draw(places)])
    if kind == "along the edge":
        s, t = draw(tuples(floats(-0.3, 1.3), floats(-0.3, 1.3)))
        return np.array([a + s * (b - a), a + t * (b - a), draw(places)])
    if kind == "sliver":
        one, other = np.array(draw(places)), np.array(draw(places))
        return np.array([one, other, (one + other) / 2 + draw(hairs)])
    turn = np.linspace(0, math.tau, draw(integers(3, 40)), endpoint=False)
    return a + draw(floats(1, 150)) * np.column_stack([np.cos(turn), np.sin(turn)])


@composite
def rings(draw, drawn):
    """Corners of a ring, new or made from one of those `drawn` so that they all but share edges."""
    if not drawn or draw(integers(0, 3)) == 0:
        x, y, wide, high = draw(tuples(tens, tens, tens, tens))
        wide, high = abs(wide) + 10, abs(high) + 10
        return np.array([(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)])
    near = draw(sampled_from(drawn))
    kind = draw(sampled_from(["shaken", "moved", "else", "else"]))
    if kind == "shaken":
        step = np.array(draw(lists(shares, min_size=near.size, max_size=near.size)))
        return near + draw(hairs) * step.reshape(near.shape)
    if kind == "moved":
        return near + draw(hairs) * np.array(draw(tuples(shares, shares)))
    at = draw(integers(0, len(near) - 1))
    return draw(rings_at(near[at], near[(at + 1) % len(near)]))


@composite
def hostile(draw):
    """Shapes and their outline, from 0 to 1 000 000 mm off the origin and turned at will."""
    drawn = []
    for _ in range(draw(integers(1, 10))):
        drawn.append(draw(rings(drawn)))
    off = draw(tuples(*[sampled_from([0.0, 0.0, 1e3, -1e6, 1e6])] * 2))
    turn = draw(sampled_from([0.0, 0.0625, -0.14]))
    outline = box(0, 0, WIDE, HIGH)

    def put(area):
        moved = shapely.affinity.translate(area, *off)
        return shapely.affinity.rotate(moved, turn, (0, 0), use_radians=True)

    return [
        Shape(put(Polygon(ring)), draw(sampled_from(COLOURS)), "ring")
        for ring in drawn
        if len(np.unique(ring, axis=0)) > 2
    ], put(outline)


def side(a, b, place):
    """1, 0 or -1, exact: whether `place` is left of, on or right of the line from a to b."""
    (ax, ay), (bx, by), (x, y) = (map(Fraction, point) for point in (a, b, place))
    turn = (bx - ax) * (y - ay) - (by - ay) * (x - ax)
    return (turn > 0) - (turn < 0)


def assert_no_two_cross(edges):
    lines = shapely.linestrings(np.array(edges))
    one, other = shapely.STRtree(lines).query(lines)
    pairs = zip(one.tolist(), other.tolist(), strict=True)
    for (a, b), (c, d) in ((edges[i], edges[j]) for i, j in pairs if i < j):
        ends = (side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b))
        assert not (ends[0] * ends[1] < 0 and ends[2] * ends[3] < 0)
        for turn, (low, high), place in zip(
            ends, ((a, b), (a, b), (c, d), (c, d)), (c, d, a, b), strict=True
        ):
            assert turn != 0 or not min(low, high) < place < max(low, high)


def assert_mates(pattern, outline):
    walks = Counter()
    for region in pattern.regions:
        assert region.area.is_valid
        for ring in shapely.get_rings(shapely.orient_polygons(region.area)):
            walks.update(pairwise(ring.coords))
    assert set(walks.values()) == {1}
    single = [walk for walk in walks if walk[::-1] not in walks]
    reach = 1e-9 * max(map(abs, outline.bounds))
    places = shapely.points(np.array(single).reshape(-1, 2))
    assert shapely.distance(outline.boundary, places).max() <= reach
    assert_no_two_cross(sorted({tuple(sorted(walk)) for walk in walks}))
    total = math.fsum(region.area.area for region in pattern.regions)
    assert abs(total - outline.area) <= 1e-9 * outline.area
    assert tiling(pattern, outline) == Tiling(0.0, 0.0, 0)


@settings(max_examples=200, deadline=None)
@given(hostile())
def test_hostile_shapes_mate_exactly(drawn):
    shapes, outline = drawn
    assert_mates(pattern_of(shapes, outline, base="#ffffff"), outline)
