"""A pattern tiles its outline, whatever was painted in it, and has every border once."""

import math
from collections import Counter
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis.strategies import (
    builds,
    floats,
    integers,
    lists,
    permutations,
    sampled_from,
    tuples,
)
from shapely import Polygon, box

from mateline.drawing.shapes import Shape
from mateline.pattern.pattern import (
    Border,
    Pattern,
    Region,
    Tiling,
    frayed,
    pattern_of,
    tiling,
)

FACE = box(0, 0, 400, 300)
RED, BLUE, WHITE = "#ff0000", "#0000ff", "#ffffff"


def disc(x, y, reach, count=48, colour=RED):
    turn = np.linspace(0, math.tau, count, endpoint=False)
    ring = np.column_stack([x + reach * np.cos(turn), y + reach * np.sin(turn)])
    return Shape(Polygon(ring), colour, "disc")


def star(x, y, reach, points=5, colour=BLUE):
    turn = np.linspace(0, math.tau, 2 * points, endpoint=False)
    far = np.where(np.arange(2 * points) % 2, 0.4 * reach, reach)
    return Shape(
        Polygon(np.column_stack([x + far * np.cos(turn), y + far * np.sin(turn)])), colour, "star"
    )


def slab(x, y, wide, high, colour=WHITE):
    return Shape(box(x, y, x + wide, y + high), colour, "slab")


def assert_tiles(pattern, outline):
    """Edge-matched, every piece inside, and areas closing: together they prove a tiling."""
    areas = [region.area for region in pattern.regions]
    assert tiling(pattern, outline) == Tiling(0.0, 0.0, 0)
    assert shapely.coverage_is_valid(areas)
    assert sum(area.area for area in areas) == pytest.approx(outline.area, rel=1e-9)
    assert all(area.is_valid and area.is_simple for area in areas)
    reach = outline.buffer(1e-9 * max(outline.bounds))
    assert all(reach.covers(area) for area in areas)


def assert_borders_make_regions(pattern):
    """Each border is used once from either side, and loops of borders are the areas' rings."""
    used = Counter(step for region in pattern.regions for loop in region.loops for step in loop)
    for number, border in enumerate(pattern.borders):
        assert used[number] == (border.left >= 0)
        assert used[~number] == (border.right >= 0)
        np.testing.assert_array_equal(border.points[0], pattern.nodes[border.start])
        np.testing.assert_array_equal(border.points[-1], pattern.nodes[border.end])
    for region in pattern.regions:
        rings = [region.area.exterior, *region.area.interiors]
        for loop, ring in zip(region.loops, rings, strict=True):
            walked = [
                pattern.borders[step].points if step >= 0 else pattern.borders[~step].points[::-1]
                for step in loop
            ]
            points = np.vstack([walked[0][:1], *(part[1:] for part in walked)])
            assert shapely.equals(Polygon(points), Polygon(ring))


def test_an_empty_face_is_one_region_of_the_base_colour():
    (region,) = pattern_of([], FACE, base=WHITE).regions
    assert region.colour == WHITE
    assert region.area.equals(FACE)
    assert region.sources == frozenset()


def test_what_nothing_covers_has_no_colour_without_a_base_coat():
    bare, red = pattern_of([slab(0, 0, 100, 300, RED)], FACE, base=None).regions[::-1]
    assert (bare.colour, red.colour) == ("", RED)


#  300 +-------------+
#  200 |   +-----+   |      a slab in the middle: one free border, shared
#  100 |   +-----+   |
#    0 +-------------+
def test_a_shape_in_the_middle_shares_one_closed_border_with_the_base():
    pattern = pattern_of([slab(100, 100, 200, 100, RED)], FACE, base=WHITE)
    assert [region.area.area for region in pattern.regions] == [100_000, 20_000]
    (shared,) = (border for border in pattern.borders if -1 not in {border.left, border.right})
    assert shared.start == shared.end
    assert {shared.left, shared.right} == {0, 1}


def test_the_shape_on_top_is_the_one_seen():
    pattern = pattern_of([slab(0, 0, 400, 300, RED), slab(0, 0, 200, 300, BLUE)], FACE, base=WHITE)
    assert [(r.colour, r.area.area) for r in pattern.regions] == [(BLUE, 60_000), (RED, 60_000)]


def test_shapes_of_one_colour_melt_into_one_region_that_names_both():
    shapes = [slab(50, 50, 100, 100, RED), slab(150, 50, 100, 100, RED)]
    red = pattern_of(shapes, FACE, base=WHITE).regions[1]
    assert red.area.area == 20_000
    assert red.sources == {0, 1}


def test_a_hidden_shape_is_no_source():
    shapes = [slab(50, 50, 50, 50, RED), slab(0, 0, 200, 200, RED), slab(300, 0, 9, 9, BLUE)]
    first = pattern_of(shapes, FACE, base=WHITE).regions[0]
    assert first.sources == {1}


def test_shapes_that_meet_in_a_point_stay_two_pieces():
    shapes = [slab(50, 50, 50, 50, RED), slab(100, 100, 50, 50, RED)]
    pattern = pattern_of(shapes, FACE, base=WHITE)
    assert sorted(r.area.area for r in pattern.regions if r.colour == RED) == [2500, 2500]
    assert_tiles(pattern, FACE)


def test_a_shape_that_crosses_itself_is_taken_as_the_area_it_encloses():
    bow = Shape(Polygon([(50, 50), (150, 150), (150, 50), (50, 150)]), RED, "bow")
    pattern = pattern_of([bow], FACE, base=WHITE)
    assert sum(r.area.area for r in pattern.regions if r.colour == RED) == pytest.approx(5000)


def test_what_lies_off_the_outline_is_left_out():
    pattern = pattern_of(
        [slab(-50, -50, 100, 100, RED), slab(900, 0, 9, 9, BLUE)], FACE, base=WHITE
    )
    assert [(r.colour, r.area.area) for r in pattern.regions] == [(RED, 2500), (WHITE, 117_500)]


def test_an_outline_with_holes_is_tiled_around_them():
    ring = FACE.difference(box(100, 100, 150, 150))
    pattern = pattern_of([disc(120, 120, 60), star(300, 150, 90)], ring, base=WHITE)
    assert_tiles(pattern, ring)
    assert_borders_make_regions(pattern)


def test_neighbours_drawn_a_hair_apart_keep_the_hair():
    shapes = [slab(0, 0, 200, 300, RED), slab(200.001, 0, 199.999, 300, BLUE)]
    thin = min(pattern_of(shapes, FACE, base=WHITE).regions, key=lambda region: region.area.area)
    assert (thin.colour, thin.area.area) == (WHITE, pytest.approx(0.3))


# With these turns rounding leaves a face of 1e-26 between the three edges.
@pytest.mark.parametrize("seed", [11, 14, 48, 49, 52])
def test_edges_meant_to_cross_in_one_point_leave_no_face_between_them(seed):
    middle = np.array([200.1, 150.3])
    halves = []
    for turn, colour in zip(
        np.random.default_rng(seed).uniform(0, math.tau, 3), (RED, BLUE, "#00ff00"), strict=True
    ):
        way = np.array([math.cos(turn), math.sin(turn)])
        a, b, off = middle - 90 * way, middle + 110 * way, 99 * np.array([-way[1], way[0]])
        halves.append(Shape(Polygon([a, b, b + off, a + off]), colour, "half"))
    pattern = pattern_of(halves, FACE, base=WHITE)
    assert_tiles(pattern, FACE)
    assert min(region.area.area / region.area.length for region in pattern.regions) > 0.1


@pytest.mark.parametrize("seed", range(12))
def test_edges_that_only_last_bits_part_are_one_border(seed):
    # Seen in flags: the same vertices reached by other sums, and a knife that would go there twice.
    random = np.random.default_rng(seed)
    edge = np.column_stack([np.sort(random.uniform(50, 150, 5)), random.uniform(20, 180, 5)])
    twin = np.nextafter(edge, random.choice([-1e9, 1e9], edge.shape))
    west = Polygon([*edge, (160, 190), (10, 190), (10, 10)])
    east = Polygon([*twin[::-1], (10, 10), (190, 10), (190, 190), (160, 190)])
    if not (west.is_valid and east.is_valid):
        pytest.skip("these edges cross the rest")
    pattern = pattern_of([Shape(west, RED, "west"), Shape(east, BLUE, "east")], FACE, base=WHITE)
    assert_tiles(pattern, FACE)
    along = [
        border
        for border in pattern.borders
        for one, other in pairwise(border.points)
        if np.allclose([one, other], edge[1:3], atol=1e-6, rtol=0)
        or np.allclose([other, one], edge[1:3], atol=1e-6, rtol=0)
    ]
    assert len(along) == 1


def test_an_outline_that_crosses_itself_is_no_outline():
    with pytest.raises(ValueError, match="Self-intersection"):
        pattern_of([], Polygon([(0, 0), (9, 9), (9, 0), (0, 9)]), base=WHITE)


def test_a_lost_region_is_a_gap_of_its_area():
    pattern = pattern_of([slab(100, 100, 200, 100, RED)], FACE, base=WHITE)
    lost = type(pattern)(pattern.nodes, pattern.borders, pattern.regions[:1])
    assert tiling(lost, FACE).gap_area == pytest.approx(20_000)


def test_a_region_twice_is_an_overlap_of_its_area():
    pattern = pattern_of([slab(100, 100, 200, 100, RED)], FACE, base=WHITE)
    twice = type(pattern)(pattern.nodes, pattern.borders, (*pattern.regions, pattern.regions[1]))
    assert tiling(twice, FACE).overlap_area == pytest.approx(20_000)


def test_the_order_of_far_apart_shapes_changes_nothing():
    shapes = [disc(80, 80, 40), star(300, 200, 70), slab(150, 20, 30, 30)]
    one, other = (pattern_of(order, FACE, base=RED) for order in (shapes, shapes[::-1]))
    assert [shapely.to_wkb(r.area) for r in one.regions] == [
        shapely.to_wkb(r.area) for r in other.regions
    ]


def in_columns(across, up, turn, colours):
    """A grid of slabs, each short of its neighbours by a hair (or over them where it is < 0)."""
    xs = np.cumsum([20, *(wide for wide, _ in across)]).tolist()
    ys = np.cumsum([20, *(high for high, _ in up)]).tolist()
    boxes = [
        box(low, bottom, high - gap, top - rise)
        for (low, high), (_, gap) in zip(pairwise(xs), across, strict=True)
        for (bottom, top), (_, rise) in zip(pairwise(ys), up, strict=True)
    ]
    turned = shapely.affinity.rotate(shapely.MultiPolygon(boxes), turn, (0, 0), use_radians=True)
    return [Shape(area, colours[at % len(colours)], "slab") for at, area in enumerate(turned.geoms)]


def drawn_colour(shapes, places, base):
    """The colour of the topmost shape at each place, one point at a time."""
    found = np.full(len(places), base, dtype=object)
    for shape in shapes:
        found[shapely.contains(shape.area, places)] = shape.colour
    return found


hairs = sampled_from([0, 1e-12, 1e-10, 1e-9, 1e-8, 1e-7, 1e-6, 0.004, -1e-9, -1e-7, -0.01])
steps_across = lists(tuples(integers(1, 60), hairs), min_size=1, max_size=7)


@settings(max_examples=60, deadline=None)
@given(steps_across, steps_across, sampled_from([0.0, 0.0625, -0.14]), permutations("aabbc"))
def test_neighbours_any_hair_apart_keep_their_colours(across, up, turn, colours):
    shapes = in_columns(across, [(high / 2, gap) for high, gap in up], turn, colours)
    pattern = pattern_of(shapes, FACE, base=WHITE)
    assert_tiles(pattern, FACE)
    places = shapely.points(np.random.default_rng(7).uniform((0, 0), (400, 300), (500, 2)))
    rims = shapely.union_all(shapely.boundary([shape.area for shape in shapes]))
    places = places[shapely.distance(rims, places) > 1e-5]
    seen = drawn_colour([Shape(r.area, r.colour, "") for r in pattern.regions], places, "")
    assert (seen == drawn_colour(shapes, places, WHITE)).all()


places = floats(-50, 450).map(lambda place: round(place, 6))
sizes = floats(1, 300)
colours = sampled_from([RED, BLUE, WHITE, "#00ff00"])
loose = (
    builds(disc, places, places, sizes, integers(3, 64), colours)
    | builds(star, places, places, sizes, integers(2, 9), colours)
    | builds(slab, places, places, sizes, sizes, colours)
)
steps = integers(-4, 40).map(lambda step: 10.0 * step)
snug = builds(
    slab, steps, steps, steps.map(lambda s: abs(s) + 10), steps.map(lambda s: abs(s) + 10), colours
)


@settings(max_examples=60, deadline=None)
@given(lists(loose, max_size=12))
def test_anything_painted_tiles_the_face(shapes):
    pattern = pattern_of(shapes, FACE, base=WHITE)
    assert_tiles(pattern, FACE)
    assert_borders_make_regions(pattern)


@settings(max_examples=60, deadline=None)
@given(lists(snug | loose, max_size=14))
def test_shapes_that_share_edges_tile_the_face(shapes):
    pattern = pattern_of(shapes, FACE, base=WHITE)
    assert_tiles(pattern, FACE)
    assert_borders_make_regions(pattern)


@settings(max_examples=40, deadline=None)
@given(lists(snug | loose, min_size=1, max_size=10), floats(0, 400), floats(0, 300))
def test_the_colour_at_a_point_is_that_of_the_topmost_shape_there(shapes, x, y):
    at = shapely.Point(x, y)
    areas = [shapely.make_valid(shape.area) for shape in shapes]
    if any(area.boundary.distance(at) < 1e-6 for area in [*areas, FACE]):
        return
    top = [s.colour for s, area in zip(shapes, areas, strict=True) if area.contains(at)]
    (seen,) = (r for r in pattern_of(shapes, FACE, base="#123456").regions if r.area.contains(at))
    assert seen.colour == (top or ["#123456"])[-1]


def test_rounding_splits_no_hair_off_the_rim():
    """Three triangles whose edges lie along a rim that leans: as a random cabinet had them. The
    rim's hair of 3e-10 mm² was a piece, and the rim beside it was walked twice.
    """
    outline = Polygon(
        [(542.7, 0), (542.7, 507.7), (2.074200000000002, 511.84467343245615),
         (-1.6653345369377348e-14, 0.007406432456093575), (6.240021223504569, 0)]
    )  # fmt: skip
    corner = (-1.642332628649506e-14, 0.0074064324561503355)
    along_the_rim = [
        ("red", [(1.0720150601524987, 130.63644190674398), (0.5259928159866155, 129.80333999538604),
                 (0.6670092192655581, 164.60106946046326)]),
        ("blue", [corner, (1.1763257388090826, 290.28189840709683),
                  (1.4387730963152436, 289.3669916565432)]),
        ("cream", [(6.240021223504569, 2.9449512469148167e-16), corner,
                   (0.8245960113578259, 203.48776938323005)]),
    ]  # fmt: skip
    shapes = [Shape(Polygon(points), colour, colour) for colour, points in along_the_rim]
    pattern = pattern_of(shapes, outline, base="cream")
    assert [region.colour for region in pattern.regions] == ["cream", "blue"]
    assert min(region.area.area for region in pattern.regions) > 1e-3


@pytest.mark.parametrize(("apart", "count"), [(0.0, 1), (1e-12, 1), (1e-3, 0)])
def test_borders_that_rounding_has_split_are_counted(apart, count):
    """Two borders of a hair between (20, 30) and (70, 50), and a rim of 100 by 100."""
    hair = Polygon([(20, 30), (70, 50), (70, 50 + apart)])
    nodes = np.array([(0.0, 0.0), (20, 30), (70, 50), (70, 50 + apart)])
    rim = np.array([(0.0, 0.0), (100, 0), (100, 100), (0, 100), (0, 0)])
    pattern = Pattern(
        nodes,
        (
            Border(0, 0, 0, -1, rim),
            Border(1, 2, 1, 0, nodes[[1, 2]]),
            Border(1, 3, 0, 1, nodes[[1, 3]]),
        ),
        (Region(WHITE, box(0, 0, 100, 100), ((0,),), frozenset()),
         Region(RED, hair, ((1,),), frozenset())),
    )  # fmt: skip
    assert frayed(pattern) == count
