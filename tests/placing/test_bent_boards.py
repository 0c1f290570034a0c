"""Art on bent boards: wrapped along the outside, cast from afar; worked on the page."""

import math

import numpy as np
import pytest
import shapely
from shapely import box

from boxes import faults_of
from curved_boxes import HEELS, ROUNDED, curved
from mateline.drawing.shapes import drawing_of
from mateline.errors import Faults
from mateline.placing.art import Anchored, Art, Cast, Landmarks, OnFaces, Wrapped
from mateline.placing.place import placed
from mateline.placing.wrap import wraps
from mateline.products import mapped

BOWED_FRONT = "A-B = { rise = 40 }"  # of a plan: the front, 400 wide, bowed to the player
HOLLOW_FRONT = "A-B = { rise = 40, hollow = true }"
RADIUS = 400**2 / (8 * 40) + 20
HALF = RADIUS * math.asin(200 / RADIUS)  # of its length along the outside
DEEP = 300 - 2 * 18  # of a bent board, between the two boards that lie over its curved edges
EVERYWHERE = box(-2000, -2000, 2000, 2000)


def put_on(cabinet, where, *areas):
    """What areas of a drawing, in the frame of the place, become on each face."""
    marks = [box(-1, -1, 1, 1), box(0, -1, 2, 1)]
    drawing = drawing_of([(area, "red") for area in [*marks, *areas]], "d")
    put = Landmarks((("1", (0.0, 0.0)), ("2", (1.0, 0.0))))
    faults = Faults("cabinet.toml")
    found = placed([Art("d", where, put, place="art 1")], cabinet, {"d": drawing}, faults)
    faults.settle()
    return {each.face: [shape.area for shape in each.shapes[2:]] for each in found}


def test_a_wrap_measures_along_the_outside_of_a_round_corner():
    cabinet = curved(ROUNDED, HEELS)
    faces = [cabinet.face(f"box-{name}") for name in ("low", "heel", "far")]
    laid = [
        mapped(np.array(face.panel.outline), to_first)
        for face, to_first in zip(faces, wraps(faces), strict=True)
    ]
    extents = [np.ptp(each, axis=0) for each in laid]
    along = int(np.argmax(np.ptp(np.vstack(laid), axis=0)))
    # 290 of the bottom, a quarter round of 110 and 390 of the back, without a gap.
    assert [each[along] for each in extents] == pytest.approx([290, 55 * math.pi, 390], abs=1e-4)
    total = np.ptp(np.vstack(laid), axis=0)[along]
    assert total == pytest.approx(290 + 55 * math.pi + 390, abs=1e-4)


def test_a_drawing_runs_on_over_the_round_without_a_jump():
    cabinet = curved(ROUNDED, HEELS)
    names = ("box-low", "box-heel", "box-far")
    found = put_on(cabinet, Wrapped(tuple((name, None) for name in names)), EVERYWHERE)
    assert set(found) == set(names)
    for name in names:
        outline = cabinet.face(name).outline
        assert found[name][0].area >= outline.area


def test_nothing_is_unfolded_over_a_curved_edge():
    cabinet = curved()
    where = Wrapped((("box-left", None), ("box-high", None)))
    said = " ".join(faults_of(lambda: put_on(cabinet, where, EVERYWHERE)))
    assert "meet along a curve" in said


def test_a_side_is_reached_over_its_straight_edge():
    cabinet = curved()
    names = ("box-high", "box-near", "box-left")
    found = put_on(cabinet, Wrapped(tuple((name, None) for name in names)), EVERYWHERE)
    assert set(found) == set(names)


@pytest.mark.parametrize(
    ("curves", "way"), [(BOWED_FRONT, 1), ("A-B = { rise = 40, hollow = true }", -1)]
)
def test_what_is_cast_on_a_bow_is_as_wide_as_its_arc(curves, way):
    # Seen from the front the board takes x from 0 to 400; at x - 200 from the middle its place
    # along the outside is R asin((x - 200) / R), bowed or hollow.
    cabinet = curved(curves, view="plan")
    bars = [EVERYWHERE, box(200, 50, 300, 150), box(0, 50, 60, 150)]
    whole, middle, end = put_on(cabinet, Cast("front"), *bars)["box-low"]
    assert whole.area == pytest.approx(2 * HALF * DEEP, rel=1e-6)
    at = [HALF + RADIUS * math.asin(x / RADIUS) for x in (0, 100, -140)]
    assert middle.bounds == pytest.approx((at[0], 50 - 18, at[1], 150 - 18), abs=1e-6)
    assert end.bounds == pytest.approx((0, 50 - 18, at[2], 150 - 18), abs=1e-6)
    assert cabinet.face("box-low").panel.bend.radius == pytest.approx(way * RADIUS, abs=1e-6)


def test_a_slanted_line_bends_on_a_bow_within_a_facets_deviation():
    cabinet = curved(BOWED_FRONT, view="plan")
    wedge = shapely.Polygon([(0, 0), (400, 300), (400, 0)])
    (area,) = put_on(cabinet, Cast("front"), wedge)["box-low"]
    x = np.linspace(18 / 0.75, 282 / 0.75, 3000)
    curve = np.column_stack([HALF + RADIUS * np.arcsin((x - 200) / RADIUS), 0.75 * x - 18])
    assert shapely.distance(shapely.points(curve), area.boundary).max() < 0.005


def test_from_above_and_from_the_front_a_round_shoulder_is_seen_in_part():
    cabinet = curved("D = { radius = 100 }", 'shoulder = { edge = "D" }')
    for side in ("front", "top"):
        (area,) = put_on(cabinet, Cast(side), EVERYWHERE)["box-shoulder"]
        assert area.area == pytest.approx(50 * math.pi * DEEP, rel=1e-5)
    for side in ("back", "left"):
        assert "box-shoulder" not in put_on(cabinet, Cast(side), EVERYWHERE)


def test_anchored_art_is_placed_in_the_length_of_the_outside():
    cabinet = curved(BOWED_FRONT, view="plan")
    drawing = drawing_of([(box(0, 0, 20, 10), "red")], "d")

    faults = Faults("cabinet.toml")
    art = Art("d", OnFaces(("box-low",)), Anchored("centre", "centre"), place="art 1")
    (found,) = placed([art], cabinet, {"d": drawing}, faults)
    faults.settle()
    assert found.shapes[0].area.centroid.coords[0] == pytest.approx((HALF, DEEP / 2), abs=1e-6)
