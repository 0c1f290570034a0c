r"""Carcases made into panels.

D 500 +--top--+ C        seen from the player's right
      |       |
 front|       |back
      |       |
A   0 +-bottom+ B 400
"""

import math

import numpy as np
import pytest

from boxes import SQUARE, built, faults_of, square


def size(cabinet, name):
    return cabinet.face(name).outline.bounds[2:]


def test_ends_lie_over_all_and_the_first_named_board_over_the_others():
    cabinet = square()
    assert size(cabinet, "box-left") == pytest.approx((400, 500))
    assert size(cabinet, "box-front") == pytest.approx((300 - 36, 500))
    assert size(cabinet, "box-top") == pytest.approx((300 - 36, 400 - 36))


def test_a_joint_turns_the_order_round():
    cabinet = square('joints = ["top over front", "front over left"]')
    assert size(cabinet, "box-front") == pytest.approx((300 - 18, 500 - 18))
    assert size(cabinet, "box-left") == pytest.approx((400 - 18, 500))
    assert size(cabinet, "box-top") == pytest.approx((300 - 36, 400 - 18))


def test_a_mitre_shows_both_faces_to_the_sharp_edge():
    cabinet = square('joints = ["left mitre front"]')
    assert size(cabinet, "box-left") == pytest.approx((400, 500))
    assert size(cabinet, "box-front") == pytest.approx((300 - 18, 500))


def test_every_face_looks_away_from_the_middle():
    cabinet = square()
    for face in cabinet.faces:
        lift = face.cells[0].lift
        middle = lift @ [*face.flat.centroid.coords[0], 1.0]
        outward = middle - np.array([150, 200, 250])
        assert face.cells[0].outward @ outward > 0, face.name


def test_the_front_is_at_large_x_on_the_left_side_and_at_small_x_on_the_right():
    cabinet = square()
    for name, x in (("box-left", 400), ("box-right", 0)):
        lift = cabinet.face(name).cells[0].lift
        assert lift @ [x, 0, 1] == pytest.approx([0 if "left" in name else 300, 0, 0], abs=1e-9)


@pytest.mark.parametrize(
    ("face", "right", "up"),
    [
        ("box-front", (1, 0, 0), (0, 0, 1)),
        ("box-back", (-1, 0, 0), (0, 0, 1)),
        ("box-left", (0, -1, 0), (0, 0, 1)),
        ("box-right", (0, 1, 0), (0, 0, 1)),
        ("box-top", (1, 0, 0), (0, 1, 0)),
        ("box-bottom", (1, 0, 0), (0, -1, 0)),
    ],
)
def test_face_frames_are_the_viewers(face, right, up):
    frame = square().face(face).panel.frame
    assert frame.along_x == pytest.approx(right, abs=1e-12)
    assert frame.along_y == pytest.approx(up, abs=1e-12)


def test_plan_and_front_views_make_the_same_box():
    def boxes(view, corners, width):
        text = f"""
[[carcase]]
name = "box"
view = "{view}"
corners = ["A", "B", "C", "D"]
width = {width}
board = 18
[carcase.outline.points]
A = [0, 0]
B = [{corners[0]}, 0]
C = [{corners[0]}, {corners[1]}]
D = [0, {corners[1]}]
[carcase.panels]
one = {{ edge = "A-B" }}
two = {{ edge = "B-C" }}
three = {{ edge = "C-D" }}
four = {{ edge = "D-A" }}
"""
        return {
            tuple(np.round(face.cells[0].outward).astype(int) + 0): face
            for face in built(text).faces
        }

    plan = boxes("plan", (300, 400), 500)
    front = boxes("front", (300, 500), 400)
    side = {tuple(np.round(f.cells[0].outward).astype(int) + 0): f for f in square().faces}
    assert plan.keys() == front.keys() == side.keys()
    for way, face in side.items():
        for other in (plan[way], front[way]):
            assert other.panel.frame.along_x == pytest.approx(face.panel.frame.along_x, abs=1e-12)
            low, high = other.cells[0].lift @ [0, 0, 1], face.cells[0].lift @ [0, 0, 1]
            axis = int(np.argmax(np.abs(way)))
            assert low[axis] == pytest.approx(high[axis])  # in the same plane


def test_a_missing_board_leaves_its_neighbours_ends_free():
    cabinet = square('joints = ["back over top"]')
    assert size(cabinet, "box-top")[1] == pytest.approx(400 - 36)
    text = 'joints = ["back over top"]\n'
    toml = SQUARE.format(more=text, board=18).replace(
        'back = { edge = "B-C" }', 'back = { edge = "B-C", missing = true }'
    )
    without = built(toml)
    assert without.face("box-back") is None
    assert size(without, "box-top")[1] == pytest.approx(400 - 18)


def test_a_bevel_is_a_strip_of_its_true_width_on_the_board_that_lies_over():
    cabinet = square('edges = { "left and front" = { bevel = 10 } }')
    (strip,) = cabinet.face("box-left").strips
    assert strip.area.area == pytest.approx(10 * 500)
    assert cabinet.face("box-left").outline.bounds[2] == pytest.approx(400 - 10 / math.sqrt(2) + 10)
    assert cabinet.face("box-front").strips == ()


def test_a_round_is_unrolled_to_a_quarter_circle():
    cabinet = square('edges = { "left and front" = { round = 12 } }')
    (strip,) = cabinet.face("box-left").strips
    assert strip.area.area == pytest.approx(12 * math.pi / 2 * 500, rel=1e-12)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ('joints = ["front over lid"]', "joints 1: There is no panel “lid”"),
        ('joints = ["front beside top"]', "names no two panels that meet"),
        ('joints = ["front over back"]', "don't meet"),
        ('joints = ["front over top", "top over front"]', "has a joint already"),
        ('edges = { "left and front" = { bevel = 30 } }', "21.2 mm deep, and the board is 18.0"),
        ('edges = { "left and front" = {} }', "a bevel or a round"),
        ('edges = { "left and front" = { bevel = 5, round = 5 } }', "a bevel or a round"),
    ],
)
def test_what_cannot_be_made_is_told(more, words):
    (fault,) = faults_of(lambda: square(more))
    assert fault.startswith("cabinet.toml: ")
    assert words in fault


def test_boards_thicker_than_the_box_leave_nothing():
    faults = faults_of(lambda: square(board=210))
    assert any("nothing left between its joints" in fault for fault in faults)


def test_a_cabinet_without_any_board_is_told():
    text = SQUARE.format(more="", board=18).replace('" }', '", missing = true }')
    text += "left = { missing = true }\nright = { missing = true }\n"
    (fault,) = faults_of(lambda: built(text))
    assert "Every board is missing." in fault
