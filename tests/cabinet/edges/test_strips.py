r"""What mouldings cover along curves, on the boxes of curved_boxes.py: 400 wide and 500 high.

Covered areas are those of rings, but for what facets leave of their arcs: 0.005 mm at most.
"""

import math

import numpy as np
import pytest

from boxes import built, faults_of, square
from curved_boxes import BOWED, HEELS, HOLLOW, ROUNDED, curved

RADIUS, DEEP = 520.0, (200**2 + 30**2) / 60
QUARTER = math.pi / 4


def covering(width=40, **widths):
    """The words for mouldings on the left side, by the board beyond each edge."""
    lines = (
        f'"left and {other}" = {{ moulding = {{ left = {own or width} }} }}'
        for other, own in widths.items()
    )
    return "\n".join(["[carcase.edges]", *lines])


def left(curves, panels="", **widths):
    return curved(curves, f"{panels}\n{covering(**widths)}").face("box-left")


def covered(face):
    return face.flat.area - face.outline.area


def under(r):
    """Area under a circle, from 200 left of its middle to 200 right of it."""
    return 200 * math.sqrt(r**2 - 200**2) + r**2 * math.asin(200 / r)


@pytest.mark.parametrize(
    ("curves", "outside", "centre", "inside"),
    [(BOWED, RADIUS, (200, 20), 480), (HOLLOW, DEEP, (200, 470 + DEEP), DEEP + 40)],
)
def test_a_moulding_along_an_arc_ends_in_one_about_the_same_centre(curves, outside, centre, inside):
    face = left(curves, high=None)
    size = abs(under(outside) - under(inside))
    assert covered(face) == pytest.approx(size, abs=0.005 * 450 * 2)
    reach = np.hypot(*(np.array(face.outline.exterior.coords) - centre).T)
    on_arc = np.abs(reach - inside) < 1e-6
    assert on_arc.sum() > 50  # facets of 5 mm and less
    assert np.abs(reach - outside).min() > 1  # and none is left of the edge


def test_at_a_round_corner_it_ends_square_to_the_sides():
    face = left(ROUNDED, HEELS, heel=None)
    assert covered(face) == pytest.approx(QUARTER * (110**2 - 70**2), abs=0.005 * 172 * 2)
    # The round of 110 begins 290 from the front, which is at the right of the left side.
    corners = [(110.0, 0.0), (110.0, 40.0), (0.0, 110.0), (40.0, 110.0)]
    there = np.array(face.outline.exterior.coords)
    for corner in corners:
        assert np.hypot(*(there - corner).T).min() == pytest.approx(0, abs=1e-4)


def test_mouldings_as_wide_go_on_round_corners_without_a_gap():
    words = dict.fromkeys(("low", "heel", "far", "high", "shoulder", "near"))
    face = left(ROUNDED, HEELS, **words)
    kept = 320 * 420 - (1 - QUARTER) * (70**2 + 50**2)
    assert face.outline.area == pytest.approx(kept, abs=0.005 * 190)
    assert face.outline.geom_type == "Polygon"
    assert not face.outline.interiors


def test_a_narrower_one_beside_it_leaves_a_step():
    face = left(ROUNDED, HEELS, heel=40, low=30)
    straight = 30 * (400 - 110)
    assert covered(face) == pytest.approx(QUARTER * (110**2 - 70**2) + straight, abs=1.7)


def test_at_corners_it_ends_beyond_the_next_side():
    face = left(BOWED, near=30, high=40)
    # At the sharp corner of the two the ring ends where the strip along near begins.
    within = sum(
        sign * (at * math.sqrt(480**2 - at**2) + 480**2 * math.asin(at / 480)) / 2
        for sign, at in ((1, 200), (-1, -170))
    )
    assert face.outline.area == pytest.approx(within + 370 * 20, abs=0.005 * 450)


def test_next_to_a_bevel_it_covers_the_bevels_end_too():
    bevel = '"left and near" = { bevel = 8 }'
    plain = curved(BOWED, f"[carcase.edges]\n{bevel}").face("box-left").outline.area
    face = curved(BOWED, f"{covering(high=None)}\n{bevel}").face("box-left")
    # Of the face that ends 8 / sqrt(2) from near's outside the arc's ring is covered; and of the
    # bevel what lies above the ring's end there.
    bite = 8 / math.sqrt(2)
    ring = sum(
        sign * sum(
            way * (at * math.sqrt(r**2 - at**2) + r**2 * math.asin(at / r)) / 2
            for way, at in ((1, 200), (-1, -(200 - bite)))
        )
        for sign, r in ((1, RADIUS), (-1, 480))
    )  # fmt: skip
    assert plain - face.outline.area > ring
    assert plain - face.outline.area == pytest.approx(ring, abs=8 * 60)


@pytest.mark.parametrize("width", [110, 130, 109.8])
def test_one_as_wide_as_its_round_is_refused(width):
    told = faults_of(lambda: left(ROUNDED, HEELS, heel=width))
    assert "it is too wide for the curves of left there" in " ".join(told)


def test_in_the_middle_of_a_straight_line_it_ends_where_the_board_beyond_does():
    text = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D", "E"]
width = 300
board = 18
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [400, 500]
D = [0, 500]
E = [0, 200]
[carcase.panels]
bottom = { edge = "A-B" }
back = { edge = "B-C" }
top = { edge = "C-D" }
upper = { edge = "D-E" }
lower = { edge = "E-A" }
[carcase.edges]
"left and upper" = { moulding = { left = 30 } }
"""
    assert covered(built(text).face("box-left")) == pytest.approx(300 * 30, abs=1e-6)


def test_a_moulding_on_straight_edges_is_as_it_was():
    words = '"left and front" = { moulding = { left = 60 } }\n"left and top" = { moulding = '
    cabinet = square("", f"[carcase.edges]\n{words}{{ left = 40 }} }}")
    assert cabinet.face("box-left").outline.bounds == pytest.approx((0, 0, 340, 460))
