"""Faces that stand before others, on a body 300 wide and 400 deep with a block on its top.

     +--+
500  |  |  block, 100 high, y from 120 to 240
+----+--+------+ 400
|     body     |          the viewer at the front sees the block's front, not its back;
+--------------+ 0        from above it hides part of the body's top
y = 0         400
"""

import pytest
from shapely import box

from boxes import built
from mateline.placing.cast import casts

BODY = """
[[carcase]]
name = "{name}"
view = "side"
corners = ["A", "B", "C", "D"]
width = {width}
board = 18
joints = ["top over front", "top over back"]
at = {{ x = {x}, y = {y}, z = {z} }}
[carcase.outline.points]
A = [0, 0]
B = [{deep}, 0]
C = [{deep}, {high}]
D = [0, {back}]
[carcase.panels]
front = {{ edge = "D-A" }}
back = {{ edge = "B-C" }}
top = {{ edge = "C-D" }}
bottom = {{ edge = "A-B" }}
"""


def views(side, high=400, lean=400):
    cabinet = built(
        BODY.format(name="body", width=300, x=0, y=0, z=0, deep=400, high=high, back=lean)
        + BODY.format(name="block", width=200, x=50, y=120, z=400, deep=120, high=100, back=100)
    )
    seen, _ = casts(side, cabinet.faces, cabinet.faces)
    return {view.face.name: view for view in seen}


def test_nothing_is_hidden_from_the_front():
    seen = views("front")
    assert set(seen) == {"body-front", "block-front"}
    assert all(view.hidden.is_empty for view in seen.values())


def test_what_stands_on_a_face_hides_it_from_above():
    seen = views("top")
    assert seen["block-top"].hidden.is_empty
    # The block's top lies between its sides: 200 - 2 * 18 wide, 120 deep. The body's top starts
    # 18 from the body's left side.
    assert seen["body-top"].before == ("block-top",)
    assert seen["body-top"].hidden.symmetric_difference(box(50, 120, 214, 240)).area < 1e-3


def test_of_two_faces_that_pass_through_each_other_the_far_half_is_hidden():
    # The body's top rises from 400 in front to 600 at the back and passes through the block's
    # level top, 500, at y = 200: beyond that it is the block that is hidden.
    seen = views("top", high=600)
    (block,) = seen["block-top"].hidden.geoms
    # The block's top starts at y = 120; hidden from 1 mm of height beyond 200 on: 202.
    assert block.bounds == pytest.approx((0, 82, 164, 120), abs=1e-6)
    (body,) = seen["body-top"].hidden.geoms
    slope = 5**0.5 / 2  # length along the slope for each mm of depth, 200 up over 400
    assert body.bounds[3] - body.bounds[1] == pytest.approx((198 - 120) * slope, abs=1e-6)
