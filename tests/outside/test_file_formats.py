"""Numbers of the file formats that the exports are written in, from their published texts."""

import io
import math

import ezdxf
import pytest
import resvg_py
from ezdxf.math import bulge_center, bulge_radius

from mateline.curves import Chain, Segment, radius, sweep
from mateline.exports.cut.dxf import stencil_dxf
from mateline.exports.picture.painted import painted_svg
from stencils import SIZE, seaside
from svg_reading import arc


@pytest.mark.parametrize(
    ("large", "sweeping", "centre", "turn_deg"),
    [
        (0, 0, (225, 75), -90),
        (0, 1, (125, 125), 90),
        (1, 0, (125, 125), -270),
        (1, 1, (225, 75), 270),
    ],
)
def test_the_reader_of_arcs_agrees_with_the_standards_example(large, sweeping, centre, turn_deg):
    """SVG 2, 9.3.8, the figure of the four arcs "M 125,75 a100,50 0 fA,fS 100,50"."""
    found = arc((125, 75), (225, 125), (100, 50), 0.0, large, sweeping)
    assert found.centre == pytest.approx(centre)
    assert math.degrees(found.turn) == pytest.approx(turn_deg)


def test_an_arc_whose_radius_is_too_small_is_stretched():
    """SVG 2, appendix F.6.6: M0,0 A10,10 0 0 1 100,0 has radius 50 and centre (50, 0)."""
    found = arc((0, 0), (100, 0), (10, 10), 0.0, 0, 1)
    assert (found.radii, found.centre) == (pytest.approx((50, 50)), pytest.approx((50, 0)))


def test_a_painted_face_is_true_size():
    """CSS Values and Units 3, 6.2: 1 in = 25.4 mm = 96 px, so 400 mm are 1511.8 px."""
    png = bytes(resvg_py.svg_to_bytes(svg_string=painted_svg(seaside()), dpi=96))
    width, height = (int.from_bytes(png[at : at + 4], "big") for at in (16, 20))  # PNG, IHDR
    assert (width, height) == tuple(round(size * 96 / 25.4) for size in SIZE)


def test_a_dxf_says_that_it_is_in_millimetres():
    """DXF Reference, HEADER: $INSUNITS 4 is mm, $MEASUREMENT 1 metric, AC1024 is DXF 2010."""
    header = ezdxf.read(io.StringIO(stencil_dxf(seaside()))).header
    assert [header[name] for name in ("$INSUNITS", "$MEASUREMENT", "$ACADVER")] == [4, 1, "AC1024"]


@pytest.mark.parametrize(
    ("bulge", "centre", "reach"),
    [
        (1.0, (5, 0), 5),
        (math.tan(math.radians(22.5)), (5, 5), 7.0710678),
        (0.26794919, (5, 8.6602540), 10),
        (0.5, (5, 3.75), 6.25),
        (-0.25, (5, -9.375), 10.625),
    ],
)
def test_a_bulge_is_the_tangent_of_a_quarter_of_the_turn(bulge, centre, reach):
    """DXF Reference, LWPOLYLINE, group 42; the worked arcs between (0, 0) and (10, 0)."""
    start, end = (0.0, 0.0), (10.0, 0.0)
    segment = Segment(end, (float(centre[0]), float(centre[1])), bulge > 0)
    assert math.tan(sweep(start, segment) / 4) == pytest.approx(bulge, abs=1e-8)
    assert radius(Chain(start, (segment,)).segments[0]) == pytest.approx(reach)
    assert tuple(bulge_center(start, end, bulge)) == pytest.approx(centre, abs=1e-6)
    assert bulge_radius(start, end, bulge) == pytest.approx(reach)
