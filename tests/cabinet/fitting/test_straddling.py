"""Hardware over a joint is cut in both faces, where the same place is on each."""

import math

import pytest

from boxes import SQUARE, built, faults_of, square
from mateline.cabinet.fitting.straddling import carriage
from mateline.cabinet.hole import open_area

PLATE = """
[[hardware]]
name = "plate"
kind = "rectangle"
length = 80
width = 20
turn = {turn}
on = "{on}"
from = {where}
straddles = {straddles}
"""
# A second box stands on the first, flush with its left side and its front.
HEAD = (
    SQUARE.format(board=18, more='stands_on = { carcase = "box", edge = "C-D", offset = 200 }')
    .replace('"box"\nview', '"head"\nview')
    .replace("B = [400, 0]", "B = [200, 0]")
    .replace("C = [400, 500]", "C = [200, 500]")
)


def stacked(after):
    return built(SQUARE.format(board=18, more="") + HEAD + after)


def raised(face, hole):
    return face.cells[0].lift @ (*hole.centre, 1)


@pytest.mark.parametrize("turn", [0, 90, 30])
def test_two_carcases_in_one_plane_share_the_hole(turn):
    where = "{ front = 100, top = 2 }"
    text = PLATE.format(on="box-left", where=where, straddles="'head-left'", turn=turn)
    cabinet = stacked(text)
    low, high = cabinet.face("box-left"), cabinet.face("head-left")
    (one,), (other,) = low.holes, high.holes
    assert one.name == other.name == "plate"
    assert raised(high, other) == pytest.approx(raised(low, one))
    # both lie on one plane, so that what each takes of its face adds up to the whole
    taken = [
        face.flat.intersection(open_area(hole)).area for face, hole in ((low, one), (high, other))
    ]
    assert sum(taken) == pytest.approx(80 * 20)
    assert min(taken) > 0


def test_round_a_plain_corner_it_is_laid_flat():
    """The left side lies over the front: 5 in from the sharp edge on the side is 5 beyond it on
    the front, whose edge with the left it is."""
    text = PLATE.format(
        on="box-left", where="{ front = 5, bottom = 100 }", straddles="['box-front']", turn=0
    )
    cabinet = square(after=text)
    (one,), (other,) = cabinet.face("box-left").holes, cabinet.face("box-front").holes
    front = cabinet.face("box-front")
    left_edge = [edge.neighbour for edge in front.panel.edges].index("left")
    x = front.panel.outline[left_edge][0]
    assert other.centre[0] == pytest.approx(x - 5)
    height = front.panel.frame.corner[2] + other.centre[1]
    assert height == pytest.approx(100)
    assert one.turn == pytest.approx(0)
    assert math.sin(other.turn) == pytest.approx(0, abs=1e-12)


def test_both_sides_straddle_the_opposite_joint():
    text = PLATE.format(
        on="box-left", where="{ front = 5, bottom = 100 }", straddles="'box-front'", turn=0
    )
    cabinet = square(after=f"{text}both_sides = true\n")
    holes = {face.name: len(face.holes) for face in cabinet.faces}
    assert holes == {"box-left": 1, "box-right": 1, "box-front": 2, "box-back": 0,
                     "box-top": 0, "box-bottom": 0}  # fmt: skip


def test_a_group_is_cut_only_where_it_reaches():
    """Two holes 60 apart, of which one lies over the joint."""
    text = """
[[group]]
name = "pair"
[[group.part]]
name = "pin"
kind = "round"
diameter = 44
at = [-60, 0]
row = { count = 2, pitch = 60 }
[[hardware]]
name = "hinge"
group = "pair"
on = "box-left"
from = { front = 2, bottom = 100 }
straddles = "box-front"
"""
    cabinet = square(after=text)
    assert [hole.name for hole in cabinet.face("box-left").holes] == ["hinge pin 1", "hinge pin 2"]
    assert [hole.name for hole in cabinet.face("box-front").holes] == ["hinge pin 2"]


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ('edges = { "left and front" = { round = 10 } }', "no joint that a hole can lie over"),
        ("", None),
    ],
)
def test_a_rounded_edge_has_no_flat_for_it(more, words):
    text = PLATE.format(
        on="box-left", where="{ front = 5, bottom = 100 }", straddles="'box-front'", turn=0
    )
    if words is None:
        assert square(more, text).face("box-front").holes
    else:
        assert any(words in fault for fault in faults_of(lambda: square(more, text)))


def test_a_hole_in_the_end_of_the_board_between_lies_on_neither_face():
    """The front starts 18 in from the side it ends under: at 3 the plate is 2 to 13 on the end."""
    text = PLATE.format(
        on="box-front", where="{ left = 3, bottom = 100 }", straddles="'box-left'", turn=0
    ).replace("length = 80", "length = 21")
    (told, *_) = faults_of(lambda: square(after=text))
    assert "lies off box-front" in told


def test_faces_that_do_not_touch_have_no_joint():
    cabinet = stacked("")
    assert carriage(cabinet.face("box-left"), cabinet.face("head-right")) is None
    assert carriage(cabinet.face("box-left"), cabinet.face("box-right")) is None
    assert carriage(cabinet.face("box-left"), cabinet.face("head-left")) is not None
