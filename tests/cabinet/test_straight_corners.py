r"""Boards that run on in one plane: a front in two boards, one over the other.

D 500 +-------+ C
      |high   |
E 300 +       |         E lies on the line from D to A
      |low    |
A   0 +-------+ B 400
"""

import pytest

from boxes import built, faults_of
from mateline.cabinet.cadquery_solid import solid
from mateline.cabinet.volume import volume

TWO_FRONTS = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D", "E"]
width = 300
board = 18
{joints}
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [400, 500]
D = [0, 500]
E = [{lean}, 300]
[carcase.panels]
high = {{ edge = "D-E" }}
low = {{ edge = "E-A" }}
back = {{ edge = "B-C" }}
top = {{ edge = "C-D" }}
bottom = {{ edge = "A-B" }}
"""


@pytest.mark.parametrize("lean", [0, 2, -2])
@pytest.mark.parametrize("joints", ["", 'joints = ["high over left", "low over left"]'])
def test_they_are_butted_square_and_the_sides_run_past_them(lean, joints):
    cabinet = built(TWO_FRONTS.format(joints=joints, lean=lean))
    high, low = cabinet.face("box-high").outline.bounds, cabinet.face("box-low").outline.bounds
    assert (high[3], low[3]) == pytest.approx((200, 300), abs=0.02)
    for face in cabinet.faces:
        made = solid(face.panel)
        assert made.isValid()
        assert made.Volume() == pytest.approx(volume(face.panel), rel=1e-9)


def test_a_side_that_meets_them_differently_is_told():
    joints = 'joints = ["high over left"]'
    (fault,) = faults_of(lambda: built(TWO_FRONTS.format(joints=joints, lean=0)))
    assert "in one line, but not alike" in fault


def test_a_joint_between_them_is_told():
    joints = 'joints = ["high mitre low"]'
    faults = faults_of(lambda: built(TWO_FRONTS.format(joints=joints, lean=0)))
    assert all("run on in one plane" in fault for fault in faults)


def test_a_bevel_of_a_millimetre_on_one_of_them_alone_is_told():
    more = 'edges = { "left and high" = { bevel = 1 } }\njoints = ["left over high"]'
    (fault,) = faults_of(lambda: built(TWO_FRONTS.format(joints=more, lean=0)))
    assert "in one line, but not alike" in fault
