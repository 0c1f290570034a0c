"""Refitted borders are the drawing's own lines and arcs, within the tolerance, node to node."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis.strategies import builds, floats, integers, lists
from shapely import Polygon, box

from mateline import curves
from mateline.artwork.flat import flat
from mateline.artwork.pattern import Pattern, pattern_of
from mateline.artwork.refit import refit, refitted
from mateline.artwork.shapes import Shape
from mateline.artwork.svg_path import ellipse, rectangle, subpaths

FACE = box(0, 0, 400, 300)
AS_IS = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def shape(outline, colour="#ff0000"):
    return Shape(Polygon(flat(outline[0], AS_IS, curves.FACET)), colour, "shape")


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


def test_no_borders_are_no_chains():
    assert refitted(Pattern(np.empty((0, 2)), (), ())).chains == ()


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
