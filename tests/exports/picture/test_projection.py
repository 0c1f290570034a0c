import math
from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis.strategies import floats
from shapely import Polygon

from boards import carcase
from coved_boxes import coved
from mateline.cabinet.faces import unrolled
from mateline.exports.picture.projection import _sorted, facets, ordered, view_from


@cache
def stacked():
    """A body with a sloped top, a wider head with an open back on it, a box before it."""
    body = carcase(
        "body",
        {"a": (0, 0), "b": (900, 0), "c": (900, 900), "d": (450, 900), "e": (0, 720)},
        ["bottom", "back", "top", "slope", "front"],
        0,
        600,
        edges={"left and front": {"round": "16 mm"}, "right and front": {"bevel": "15 mm"}},
    )
    head = carcase(
        "head",
        {"a": (420, 900), "b": (900, 900), "c": (900, 1500), "d": (560, 1500)},
        ["bottom", None, "top", "front"],
        -40,
        640,
    )
    chute = carcase(
        "chute",
        {"a": (-250, 0), "b": (0, 0), "c": (0, 250), "d": (-250, 200)},
        ["bottom", "back", "top", "front"],
        100,
        500,
    )
    return tuple(unrolled(panel) for panel in (*body, *head, *chute))


def depth(facet, view, at):
    """How near the facet is where the viewer looks at `at`, by intersecting the line of sight."""
    normal = facet.outward
    right, up, towards = view.axes
    start = at[0] * right + at[1] * up
    return float(normal @ (facet.points[0] - start) / (normal @ towards))


@settings(max_examples=25, deadline=None)
@given(floats(0, math.tau), floats(math.radians(3), math.radians(80)))
def test_what_is_drawn_last_is_what_stands_nearest(azimuth, elevation):
    """Rays through the picture, each against every facet: a depth test without any sorting."""
    _held_against_rays(stacked(), view_from(azimuth, elevation))


@pytest.mark.parametrize("azimuth", [-36, 36, 75, 144])
def test_a_cove_is_drawn_before_the_boards_that_it_hides(azimuth):
    """Their insides, the mitre behind it, and its own ends, which its sides' edges are below."""
    cabinet = coved((10, 5), "round = 90", ['"deck and front" = { round = 12 }'])
    view = view_from(math.radians(azimuth), math.radians(20))
    _held_against_rays(cabinet.faces, view)
    kinds = [facet.kind for facet in ordered(facets(cabinet.faces), view)]
    assert abs(azimuth) > 90 or kinds.count("strip") == 12


def _held_against_rays(faces, view):
    order = ordered(facets(faces), view)
    shapes = [Polygon(facet.points @ view.axes[:2].T) for facet in order]
    low, high = np.array(shapely.total_bounds(shapes)).reshape(2, 2)
    for share in np.random.default_rng(5).random((120, 2)):
        at = low + share * (high - low)
        hit = [
            index
            for index, shape in enumerate(shapes)
            if shape.buffer(-0.5).covers(shapely.Point(at))
        ]
        if hit:
            depths = [depth(order[index], view, at) for index in hit]
            assert depths[-1] >= max(depths) - 0.01


def test_facets_that_hide_one_another_in_a_circle_are_all_drawn():
    circle = {0: {1}, 1: {2}, 2: {0}, 3: {0}}
    assert list(_sorted(circle, [0.0, 1.0, 2.0, -5.0])) == [3, 0, 2, 1]


def test_only_facets_that_face_the_viewer_are_drawn():
    view = view_from(math.radians(36), math.radians(20))
    order = ordered(facets(stacked()), view)
    assert all(facet.outward @ view.axes[2] > 0 for facet in order)
    assert {"body-right", "body-front", "head-top"} <= {f.face for f in order if f.kind == "flat"}
    assert "body-left" not in {facet.face for facet in order if facet.kind == "flat"}


def test_through_an_open_back_the_inside_is_seen():
    view = view_from(math.pi, math.radians(10))
    seen = {facet.face for facet in ordered(facets(stacked()), view) if facet.kind == "inside"}
    assert "head-front" in seen


def test_a_board_is_a_closed_body():
    """The areas of its facets times their normals add up to nothing, as on any closed body."""
    for face in stacked():
        total, surface = np.zeros(3), 0.0
        for facet in facets([face]):
            cross = np.cross(facet.points, np.roll(facet.points, -1, axis=0)).sum(axis=0) / 2
            total += cross
            surface += float(np.linalg.norm(cross))
        assert np.linalg.norm(total) < 2e-4 * surface  # a round is shown with a few facets


def test_a_view_has_right_up_and_towards_in_that_order():
    player = view_from(0.0, 0.0)
    assert player.axes == pytest.approx(np.array([[1, 0, 0], [0, 0, 1], [0, -1, 0]]))
    for azimuth, elevation in ((0.3, 0.2), (-2.0, 1.2)):
        axes = view_from(azimuth, elevation).axes
        assert axes @ axes.T == pytest.approx(np.eye(3))
        assert np.linalg.det(axes) == pytest.approx(1)
