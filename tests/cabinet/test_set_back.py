r"""Boards that lie behind the outline, or stop short, on the box of tests/boxes.py.

The box is 300 wide, 400 deep and 500 high, of boards 18 thick; sides lie over all others.

      ______
     |______|     the top over the front, which is set back by 40: sides and top stand proud
     | |    |
     | |    |     the floor is 60 above the ground
     |_|    |
"""

import numpy as np
import pytest

from boxes import SQUARE, built, faults_of
from mateline.cabinet.volume import volume
from mateline.placing.wrap import UnreachableError, wraps
from volumes import in_kernel, in_mesh

EDGES = {"front": "D-A", "back": "B-C", "top": "C-D", "bottom": "A-B"}


def box(more="", after="", **words):
    text = SQUARE.format(more=more, board=18)
    for name, word in words.items():
        text = text.replace(f'edge = "{EDGES[name]}"', f'edge = "{EDGES[name]}", {word}')
    return built(text + after)


def proud(**more):
    return box(
        'joints = ["top over front", "back over bottom", "bottom over front"]',
        front="set_back = 40",
        bottom="set_back = 60",
        **more,
    )


def corner(face):
    return face.cells[0].lift[:, 2]


def test_a_board_set_back_lies_between_those_that_stand_proud():
    cabinet = proud()
    front, floor = cabinet.face("box-front"), cabinet.face("box-bottom")
    # The front stands on the floor: from 60 + 18 up to the top's underside at 500 - 18.
    assert front.outline.bounds[2:] == pytest.approx((300 - 36, 500 - 18 - 78))
    assert corner(front) == pytest.approx([18, 40, 78])
    # The floor runs from the outline in front, which it lies over, to the back.
    assert floor.outline.bounds[2:] == pytest.approx((300 - 36, 400 - 18))
    assert corner(floor)[2] == pytest.approx(60)
    assert cabinet.face("box-left").outline.bounds[2:] == pytest.approx((400, 500))


def test_solids_volumes_and_meshes_of_boards_set_back_agree():
    for cabinet in (proud(), box(front="short = { top = 120 }"), slanted(), upright()):
        for face in cabinet.faces:
            assert in_kernel(face.panel) == pytest.approx(volume(face.panel), rel=1e-9)
            assert in_mesh(face.panel) == pytest.approx(volume(face.panel), rel=1e-9)


# A deck slopes up by 3 in 4 to an inside corner at (220, 265); a screen goes straight up from it.
UPRIGHT = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D", "E", "F"]
width = 300
board = 18
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [400, 600]
D = [220, 600]
E = [220, 265]
F = [0, 100]
[carcase.panels]
bottom = { edge = "A-B" }
back = { edge = "B-C" }
top = { edge = "C-D" }
screen = { edge = "D-E", set_back = 40 }
deck = { edge = "E-F" }
front = { edge = "F-A" }
"""


def upright():
    return built(UPRIGHT)


def test_at_an_inside_corner_a_board_runs_on_to_the_one_that_is_set_back():
    cabinet, plain = upright(), built(UPRIGHT.replace(", set_back = 40", ""))
    deck, screen = cabinet.face("box-deck"), cabinet.face("box-screen")
    # 40 back along a slope of 3 in 4 the deck is 50 longer and meets the screen 30 higher.
    assert deck.outline.bounds[3] == pytest.approx(plain.face("box-deck").outline.bounds[3] + 50)
    assert screen.outline.bounds[3] == pytest.approx(
        plain.face("box-screen").outline.bounds[3] - 30
    )
    assert corner(screen)[1] == pytest.approx(260)
    assert corner(screen)[2] == pytest.approx(295)
    assert cabinet.face("box-left").outline.area == pytest.approx(
        plain.face("box-left").outline.area
    )
    # What is seen of either side above the deck: 40 deep, from the deck's slope to the top.
    seen = [each for each in cabinet.ends if each.inside and each.board == "box-left"]
    assert sum(each.area.area for each in seen) == pytest.approx(40 * (600 - 18 - 265 - 15))


def test_boards_set_back_touch_their_neighbours_and_reach_into_none():
    # What is left of the box's volume is what the boards leave open inside and in front.
    inside = 264 * (400 - 40 - 18 - 18) * (500 - 18 - 78)
    before = 264 * 40 * (500 - 18 - 78)
    below = 264 * 60 * (400 - 18)
    wood = sum(volume(face.panel) for face in proud().faces)
    assert wood == pytest.approx(300 * 400 * 500 - inside - before - below)


def slanted():
    """A front that leans back by 90 over 420, set back by 30; the top lies over it."""
    return built(
        """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D"]
width = 300
board = 18
joints = ["top over front", "front over bottom"]
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [340, 500]
D = [90, 420]
[carcase.panels]
front = { edge = "D-A", set_back = 30 }
back = { edge = "B-C" }
top = { edge = "C-D" }
bottom = { edge = "A-B" }
"""
    )


def test_a_slanted_board_set_back_is_parallel_to_the_outline():
    front = slanted().face("box-front")
    outward = np.array(front.panel.frame.outward)
    assert outward @ [0, 90, 420] == pytest.approx(0, abs=1e-9)
    assert outward @ (corner(front) - [0, 0, 0]) == pytest.approx(-30)
    low = front.flat.bounds[1]
    # It starts at the ground, where it meets the outside of the bottom.
    assert (front.cells[0].lift @ [0, low, 1])[2] == pytest.approx(0, abs=1e-9)


def test_what_is_seen_of_the_sides_insides_is_painted_with_their_ends():
    strips = {end.board: end for end in proud().ends if end.inside and end.edge == 3}
    # From the floor's upper side at 78 to the top's underside; the floor's own end is before it.
    cabinet = proud()
    front = [
        end
        for end in cabinet.ends
        if end.inside and cabinet.face(end.board).panel.edges[end.edge].neighbour == "front"
    ]
    sizes = {end.board: end.size for end in front}
    # Under the floor the sides' insides are seen to the ground, and before the front, 40 wide.
    assert sizes["box-left"] == pytest.approx(40 * (500 - 18 - 78 + 60))
    assert sizes["box-top"] == pytest.approx(40 * 264)
    assert strips


def test_a_wrap_goes_round_the_end_and_over_the_inside_of_a_side_that_stands_proud():
    cabinet = proud()
    to_left = wraps([cabinet.face("box-left"), cabinet.face("box-front")])[1]
    # The left side's front edge is at x = 400; then its end of 18, its inside of 40.
    assert to_left @ [0, 0, 1] == pytest.approx([400 + 18 + 40, 78])


def test_hardware_on_a_board_set_back_is_measured_from_the_cabinets_sharp_edges():
    hole = '[[hardware]]\nname = "lock"\nkind = "round"\ndiameter = 20\non = "box-front"\n'
    cabinet = box(front="set_back = 40", after=hole + "from = { left = 100, bottom = 90 }\n")
    (lock,) = cabinet.face("box-front").holes
    there = cabinet.face("box-front").cells[0].lift @ [*lock.centre, 1]
    assert there == pytest.approx([100, 40, 90])


def test_a_board_that_stops_short_ends_square_and_both_ends_are_seen():
    cabinet = box(front="short = { top = 120 }")
    assert cabinet.face("box-front").outline.bounds[2:] == pytest.approx((264, 380))
    assert cabinet.face("box-top").outline.bounds[2:] == pytest.approx((264, 400 - 18))
    ends = {end.board: end.size for end in cabinet.ends if end.owner is None}
    assert ends == {"box-front": pytest.approx(264 * 18), "box-top": pytest.approx(264 * 18)}


def test_nothing_is_wrapped_over_a_gap():
    cabinet = box(front="short = { top = 120 }")
    with pytest.raises(UnreachableError):
        wraps([cabinet.face("box-front"), cabinet.face("box-top")])


@pytest.mark.parametrize(
    ("words", "more", "what"),
    [
        ({"front": "short = { top = 12 }"}, "", "It would reach into top"),
        ({"front": "short = { back = 90 }"}, "", "no panel that it meets “back”"),
        ({"front": "set_back = 9"}, 'joints = ["left mitre front"]', "mitred can't be set back"),
        ({"front": "set_back = 9, missing = true"}, "", "on a board that is not there"),
        ({"front": "short = { top = 90 }"}, 'joints = ["top over front"]', "they don't meet"),
    ],
)
def test_what_no_board_can_do_is_refused(words, more, what):
    assert what in " ".join(faults_of(lambda: box(more, **words)))


def test_no_art_runs_over_the_end_of_a_board_that_stands_proud():
    edge = '[carcase.edges]\n"left and front" = { end = "art" }'
    (fault,) = faults_of(lambda: box(after=edge, front="set_back = 40"))
    assert "lies in no other board's plane" in fault
