"""Fitted borders cross one another no more than the facets that they stand for."""

import math

import numpy as np
import pytest
import shapely
from shapely import Polygon, box

from mateline import curves
from mateline.borders.arc_fitting import Bows
from mateline.borders.polylines import Polylines
from mateline.borders.refit import _bows, refitted
from mateline.borders.uncross import _bounds, crossing, uncrossed
from mateline.drawing.flattening import flattened
from mateline.drawing.shapes import Shape
from mateline.drawing.svg.path_data import ellipse, subpaths
from mateline.pattern.pattern import pattern_of

FACE = box(0, 0, 400, 300)
AS_IS = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
TOL = 0.02


def bows(*segments):
    """Segments from their ends and half the angle they turn through."""
    start, end, half = (np.array(each, dtype=float) for each in zip(*segments, strict=True))
    first = 2 * np.arange(len(half))
    return Bows(first, first + 2, start, end, np.sin(half), np.cos(half), np.zeros(len(half)))


def met(*segments):
    return crossing(bows(*segments), np.arange(len(segments)), TOL).tolist()


RIGHT = ((0, -5), (0, 5), math.pi / 2)  # half circles of radius 5, about 0 and 6
LEFT = ((6, 5), (6, -5), math.pi / 2)


@pytest.mark.parametrize(
    ("other", "expected"),
    [
        (LEFT, [0, 1]),  # at (3, 4) and (3, -4): the 3-4-5 triangle
        (((10.001, 5), (10.001, -5), math.pi / 2), []),
        (((3, 3), (3, 5), 0), [0, 1]),
        (((3, -3.9), (3, 3.9), 0), []),
        (((5, -9), (5, 9), 0), []),  # touches it
        (((4.999, -9), (4.999, 9), 0), [0, 1]),
        (((0, 5), (0, -5), 0), []),  # its own chord
        (((0, -5), (9, -6), 1e-5), []),  # from its own start outwards
        (((0, -5), (3, 6), 1e-5), [0, 1]),  # from its own start and over it once more
        (((-9, 3), (9, 3), 1e-6), [0, 1]),  # nearly straight: its centre is 9 km away
        (((0, -5), (0, 5), 1.5), []),  # the same ends, less bent
        (((0, 5), (0, -5), -math.pi / 2), [0, 1]),  # itself, backwards
    ],
)
def test_segments_cross_where_plane_geometry_says(other, expected):
    assert met(RIGHT, other) == met(other, RIGHT) == expected


def blob(turn, size, at=(200, 150)):
    """A closed smooth spline (Catmull and Rom's, as Béziers), turned and sized about its middle."""
    rng = np.random.default_rng(5)
    angle, reach = np.sort(rng.uniform(0, math.tau, 8)), rng.uniform(40, 90, 8) * size
    way = np.column_stack([np.cos(angle + turn), np.sin(angle + turn)])
    ring = at + reach[:, None] * way
    slope = (np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)) / 6
    ahead = np.roll(ring, -1, axis=0)
    parts = np.hstack([ring + slope, ahead - np.roll(slope, -1, axis=0), ahead])
    return subpaths(
        f"M{ring[0, 0]} {ring[0, 1]}"
        + "".join(f"C{' '.join(map(str, row))}" for row in parts.tolist())
    )


def test_lines_that_left_their_vertices_cross_too():
    assert met(((0, 0), (4, 0), 0), ((3, -1), (3, 1), 0)) == [0, 1]
    assert met(((0, 0), (4, 0), 0), ((5, -1), (5, 1), 0)) == []
    assert met(((0, 0), (4, 0), 0), ((0, 1), (4, 1), 0)) == []


@pytest.mark.parametrize("half", [0.0, 0.4, -1.5, 1.6, -2.2, 3.0])
@pytest.mark.parametrize("way", [0.0, 0.7, math.pi / 2, 2.9])
def test_the_box_of_a_segment_holds_all_of_it(half, way):
    """Chords of 10 any way round, and arcs of up to nearly a whole turn over them."""
    along, across = (
        np.array([math.cos(way), math.sin(way)]),
        np.array([-math.sin(way), math.cos(way)]),
    )
    start, end = 3 - 5 * along, 3 + 5 * along
    places = np.linspace(start, end, 2)
    if half:
        centre, radius = 3 + 5 / math.tan(half) * across, 5 / math.sin(half)
        turn = np.linspace(-half, half, 400)[:, None]
        places = centre - radius * (np.cos(turn) * across - np.sin(turn) * along)
        assert places[[0, -1]] == pytest.approx(np.array([start, end]))
    (box_,) = _bounds(bows((start, end, half)))
    assert (places >= box_[:2] - 1e-9).all()
    assert (places <= box_[2:] + 1e-9).all()


@pytest.mark.parametrize(
    "outlines",
    [
        [blob(0, 1), blob(0, 1.0005)],
        [blob(0, 1), blob(0.0004, 1)],
        [blob(0, 1), blob(0, 1, (200.03, 150))],
        [ellipse(200, 150, 120, 45), ellipse(200, 150, 119.976, 44.976)],
        [ellipse(200, 150, 11.4, 7), ellipse(200, 150, 11.378, 6.979)],
    ],
)
def test_borders_nearer_than_both_may_move_do_not_cross(outlines):
    shapes = [
        Shape(Polygon(flattened(outline[0], AS_IS, curves.FACET)), f"#00000{at}", "shape")
        for at, outline in enumerate(outlines[::-1])
    ]
    pattern = pattern_of(shapes, FACE, base="#ffffff")
    found = refitted(pattern)
    assert found.largest_deviation <= TOL
    fine = [shapely.LineString(curves.flattened(chain, 1e-5)) for chain in found.chains]
    assert all(line.is_simple for line in fine)
    nodes = shapely.MultiPoint(pattern.nodes).buffer(TOL / 4)
    one, other = shapely.STRtree(fine).query(fine, predicate="intersects")
    for a, b in zip(one[one < other], other[one < other], strict=True):
        assert fine[a].intersection(fine[b]).difference(nodes).is_empty


def test_what_crosses_is_followed_to_a_third_of_the_tolerance_and_nothing_else():
    """Two tents that one line would do for, and a spike that stands up under the first.

    tent   from y = 0 up to 0.95 of the tolerance and down; the line y = 0 cuts the spike
    spike  up to 0.4 of it: a third of the tolerance each cannot bring them together
    """
    tent = np.array([(0, 0), (30, 0), (50, 0.95 * TOL), (70, 0), (100, 0)])
    spike = np.array([(45, -50), (50, 0.4 * TOL), (55, -50)])
    parts = [tent, spike, tent + np.array([0, 90])]
    offsets = np.cumsum([0, *map(len, parts)])
    no = np.zeros(3, dtype=bool)
    lines = Polylines(np.vstack(parts), offsets, np.repeat([0, 1, 2], np.diff(offsets)), no, no)

    def fitted(some, closely):
        return _bows(some, closely, None)

    once = fitted(lines, TOL)
    assert crossing(once, np.arange(len(once.off)), TOL).tolist() != []
    found = uncrossed(lines, once, TOL, fitted)
    off = [found.off[lines.owner[found.first] == each].max() for each in range(3)]
    assert off[0] <= TOL / 3
    assert off[2] == pytest.approx(0.95 * TOL)
    assert crossing(found, np.arange(len(found.off)), TOL).tolist() == []
