"""SVG's own numbers: units, arcs, fill rules, path grammar.

Sources: SVG 2, appendix B.2 (arc conversion) with the figures of chapter 9; the W3C SVG 1.1
test suite (names beside each check); CSS Values 3, 6.2. Areas of the star were computed from
its vertices, which are the suite's.
"""

import math

import numpy as np
import pytest
import shapely
from scipy.special import ellipe

from mateline.drawing.fill_rule import enclosed
from mateline.drawing.flattening import centre_of, flattened
from mateline.drawing.path import Arc
from mateline.drawing.svg.path_data import subpaths
from mateline.drawing.svg.reader import read_svg
from mateline.drawing.svg.values import Scale, length
from mateline.planar.affine import IDENTITY

PX = Scale(0, 0, 16)


def first_arc(data):
    """Start and arc of path data whose first curve is an arc."""
    (part, *_) = subpaths(data)
    here = (part.x, part.y)
    for step in part.steps:
        if isinstance(step, Arc):
            return here, step
        here = (step.x, step.y)
    raise AssertionError(data)


def line_length(data, deviation=1e-6):
    (part,) = subpaths(data)
    return shapely.LineString(flattened(part, IDENTITY, deviation)).length


# CSS Values 3, 6.2, and W3C coords-units-03-b, which asserts the same equalities.
@pytest.mark.parametrize("text", ["1in", "96px", "2.54cm", "25.4mm", "72pt", "6pc", "101.6Q"])
def test_an_inch_is_96_px_in_every_unit(text):
    assert length(text, "x", PX) == pytest.approx(96, rel=1e-15)


# SVG 2, 9.5 figure "arcs02": M 125,75 a100,50 0 fA,fS 100,50.
@pytest.mark.parametrize(
    ("flags", "centre", "quarters"),
    [("0,0", (225, 75), 1), ("0,1", (125, 125), 1), ("1,0", (125, 125), 3), ("1,1", (225, 75), 3)],
)
def test_the_four_arcs_of_the_specification(flags, centre, quarters):
    data = f"M 125,75 a100,50 0 {flags} 100,50"
    start, arc = first_arc(data)
    found, rx, ry = centre_of(start, arc)
    assert found == pytest.approx(centre, abs=1e-12)
    assert (rx, ry) == (100, 50)
    # A quarter of an ellipse is a E(1 - b²/a²): the complete elliptic integral.
    assert line_length(data) == pytest.approx(quarters * 100 * ellipe(0.75), rel=1e-6)
    assert 100 * ellipe(0.75) == pytest.approx(121.105603, abs=1e-6)


def test_radii_that_are_too_small_grow_until_the_arc_fits():  # SVG 2, B.2.5
    centre, rx, ry = centre_of(*first_arc("M0,0 a10,10 0 0 1 100,0"))
    assert centre == pytest.approx((50, 0))
    assert (rx, ry) == pytest.approx((50, 50))


def test_a_turned_arc_of_the_specification_grows_evenly():  # SVG 2, 9.5 figure "arcs01"
    centre, rx, ry = centre_of(*first_arc("M650,325 a25,100 -30 0,1 50,-25"))
    assert centre == pytest.approx((675, 312.5))
    assert (rx, ry) == pytest.approx((27.903776, 111.615105), abs=1e-6)
    assert (rx / 25) ** 2 == pytest.approx(1.2457932, abs=1e-7)


@pytest.mark.parametrize(
    ("data", "centre", "share"),
    [
        ("M300,200 h-150 a150,150 0 1,0 150,-150 z", (300, 200), 3 / 4),
        ("M275,175 v-150 a150,150 0 0,0 -150,150 z", (275, 175), 1 / 4),
    ],
)
def test_the_pie_of_the_specification(data, centre, share):  # SVG 2, 9.5 figure "arcs01"
    assert centre_of(*first_arc(data))[0] == pytest.approx(centre)
    (part,) = subpaths(data)
    area = enclosed([flattened(part, IDENTITY, 1e-5)], evenodd=False).area
    assert area == pytest.approx(share * math.pi * 150**2, rel=1e-6)


@pytest.mark.parametrize(
    ("data", "end"),
    [
        ("M0 0 A0 5 0 0 1 9 9", (9, 9)),  # B.2.5: a radius of 0 is a line
        ("M0 0 A-5 -5 0 0 1 10 0", (10, 0)),  # negative radii count as positive
        ("M0 0 A5 5 390 0 1 10 0", (10, 0)),
    ],
)
def test_out_of_range_arcs_are_drawn_all_the_same(data, end):
    (part,) = subpaths(data)
    points = flattened(part, IDENTITY, 1e-3)
    assert tuple(points[-1]) == end
    if "A0" in data:
        assert len(points) == 2
    else:
        assert np.hypot(*(points - (5, 0)).T) == pytest.approx(5)


# SVG 2, 9.3.9: a number ends where it can't go on.
@pytest.mark.parametrize(
    ("data", "start"), [("M 100-200L0 0", (100, -200)), ("M 0.6.5L0 0", (0.6, 0.5))]
)
def test_numbers_may_touch(data, start):
    (part,) = subpaths(data)
    assert (part.x, part.y) == start


# W3C painting-fill-03-t.
STAR = "M 110 75 l 50 160 l -130 -100 l 160 0 l -130 100 z"


@pytest.mark.parametrize(("rule", "area"), [("nonzero", 8403.473465), ("evenodd", 5806.946929)])
def test_the_star_by_both_fill_rules(tmp_path, rule, area):
    path = tmp_path / "star.svg"
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 480 360">'
        f'<path fill-rule="{rule}" d="{STAR}"/></svg>'
    )
    (shape,) = read_svg(path, root=tmp_path).shapes
    assert shape.area.area == pytest.approx(area, abs=1e-5)
    assert shape.area.bounds == (30, 75, 190, 235)


# W3C paths-data-08-t: two triangles wound the same way.
@pytest.mark.parametrize(("evenodd", "area"), [(True, 2045.98485), (False, 4676.5368)])
def test_a_triangle_in_a_triangle_by_both_fill_rules(evenodd, area):
    rings = [
        np.array([(177, 56), (228.96152, 146), (125.03848, 146)]),
        np.array([(177, 71), (215.97114, 138.5), (138.02886, 138.5)]),
    ]
    assert enclosed(rings, evenodd=evenodd).area == pytest.approx(area, abs=1e-4)
