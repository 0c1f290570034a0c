r"""The names of a box's edges, worked on the page.

The box of `boxes.square` in side view: A low in front ... its left side is seen from the player's
left, so that the front is at the right of it.
"""

import pytest

from boxes import built
from mateline.stencil.laying.sides import lowest, sides_of

BOX = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D"]
width = 300
board = 18
stands_text

[carcase.outline.readings]
A-B = 400
B-C = 500
C-D = 400
D-A = 500
A-C = 640.3
B-D = 640.3

[carcase.panels]
front = { edge = "D-A" }
back = { edge = "B-C", missing = true }
top = { edge = "C-D" }
base = { edge = "A-B" }
"""


@pytest.fixture(scope="module")
def cabinet():
    return built(BOX.replace("stands_text\n", ""))


def named(cabinet, face):
    names = [each.name for each in (*cabinet.faces, *cabinet.hidden)]
    sides = sides_of(cabinet.face(face), names, lowest(cabinet.faces))
    return {(round(side.out[0]) + 0, round(side.out[1]) + 0): side for side in sides}


UP, DOWN, LEFTWARD, RIGHTWARD = (0, 1), (0, -1), (-1, 0), (1, 0)


def test_the_left_side_has_the_front_at_the_right(cabinet):
    sides = named(cabinet, "box-left")
    assert {way: side.name for way, side in sides.items()} == {
        UP: "top (box-top)",
        DOWN: "floor (box-base)",
        RIGHTWARD: "front (box-front)",
        LEFTWARD: "back",  # no board is there
    }


def test_the_right_side_has_the_front_at_the_left(cabinet):
    sides = named(cabinet, "box-right")
    assert sides[LEFTWARD].name == "front (box-front)"
    assert sides[RIGHTWARD].name == "back"


def test_the_front_has_the_players_left_at_the_left(cabinet):
    sides = named(cabinet, "box-front")
    assert {way: side.name for way, side in sides.items()} == {
        UP: "top (box-top)",
        DOWN: "floor (box-base)",
        LEFTWARD: "left (box-left)",
        RIGHTWARD: "right (box-right)",
    }


def test_the_top_has_the_back_above(cabinet):
    sides = named(cabinet, "box-top")
    assert {way: side.way for way, side in sides.items()} == {
        UP: "back", DOWN: "front", LEFTWARD: "left", RIGHTWARD: "right"
    }  # fmt: skip


def test_a_board_between_the_sides_ends_a_thickness_short_of_them(cabinet):
    # The ends lie over all others: 18 mm of theirs is between the front and the sharp edge.
    sides = named(cabinet, "box-front")
    assert [sides[way].short for way in (LEFTWARD, RIGHTWARD)] == pytest.approx([18, 18])
    assert named(cabinet, "box-left")[RIGHTWARD].short == 0


def test_only_the_lowest_edge_is_the_floor():
    high = BOX.replace("stands_text", "at = { x = 0, y = 0, z = 0 }")
    above = BOX.replace('name = "box"', 'name = "head"').replace(
        "stands_text", "at = { x = 0, y = 0, z = 500 }"
    )
    cabinet = built(high + above)
    names = [each.name for each in (*cabinet.faces, *cabinet.hidden)]
    floor = lowest(cabinet.faces)
    ways = {
        face: {side.way for side in sides_of(cabinet.face(face), names, floor)}
        for face in ("box-left", "head-left")
    }
    assert "floor" in ways["box-left"]
    assert "bottom" in ways["head-left"]
    assert "floor" not in ways["head-left"]
