"""Solids of curved boards: valid, true cylinders, volumes worked on the page and read back."""

import math

import pytest
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.GeomAbs import GeomAbs_SurfaceType

from curved_boxes import BOWED, HEELS, HOLLOW, ROUNDED, board, curved
from mateline.cabinet.cadquery_solid import solid
from mateline.cabinet.volume import volume
from volumes import SAME, in_step, weighed

VIEWS = ("side", "plan", "front")
RADIUS = 520.0  # of a chord of 400 with a rise of 40
BEND = 2 * math.asin(200 / RADIUS)


def size_of(made):
    """Volume of a solid."""
    return weighed(made.wrapped)


def cylinders(made):
    """Radii of the cylindrical faces of a solid."""
    found = []
    for face in made.Faces():
        surface = BRepAdaptor_Surface(face.wrapped)
        if surface.GetType() == GeomAbs_SurfaceType.GeomAbs_Cylinder:
            found.append(surface.Cylinder().Radius())
    return sorted(found)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("joint", ["near over high", "high over near", "near mitre high"])
@pytest.mark.parametrize("curves", [BOWED, HOLLOW])
def test_all_boards_are_valid_and_as_large_as_the_closed_form(view, joint, curves):
    cabinet = curved(curves, more=f'joints = ["{joint}"]', view=view)
    for face in cabinet.faces:
        made = solid(face.panel)
        assert made.isValid(), face.name
        assert size_of(made) == pytest.approx(volume(face.panel), rel=SAME), face.name


def test_a_bow_over_its_neighbours_is_what_lies_between_two_circles_and_two_planes():
    cabinet = curved(more='joints = ["high over near", "high over far"]')
    made = solid(board(cabinet, "high"))
    assert cylinders(made) == pytest.approx([RADIUS - 18, RADIUS])
    # Under a circle of radius r, between x = -200 and 200 from its centre:
    # 200 sqrt(r^2 - 200^2) + r^2 asin(200 / r). The board is 264 deep between the two sides.
    under, inside = (
        200 * math.sqrt(r**2 - 200**2) + r**2 * math.asin(200 / r) for r in (RADIUS, RADIUS - 18)
    )
    assert size_of(made) == pytest.approx((under - inside) * 264, rel=SAME)


def test_the_side_of_a_bow_is_the_box_and_a_segment():
    made = solid(board(curved(), "left"))
    segment = RADIUS**2 * (BEND - math.sin(BEND)) / 2
    assert size_of(made) == pytest.approx((400 * 500 + segment) * 18, rel=SAME)
    assert cylinders(made) == pytest.approx([RADIUS])


def test_round_corners_are_quarter_rings():
    cabinet = curved(ROUNDED, HEELS)
    made = solid(board(cabinet, "heel"))
    assert cylinders(made) == pytest.approx([92, 110], abs=1e-4)
    ring = math.pi / 4 * (110**2 - 92**2)
    assert size_of(made) == pytest.approx(ring * 264, rel=1e-7)  # corners have six decimals


SHAPED = """
[carcase.edges]
"left and near" = { round = 10 }
"left and low" = { bevel = 8 }
"""


@pytest.mark.parametrize("curves", [BOWED, HOLLOW, "C-D = { rise = 60 }"])
def test_straight_edges_beside_a_curve_may_be_shaped(curves):
    panel = board(curved(curves, panels=SHAPED, left=460), "left")
    made = solid(panel)
    assert made.isValid()
    assert size_of(made) == pytest.approx(volume(panel), rel=SAME)
    assert 10 in [round(radius, 6) for radius in cylinders(made)]


BOLT = """
[[hardware]]
name = "bolt"
kind = "countersunk"
diameter = 7
head = 14
head_angle = 90
on = "box-high"
from = { near = 150, left = 100 }
"""


def test_a_hole_in_a_bent_board_is_drilled_straight():
    with_bolt = board(curved(after=BOLT), "high")
    made = solid(with_bolt)
    assert made.isValid()
    assert 3.5 in [round(radius, 9) for radius in cylinders(made)]
    # Frustum and shank; the face is bent by 7^2 / 2 R = 0.05 mm at most over the head.
    taken = math.pi * 3.5 * (7**2 + 7 * 3.5 + 3.5**2) / 3 + math.pi * 3.5**2 * 14.5
    bare = volume(board(curved(), "high"))
    assert bare - size_of(made) == pytest.approx(taken, abs=math.pi * 7**2 * 0.05)


def test_step_read_back_is_as_large(tmp_path):
    cabinet = curved(f"{HOLLOW}\n{ROUNDED.splitlines()[0]}", 'heel = { edge = "B" }')
    panels = [face.panel for face in cabinet.faces]
    assert in_step(panels, tmp_path) == pytest.approx([*map(volume, panels)], rel=SAME)
    assert "CYLINDRICAL_SURFACE" in (tmp_path / "m.step").read_text(encoding="ascii")
