"""Solids as the kernel sees them: valid, closed, and of the closed form's volume."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis.strategies import composite, floats, integers, sampled_from
from shapely import Polygon

from mateline.cabinet.cadquery_solid import solid
from mateline.cabinet.faces import unrolled
from mateline.cabinet.hole import Hole, opening, shank
from mateline.cabinet.joints import Bevel, Round, section
from mateline.cabinet.panel import level
from mateline.cabinet.volume import volume
from mateline.curves import area, flattened
from solids import BEVEL, ENDS, HOLES, OUTLINE, PLAIN, SKEWED, SQUARE, STEPPED, THICK, panel

VOLUME = 1e-9  # share of the volume that solid and closed form may differ by


@pytest.mark.parametrize("holes", [(), HOLES], ids=["bare", "with holes"])
@pytest.mark.parametrize("outline", [OUTLINE, SKEWED], ids=["square", "skewed"])
@pytest.mark.parametrize("ends", ENDS.values(), ids=ENDS)
def test_a_solid_is_valid_and_has_the_volume_of_the_closed_form(ends, outline, holes):
    board = panel(ends, holes, outline)
    made = solid(board)
    assert made.isValid()
    assert made.Volume() == pytest.approx(volume(board), rel=VOLUME)


def test_an_inside_corner_makes_a_valid_solid():
    leaning = section("mitre", THICK, THICK, SQUARE, None)
    board = panel((PLAIN, BEVEL, leaning, leaning, PLAIN, PLAIN), HOLES[:2], STEPPED)
    made = solid(board)
    assert made.isValid()
    assert made.Volume() == pytest.approx(volume(board), rel=VOLUME)


def test_each_hole_is_one_wire_in_the_outside_and_one_in_the_inside_face():
    made = solid(panel(ENDS["one of each"], HOLES))
    inner = sorted(len(face.innerWires()) for face in made.Faces())
    assert inner[-2:] == [len(HOLES), len(HOLES)]
    assert inner[:-2] == [0] * (len(inner) - 2)


def test_walls_are_planes_cylinders_and_cones():
    made = solid(panel(ENDS["plain"], HOLES))
    kinds = [face.geomType() for face in made.Faces()]
    # Round 2, slot 2 x 2 quarters, four corners, and the shank: cylinders; the head: cones.
    assert kinds.count("CYLINDER") == 2 + 4 + 4 + 2
    assert kinds.count("CONE") == 2
    assert kinds.count("PLANE") == 6 + 2 + 4 + 4


def test_a_round_meets_its_like_in_ellipses():
    made = solid(panel(ENDS["rounded all round"]))
    kinds = [edge.geomType() for edge in made.Edges()]
    assert kinds.count("ELLIPSE") == 4
    assert set(kinds) == {"LINE", "ELLIPSE"}


def test_each_edge_is_shared_by_two_faces():
    made = solid(panel(ENDS["unlike rounds meeting"], HOLES))
    uses = sum(len(face.Edges()) for face in made.Faces())
    assert uses == 2 * len(made.Edges())


def test_the_outside_face_lies_on_the_frame_and_looks_outward():
    board = panel(ENDS["bevelled all round"])
    (face,) = [f for f in solid(board).Faces() if abs(on_frame(board, f.Center())) < 1e-9]
    assert face.normalAt().toTuple() == pytest.approx(board.frame.outward, abs=1e-12)
    assert face.Area() == pytest.approx(Polygon(level(board, 0.0)).area, rel=1e-12)


def on_frame(board, spot):
    return float((np.array(spot.toTuple()) - board.frame.corner) @ board.frame.outward)


def pierced(board, made):
    """Areas of the kernel's faces that have holes in them, by depth."""
    return {
        round(-on_frame(board, face.Center()), 6) + 0.0: face.Area()
        for face in made.Faces()
        if face.innerWires()
    }


def assert_faces_fit(board, made):
    found = pierced(board, made)
    assert len(found) == 2
    for down, rim in ((0.0, opening), (board.thickness, shank)):
        wanted = Polygon(level(board, down)).area - sum(area(rim(hole)) for hole in board.holes)
        assert found[round(down, 6)] == pytest.approx(wanted, rel=1e-9)


def test_the_outside_and_the_inside_face_have_the_areas_of_the_panel():
    board = panel(ENDS["one of each"], HOLES)
    assert_faces_fit(board, solid(board))


def test_strips_have_the_areas_of_their_parts_of_the_net():
    board = panel(ENDS["rounded all round"])
    rounds = sorted(f.Area() for f in solid(board).Faces() if f.geomType() == "CYLINDER")
    strips = sorted(strip.area.area for strip in unrolled(board).strips)
    # The net's sides are chords, 0.005 mm off at most, over 9.4 mm at each end.
    assert rounds == pytest.approx(strips, abs=2 * 0.005 * 9.5)


def sliced(board, layers):
    """Volume by layers, holes as fine polygons: for boards that have no closed form."""
    total, step = 0.0, board.thickness / layers
    holes = shapely.union_all([Polygon(flattened(shank(h), 1e-5)) for h in board.holes])
    for down in (np.arange(layers) + 0.5) * step:
        total += Polygon(level(board, float(down))).difference(holes).area * step
    return total


@pytest.mark.parametrize(
    "hole",
    [
        Hole("over a bevel", "round", (8.0, 150.0), 20.0, 20.0),
        Hole("over a corner", "rectangle", (398.0, 297.0), 60.0, 40.0, turn=0.4, corner=5.0),
        Hole("into the slot", "slot", (230.0, 100.0), 60.0, 20.0, turn=1.2),
    ],
    ids=lambda hole: hole.name,
)
def test_holes_over_an_edge_or_into_each_other_are_cut_by_one_boolean(hole):
    board = panel(ENDS["two bevels"], (HOLES[1], hole))
    made = solid(board)
    assert made.isValid()
    assert made.Volume() == pytest.approx(sliced(board, 400), rel=1e-6)


def test_a_countersunk_head_over_the_edge_is_cut_too():
    hole = Hole("x", "countersunk", (0.0, 150.0), 6.6, 6.6, head=13.44, head_angle=SQUARE)
    made = solid(panel(ENDS["plain"], [hole]))
    half = (math.pi * 3.42 / 3 * (6.72**2 + 6.72 * 3.3 + 3.3**2) + math.pi * 3.3**2 * 14.58) / 2
    assert made.isValid()
    assert made.Volume() == pytest.approx(400 * 300 * 18 - half, rel=1e-9)


def test_a_hole_that_cuts_the_board_in_two_is_an_error():
    slot = Hole("saw", "slot", (200.0, 150.0), 700.0, 20.0)
    with pytest.raises(ValueError, match="front: its holes leave 2 boards of it"):
        solid(panel(ENDS["plain"], [slot]))


@composite
def boards(draw):
    """Any four-sided board with edges that fit it and two holes apart from each other."""
    corners = [
        (x + draw(floats(-40, 40)), y + draw(floats(-40, 40)))
        for x, y in ((0.0, 0.0), (500.0, 0.0), (500.0, 400.0), (0.0, 400.0))
    ]
    thickness = draw(floats(9.0, 25.0))
    most = thickness / 3  # more would not fit where boards meet at an acute angle
    shapes = (None, Bevel(draw(floats(2.0, most))), Round(draw(floats(2.0, most))))
    ends = []
    for _ in corners:
        role = draw(sampled_from(["over", "under", "mitre"]))
        shape = None if role == "under" else draw(sampled_from(shapes))
        ends.append(section(role, thickness, thickness, draw(floats(1.2, 2.0)), shape))
    kinds = [HOLES[draw(integers(0, 4))] for _ in range(2)]
    holes = [
        Hole(
            f"{at}",
            one.kind,
            (x, 200.0),
            one.length,
            one.width,
            draw(floats(0.0, 3.0)),
            one.corner,
            one.head,
            one.head_angle,
        )
        for at, (one, x) in enumerate(zip(kinds, (170.0, 330.0), strict=True))
    ]
    return panel(ends, holes, tuple(corners), thickness)


@settings(max_examples=25, deadline=None)
@given(boards())
def test_any_board_is_a_valid_solid_of_the_closed_forms_volume(board):
    made = solid(board)
    assert made.isValid()
    assert made.Volume() == pytest.approx(volume(board), rel=VOLUME)
    assert_faces_fit(board, made)
