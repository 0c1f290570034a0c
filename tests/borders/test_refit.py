"""Refitted borders are the drawing's own lines and arcs, within the tolerance, node to node."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis.strategies import builds, floats, integers, lists
from shapely import Polygon, box

from mateline import curves
from mateline.borders import refit as module
from mateline.borders.arc_fitting import Bows, bows_of
from mateline.borders.end_tangency import tangent_at_nodes
from mateline.borders.refit import refit, refitted
from mateline.borders.standard_radii import radius_step
from mateline.borders.tangency import Ends, tangent
from mateline.drawing.flattening import flattened
from mateline.drawing.shapes import Shape
from mateline.drawing.svg.path_data import ellipse, rectangle, subpaths
from mateline.pattern.pattern import Pattern, pattern_of

FACE = box(0, 0, 400, 300)
TANGENT = 1e-6  # rad
AS_IS = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def shape(outline, colour="#ff0000"):
    return Shape(Polygon(flattened(outline[0], AS_IS, curves.FACET)), colour, "shape")


def drawn(*outlines):
    """The pattern of outlines in different colours on the face, and its refitted chains."""
    pattern = pattern_of(
        [shape(outline, f"#00000{at + 1}") for at, outline in enumerate(outlines)],
        FACE,
        base="#ffffff",
    )
    return pattern, refit(pattern)


def inner(pattern, chains):
    """Chains that are no part of the face's own outline."""
    return [
        chain
        for border, chain in zip(pattern.borders, chains, strict=True)
        if -1 not in {border.left, border.right}
    ]


def kinds(chain):
    return "".join("L" if segment.centre is None else "A" for segment in chain.segments)


def radii(chain):
    return [curves.radius(segment) for segment in chain.segments if segment.centre is not None]


def directions(start, segment):
    """Angles of travel at both ends of a segment, from the chain's own numbers."""
    if segment.centre is None:
        angle = math.atan2(segment.to[1] - start[1], segment.to[0] - start[0])
        return angle, angle
    quarter = math.pi / 2 if segment.counterclockwise else -math.pi / 2
    (x, y) = segment.centre
    return tuple(quarter + math.atan2(at[1] - y, at[0] - x) for at in (start, segment.to))


def kinks(chain):
    """Turn at each joint, radians, 0 where it is tangent; a closed chain has one at its start."""
    found = [
        directions(start, segment)
        for start, segment in zip(chain.points, chain.segments, strict=False)
    ]
    pairs = list(pairwise(found)) + ([(found[-1], found[0])] if chain.closed else [])
    return [abs(math.remainder(after[0] - before[1], math.tau)) for before, after in pairs]


def corners(chain):
    return sum(kink > TANGENT for kink in kinks(chain))


def untangent(pattern, monkeypatch):
    """Segments of the fit that only follows the vertices."""
    with monkeypatch.context() as patch:
        patch.setattr(module, "_smooth", lambda *given: given[1])
        return sum(len(chain.segments) for chain in refit(pattern))


def traced(seed, count=9):
    """A closed smooth spline through points round the middle (Catmull and Rom's, as Béziers)."""
    rng = np.random.default_rng(seed)
    angle, reach = np.sort(rng.uniform(0, math.tau, count)), rng.uniform(50, 130, count)
    at = np.column_stack([200 + reach * np.cos(angle), 150 + reach * np.sin(angle)])
    slope = (np.roll(at, -1, axis=0) - np.roll(at, 1, axis=0)) / 6
    path = f"M{at[0, 0]} {at[0, 1]}"
    for i in range(count):
        j = (i + 1) % count
        (a, b), (c, d), (e, f) = at[i] + slope[i], at[j] - slope[j], at[j]
        path += f"C{a} {b} {c} {d} {e} {f}"
    return subpaths(path + "z")


def off(border, chain):
    """Farthest that a vertex of the border is from the chain."""
    fine = shapely.LineString(curves.flattened(chain, 1e-5))
    return shapely.distance(shapely.points(border.points), fine).max()


def test_a_free_circle_is_two_arcs_of_its_radius():
    (chain,) = inner(*drawn(ellipse(200, 150, 90, 90)))
    assert kinds(chain) == "AA"
    assert chain.closed
    assert radii(chain) == pytest.approx([90, 90], abs=1e-9)
    assert abs(curves.area(chain)) == pytest.approx(math.pi * 8100, rel=1e-12)


@pytest.mark.parametrize("seed", [1, 2, 4])
def test_a_circle_drawn_by_a_trembling_hand_is_two_half_turns_about_one_centre(seed):
    """Vertices up to 0.004 off a circle of 90 about (200, 150)."""
    turn = np.arange(200) * math.tau / 200
    reach = 90 + np.random.default_rng(seed).uniform(-0.004, 0.004, 200)
    ring = np.column_stack([200 + reach * np.cos(turn), 150 + reach * np.sin(turn)])
    pattern = pattern_of([Shape(Polygon(ring), "#ff0000", "disc")], FACE, base="#ffffff")
    (chain,) = inner(pattern, refit(pattern))
    assert kinds(chain) == "AA"
    one, other = (segment.centre for segment in chain.segments)
    assert one == pytest.approx(other, abs=1e-9)
    assert one == pytest.approx((200, 150), abs=0.001)
    assert radii(chain) == pytest.approx([90, 90], abs=0.001)
    assert max(kinks(chain)) < TANGENT


@pytest.mark.parametrize("seed", range(8))
def test_where_a_free_border_starts_does_not_hang_on_last_bits(seed):
    # Turns of a disc's vertices are equal, and two corners of a box stand on one upright line.
    random = np.random.default_rng(seed)
    for outline in (ellipse(130, 90, 40, 40), rectangle((60, 50, 120, 70), 20, 20)):
        exact = Polygon(flattened(outline[0], AS_IS, curves.FACET))
        points = np.array(exact.exterior.coords)[:-1]
        moved = Polygon(np.nextafter(points, random.choice([-1e9, 1e9], points.shape)))
        (start, other) = (
            inner(pattern, refit(pattern))[0].start
            for pattern in (
                pattern_of([Shape(each, "#ff0000", "shape")], FACE, base="#ffffff")
                for each in (exact, moved)
            )
        )
        assert math.dist(start, other) <= 1e-9


def test_a_rounded_rectangle_is_four_lines_and_four_arcs():
    (chain,) = inner(*drawn(rectangle((50, 50, 200, 100), 20, 20)))
    assert sorted(kinds(chain)) == list("AAAALLLL")
    assert radii(chain) == pytest.approx([20] * 4, abs=1e-9)
    assert abs(curves.area(chain)) == pytest.approx(20_000 - (4 - math.pi) * 400, rel=1e-12)


def test_a_slot_is_two_lines_and_two_half_circles():
    (chain,) = inner(*drawn(rectangle((50, 50, 200, 60), 30, 30)))
    assert sorted(kinds(chain)) == list("AALL")
    assert radii(chain) == pytest.approx([30, 30], abs=1e-9)


def test_a_straight_band_is_lines_only():
    pattern, chains = drawn(subpaths("M0 100 L400 180 V220 L0 140 Z"))
    assert {kinds(chain) for chain in inner(pattern, chains)} == {"L"}


def test_an_arc_cut_between_two_of_its_vertices_keeps_its_radius():
    pattern, chains = drawn(ellipse(200, 150, 90, 90), rectangle((0, 0, 143.7, 300), 0, 0))
    arcs = [chain for chain in inner(pattern, chains) if "A" in kinds(chain)]
    assert [kinds(chain) for chain in arcs] == ["A"]
    assert radii(arcs[0]) == pytest.approx([90], abs=1e-6)


def test_a_circle_under_many_hidden_lines_is_still_a_circle():
    bars = [rectangle((10 * at, 20, 3, 260), 0, 0) for at in range(1, 39)]
    _, chains = drawn(*bars[:4], ellipse(60, 150, 55, 55))
    arcs = [segment for chain in chains for segment in chain.segments if segment.centre]
    assert [curves.radius(arc) for arc in arcs] == pytest.approx([55] * len(arcs), abs=1e-3)


def test_nearly_half_a_circle_between_nodes_beside_it_follows_its_vertices_not_its_radius():
    # Both nodes are 0.0015 inside; a circle of the same radius through them would be off by 0.03.
    bars = [rectangle((10 * at, 20, 3, 260), 0, 0) for at in range(1, 7)]
    pattern, chains = drawn(*bars, ellipse(60, 150, 55, 55))
    arcs = [segment for chain in chains for segment in chain.segments if segment.centre]
    wrong = [curves.radius(arc) for arc in arcs if abs(curves.radius(arc) - 55) > 1e-6]
    assert wrong == [pytest.approx(55, abs=0.002)]
    assert refitted(pattern).largest_deviation <= 1.03 * curves.FACET  # the facets, whole


def test_a_bezier_circle_of_a_drawing_program_is_two_arcs():
    k = 0.5522847498 * 80
    path = (
        f"M200 70 C{200 + k} 70 280 {150 - k} 280 150 C280 {150 + k} {200 + k} 230 200 230"
        f"C{200 - k} 230 120 {150 + k} 120 150 C120 {150 - k} {200 - k} 70 200 70z"
    )
    (chain,) = inner(*drawn(subpaths(path)))
    assert kinds(chain) == "AA"
    assert radii(chain) == pytest.approx([80, 80], abs=0.02)


def test_a_polygon_keeps_its_corners():
    pattern, chains = drawn(subpaths("M50 50 L150 60 L170 150 L90 190 L40 120 Z"))
    (chain,) = inner(pattern, chains)
    assert kinds(chain) == "LLLLL"
    assert set(chain.points) == {(50, 50), (150, 60), (170, 150), (90, 190), (40, 120)}


def test_a_wave_becomes_far_fewer_arcs_than_facets():
    pattern, chains = drawn(subpaths("M0 100 C100 0 200 250 400 120 V300 H0 Z"))
    (border, chain) = next(
        (b, c) for b, c in zip(pattern.borders, chains, strict=True) if len(b.points) > 50
    )
    assert set(kinds(chain)) == {"A"}
    assert len(chain.segments) * 6 < len(border.points)
    assert off(border, chain) <= 0.0201


def test_a_finer_tolerance_is_kept():
    pattern, _ = drawn(subpaths("M0 100 C100 0 200 250 400 120 V300 H0 Z"))
    found = refitted(pattern, 0.006)
    assert found.largest_deviation <= 0.006
    assert all(off(b, c) <= 0.0061 for b, c in zip(pattern.borders, found.chains, strict=True))


def test_an_arc_cut_off_by_a_node_keeps_its_radius_and_its_tangent():
    cover = subpaths("M0 0 H400 V55.3 L0 58.7 Z")  # cuts all rounds of the band and the two waves
    band = rectangle((50, 50, 200, 100), 20, 20)
    wave = subpaths("M270 40 a40 40 0 0 0 50 30 a40 40 0 0 1 50 30 V140 H270 Z")
    pattern, chains = drawn(band, wave, cover)
    found = [chain for chain in inner(pattern, chains) if "A" in kinds(chain)]
    assert sum(len(radii(chain)) for chain in found) == 6
    for chain in found:
        nominal = 20 if chain.start[0] < 260 else 40
        assert radii(chain) == pytest.approx([nominal] * len(radii(chain)), abs=1e-8)
    assert [corners(chain) for chain in found] == [0, 3]  # the wave's own corners


def test_a_circle_rolled_on_a_line_touches_it_where_the_3_4_5_triangle_says():
    # Radius 5, through (4, 2): its centre is 3 above and 4 beside that point.
    points = np.array([(-9, 0), (0.1, 0), (2, 0.4), (4, 2)], dtype=float)
    chord = math.hypot(3.9, 2)
    bows = Bows(
        np.array([0, 1]), np.array([1, 3]), points[[0, 1]], points[[1, 3]],
        np.array([0, chord / 10]), np.array([1, math.sqrt(1 - chord**2 / 100)]), np.zeros(2),
    )  # fmt: skip
    free, joined = np.array([False, True]), np.array([1, -1])
    found = tangent_at_nodes(points, bows, (joined, free, ~free), np.array([True, True]), 1.0)
    np.testing.assert_allclose(found.end, [(0, 0), (4, 2)], rtol=0, atol=1e-12)
    np.testing.assert_allclose(found.centres()[1], (0, 5), rtol=0, atol=1e-12)


S_CURVE = subpaths("M0 100 C100 0 200 250 400 120 V300 H0 Z")
LINE_AND_CURVE = subpaths("M20 20 L100 20 C150 20 180 60 180 110 L180 200 L20 200z")
GENTLE_CORNER = subpaths(
    "M50 150 C100 100 150 100 200 150 C240 210 300 210 350 180 L350 290 L50 290z"
)
LENS = subpaths("M50 150 C100 50 250 50 350 150 C250 250 100 250 50 150z")


@pytest.mark.parametrize(
    ("outline", "sharp"),
    [
        (ellipse(200, 150, 120, 70), 0),
        (ellipse(200, 150, 180, 12), 0),
        (rectangle((50, 50, 200, 100), 20, 20), 0),
        (rectangle((50, 50, 200, 100), 40, 15), 0),  # quarters of ellipses between lines
        (traced(1), 0),
        (traced(2), 0),
        (traced(3), 0),
        (LINE_AND_CURVE, 3),
        (LENS, 2),
        (GENTLE_CORNER, 5),  # the gentle one turns by 0.2 rad
    ],
)
def test_joints_are_tangent_where_the_drawing_is_smooth_and_its_corners_stay(
    outline, sharp, monkeypatch
):
    pattern, chains = drawn(outline)
    (chain,) = inner(pattern, chains)
    assert corners(chain) == sharp
    assert refitted(pattern).largest_deviation <= 0.02
    # Measured: 1.0 to 1.7 times the segments of the fit with kinks.
    assert sum(len(each.segments) for each in chains) <= 1.75 * untangent(pattern, monkeypatch)


def test_an_s_between_two_nodes_is_tangent_within():
    pattern, chains = drawn(S_CURVE)
    assert [corners(c) for c in inner(pattern, chains)] == [0]


def test_two_tangent_arcs_between_given_points_are_the_handbook_ogee():
    # An ogee (reverse curve) between parallel lines 30 apart over 40: two arcs of radius
    # (30² + 40²) / (4 * 30) that meet in the middle (elementary; in any drafting handbook).
    found = tangent(
        np.array([(-10, 0), (0, 0), (20, 15), (40, 30), (50, 30)], dtype=float),
        Bows(
            np.array([1, 2]),
            np.array([2, 3]),
            np.array([(0, 0), (20, 15)], dtype=float),
            np.array([(20, 15), (40, 30)], dtype=float),
            np.zeros(2),
            np.ones(2),
            np.zeros(2),
        ),
        Ends(np.array([True, False]), np.array([0, np.nan]), np.array([np.nan, 0])),
        100.0,
    )
    reach = 2500 / 120
    np.testing.assert_allclose(found.centres(), [(0, reach), (40, 30 - reach)], atol=1e-9)
    np.testing.assert_allclose(found.end, [(20, 15), (40, 30)], atol=1e-9)


def test_a_stretch_that_can_not_be_tangent_keeps_a_kink_and_its_vertices():
    points = np.array([(0, 0), (1, 0), (1.4, 0.9), (2, 0), (3, 0)], dtype=float)
    found = tangent(
        points,
        bows_of(points, np.array([1]), np.array([3]), 0.02),
        Ends(np.array([False]), np.array([0.0]), np.array([0.0])),
        0.02,
    )
    assert found.off.max() <= 0.02
    assert (found.first.tolist(), found.last.tolist()) == ([1, 2], [2, 3])


def test_no_borders_are_no_chains():
    assert refitted(Pattern(np.empty((0, 2)), (), ())).chains == ()


@pytest.mark.parametrize(
    ("reach", "sizes", "expected"),
    [
        (25.393, "inch", 25.4),
        (25.44, "inch", 25.44),
        (25.393, "mm", 25.393),
        (25.51, "mm", 25.5),
        (25.53, "mm", 25.53),
        (23.8, "inch", 23.8125),  # 15/16 in
        (25.393, None, 25.393),
    ],
)
def test_a_free_circle_takes_a_standard_radius_about_its_centre(reach, sizes, expected):
    pattern, _ = drawn(ellipse(200, 150, reach, reach))
    found = refitted(pattern, 0.02, radius_step(sizes))
    (chain,) = inner(pattern, found.chains)
    assert radii(chain) == pytest.approx([expected] * 2, abs=1e-9)
    for segment in chain.segments:
        assert segment.centre == pytest.approx((200, 150), abs=1e-9)
    assert found.largest_deviation <= 0.02
    assert max(kinks(chain)) <= TANGENT


def test_a_round_between_lines_slides_along_them_to_a_standard_radius():
    pattern, _ = drawn(rectangle((50, 50, 200, 100), 12.693, 12.693))
    (chain,) = inner(pattern, refit(pattern, 0.02, radius_step("inch")))
    assert radii(chain) == pytest.approx([12.7] * 4, abs=1e-9)
    assert max(kinks(chain)) <= TANGENT
    assert abs(curves.area(chain)) == pytest.approx(20_000 - (4 - math.pi) * 12.7**2, rel=1e-12)


def test_half_circles_of_a_slot_keep_their_radius_for_their_lines_fix_it():
    pattern, _ = drawn(rectangle((50, 50, 200, 50.786), 25.393, 25.393))
    (chain,) = inner(pattern, refit(pattern, 0.02, radius_step("inch")))
    assert radii(chain) == pytest.approx([25.393] * 2, abs=1e-9)


def test_an_arc_between_nodes_keeps_them_and_takes_a_standard_radius():
    pattern, plain = drawn(ellipse(200, 150, 25.393, 25.393), rectangle((0, 0, 210, 300), 0, 0))
    found = refitted(pattern, 0.02, radius_step("inch"))
    arcs = [chain for chain in found.chains if "A" in kinds(chain)]
    assert [radii(chain) for chain in arcs] == [pytest.approx([25.4], abs=1e-9)]
    assert found.largest_deviation <= 0.02
    for chain, before in zip(found.chains, plain, strict=True):
        assert {chain.start, chain.segments[-1].to} == {before.start, before.segments[-1].to}


def test_a_half_circle_between_nodes_keeps_its_radius_for_another_would_leave_it():
    pattern, _ = drawn(ellipse(200, 150, 25.393, 25.393), rectangle((0, 0, 200, 300), 0, 0))
    arcs = [c for c in refit(pattern, 0.02, radius_step("inch")) if "A" in kinds(c)]
    assert [radii(chain) for chain in arcs] == [pytest.approx([25.393], abs=1e-9)]


def test_no_joint_gets_a_kink_for_a_standard_radius():
    pattern, plain = drawn(traced(1), ellipse(150, 150, 120, 70), LINE_AND_CURVE)
    found = refit(pattern, 0.02, radius_step("mm"))
    for chain, before in zip(found, plain, strict=True):
        assert corners(chain) == corners(before)


def test_standard_radii_are_multiples_in_the_drawing_s_own_unit():
    assert radius_step(None) is None
    assert radius_step("inch") == 1.5875
    assert radius_step("mm", 0.25) == 2.0


places = floats(0, 400).map(lambda place: round(place, 6))
radii_drawn = floats(0, 60).map(lambda reach: round(reach, 6))
rounds = builds(lambda x, y, r: ellipse(x, y, r, r), places, places, floats(2, 150))
ovals = builds(ellipse, places, places, floats(2, 150), floats(2, 150))
slabs = builds(
    lambda x, y, w, h, r: rectangle((x, y, w, h), r, r),
    places, places, floats(5, 200), floats(5, 200), radii_drawn,
)  # fmt: skip
blobs = builds(
    lambda seed: subpaths(
        "M {} {} C {} {} {} {} {} {} S {} {} {} {} Z".format(
            *np.random.default_rng(seed).uniform(0, 300, 12)
        )
    ),
    integers(0, 10_000),
)


@settings(max_examples=60, deadline=None)
@given(lists(rounds | ovals | slabs | blobs, min_size=1, max_size=6))
def test_chains_follow_their_borders_from_node_to_node(outlines):
    shapes = []
    for at, outline in enumerate(outlines):
        area = shapely.make_valid(shape(outline).area, method="structure")
        shapes.append(Shape(area, f"#0000{at + 16:02x}", "shape"))
    pattern = pattern_of(shapes, FACE, base="#ffffff")
    found = refitted(pattern)
    assert found.largest_deviation <= 0.02
    for border, chain in zip(pattern.borders, found.chains, strict=True):
        ends = {tuple(border.points[0]), tuple(border.points[-1])}
        assert chain.closed if len(ends) == 1 else {chain.start, chain.segments[-1].to} == ends
        # A node of hidden lines lies on a facet, which may itself leave its curve by FACET.
        assert off(border, chain) <= 0.0201 + curves.FACET


def turned_about(points, turn):
    middle = np.array([200, 150])
    cos, sin = math.cos(turn), math.sin(turn)
    return (np.asarray(points) - middle) @ np.array([[cos, sin], [-sin, cos]]) + middle


#   A slab so small that an arc of twice its rounds' radius would take in its short sides too.
@pytest.mark.parametrize(
    ("wide", "high", "reach"), [(0.7838, 0.6723, 0.2358), (5.88, 4.4, 2.0631), (4.02, 3.37, 1.6166)]
)
@pytest.mark.parametrize("turn", [0.0, 0.3, 1.1])
def test_short_sides_between_rounds_stay_lines_and_the_rounds_their_arcs(wide, high, reach, turn):
    ring = flattened(rectangle((200, 150, wide, high), reach, reach)[0], AS_IS, curves.FACET)
    pattern = pattern_of(
        [Shape(Polygon(turned_about(ring, turn)), "#ff0000", "slab")], FACE, base="#ffffff"
    )
    (chain,) = inner(pattern, refit(pattern))
    assert sorted(kinds(chain)) == list("AAAALLLL")
    assert radii(chain) == pytest.approx([reach] * 4, abs=1e-6)
    assert max(kinks(chain)) <= TANGENT


@pytest.mark.parametrize("turn", [0.1, 0.7, 2.0])
def test_half_circles_of_a_turned_slot_are_tangent_though_rounding_moves_their_centres(turn):
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = turned_about(
        [(180, 148.7), (220, 148.7), (220, 151.3), (180, 151.3)], turn
    ).tolist()
    path = f"M{ax} {ay}L{bx} {by}A1.3 1.3 0 0 1 {cx} {cy}L{dx} {dy}A1.3 1.3 0 0 1 {ax} {ay}z"
    (chain,) = inner(*drawn(subpaths(path)))
    assert sorted(kinds(chain)) == list("AALL")
    assert max(kinks(chain)) <= TANGENT


def test_the_middle_of_a_straight_edge_counts_where_an_arc_takes_its_place():
    # Across a circle of 13.428 a chord of 1.457 is 0.0198 from it: within the tolerance.
    half = math.asin(1.457 / 2 / 13.428)
    dx, dy = 13.428 * math.cos(half), 13.428 * math.sin(half)
    path = f"M{200 + dx} {150 + dy}A13.428 13.428 0 1 1 {200 + dx} {150 - dy}z"
    pattern, _ = drawn(subpaths(path))
    found = refitted(pattern)
    (chain,) = inner(pattern, found.chains)
    assert kinds(chain) == "AA"
    assert found.largest_deviation == pytest.approx(1.457**2 / (8 * 13.428), rel=1e-3)
