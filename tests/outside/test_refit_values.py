"""Refitted arcs against values of the circle segment and of the ellipse."""

import math

import pytest
from shapely import Polygon, box

from mateline import curves
from mateline.borders.refit import refit
from mateline.drawing.flattening import flattened
from mateline.drawing.shapes import Shape
from mateline.drawing.svg.path_data import ellipse, subpaths
from mateline.pattern.pattern import pattern_of

FACE = box(0, 0, 400, 300)
AS_IS = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def chain_of(outline):
    """The refitted border of one outline on the face."""
    shape = Shape(Polygon(flattened(outline[0], AS_IS, curves.FACET)), "#ff0000", "shape")
    pattern = pattern_of([shape], FACE, base="#ffffff")
    chains = refit(pattern)
    (inner,) = (c for b, c in zip(pattern.borders, chains, strict=True) if b.left >= 0 <= b.right)
    return inner


def test_a_circle_segment_has_its_chord_arc_and_area():
    # R = c² / (8 h) + h / 2; the tables of segments in engineering handbooks give for R = 100
    # and h = 20: chord 120, arc 128.700222, area 1635.011088 (elementary, reckoned to 6 places).
    chain = chain_of(subpaths("M100 150 A100 100 0 0 1 220 150 Z"))
    arcs = [part for part in chain.segments if part.centre]
    assert len(chain.segments) == 2
    assert [curves.radius(part) for part in arcs] == pytest.approx([100], abs=1e-8)
    assert curves.length(chain) - 120 == pytest.approx(128.700222, abs=1e-6)
    assert abs(curves.area(chain)) == pytest.approx(1635.011088, abs=1e-5)


def test_arcs_for_an_ellipse_have_its_circumference_and_area():
    # A quarter is a E(m), m = 1 - b² / a² = 0.75; E(0.75) = 1.21105 6028 in Abramowitz and Stegun,
    # Handbook of Mathematical Functions, 1964, table 17.1 (from memory; scipy.special agrees).
    chain = chain_of(ellipse(200, 150, 100, 50))
    assert all(part.centre for part in chain.segments)
    assert curves.length(chain) == pytest.approx(400 * 1.211056028, abs=0.02)
    assert abs(curves.area(chain)) == pytest.approx(math.pi * 5000, rel=2e-4)


def test_arcs_for_an_ellipse_have_its_curvature_where_it_is_least_and_most():
    # Radii of curvature at the ends of the axes are b² / a and a² / b (any calculus text). An arc
    # of a chain stands for a stretch of it within the tolerance, so only about.
    radii = [curves.radius(part) for part in chain_of(ellipse(200, 150, 100, 50)).segments]
    assert min(radii) == pytest.approx(25, rel=0.05)
    assert max(radii) == pytest.approx(200, rel=0.05)
