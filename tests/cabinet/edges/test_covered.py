r"""Faces of which a part is covered: by another carcase that shares the wall, or by a moulding.

The box of tests/boxes.py is 300 wide, 400 deep and 500 high, of boards 18 thick. Beside it, from
x = 300 on, stands a wing without a left side of its own: the box's right side is its wall.

    500 +------+
        | box  |______ 300
        |      | wing |      seen from in front
        |______|______|
"""

import numpy as np
import pytest
from shapely import box

from boxes import faults_of, square
from mateline.cabinet.solids import shape
from mateline.exports.solid.skin import skin
from mateline.pattern.pattern import pattern_of

WING = """
[[carcase]]
name = "wing"
view = "side"
corners = ["A", "B", "C", "D"]
width = 200
board = 12
at = {{ x = {x}{more} }}
[carcase.outline.points]
A = [0, 0]
B = [{deep}, 0]
C = [{deep}, {high}]
D = [0, {high}]
[carcase.panels]
left = {{ shared = "{wall}" }}
front = {{ edge = "D-A" }}
back = {{ edge = "B-C" }}
top = {{ edge = "C-D" }}
bottom = {{ edge = "A-B" }}
"""


def wing(deep=400, high=300, x=300, wall="box-right", more="", after=""):
    text = WING.format(deep=deep, high=high, x=x, wall=wall, more=more)
    return square("", text + after)


def test_what_stands_behind_the_other_carcase_is_not_painted():
    cabinet = wing()
    wall = cabinet.face("box-right")
    # 200 of the 500 stand above the wing; the face starts there.
    assert wall.outline.bounds == pytest.approx((0, 0, 400, 200))
    assert wall.cells[0].lift[:, 2] == pytest.approx([300, 0, 300])
    assert wall.flat.area == pytest.approx(400 * 500)  # the board is whole
    assert cabinet.face("wing-left") is None


def test_boards_end_at_the_shared_wall_and_their_ends_are_not_seen():
    cabinet = wing()
    front = cabinet.face("wing-front")
    x, _, _ = front.cells[0].lift[:, 2]
    assert x == pytest.approx(300)
    assert front.outline.bounds[2] == pytest.approx(200 - 12)
    against = [e for e in cabinet.ends if e.board.startswith("wing") and e.owner is None]
    assert against == []


def test_a_notch_is_left_where_the_other_carcase_is_smaller():
    wall = wing(deep=150).face("box-right").outline
    assert wall.area == pytest.approx(400 * 500 - 150 * 300)
    assert len(wall.exterior.coords) - 1 == 6


def test_a_wall_that_is_all_covered_is_a_board_and_no_face():
    cabinet = wing(high=500)
    assert cabinet.face("box-right") is None
    assert [face.name for face in cabinet.hidden] == ["box-right"]
    assert len(cabinet.faces) == 5 + 5


@pytest.mark.parametrize(
    ("where", "what"),
    [
        ({"x": 310}, "10.0 mm lie between the two"),
        ({"wall": "box-left"}, "don't look the opposite ways"),
        ({"wall": "box-side"}, "no face of another carcase “box-side”"),
        ({"deep": 150, "high": 100, "more": ", y = 50, z = 50"}, "one with a hole"),
        ({"deep": 400, "high": 100, "more": ", z = 50"}, "several parts"),
    ],
)
def test_walls_that_can_not_be_shared_are_refused(where, what):
    assert what in " ".join(faults_of(lambda: wing(**where)))


def test_hardware_where_the_other_carcase_stands_is_refused():
    bolt = '[[hardware]]\nname = "bolt"\nkind = "round"\ndiameter = 9\non = "box-right"\n'
    (fault,) = faults_of(lambda: wing(after=f"{bolt}from = {{ front = 90, bottom = 90 }}\n"))
    assert "It lies where box-right is covered" in fault
    (hole,) = wing(after=f"{bolt}from = {{ front = 90, bottom = 390 }}\n").face("box-right").holes
    assert hole.centre == pytest.approx((90, 90))


MOULDING = '[carcase.edges]\n"left and front" = { moulding = { left = 60, front = 40 } }'


def test_a_moulding_covers_strips_of_both_faces_and_the_end_below_it():
    cabinet = square('ends = "base"', MOULDING)
    left, front = cabinet.face("box-left"), cabinet.face("box-front")
    assert left.outline.bounds == pytest.approx((0, 0, 400 - 60, 500))
    # The front's board starts 18 from the sharp edge, its face 40 from there.
    assert front.outline.bounds == pytest.approx((0, 0, 300 - 18 - 40, 500))
    ends = {(end.board, end.owner) for end in cabinet.ends}
    assert ("box-left", "box-front") not in ends
    assert ("box-right", "box-front") in ends


def test_hardware_keeps_its_place_beside_a_moulding():
    hole = '\n[[hardware]]\nname = "lock"\nkind = "round"\ndiameter = 20\non = "box-front"\n'
    cabinet = square("", f"{MOULDING}{hole}from = {{ left = 100, bottom = 90 }}\n")
    front = cabinet.face("box-front")
    (lock,) = front.holes
    assert front.cells[0].lift @ [*lock.centre, 1] == pytest.approx([100, 0, 90])
    assert lock.centre == pytest.approx((60, 90))


def test_the_model_shows_wood_where_a_face_is_covered():
    front = square("", MOULDING).face("box-front")
    pattern = pattern_of([], front.outline, base="#f4ead2")
    made = skin(
        front.panel,
        [(each.area, each.colour) for each in pattern.regions],
        "#c8a06a",
        elsewhere=True,
    )
    a, b, c = np.moveaxis(made.triangles, 1, 0)
    sizes = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
    cream = sizes[np.array(made.colours) == "#f4ead2"].sum()
    assert cream == pytest.approx((300 - 18 - 40) * 500)
    assert front.outline.equals(box(*front.outline.bounds))
    assert shape(front.panel)


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ("moulding = { front = 12 }", "It covers nothing of front"),
        ("moulding = { top = 12 }", "no board that meets here “top”"),
        ("round = 8, moulding = { left = 30 }", "lies on a square edge"),
    ],
)
def test_mouldings_that_can_not_be_are_refused(words, what):
    edge = f'[carcase.edges]\n"left and front" = {{ {words} }}'
    assert what in " ".join(faults_of(lambda: square("", edge)))
