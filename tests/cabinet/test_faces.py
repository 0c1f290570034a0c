r"""Faces unrolled: true lengths, and every fold in one place on the cabinet.

A bevel or round of the left side's front edge, on a box 400 deep and 500 high:

    back                 front
     +-------------+--+ 500
     |    flat     |s |
     +-------------+--+ 0
     0
"""

import math

import numpy as np
import pytest
import shapely

from boxes import built, square

SHAPED = (
    "",
    'edges = { "left and front" = { bevel = 10 } }',
    'edges = { "left and front" = { bevel = 10, angle = 30 } }',
    'edges = { "left and front" = { round = 12 }, "left and top" = { bevel = 8 } }',
    'edges = { "left and front" = { round = 12 }, "left and top" = { round = 12 } }',
    'joints = ["left mitre front"]\nedges = { "left and front" = { round = 15 } }',
    'joints = ["front mitre top"]\nedges = { "front and top" = { bevel = 12 } }',
)


@pytest.mark.parametrize("more", SHAPED)
def test_cells_tile_the_net(more):
    for face in square(more).faces:
        areas = [cell.area for cell in face.cells]
        assert sum(area.area for area in areas) == pytest.approx(face.outline.area, rel=1e-12)
        assert shapely.coverage_is_valid(areas)
        assert face.outline.bounds[:2] == pytest.approx((0, 0), abs=1e-12)


@pytest.mark.parametrize("more", SHAPED)
def test_a_corner_of_two_cells_is_one_place_on_the_cabinet(more):
    for face in square(more).faces:
        places = {}
        for cell in face.cells:
            for x, y in cell.area.exterior.coords[:-1]:
                lifted = cell.lift @ [x, y, 1]
                there = places.setdefault((round(x, 7), round(y, 7)), lifted)
                np.testing.assert_allclose(lifted, there, rtol=0, atol=1e-6)


@pytest.mark.parametrize("more", SHAPED)
def test_cells_keep_lengths_but_for_the_chords_of_a_round(more):
    for face in square(more).faces:
        for cell in face.cells:
            linear = cell.lift[:, :2]
            # a facet leaves its arc by 0.005 mm: chord over arc of radius 12 is 1 - 1.4e-4 or more
            np.testing.assert_allclose(linear.T @ linear, np.eye(2), rtol=0, atol=4e-4)


def test_a_bevel_that_meets_a_bevel_is_cut_along_their_common_corner():
    cabinet = square(
        'edges = { "left and front" = { bevel = 10 }, "left and top" = { bevel = 10 } }'
    )
    strips = cabinet.face("box-left").strips
    front, top = sorted(strips, key=lambda strip: -strip.area.area)
    # Both are 10 wide; their common corner runs at 45° in plan, so that over the width the strip
    # loses (10 / sqrt 2) of length: trapezoids between the lengths at the fold and at the rim.
    foot = 10 / math.sqrt(2)
    lengths = {front: 500.0, top: 400.0}
    for strip, length in lengths.items():
        assert strip.area.area == pytest.approx(10 * (length - foot + length) / 2)


def test_a_mitred_round_belongs_half_to_each_face():
    cabinet = square('joints = ["left mitre front"]\nedges = { "left and front" = { round = 15 } }')
    quarter = 15 * math.pi / 2
    for name in ("box-left", "box-front"):
        (strip,) = cabinet.face(name).strips
        assert strip.area.area == pytest.approx(quarter / 2 * 500, rel=1e-12)


def test_faces_of_a_sloped_top_keep_their_slanted_length():
    # seen from the right: the top falls from 500 at the back to 300 at the front, over 400
    cabinet = built(
        """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D"]
width = 300
board = 18
joints = ["top over front", "top over back"]
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [400, 500]
D = [0, 300]
[carcase.panels]
front = { edge = "D-A" }
back = { edge = "B-C" }
top = { edge = "C-D" }
bottom = { edge = "A-B" }
"""
    )
    top = cabinet.face("box-top").outline.bounds
    assert top[3] == pytest.approx(math.hypot(400, 200))
    # the front ends under the slope: its outside is shorter by the board, measured upright
    lean = math.atan2(200, 400)
    front = cabinet.face("box-front").outline.bounds
    assert front[3] == pytest.approx(300 - 18 / math.cos(lean))
