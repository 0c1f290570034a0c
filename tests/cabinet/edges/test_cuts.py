r"""Grooves and rabbets along the edges of the box of tests/boxes.py: 300 x 400 x 500, boards of 18.

The sides lie over all others, so their ends are seen all round and grooves go into them.
"""

import numpy as np
import pytest
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_State

from boxes import built, faults_of, square
from mateline.cabinet.panel import level
from mateline.cabinet.solids import shape
from mateline.cabinet.volume import volume
from volumes import in_kernel, in_mesh, in_step

GROOVE = '"left and front" = { groove = { width = 3, depth = 10 } }'
CUT = "{ width = 20, depth = 5 } }"
RABBET = '"left and back" = { rabbet = { width = 18, depth = 7 } }'
PLAIN = 400 * 500 * 18
SLANTED = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D"]
width = 300
board = 18
joints = ["top over front"]
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [340, 500]
D = [90, 420]
[carcase.panels]
front = { edge = "D-A" }
back = { edge = "B-C" }
top = { edge = "C-D" }
bottom = { edge = "A-B" }
[carcase.edges]
"left and front" = { groove = { width = 3, depth = 10, offset = 8 } }
"left and top" = { groove = { width = 4, depth = 9, offset = 6 } }
"left and back" = { rabbet = { width = 18, depth = 7 } }
"top and front" = { groove = { width = 3, depth = 10 } }
"left and bottom" = { bevel = 5 }
"right and back" = { rabbet = { width = 18, depth = 7 } }
"""


def cut(*edges, after=""):
    return square("", "\n".join(["[carcase.edges]", *edges]) + after)


def test_a_groove_and_a_rabbet_take_what_they_say_of_a_board():
    assert volume(cut(GROOVE).face("box-left").panel) == pytest.approx(PLAIN - 500 * 3 * 10)
    assert volume(cut(RABBET).face("box-left").panel) == pytest.approx(PLAIN - 500 * 18 * 7)
    # A groove along the top of the side runs out where the one along its front does: 10 x 9 x 3.
    both = cut(GROOVE, GROOVE.replace("front", "top").replace("10", "9"))
    size = PLAIN - 500 * 3 * 10 - 400 * 3 * 9 + 10 * 9 * 3
    assert volume(both.face("box-left").panel) == pytest.approx(size)


def test_the_groove_lies_in_the_middle_or_where_it_is_said():
    left = cut(GROOVE).face("box-left").panel
    at = [level(left, depth)[:, 0].max() for depth in (7.4, 7.6, 10.4, 10.6)]
    assert at == pytest.approx([400, 390, 390, 400])  # 9 - 1.5 to 9 + 1.5
    moved = cut(GROOVE.replace("10 }", "10, offset = 6 }")).face("box-left").panel
    at = [level(moved, depth)[:, 0].max() for depth in (4.4, 4.6, 7.4, 7.6)]
    assert at == pytest.approx([400, 390, 390, 400])


@pytest.mark.parametrize(
    "cabinet",
    [
        cut(GROOVE),
        cut(RABBET),
        cut(GROOVE, RABBET, GROOVE.replace("front", "top"), GROOVE.replace("front", "bottom")),
        cut(RABBET, RABBET.replace("back", "top"), '"front and top" = { rabbet = ' + CUT),
        built(SLANTED),
    ],
    ids=["groove", "rabbet", "many", "rabbets", "slanted"],
)  # fmt: skip
def test_solids_meshes_and_volumes_of_cut_boards_agree(cabinet):
    for face in cabinet.faces:
        if any(edge.groove for edge in face.panel.edges):
            size = volume(face.panel)
            assert in_kernel(face.panel) == pytest.approx(size, rel=1e-9)
            assert in_mesh(face.panel) == pytest.approx(size, rel=1e-9)


def test_cut_boards_come_back_from_a_step_file_as_they_were(tmp_path):
    panels = [face.panel for face in built(SLANTED).faces]
    sizes = [volume(panel) for panel in panels]
    assert in_step(panels, tmp_path) == pytest.approx(sizes, rel=1e-9)


def test_the_board_that_lies_in_a_rabbet_goes_on_into_it():
    cabinet = cut(RABBET)
    # It starts where 18 - 7 of the side are left, and the end of the side is as wide.
    assert cabinet.face("box-back").outline.bounds[2] == pytest.approx(300 - 18 - 11)
    ends = {(e.board, e.owner): e.size for e in cabinet.ends}
    assert ends["box-left", "box-back"] == pytest.approx(500 * 11)
    # What the rabbet takes of the side the back fills.
    wood = sum(volume(face.panel) for face in square().faces)
    assert sum(volume(face.panel) for face in cabinet.faces) == pytest.approx(wood)
    art = cut(RABBET.replace("rabbet", 'end = "art", rabbet')).face("box-back")
    assert art.outline.bounds[2] == pytest.approx(300 - 18)


def test_a_groove_beside_a_hole_is_cut_with_it():
    hole = '\n[[hardware]]\nname = "lock"\nkind = "round"\ndiameter = 20\non = "box-left"\n'
    face = cut(GROOVE, after=f"{hole}from = {{ front = 90, bottom = 90 }}\n").face("box-left")
    size = PLAIN - 500 * 3 * 10 - np.pi * 10**2 * 18
    assert volume(face.panel) == pytest.approx(size)
    assert in_kernel(face.panel) == pytest.approx(size, rel=1e-9)


def test_what_is_left_of_the_end_is_painted_and_no_face_changes():
    plain, grooved = square(), cut(GROOVE)
    ends = {(e.board, e.owner): e.size for e in grooved.ends}
    assert ends["box-left", "box-front"] == pytest.approx(500 * (18 - 3))
    # Where it runs out at the top of the side it leaves a notch.
    assert ends["box-left", "box-top"] == pytest.approx(400 * 18 - 3 * 10)
    for one, other in zip(plain.faces, grooved.faces, strict=True):
        assert one.outline == other.outline


@pytest.mark.parametrize(
    ("edge", "what"),
    [
        ('"left and front" = { groove = { width = 3, depth = 10, offset = 1 } }', "runs out of"),
        ('"left and front" = { groove = { width = 18, depth = 10 } }', "runs out of the end"),
        (GROOVE + '\n"left and top" = { round = 8 }', "run out through the bevel or round at top"),
        ('"left and front" = { groove = { width = 3, depth = 400 } }', "goes through the board"),
        ('"left and front" = { rabbet = { width = 20, depth = 18 } }', "runs out of the end"),
        ('"left and back" = { rabbet = { width = 9, depth = 5 } }', "back lies in it"),
        ('"left and front" = { end = "art", groove = { width = 3, depth = 9 } }', "Art is painted"),
        (GROOVE.replace("10 } }", "9 }, rabbet = " + CUT), "groove or a rabbet"),
        (f'{GROOVE}\n"left and top" = {{ round = 8 }}', "through the bevel or round at top"),
        ('"left and front" = { angle = 9, groove = { width = 3, depth = 9 } }', "without bevel"),
    ],
)  # fmt: skip
def test_cuts_that_can_not_be_made_are_refused(edge, what):
    assert what in " ".join(faults_of(lambda: cut(edge)))


def test_a_cut_on_a_mitre_is_refused():
    make = lambda: square('joints = ["left mitre front"]', f"[carcase.edges]\n{GROOVE}")  # noqa: E731
    assert "No end of a board is seen there" in " ".join(faults_of(make))


PIN = """
[carcase.edges]
"left and front" = { holes = [
    { name = "pin", diameter = 8, depth = 30, from = { bottom = 100 } },
    { name = "peg", diameter = 6, depth = 25, offset = 6, from = { top = 90 } },
] }
"""


def test_holes_go_square_into_the_end_at_their_distances():
    face = square("", PIN).face("box-left")
    (edge,) = [edge for edge in face.panel.edges if edge.bores]
    assert edge.neighbour == "front"
    solid = shape(face.panel)
    # 15 deep in the pin: on its axis there is no wood, 4.1 beside it there is, and 31 deep.
    for y, z, x, wood in ((15, 100, 9, 0), (15, 104.1, 9, 1), (31, 100, 9, 1), (24, 410, 6, 0)):
        state = BRepClass3d_SolidClassifier(solid, gp_Pnt(x, y, z), 1e-6).State()
        assert (state == TopAbs_State.TopAbs_IN) == bool(wood), (y, z, x)


def test_solids_meshes_and_volumes_of_drilled_boards_agree():
    panel = square("", PIN).face("box-left").panel
    size = PLAIN - np.pi * 4**2 * 30 - np.pi * 3**2 * 25
    assert volume(panel) == pytest.approx(size, rel=1e-12)
    assert in_kernel(panel) == pytest.approx(size, rel=1e-9)
    # Its holes have 32 sides: (32 / 2) sin(tau / 32) r² and not pi r².
    facets = 16 * np.sin(2 * np.pi / 32)
    assert in_mesh(panel) == pytest.approx(PLAIN - facets * (16 * 30 + 9 * 25), rel=1e-9)


def test_a_hole_in_an_edge_lies_beside_a_groove():
    text = PIN.replace("{ holes", "{ groove = { width = 2, depth = 5, offset = 15 }, holes")
    panel = square("", text).face("box-left").panel
    assert in_kernel(panel) == pytest.approx(volume(panel), rel=1e-9)
    # Holes of 32 sides leave a share of 6.4e-3 of them.
    assert in_mesh(panel) == pytest.approx(volume(panel), abs=7e-3 * np.pi * (16 * 30 + 9 * 25))


@pytest.mark.parametrize(
    ("before", "after", "what"),
    [
        ("diameter = 8", "diameter = 18", "runs out of the end"),
        ("bottom = 100", "bottom = 2", "runs out of the end"),
        ("depth = 30", "depth = 400", "goes through the board"),
        ("bottom = 100", "top = 94", "runs into another hole"),
        ("bottom = 100", "left = 94", "does not end at left"),
        ("bottom = 100", "bottom = 94, top = 9", "takes one distance"),
        ("{ holes", "{ groove = { width = 2, depth = 9 }, holes", "into a groove"),
    ],
)
def test_holes_that_can_not_be_drilled_are_refused(before, after, what):
    text = PIN.replace(before, after, 1)
    assert what in " ".join(faults_of(lambda: square("", text)))


def test_hardware_that_runs_into_a_hole_in_an_edge_is_refused():
    bolt = '[[hardware]]\nname = "bolt"\nkind = "round"\ndiameter = 9\non = "box-left"\n'
    place = "from = { front = 20, bottom = 100 }\n"
    assert "It runs into a hole in an edge" in " ".join(
        faults_of(lambda: square("", f"{PIN}{bolt}{place}"))
    )
