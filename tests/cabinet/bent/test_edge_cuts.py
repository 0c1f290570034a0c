r"""Grooves, rabbets and holes in the edges of bent boards, on the boxes of curved_boxes.py.

The board called high is bent round 520 about (200, 20), or hollow round 681.67, 18 thick. It lies
over all its neighbours: 300 wide, from x = 0 to 400, where it is cut straight down.
"""

import math

import pytest
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_State

from boxes import faults_of
from curved_boxes import BOWED, HOLLOW, board, curved
from mateline.cabinet.panel import level, raised
from mateline.cabinet.solids import shape
from mateline.cabinet.volume import volume
from mateline.exports.solid.net import SEEN
from volumes import SAME, in_kernel, in_mesh, in_step

RADIUS, DEEP = 520.0, (200**2 + 30**2) / 60
OVER = 'joints = ["high over left", "high over right", "high over near", "high over far"]'
GROOVE = "groove = { width = 3, depth = 10 }"


def under(r):
    """Area under a circle, from 200 left of its middle to 200 right of it."""
    return 200 * math.sqrt(r**2 - 200**2) + r**2 * math.asin(200 / r)


def between(one, other):
    return abs(under(one) - under(other))


def high(curves=BOWED, view="side", more=OVER, **words):
    """The bent board, with what is said of its edges."""
    lines = (f'"high and {other}" = {{ {text} }}' for other, text in words.items())
    made = curved(curves, "\n".join(["[carcase.edges]", *lines]), more, view=view)
    return board(made, "high")


# Radii of the outside and, at a depth, of what lies inside it.
SIDES = {"bow": (BOWED, RADIUS, -1), "hollow": (HOLLOW, DEEP, 1)}


@pytest.mark.parametrize("bend", SIDES)
def test_a_groove_along_a_bent_board_lies_between_two_arcs(bend):
    curves, outside, way = SIDES[bend]
    whole = between(outside, outside + 18 * way) * 300
    taken = between(outside + 7.5 * way, outside + 10.5 * way) * 10
    assert volume(high(curves)) == pytest.approx(whole, rel=1e-12)
    assert volume(high(curves, left=GROOVE)) == pytest.approx(whole - taken, rel=1e-12)


def test_a_rabbet_along_a_bent_board_goes_on_to_its_inside_and_the_side_into_it():
    cut = "rabbet = { width = 18, depth = 6 }"
    taken = between(508, 502) * 18
    assert volume(high(left=cut)) == pytest.approx(volume(high()) - taken, rel=1e-12)
    made = curved(panels=f'[carcase.edges]\n"high and left" = {{ {cut} }}', more=OVER)
    plain = curved(more=OVER)
    # The side lies under the board, whose inside is 18 below the arc, and grows by 6.
    grown = volume(board(made, "left")) - volume(board(plain, "left"))
    assert grown == pytest.approx(taken, rel=1e-6)


@pytest.mark.parametrize("bend", SIDES)
def test_a_groove_across_a_bent_board_is_flat(bend):
    curves, *_ = SIDES[bend]
    plain, cut = high(curves), high(curves, near=GROOVE)
    # 3 by 10 all across the 300.
    assert volume(plain) - volume(cut) == pytest.approx(3 * 10 * 300, rel=1e-9)


ALL = {
    "along": {"left": GROOVE, "right": "rabbet = { width = 18, depth = 6 }"},
    "across": {"near": GROOVE, "far": "groove = { width = 2, depth = 20, offset = 12 }"},
    "both": {
        "near": "groove = { width = 2, depth = 9, offset = 5 }",
        "left": "groove = { width = 3, depth = 7, offset = 12 }",
    },
    "holes": {
        "left": "groove = { width = 2, depth = 6, offset = 15 }, holes = ["
        "{ name = 'pin', diameter = 8, depth = 30, offset = 7, from = { near = 100 } },"
        "{ name = 'peg', diameter = 6, depth = 25, offset = 7, from = { far = 50 } }]",
    },
}


@pytest.mark.parametrize("words", ALL)
@pytest.mark.parametrize("bend", SIDES)
def test_solids_files_and_meshes_of_bent_boards_agree_with_the_closed_form(bend, words, tmp_path):
    curves, outside, _ = SIDES[bend]
    plain, cut = high(curves), high(curves, **ALL[words])
    size = volume(cut)
    assert in_kernel(cut) == pytest.approx(size, rel=SAME)
    assert in_step([cut], tmp_path) == pytest.approx([size], rel=SAME)
    # A ring in facets is a share of 4 d / 3 R smaller; holes have 32 sides, 6.4e-3 smaller.
    share = 4 * SEEN / (3 * outside)
    assert in_mesh(cut) == pytest.approx(size, rel=share)
    taken = volume(plain) - size
    assert in_mesh(plain) - in_mesh(cut) == pytest.approx(taken, rel=share + 6.5e-3)


@pytest.mark.parametrize(("view", "end"), [("plan", "bottom"), ("front", "front")])
def test_they_agree_in_other_views(view, end):
    joints = f'joints = ["high over {end}", "high over near", "high over far"]'
    hole = "holes = [{ name = 'x', diameter = 5, depth = 30, offset = 4, from = { near = 90 } }]"
    words = {end: f"groove = {{ width = 2, depth = 9, offset = 12 }}, {hole}"}
    plain, cut = high(view=view, more=joints), high(view=view, more=joints, **words)
    taken = between(RADIUS - 11, RADIUS - 13) * 9 + math.pi * 2.5**2 * 30
    assert volume(plain) - volume(cut) == pytest.approx(taken, rel=1e-9)
    assert in_kernel(cut) == pytest.approx(volume(cut), rel=SAME)
    assert in_mesh(cut) == pytest.approx(volume(cut), rel=4 * SEEN / 3 / RADIUS)


def test_a_hole_goes_along_the_axis_at_its_distance_along_the_outside():
    made = shape(high(left="holes = [{ name = 'x', diameter = 8, depth = 30,"
                           " from = { near = 100 } }]"))  # fmt: skip
    angle = math.asin(200 / RADIUS) - 100 / RADIUS
    for x, up, wood in ((1, 0, 0), (29.9, 0, 0), (30.1, 0, 1), (15, 3.9, 0), (15, 4.1, 1)):
        reach = RADIUS - 9 + up
        y, z = 200 - reach * math.sin(angle), 20 + reach * math.cos(angle)
        state = BRepClass3d_SolidClassifier(made, gp_Pnt(x, y, z), 1e-6).State()
        assert (state == TopAbs_State.TopAbs_IN) == bool(wood), (x, up)


def test_ends_of_bent_boards_are_flat_at_every_depth():
    panel = high()
    for down in (0, 5, 9, 13, 18):
        corners = raised(panel, level(panel, down), down)
        assert sorted(corners[:, 1]) == pytest.approx([0, 0, 400, 400], abs=1e-9)


def test_what_is_left_of_the_end_of_a_bent_board_is_painted():
    made = curved(panels=f'[carcase.edges]\n"high and left" = {{ {GROOVE} }}', more=OVER)
    (end,) = [e for e in made.ends if (e.board, e.owner) == ("box-high", "box-left")]
    assert end.size == pytest.approx(between(520, 502) - between(512.5, 509.5), rel=1e-9)


def test_a_bent_board_goes_on_into_a_rabbet_of_a_flat_one():
    cut = '[carcase.edges]\n"near and high" = { rabbet = { width = 40, depth = 6 } }'
    joint = 'joints = ["near over high"]'
    plain, made = (board(curved(panels=each, more=joint), "high") for each in ("", cut))

    # The cabinet is 264 wide between its sides; near is 18 thick, 12 in its rabbet.
    def part(r):
        return sum(
            sign * (at * math.sqrt(r**2 - at**2) + r**2 * math.asin(at / r)) / 2
            for sign, at in ((1, -182), (-1, -188))
        )

    grown = (part(520) - part(502)) * 264
    assert volume(made) - volume(plain) == pytest.approx(grown, rel=1e-9)


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ({"near": GROOVE, "left": GROOVE}, "grooves along and across it meet"),
        ({"near": "rabbet = { width = 18, depth = 6 }"}, "cuts no rabbet"),
        ({"near": "groove = { width = 3, depth = 100 }"}, "it comes out of the board"),
        ({"left": "groove = { width = 3, depth = 310 }"}, "goes through the board"),
        ({"left": "groove = { width = 3, depth = 160 }",
          "right": "groove = { width = 3, depth = 160 }"}, "has nothing left of one of its edges"),
        ({"near": "holes = [{ name = 'x', diameter = 6, depth = 9, from = { left = 90 } }]"},
         "into such an end this tool drills no hole"),
        ({"left": "holes = [{ name = 'x', diameter = 17.5, depth = 9, from = { near = 90 } }]"},
         "runs out of the end"),
        ({"left": "holes = [{ name = 'x', diameter = 6, depth = 310, from = { near = 90 } }]"},
         "goes through the board"),
    ],
)  # fmt: skip
def test_what_bent_boards_have_no_room_for_is_refused(words, what):
    assert what in " ".join(faults_of(lambda: high(**words)))
