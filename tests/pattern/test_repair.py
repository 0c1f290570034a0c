"""Gaps, slivers and doubled shapes below the tolerance are mended; nothing else is touched."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis.strategies import floats, integers, lists, sampled_from, tuples
from shapely import Polygon, box

from mateline.drawing.fill_rule import enclosed
from mateline.drawing.shapes import Shape
from mateline.pattern.pattern import Tiling, pattern_of, tiling
from mateline.pattern.repair import closed_up, repaired

FACE = box(0, 0, 400, 300)
RED, BLUE, WHITE, GREEN = "#ff0000", "#0000ff", "#ffffff", "#00ff00"
TOL = 0.02


def slab(x, y, wide, high, colour):
    return Shape(box(x, y, x + wide, y + high), colour, "slab")


def disc(x, y, reach, count, colour, start=0.0):
    turn = start + np.linspace(0, math.tau, count, endpoint=False)
    ring = np.column_stack([x + reach * np.cos(turn), y + reach * np.sin(turn)])
    return Shape(Polygon(ring), colour, "disc")


def mended(*shapes, tolerance=TOL):
    pattern, repairs = repaired(shapes, FACE, tolerance, base=WHITE)
    assert tiling(pattern, FACE) == Tiling(0.0, 0.0, 0)
    return pattern, repairs


def areas(pattern):
    return {region.colour: region.area.area for region in pattern.regions}


#   RED |.01| BLUE     neighbours drawn a hair apart, from edge to edge of the face
def test_a_gap_from_edge_to_edge_goes_to_one_of_its_neighbours():
    pattern, (repair,) = mended(slab(0, 0, 200, 300, RED), slab(200.01, 0, 199.99, 300, BLUE))
    assert len(pattern.regions) == 2
    assert sum(areas(pattern).values()) == pytest.approx(120_000, rel=1e-12)
    assert repair.kind == "gap"
    assert repair.at == (pytest.approx(200.005), pytest.approx(150))
    assert repair.size == (pytest.approx(300, abs=0.02), pytest.approx(0.01, rel=1e-3))


#   +-----+.01+-----+
#   | RED |   | BLUE|    the gap opens into the white at both ends
#   +-----+   |     |
#             +-----+
def test_a_gap_open_at_its_ends_is_closed_where_the_two_run_side_by_side():
    pattern, (repair,) = mended(slab(50, 50, 100, 100, RED), slab(150.01, 30, 100, 100, BLUE))
    assert areas(pattern)[WHITE] == pytest.approx(100_000 - 80 * 0.01, abs=1e-6)
    assert repair.size[0] == pytest.approx(80, abs=0.02)


@pytest.mark.parametrize("width", [0.003, 0.01, 0.019])
def test_a_gap_all_round_a_disc_is_told_once(width):
    inside = disc(200, 150, 10, 160, RED)
    around = Shape(FACE.difference(disc(200, 150, 10 + width, 160, RED).area), BLUE, "around")
    pattern, (repair,) = mended(inside, around)
    assert set(areas(pattern)) == {RED, BLUE}
    assert (repair.kind, repair.places) == ("gap", 1)
    assert repair.size == (pytest.approx(20 * math.pi, rel=2e-3), pytest.approx(width, rel=2e-2))


def test_a_gap_wider_than_the_tolerance_is_meant():
    shapes = [slab(50, 50, 100, 100, RED), slab(150.021, 50, 100, 100, BLUE)]
    plain = pattern_of(shapes, FACE, base=WHITE)
    assert closed_up(plain, FACE, TOL) == (plain, ())


def test_shapes_short_of_the_outline_are_carried_to_it_each_its_own_part():
    pattern, repairs = mended(
        slab(0.01, 0.01, 199.99, 299.98, RED), slab(200, 0.01, 199.99, 299.98, BLUE)
    )
    assert areas(pattern) == {RED: pytest.approx(60_000), BLUE: pytest.approx(60_000)}
    assert {repair.kind for repair in repairs} == {"gap"}


def test_a_hair_of_a_colour_inside_another_is_filled():
    pattern, (repair,) = mended(slab(50, 50, 100, 100, RED), slab(100, 80, 0.01, 70, BLUE))
    assert areas(pattern)[RED] == pytest.approx(10_000)
    assert repair.kind == "sliver"


@pytest.mark.parametrize(("width", "kept"), [(0.0199, False), (0.02, False), (0.0201, True)])
def test_a_strip_of_a_colour_is_meant_from_the_tolerance_on(width, kept):
    """From edge to edge of the face: no wider than 0.02 anywhere but for the last bits."""
    strip = Shape(box(200, 0, 200 + width, 300), GREEN, "strip")
    pattern, repairs = mended(slab(0, 0, 200, 300, RED), slab(200, 0, 200, 300, BLUE), strip)
    assert (GREEN in areas(pattern)) == kept
    assert [repair.kind for repair in repairs] == ([] if kept else ["sliver"])


#  two drawn circles that should be one cross 333 times: slivers of white between them
def test_one_curve_drawn_with_other_facets_on_either_side_is_one_border_again():
    ring = Shape(FACE.difference(disc(200, 150, 80, 400, RED).area), BLUE, "ring")
    pattern, (repair,) = mended(ring, disc(200, 150, 80, 333, RED, 0.01))
    assert set(areas(pattern)) == {RED, BLUE}
    assert (repair.kind, repair.places) == ("gap", 333)


def test_a_wedge_that_opens_to_less_than_the_tolerance_is_closed():
    wedge = Shape(Polygon([(150, 50), (250, 50), (250, 150), (150.015, 150)]), BLUE, "wedge")
    pattern, (repair,) = mended(slab(50, 50, 100, 100, RED), wedge)
    assert areas(pattern)[WHITE] == pytest.approx(100_000)
    assert repair.size[1] == pytest.approx(0.0075, rel=1e-3)


def test_a_sharp_tip_keeps_its_point():
    tip = Shape(Polygon([(50, 50), (350, 60), (50, 61)]), RED, "tip")
    pattern, repairs = mended(tip)
    assert repairs == ()
    assert areas(pattern)[RED] == pytest.approx(tip.area.area)


def test_curves_that_come_near_and_part_again_stay_apart():
    _, repairs = mended(disc(100, 150, 80, 4000, RED), disc(260.01, 150, 80, 4000, BLUE))
    assert repairs == ()


def test_the_lower_one_of_doubled_shapes_is_dropped_whatever_lies_between():
    shapes = [
        disc(200, 150, 80, 400, RED),
        slab(0, 0, 50, 50, GREEN),
        disc(200, 150, 80, 333, BLUE),
    ]
    pattern, (repair,) = mended(*shapes)
    assert (repair.kind, repair.size) == (
        "doubled",
        (pytest.approx(160), pytest.approx(160, abs=0.02)),
    )
    assert [region.sources for region in pattern.regions if region.colour == BLUE] == [{2}]


def test_a_shape_with_a_notch_doubles_nothing():
    notched = Shape(box(50, 50, 150, 150).difference(box(90, 90, 110, 110)), BLUE, "notched")
    assert mended(slab(50, 50, 100, 100, RED), notched)[1] == ()


def test_sources_go_with_the_regions_that_are_left():
    pattern, _ = mended(slab(0, 0, 200, 300, RED), slab(200.01, 0, 199.99, 300, BLUE))
    assert [region.sources for region in pattern.regions] == [{0}, {1}]


@pytest.mark.parametrize("turn", [0.0, 0.3, 1.1])
def test_a_gap_is_closed_whichever_way_it_runs(turn):
    shapes = [slab(120, 80, 80, 120, RED), slab(200.012, 90, 80, 90, BLUE)]
    turned = [
        Shape(
            shapely.affinity.rotate(each.area, turn, (200, 150), use_radians=True), each.colour, ""
        )
        for each in shapes
    ]
    pattern, (repair,) = mended(*turned)
    assert repair.size == (pytest.approx(90, abs=0.05), pytest.approx(0.012, rel=1e-2))
    assert areas(pattern)[WHITE] == pytest.approx(120_000 - 9600 - 7200 - 90 * 0.012, abs=1e-6)


hairs = sampled_from([0.0, 1e-9, 1e-6, 0.004, 0.01, 0.019, 0.03, -0.01])
columns = lists(tuples(integers(1, 60), hairs), min_size=2, max_size=8)
rows = lists(tuples(integers(1, 40), hairs), min_size=1, max_size=6)


@settings(max_examples=80, deadline=None)
@given(columns, rows, floats(-0.2, 0.2), integers(0, 5))
def test_no_point_farther_than_the_tolerance_from_a_border_changes_its_colour(
    across, up, turn, seed
):
    rng = np.random.default_rng(seed)
    xs = np.cumsum([20, *(wide for wide, _ in across)])
    ys = np.cumsum([20, *(high for high, _ in up)])
    shapes = [
        Shape(
            shapely.affinity.rotate(
                box(low, bottom, high - gap, top - rise), turn, (0, 0), use_radians=True
            ),
            str(rng.choice([RED, BLUE, GREEN])),
            "slab",
        )
        for (low, high), (_, gap) in zip(pairwise(xs.tolist()), across, strict=True)
        for (bottom, top), (_, rise) in zip(pairwise(ys.tolist()), up, strict=True)
    ]
    before = pattern_of(shapes, FACE, base=WHITE)
    after, _ = mended(*shapes)
    for colour in (RED, BLUE, GREEN, WHITE):
        was, now = (
            shapely.union_all([r.area for r in pattern.regions if r.colour == colour])
            for pattern in (before, after)
        )
        assert shapely.buffer(was ^ now, -TOL).is_empty  # two strips may cross


@settings(max_examples=40, deadline=None)
@given(columns, floats(-0.2, 0.2))
def test_what_is_mended_needs_no_second_mending(across, turn):
    xs = np.cumsum([20, *(wide for wide, _ in across)])
    shapes = [
        Shape(
            shapely.affinity.rotate(box(low, 30, high - gap, 90), turn, (0, 0), use_radians=True),
            (RED, BLUE)[at % 2],
            "slab",
        )
        for at, ((low, high), (_, gap)) in enumerate(
            zip(pairwise(xs.tolist()), across, strict=True)
        )
    ]
    once, _ = mended(*shapes)
    assert closed_up(once, FACE, TOL)[1] == ()


def test_rings_that_shrink_by_less_than_the_tolerance_each_are_not_all_one_shape():
    rings = [disc(200, 150, 100 - 0.015 * step, 90, (RED, BLUE)[step % 2]) for step in range(40)]
    pattern, _ = repaired(rings, FACE, TOL, base=WHITE)
    covered = FACE.area - sum(r.area.area for r in pattern.regions if r.colour == WHITE)
    assert covered == pytest.approx(rings[0].area.area, rel=1e-3)


BOW_TIES = (
    (WHITE, [(0, 0), (60, 40), (60, 0), (0, 40)]),
    (GREEN, [(0, 0), (60, 0), (0, 40), (60, 40)]),
)


def test_two_bow_ties_with_the_same_corners_are_both_painted():
    """A third of a flag once vanished: each is the other's complement in their box."""
    shapes = [
        Shape(enclosed([np.array(corners, float)], evenodd=True), colour, "tie")
        for colour, corners in BOW_TIES
    ]
    pattern, repairs = repaired(shapes, box(0, 0, 60, 40), TOL, base=None)
    assert repairs == ()
    assert areas(pattern).keys() == {WHITE, GREEN}
    assert sum(r.area.area for r in pattern.regions if r.colour == WHITE) == pytest.approx(1200)


wobbles = sampled_from([0.0, 1e-9, 0.003, 0.009, 0.018, 0.024])


@settings(max_examples=30)
@given(integers(0, 10_000), lists(tuples(integers(3, 30), wobbles), min_size=1, max_size=4))
def test_no_repair_changes_more_than_the_tolerance_along_the_length_it_names(seed, copies):
    rng = np.random.default_rng(seed)
    shapes = []
    for at, (count, wobble) in enumerate(copies):
        turn = np.sort(rng.uniform(0, math.tau, count))
        ring = (200, 150) + rng.uniform(20, 120) * np.column_stack([np.cos(turn), np.sin(turn)])
        ring[rng.random(count) < 0.2] = rng.uniform(50, 250, 2)
        for _ in range(2):
            shapes.append(Shape(enclosed([ring], evenodd=True), (RED, BLUE, GREEN)[at % 3], "ring"))
            ring = ring + rng.uniform(-wobble, wobble, ring.shape)
    shapes = [shape for shape in shapes if not shape.area.is_empty]
    before = pattern_of(shapes, FACE, base=WHITE)
    after, repairs = mended(*shapes)
    changed = 0.0
    for colour in (RED, BLUE, GREEN, WHITE):
        was, now = (
            shapely.union_all([r.area for r in each.regions if r.colour == colour])
            for each in (before, after)
        )
        changed += was.difference(now).area
    named = sum(
        2 * sum(repair.size) if repair.kind == "doubled" else repair.size[0] for repair in repairs
    )
    assert changed <= TOL * named + 1e-6
