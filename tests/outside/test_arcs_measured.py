"""Chord, rise, radius and length of arcs against a published relation and another library.

Source of the bulge: tan(angle / 4), positive counter-clockwise (DXF Reference, group code 42 of
LWPOLYLINE), as ezdxf works with it. radius = c^2 / 8 h + h / 2 is elementary; rows marked * are
3-4-5 triangles or shares of a circle, exact.
"""

import math
from fractions import Fraction

import pytest
from ezdxf.math import bulge_center, bulge_radius

from mateline.curves import length
from mateline.tape.arcs.curve import Curve
from mateline.tape.arcs.path import Side, chain_of
from mateline.tape.outline import Corners, given

#        chord  rise  radius  length
ARCS = [(120.0, 20.0, 100.0, 128.700222),  # *
        (1000.0, 50.0, 2525.0, 1006.653390),
        (8.0, 2.0, 5.0, 9.272952),         # * 10 asin(4/5)
        (10.0, 5.0, 5.0, 15.707963),       # * half a circle
        (200.0, 200 - 100 * math.sqrt(3), 200.0, 209.439510)]  # a sixth of a circle  # fmt: skip


@pytest.mark.parametrize(("chord", "rise", "radius", "along"), ARCS)
def test_sagitta(chord, rise, radius, along):
    corners = {"A": (0.0, 0.0), "B": (chord, 0.0), "C": (chord, 500.0), "D": (0.0, 500.0)}
    named = Corners.named(corners)
    curve = Curve(rise=Fraction(rise))
    stated = Corners(named.corners, named.points, {("C", "D"): curve})
    (arc,) = given(stated, file="", place="").arcs
    assert arc.radius == pytest.approx(radius, rel=1e-7)
    assert arc.length == pytest.approx(along, rel=1e-7)


@pytest.mark.parametrize("bulge", [1.0, 0.41421356, 0.26794919, 0.5, -0.25])
def test_bulges_are_those_of_dxf(bulge):
    side = Side(("A", "B"), (0.0, 0.0), (10.0, 0.0), bulge)
    assert side.centre == pytest.approx(tuple(bulge_center(side.start, side.to, bulge)), abs=1e-9)
    along = length(chain_of((side,)))
    assert along == pytest.approx(bulge_radius(side.start, side.to, bulge) * abs(side.bend))
