r"""Ends of boards that are seen, on the box of tests/boxes.py: 300 wide, 400 deep, 500 high, 18.

The sides lie over all others, front and back over top and bottom. Of the outside of the box,
2 (400 500 + 300 500 + 300 400) = 940 000 mm², the faces of the boards are 2 (400 500 + 264 500 +
264 364) = 856 192; the rest are ends.
"""

import pytest
import shapely
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp
from OCP.TopTools import TopTools_IndexedMapOfShape

from boxes import SQUARE, built, faults_of, square
from mateline.cabinet.solids import shape

OUTSIDE, FACES = 940_000, 856_192
WEDGE = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D"]
width = 300
board = 18
ends = "art"
joints = ["top over front", "front over left"]
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
"back and top" = { bevel = 8 }
"left and top" = { bevel = 9, angle = 30 }
"""


def ends(cabinet):
    return {(end.board, end.owner): end for end in cabinet.ends}


def test_faces_and_seen_ends_are_the_whole_outside_of_a_box():
    cabinet = square()
    assert sum(face.outline.area for face in cabinet.faces) == pytest.approx(FACES)
    assert sum(end.size for end in cabinet.ends) == pytest.approx(OUTSIDE - FACES)
    assert {end.finish for end in cabinet.ends} == {"base"}
    assert ends(cabinet)["box-left", "box-front"].size == pytest.approx(500 * 18)
    assert ends(cabinet)["box-front", "box-top"].size == pytest.approx(264 * 18)


def test_ends_painted_with_the_art_are_parts_of_the_face_that_they_lie_in():
    cabinet = square('ends = "art"')
    sizes = {face.name: face.outline.bounds[2:] for face in cabinet.faces}
    assert sizes["box-left"] == pytest.approx((400, 500))
    assert sizes["box-front"] == sizes["box-back"] == pytest.approx((300, 500))
    assert sizes["box-top"] == sizes["box-bottom"] == pytest.approx((300, 400))
    assert sum(face.outline.area for face in cabinet.faces) == pytest.approx(OUTSIDE)
    front = cabinet.face("box-front")
    assert front.flat.bounds == pytest.approx((18, 0, 282, 500))
    assert len(shapely.get_coordinates(front.outline)) == 5  # no corners where it runs on straight


def test_an_edge_says_it_for_itself():
    cabinet = square('ends = "left"', '[carcase.edges]\n"left and front" = { end = "art" }')
    assert cabinet.face("box-front").outline.bounds[2:] == pytest.approx((282, 500))
    assert ends(cabinet)["box-left", "box-front"].finish == "art"
    assert ends(cabinet)["box-right", "box-front"].finish == "left"


def test_a_round_leaves_the_rest_of_the_end():
    # A round of 8 at a square corner takes 8 of the end of 18.
    edge = '[carcase.edges]\n"left and front" = { round = 8, end = "art" }'
    cabinet = square("", edge)
    assert ends(cabinet)["box-left", "box-front"].size == pytest.approx(500 * 10)
    assert cabinet.face("box-front").outline.bounds[2:] == pytest.approx((274, 500))


def test_hardware_keeps_its_distance_from_the_sharp_edge():
    hole = """
[[hardware]]
name = "lock"
kind = "round"
diameter = 20
on = "box-front"
from = { left = 100, bottom = 60 }
"""
    # Without art on the ends the face starts 18 from the sharp edge.
    for said, x in (("", 82), ('ends = "art"', 100)):
        (lock,) = square(said, hole).face("box-front").holes
        assert lock.centre == pytest.approx((x, 60))


def test_a_hole_over_the_end_of_another_board_is_refused():
    hole = '[[hardware]]\nname = "lock"\nkind = "round"\ndiameter = 20\non = "box-front"\n'
    hole += "from = { left = 10, bottom = 60 }\n"
    (fault,) = faults_of(lambda: square('ends = "art"', hole))
    assert "lies whole on the flat of a board" in fault


def test_where_a_board_is_missing_the_ends_are_painted_with_the_base_coat():
    text = 'missing = true, edge = "B-C"'
    cabinet = built(_square('ends = "art"').replace('edge = "B-C"', text))
    behind = [end for end in cabinet.ends if end.owner is None]
    assert {end.board for end in behind} == {"box-left", "box-right", "box-top", "box-bottom"}
    assert {end.finish for end in behind} == {"base"}
    # The sides' whole height, and top and bottom between them.
    assert sum(end.size for end in behind) == pytest.approx(2 * 500 * 18 + 2 * 264 * 18)


def test_what_another_carcase_stands_on_is_not_seen():
    cabinet = square("", HEAD)
    lid = ends(cabinet)["box-left", "box-top"]
    assert lid.size == pytest.approx((400 - 150) * 18)
    assert not [end for end in cabinet.ends if end.board == "head-left" and end.owner is None]


@pytest.mark.parametrize(
    ("joints", "edge", "what"),
    [
        ('joints = ["left mitre front"]', '{ end = "left" }', "No end of a board is seen there"),
        ("", '{ end = "left", angle = 30 }', "without bevel"),
    ],
)
def test_what_is_said_of_an_end_that_nobody_sees_is_refused(joints, edge, what):
    (fault,) = faults_of(lambda: square(joints, f'[carcase.edges]\n"left and front" = {edge}'))
    assert what in fault


def test_no_art_runs_over_an_end_beside_a_board_that_is_not_there():
    text = _square("").replace('edge = "B-C"', 'missing = true, edge = "B-C"')
    edge = '[carcase.edges]\n"left and back" = { end = "art" }'
    (fault,) = faults_of(lambda: built(text + edge))
    assert "There is no board back whose art could run over this end" in fault


def test_ends_are_as_large_as_the_kernels_faces_at_slanted_corners():
    cabinet = built(WEDGE)
    assert cabinet.ends
    for end in cabinet.ends:
        panel = cabinet.face(end.board).panel
        there = [area for area, middle in _faces(shape(panel)) if _is_middle(middle, end)]
        assert there == [pytest.approx(end.size, abs=1e-6)]


HEAD = """
[[carcase]]
name = "head"
view = "side"
corners = ["A", "B", "C", "D"]
width = 300
board = 18
stands_on = { carcase = "box", edge = "C-D" }
[carcase.outline.points]
A = [0, 0]
B = [150, 0]
C = [150, 200]
D = [0, 200]
[carcase.panels]
front = { edge = "D-A" }
back = { edge = "B-C" }
top = { edge = "C-D" }
bottom = { edge = "A-B", missing = true }
"""


def _square(more):
    return SQUARE.format(more=more, board=18)


def _faces(solid):
    found = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(solid, TopAbs_ShapeEnum.TopAbs_FACE, found)
    for at in range(1, found.Extent() + 1):
        measured = GProp_GProps()
        BRepGProp.SurfaceProperties_s(found.FindKey(at), measured)
        middle = measured.CentreOfMass()
        yield measured.Mass(), (middle.X(), middle.Y(), middle.Z())


def _is_middle(middle, end):
    """Whether the middle of a kernel's face is the middle of the end."""
    spot = end.area.centroid
    return end.lift @ [spot.x, spot.y, 1.0] == pytest.approx(middle, abs=1e-6)
