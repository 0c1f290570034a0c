"""DXF's own numbers: bulges and units.

Source: DXF Reference, LWPOLYLINE (42: bulge, the tangent of a quarter of the included angle,
negative clockwise) and HEADER ($INSUNITS). The figures of the table follow from that definition
and ezdxf's own formulas agree with them.
"""

import math

import ezdxf
import ezdxf.math
import pytest

from mateline.drawing.dxf.entities import bulged, open_path
from mateline.drawing.dxf.reader import MM_PER_UNIT
from mateline.drawing.flattening import centre_of, flattened
from mateline.drawing.path import Subpath
from mateline.planar.affine import IDENTITY

# bulge, included angle (degrees), centre, radius, sagitta, length; from (0, 0) to (10, 0).
TABLE = [
    (1, 180, (5, 0), 5, 5, 15.70796),
    (math.tan(math.radians(22.5)), 90, (5, 5), 7.0710678, 2.0710678, 11.107207),
    (0.26794919, 60, (5, 8.6602540), 10, 1.3397460, 10.471976),
    (0.5, 106.260205, (5, 3.75), 6.25, 2.5, 11.591190),
    (-0.25, -56.144974, (5, -9.375), 10.625, -1.25, 10.411593),
]


@pytest.mark.parametrize(("bulge", "angle_deg", "centre", "reach", "sagitta", "long"), TABLE)
def test_a_bulge_is_the_tangent_of_a_quarter_of_its_angle(
    bulge, angle_deg, centre, reach, sagitta, long
):
    start, end = (0.0, 0.0), (10.0, 0.0)
    arc = bulged(start, end, bulge)
    found, rx, _ = centre_of(start, arc)
    assert found == pytest.approx(centre, abs=1e-6)
    assert rx == pytest.approx(reach, abs=1e-6)
    assert rx * math.radians(abs(angle_deg)) == pytest.approx(long, abs=1e-5)
    points = flattened(Subpath(*start, [arc], closed=False), IDENTITY, 1e-7)
    lowest = min(points[:, 1], key=lambda y: -abs(y))
    assert lowest == pytest.approx(-sagitta, abs=1e-5)  # to the right of the chord for plus
    assert tuple(ezdxf.math.bulge_center(start, end, bulge)) == pytest.approx(found, abs=1e-6)


@pytest.mark.parametrize(
    ("code", "mm"), [(1, 25.4), (2, 304.8), (4, 1), (5, 10), (6, 1000), (10, 914.4)]
)
def test_units_have_their_numbers(code, mm):
    assert MM_PER_UNIT[code] == mm


def test_nine_points_with_weights_make_a_true_circle():
    """The circle of four quadratic arcs: weights 1 and the cosine of 45 degrees by turns.

    Source: L. Piegl, W. Tiller, The NURBS Book, 2nd edition, 1997, section 7.5 (from memory).
    """
    around = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]
    entity = ezdxf.new().modelspace().add_spline(degree=2)
    entity.control_points = [(500 * x, 500 * y, 0) for x, y in around]
    entity.knots = [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4]
    entity.weights = [1, math.sqrt(0.5)] * 4 + [1]
    made = open_path(entity)
    points = flattened(Subpath(*made.start, list(made.steps), closed=True), IDENTITY, 1e-4)
    assert [math.hypot(*point) for point in points] == pytest.approx([500] * len(points), abs=1e-3)
    assert made.end == pytest.approx(made.start, abs=1e-12)
