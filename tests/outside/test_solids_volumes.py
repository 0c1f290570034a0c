"""Volumes and sizes of boards and holes against values from outside the project."""

import math

import pytest

from mateline.cabinet.cadquery_solid import solid
from mateline.cabinet.hole import Hole, sink_depth
from mateline.cabinet.panel import Edge, Frame, Panel
from mateline.cabinet.volume import hole_volume, volume
from mateline.curves import Chain, Segment
from solids import PLAIN, SQUARE, panel

FRONT = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def rectangle(width, height, thickness, sections, holes=()):
    outline = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
    edges = tuple(Edge("none", section) for section in sections)
    return Panel("x", "y", thickness, FRONT, outline, (None,) * 4, edges, tuple(holes))


def slanted(start, end, thickness):
    return Chain((start, 0.0), (Segment((end, thickness)),))


def test_one_edge_cut_thirty_degrees_off_square():
    """600 x 400 x 18 board, one 600 edge leaning 30 degrees: the narrow face is short by
    18 tan 30 = 10.392305, V = 4 263 881.5538, sloped face 20.784610 wide and 12 470.7658 mm² large
    (elementary; computed with another CAD script).
    """
    square = slanted(0.0, 0.0, 18.0)
    short = 18 * math.tan(math.radians(30))
    board = rectangle(600.0, 400.0, 18.0, (slanted(0.0, short, 18.0), square, square, square))
    made = solid(board)
    assert short == pytest.approx(10.392305, abs=5e-7)
    assert volume(board) == pytest.approx(4_263_881.5538, abs=5e-5)
    assert made.Volume() == pytest.approx(4_263_881.5538, abs=5e-5)
    areas = [face.Area() for face in made.Faces()]
    assert min(abs(area - 12_470.7658) for area in areas) < 5e-5


def test_four_edges_at_45_degrees_are_a_prismatoid():
    """600 x 400 x 18, all edges at 45 degrees (top 564 x 364): prismatoid h/6 (A1 + 4 Am + A2) =
    4 003 776 exactly. The frustum formula h/3 (A1 + A2 + sqrt(A1 A2)), right for similar bases
    only, would give 4 003 600.85.
    """
    board = rectangle(600.0, 400.0, 18.0, (slanted(0.0, 18.0, 18.0),) * 4)
    assert volume(board) == pytest.approx(4_003_776, abs=1e-6)
    assert solid(board).Volume() == pytest.approx(4_003_776, abs=1e-5)


def test_the_frustum_of_the_moscow_papyrus():
    """Square frustum with sides 4 and 2, height 6: 56 (Moscow Mathematical Papyrus, problem 14)."""
    board = rectangle(4.0, 4.0, 6.0, (slanted(0.0, 1.0, 6.0),) * 4)
    assert volume(board) == pytest.approx(56, rel=1e-14)
    assert solid(board).Volume() == pytest.approx(56, rel=1e-12)


def test_the_lateral_area_of_a_cone_frustum():
    """Radii 100 and 50, height 120: slant 130, area pi (r1 + r2) s = 61 261.05675 (elementary)."""
    angle = 2 * math.atan2(50.0, 120.0)
    hole = Hole("x", "countersunk", (300.0, 200.0), 20.0, 20.0, head=200.0, head_angle=angle)
    made = solid(rectangle(600.0, 400.0, 120.0, (slanted(0.0, 0.0, 120.0),) * 4, [hole]))
    cones = [face.Area() for face in made.Faces() if face.geomType() == "CONE"]
    assert sum(cones) == pytest.approx(61_261.05675, abs=1e-5)


@pytest.mark.parametrize(("degrees", "depth"), [(82, 3.9343), (90, 3.4200), (100, 2.8697)])
def test_the_depth_of_a_countersink(degrees, depth):
    """Depth = (D - d) / (2 tan(angle / 2)) for D - d = 6.84 mm (elementary)."""
    hole = Hole(
        "x", "countersunk", (0.0, 0.0), 6.6, 6.6, head=13.44, head_angle=math.radians(degrees)
    )
    assert sink_depth(hole) == pytest.approx(depth, abs=5e-5)


def test_an_m6_countersink_through_18_mm():
    """Hole 6.6 (ISO 273:1979, medium), theoretical sharp head 13.44 (ISO 10642, 2.24 d), 90
    degrees, 18 mm board: 778.96423 mm³ in all, 163.14924 of it beyond the hole's cylinder
    (elementary; the sum also by another CAD script's countersink).
    """
    hole = Hole("x", "countersunk", (200.0, 150.0), 6.6, 6.6, head=13.44, head_angle=SQUARE)
    removed = 400 * 300 * 18 - solid(panel((PLAIN,) * 4, [hole])).Volume()
    assert hole_volume(hole, 18.0) == pytest.approx(778.96423, abs=5e-6)
    assert removed == pytest.approx(778.96423, abs=1e-5)
    assert hole_volume(hole, 18.0) - math.pi * 3.3**2 * 18 == pytest.approx(163.14924, abs=5e-6)


def test_a_rounded_edge_takes_a_spandrel_off_the_board():
    """A quarter round of radius r along an edge L takes L r² (1 - pi/4); its area is L pi r / 2 and
    the centroid of the spandrel lies r (10 - 3 pi) / (3 (4 - pi)) from the corner's sides
    (handbook tables of spandrels; from memory). Chain of a round, radius 12, edge 250.
    """
    rounded = Chain(
        (12.0, 0.0),
        (Segment((0.0, 12.0), (12.0, 12.0), counterclockwise=False), Segment((0.0, 18.0))),
    )
    square = slanted(0.0, 0.0, 18.0)
    made = solid(rectangle(250.0, 100.0, 18.0, (rounded, square, square, square)))
    taken = 250 * 144 * (1 - math.pi / 4)
    assert made.Volume() == pytest.approx(250 * 100 * 18 - taken, rel=1e-12)
    (strip,) = [face.Area() for face in made.Faces() if face.geomType() == "CYLINDER"]
    assert strip == pytest.approx(250 * math.pi * 6, rel=1e-12)
    # From the moments of box and spandrel: how high the board's centre lies over its lower edge.
    spandrel = 12 * (10 - 3 * math.pi) / (3 * (4 - math.pi))
    height = (250 * 100 * 18 * 50 - taken * spandrel) / (250 * 100 * 18 - taken)
    assert made.Center().z == pytest.approx(height, rel=1e-9)
