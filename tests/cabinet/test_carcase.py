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


#  F--top--E            an L: the corner at D is an inside one
#  |       |riser
#  |       D-ledge-C
#  |               |
#  A----bottom-----B
ELL = (
    SQUARE.replace('["A", "B", "C", "D"]', '["A", "B", "C", "D", "E", "F"]')
    .replace("C = [400, 500]\nD = [0, 500]",
             "C = [400, 300]\nD = [200, 300]\nE = [200, 500]\nF = [0, 500]")
    .replace('"D-A" }}', '"F-A" }}\nledge = {{ edge = "C-D" }}\nriser = {{ edge = "D-E" }}')
    .replace('top = {{ edge = "C-D" }}', 'top = {{ edge = "E-F" }}')
)  # fmt: skip
#  D--top--C            two boards in one plane below
#  A-bot-M-floor-B
SPLIT = (
    SQUARE.replace('["A", "B", "C", "D"]', '["A", "M", "B", "C", "D"]')
    .replace("B = [400, 0]", "M = [200, 0]\nB = [400, 0]")
    .replace('bottom = {{ edge = "A-B" }}',
             'bottom = {{ edge = "A-M" }}\nfloor = {{ edge = "M-B" }}')
)  # fmt: skip
FRONT = 'front = {{ edge = "D-A" }}'
BEVEL = 'edges = { "front and top" = { bevel = 5 } }'
INSIDE = "This is an inside corner. Its boards are mitred: remove their joint."
PLANE = "These two boards run on in one plane and are butted square."


@pytest.mark.parametrize(
    ("text", "more", "place", "words"),
    [
        (ELL, 'joints = ["ledge over riser"]', "joints 1", INSIDE),
        (
            ELL, 'joints = ["ledge over riser"]\nedges = { "ledge and riser" = { round = 5 } }',
            "edges, ledge and riser", INSIDE,
        ),
        (SPLIT, 'joints = ["bottom over floor"]', "joints 1", PLANE),
        (SPLIT, 'edges = { "bottom and floor" = { bevel = 5 } }', "bottom and floor", PLANE),
        (
            SQUARE.replace(FRONT, f'{FRONT}\nleft = {{{{ edge = "A-B" }}}}'), "",
            "panels, left", "An end stands on no edge.",
        ),
        (
            SQUARE.replace(FRONT, f'{FRONT}\nshelf = {{{{ edge = "D-A" }}}}'), "",
            "panels, shelf", "front stands on D-A too.",
        ),
        (
            SQUARE.replace('"D-A"', '"A-C"'), "",
            "panels, front", "There is no edge of the outline “A-C”.",
        ),
        (SQUARE.replace(FRONT, ""), "", "panels", "No panel stands on D-A."),
        (
            SQUARE.replace('"D-A"', '"D-A", missing = true'), BEVEL,
            "edges, front and top", "There is no board front.",
        ),
    ],
)  # fmt: skip
def test_boards_that_cannot_stand_so_are_told_with_their_place(text, more, place, words):
    faults = faults_of(lambda: built(text.format(more=more, board=18)))
    assert {fault.split(": ", 1)[1] for fault in faults} == {faults[0].split(": ", 1)[1]}
    assert f"{place}: " in faults[0]
    assert words in faults[0]


def test_what_looks_like_it_and_can_be_made_is_made():
    ell = built(ELL.format(more='joints = ["ledge mitre riser"]', board=18))
    assert size(ell, "box-ledge") == pytest.approx((300 - 36, 200))
    split = built(SPLIT.format(more="", board=18))
    # the outlying half ends under the front or back board, the other half runs to the middle
    assert size(split, "box-floor") == pytest.approx((300 - 36, 200 - 18))
    open_front = SQUARE.replace('"D-A"', '"D-A", missing = true').format(more="", board=18)
    assert {face.name for face in built(open_front).faces} == {
        f"box-{name}" for name in ("left", "right", "back", "top", "bottom")
    }


def test_two_carcases_of_one_name_are_told():
    text = SQUARE.format(more="", board=18)
    (fault,) = faults_of(lambda: built(text + text))
    assert "carcase 2 (box): Two carcases have this name." in fault


STAND = 'stands_on = {{ carcase = "{carcase}", edge = "{edge}", offset = 50, across = 7 }}'
HEAD = SQUARE.replace('name = "box"', 'name = "head"').replace("width = 300", "width = 200")
HEAD = HEAD.replace("400", "100").replace("500", "80")


def stacked(carcase="box", edge="C-D", head=HEAD):
    more = STAND.format(carcase=carcase, edge=edge)
    return built(SQUARE.format(more="", board=18) + head.format(more=more, board=18))


def test_a_carcase_stands_with_its_first_edge_along_the_other_ones():
    """C-D runs from the back to the front: 50 from its first corner, then 100 on; D-C comes back.

    Either way it stands outside the other one, in its middle and 7 to the side.
    """
    for edge, y in (("C-D", 400 - 50 - 100), ("D-C", 50)):
        lift = stacked(edge=edge).face("head-left").cells[0].lift
        corners = {tuple(np.round(lift @ [x, up, 1], 6)) for x in (0, 100) for up in (0, 80)}
        across = (300 - 200) / 2 + 7
        assert corners == {(across, y + a, 500 + b) for a in (0, 100) for b in (0, 80)}


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"carcase": "bix"}, "There is no carcase above this one in the file “bix”."),
        ({"edge": "A-C"}, "There is no edge “A-C”."),
        ({"head": HEAD.replace('"side"', '"plan"')}, "Only side views stand on one another."),
    ],
)
def test_a_carcase_that_can_stand_nowhere_is_told(more, words):
    faults = faults_of(lambda: stacked(**more))
    assert any(words in fault for fault in faults), faults


def test_an_end_listed_first_keeps_nothing_from_the_boards_after_it():
    plain = SQUARE.replace(FRONT, f"left = {{{{ missing = true }}}}\n{FRONT}")
    assert len(built(plain.format(more="", board=18)).faces) == 5
    wrong = SQUARE.replace(FRONT, f'left = {{{{ edge = "A-B" }}}}\n{FRONT}').replace("B-C", "A-C")
    first, second = faults_of(lambda: built(wrong.format(more="", board=18)))
    assert "An end stands on no edge." in first
    assert "panels, back: There is no edge of the outline “A-C”." in second


@pytest.mark.parametrize(
    ("shape", "deep", "left"),
    [
        ("round = 12", 24.5, True),
        ("round = 12", 23.5, False),
        ("bevel = 10", 14.5, True),
        ("bevel = 10", 13.5, False),
    ],
)
def test_two_shaped_edges_that_take_a_whole_face_leave_nothing_of_it(shape, deep, left):
    """Two rounds take 24 mm, two bevels 20 / sqrt 2 = 14.1: then there is no flat part, though
    there is wood 1 mm down.
    """
    text = SQUARE.replace("400", str(deep)).format(
        more=f'edges = {{ "left and front" = {{ {shape} }}, "left and back" = {{ {shape} }} }}',
        board=18,
    )
    faults = faults_of(lambda: built(text))
    assert left != any("left: At 18.0 mm this board has nothing left" in fault for fault in faults)
