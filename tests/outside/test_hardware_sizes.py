"""Clearance holes and countersunk heads against the published tables."""

import math

import pytest

from mateline.cabinet.hardware import clearance, head_of
from mateline.cabinet.hole import Hole, sink_depth


@pytest.mark.parametrize(
    ("size", "hole"),
    [("M3", 3.4), ("M4", 4.5), ("M5", 5.5), ("M6", 6.6), ("M8", 9.0), ("M10", 11.0), ("M12", 13.5)],
)
def test_metric_clearance_is_iso_273_medium(size, hole):
    # ISO 273:1979, medium series H13, mm
    assert clearance(size) == hole


@pytest.mark.parametrize(
    ("size", "drill"),
    [
        ("1/4", "9/32"),
        ("5/16", "11/32"),
        ("3/8", "13/32"),
        ("7/16", "15/32"),
        ("1/2", "9/16"),
    ],
)
def test_inch_clearance_is_the_normal_fit_drill(size, drill):
    # ASME B18.2.8-1999 (R2017), normal fit: the drill for that size, Machinery's Handbook 31st
    # ed., Table 1a, p. 1741. The table's decimals are the drill rounded to 0.001 in.
    over, under = map(int, drill.split("/"))
    assert clearance(size) == pytest.approx(over / under * 25.4, abs=0.0005 * 25.4 + 1e-9)


@pytest.mark.parametrize(("size", "inches"), [("#6", 0.170), ("#8", 0.196), ("#10", 0.221)])
def test_number_sizes_are_the_normal_fit(size, inches):
    # ASME B18.2.8-1999 (R2017), normal fit. Charts that print 0.201 for #10 are older or wrong.
    assert clearance(size) == pytest.approx(inches * 25.4, abs=1e-9)


@pytest.mark.parametrize(
    ("size", "sharp", "height"),
    [("M3", 6.72, 1.86), ("M4", 8.96, 2.48), ("M5", 11.2, 3.1), ("M6", 13.44, 3.72),
     ("M8", 17.92, 4.96), ("M10", 22.4, 6.2), ("M12", 26.88, 7.44)],
)  # fmt: skip
def test_a_metric_head_is_iso_10642_sharp_and_as_deep_as_its_table_says(size, sharp, height):
    # ISO 10642: theoretical sharp diameter, and the head's height k = (D - d) / 2 at 90°
    across, angle = head_of(size)
    assert (across, math.degrees(angle)) == (sharp, pytest.approx(90))
    thread = float(size[1:])
    head = Hole("bolt", "countersunk", (0, 0), thread, thread, head=across, head_angle=angle)
    assert sink_depth(head) == pytest.approx(height, abs=1e-9)


@pytest.mark.parametrize(
    ("size", "sharp"),
    [("#6", 0.307), ("#8", 0.359), ("#10", 0.411), ("1/4", 0.531), ("5/16", 0.656), ("3/8", 0.781),
     ("1/2", 0.937)],
)  # fmt: skip
def test_an_inch_head_is_the_82_degree_flat_head(size, sharp):
    # ASME B18.3, theoretical sharp, inches
    across, angle = head_of(size)
    assert across == pytest.approx(sharp * 25.4)
    assert math.degrees(angle) == pytest.approx(82)


@pytest.mark.parametrize(("angle", "depth"), [(82, 3.9343), (90, 3.4200), (100, 2.8697)])
def test_the_depth_of_a_cone(angle, depth):
    # Cone depth (D - d) / (2 tan(angle / 2)) for D - d = 6.84 mm, elementary; 4 decimals
    cone = Hole("c", "countersunk", (0, 0), 6.6, 6.6, head=13.44, head_angle=math.radians(angle))
    assert sink_depth(cone) == pytest.approx(depth, abs=5e-5)
