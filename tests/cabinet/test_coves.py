"""Hollow edges at inside corners: closed forms worked on the page, the kernel and the mesh."""

import math
import random
import re

import numpy as np
import pytest
import shapely

from boxes import built, faults_of
from coved_boxes import CORNERS, LONG, TEXT, added, coved, turn_of
from mateline.cabinet.joints import Bevel, Round, SectionError, section
from mateline.cabinet.solids import shape
from mateline.cabinet.volume import volume
from mateline.curves import FACET, facet_count
from mateline.exports.solid.indexed_mesh import indexed
from mateline.exports.solid.net import SEEN
from mateline.exports.solid.skin import skin
from model_judge import _read_step

FACETS = FACET * 40 * math.pi / 4  # mm²: what they leave of an eighth of a turn at most
PAIR = ("box-deck", "box-screen")
every_corner = pytest.mark.parametrize("corner", CORNERS.values(), ids=CORNERS)


def measured(solid):
    """Whether a solid is valid, its volume, and the radius and area of each cylinder on it."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepGProp import BRepGProp
    from OCP.GeomAbs import GeomAbs_SurfaceType
    from OCP.GProp import GProp_GProps
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp
    from OCP.TopoDS import TopoDS
    from OCP.TopTools import TopTools_IndexedMapOfShape

    weight, rolled = GProp_GProps(), []
    BRepGProp.VolumeProperties_s(solid, weight, 1e-10)
    faces = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(solid, TopAbs_ShapeEnum.TopAbs_FACE, faces)
    for at in range(1, faces.Extent() + 1):
        face = TopoDS.Face_s(faces.FindKey(at))
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() == GeomAbs_SurfaceType.GeomAbs_Cylinder:
            area = GProp_GProps()
            BRepGProp.SurfaceProperties_s(face, area, 1e-10)
            rolled.append((surface.Cylinder().Radius(), area.Mass()))
    return BRepCheck_Analyzer(solid).IsValid(), weight.Mass(), rolled


def mesh_volume(panel):
    """That of the closed skin, whose rounds are chords."""
    made = skin(panel, (), "#c8a06a")
    indexed(made)  # which refuses one that is not closed
    at = made.triangles
    return np.einsum("ij,ij->i", at[:, 0], np.cross(at[:, 1], at[:, 2])).sum() / 6


def panels(cabinet):
    return [cabinet.face(name).panel for name in PAIR]


class TestSections:
    """Of one board; `in` from the sharp edge and `down` from the face, worked at 270°."""

    def test_a_cove_of_a_square_corner_rises_an_eighth_of_a_turn(self):
        cut = section("mitre", 18, 18, math.radians(270), Round(40))
        share = 1 - math.sqrt(0.5)
        assert cut.start == pytest.approx((40, 0))
        assert cut.points[1] == pytest.approx((40 * share, -40 * share))
        assert cut.points[2] == pytest.approx((-18, 18))
        assert cut.segments[0].centre == pytest.approx((40, -40))

    def test_a_fillet_of_a_square_corner_is_cut_in_its_middle(self):
        cut = section("mitre", 18, 18, math.radians(270), Bevel(40))
        assert cut.start == pytest.approx((40 / math.sqrt(2), 0))
        assert cut.points[1] == pytest.approx((10 * math.sqrt(2), -10 * math.sqrt(2)))

    def test_a_fillet_leans_alike_off_both_boards(self):
        assert section("mitre", 18, 18, math.radians(270), Bevel(40, math.radians(45)))
        with pytest.raises(SectionError, match=r"45\.0° off both boards, not 30\.0°"):
            section("mitre", 18, 18, math.radians(270), Bevel(40, math.radians(30)))


@every_corner
class TestACove:
    def test_adds_half_of_its_section_to_each_board(self, corner):
        for with_it, plain in zip(panels(coved(corner)), panels(coved(corner, "")), strict=True):
            half = added(40, turn_of(corner)) / 2
            assert volume(with_it) - volume(plain) == pytest.approx(half * LONG, rel=1e-9)

    def test_is_as_wide_laid_flat_as_its_arc(self, corner):
        turn, cabinet, plain = turn_of(corner), coved(corner), coved(corner, "")
        for name in PAIR:
            face = cabinet.face(name)
            (strip,) = face.strips
            assert strip.area.area == pytest.approx(40 * turn / 2 * LONG, rel=1e-9)
            shorter = plain.face(name).flat.area - face.flat.area
            assert shorter == pytest.approx(40 * math.tan(turn / 2) * LONG, rel=1e-9)
            assert face.outline.area == pytest.approx(face.flat.area + strip.area.area, rel=1e-9)

    def test_is_a_true_cylinder_of_a_valid_solid(self, corner):
        for panel in panels(coved(corner)):
            valid, size, ((radius, area),) = measured(shape(panel))
            assert valid
            assert size == pytest.approx(volume(panel), rel=1e-9)
            assert radius == pytest.approx(40, rel=1e-12)
            assert area == pytest.approx(40 * turn_of(corner) / 2 * LONG, rel=1e-9)

    def test_closes_the_mesh_whose_chords_lie_in_it(self, corner):
        for with_it, plain in zip(panels(coved(corner)), panels(coved(corner, "")), strict=True):
            turn = turn_of(corner) / 2
            count = facet_count(40, turn, SEEN)
            fan = count * 40**2 * math.sin(turn / count) / 2
            half = 40**2 * math.tan(turn) / 2 - fan
            assert mesh_volume(with_it) == pytest.approx(volume(plain) + half * LONG, rel=1e-9)

    def test_of_unlike_boards_is_added_once(self, corner):
        thin = {"screen": "board = 9"}
        both, plain = panels(coved(corner, **thin)), panels(coved(corner, "", **thin))
        wood = sum(map(volume, both)) - sum(map(volume, plain))
        assert wood == pytest.approx(added(40, turn_of(corner)) * LONG, rel=1e-8)
        for panel in both:
            valid, size, _ = measured(shape(panel))
            assert valid
            assert size == pytest.approx(volume(panel), rel=1e-9)

    def test_lies_on_its_cylinder_wherever_the_net_says(self, corner):
        """Facets leave it by 0.005 mm; the axis is r from both faces, before them."""
        cabinet = coved(corner)
        deck, screen = (cabinet.face(name) for name in PAIR)
        outs = [np.array(face.panel.frame.outward) for face in (deck, screen)]
        feet = [np.array(face.panel.frame.corner) @ out + 40 for face, out in
                zip((deck, screen), outs, strict=True)]  # fmt: skip
        for face in (deck, screen):
            assert len(face.cells) > 10
            for cell in face.cells[1:]:
                spots = shapely.get_coordinates(cell.area)
                solid = np.column_stack([spots, np.ones(len(spots))]) @ cell.lift.T
                away = np.array([solid @ out - foot for out, foot in zip(outs, feet, strict=True)])
                turn = turn_of(corner)  # of two distances from oblique planes, the law of cosines
                one, two = away
                square = one**2 + two**2 - 2 * one * two * math.cos(turn)
                reach = np.sqrt(square) / math.sin(turn)
                assert reach == pytest.approx(40, abs=0.006)


@every_corner
def test_a_fillet_adds_a_triangle_halved(corner):
    """Of width w over legs w / (2 cos(turn / 2)), which the turn lies between outside."""
    turn = turn_of(corner)
    leg = 30 / (2 * math.cos(turn / 2))
    for with_it, plain in zip(
        panels(coved(corner, "bevel = 30")), panels(coved(corner, "")), strict=True
    ):
        half = leg**2 * math.sin(turn) / 4
        assert volume(with_it) - volume(plain) == pytest.approx(half * LONG, rel=1e-9)
        assert mesh_volume(with_it) == pytest.approx(volume(with_it), rel=1e-9)
        valid, size, rolled = measured(shape(with_it))
        assert (valid, rolled) == (True, [])
        assert size == pytest.approx(volume(with_it), rel=1e-9)
    for name in PAIR:
        (strip,) = coved(corner, "bevel = 30").face(name).strips
        assert strip.area.area == pytest.approx(15 * LONG, rel=1e-9)


def test_ends_flush_where_its_boards_lie_over_the_sides():
    """Then it is as long as they are, and its ends are seen with theirs."""
    joints = '"deck over left", "screen over left"'
    cabinet, plain = coved((0, 0), joints=joints), coved((0, 0), "", joints=joints)
    longer = 300 - 18
    wood = sum(map(volume, panels(cabinet))) - sum(map(volume, panels(plain)))
    assert wood == pytest.approx(added(40, math.pi / 2) * longer, rel=1e-9)
    seen, before = (
        {(end.board, end.owner): end.size for end in each.ends} for each in (cabinet, plain)
    )
    for name in PAIR:
        gained = seen[name, "box-left"] - before[name, "box-left"]
        assert gained == pytest.approx(added(40, math.pi / 2) / 2, abs=FACETS)


def test_art_of_the_side_runs_on_over_its_ends():
    more = ['"deck and left" = { end = "art" }', '"screen and left" = { end = "art" }']
    joints = '"deck over left", "screen over left"'
    plain, face = (
        coved((0, 0), edge, more, joints).face("box-left") for edge in ("", "round = 40")
    )
    gained = face.outline.area - plain.outline.area
    assert gained == pytest.approx(added(40, math.pi / 2), abs=2 * FACETS)


def test_between_sides_that_stand_proud_it_covers_a_part_of_their_insides():
    """Deck and screen lie 50 behind the outline, and the cove stands before what is seen there."""
    back = {"deck": "set_back = 50", "screen": "set_back = 50"}
    seen = [
        shapely.union_all(
            [
                end.area
                for end in coved((0, 0), edge, **back).ends
                if end.inside and end.board == "box-left"
            ]
        )
        for edge in ("", "round = 40")
    ]
    lost = seen[0].area - seen[1].area
    assert lost == pytest.approx(added(40, math.pi / 2), abs=2 * FACETS)


GUTTER = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D", "E", "F", "G", "H"]
width = 300
board = 18
joints = ["rim over far", "lip over near"]
edges = {{ {edges} }}
[carcase.outline.points]
A = [0, 0]
B = [700, 0]
C = [700, 500]
D = [500, 500]
E = [450, 250]
F = [200, 250]
G = [170, 500]
H = [0, 500]
[carcase.panels]
bottom = {{ edge = "A-B" }}
back = {{ edge = "B-C" }}
rim = {{ edge = "C-D" }}
far = {{ edge = "D-E" }}
floor = {{ edge = "E-F" }}
near = {{ edge = "F-G" }}
lip = {{ edge = "G-H" }}
front = {{ edge = "H-A" }}
"""


def gutter(*edges):
    return built(GUTTER.format(edges=", ".join(edges)))


def test_coves_fillets_and_rounds_meet_on_one_board():
    cabinet = gutter(
        '"floor and far" = { round = 60 }', '"floor and near" = { bevel = 50 }',
        '"rim and far" = { round = 9 }', '"lip and near" = { round = 6 }',
    )  # fmt: skip
    strips = {face.panel.name: len(face.strips) for face in cabinet.faces if face.strips}
    assert strips == {"far": 1, "floor": 2, "near": 1, "rim": 1, "lip": 1}
    for face in cabinet.faces:
        valid, size, _ = measured(shape(face.panel))
        assert valid
        assert size == pytest.approx(volume(face.panel), rel=1e-9)
        assert mesh_volume(face.panel) == pytest.approx(volume(face.panel), rel=1e-3)


def test_coves_that_leave_nothing_of_a_board_are_told_the_largest():
    def made(size):
        return gutter(*(f'"floor and {wall}" = {{ round = {size:.1f} }}' for wall in
                        ("far", "near")))  # fmt: skip

    (told,) = (each for each in faults_of(lambda: made(200)) if "panels, floor" in each)
    said = float(re.search(r"“floor and far” ([\d.]+) mm", told)[1])
    # The tangents of both turns share the floor, 250 wide.
    share = sum(math.tan((math.pi / 2 - math.atan2(lean, 250)) / 2) for lean in (50, 30))
    assert said == pytest.approx(250 / share, abs=0.3)
    assert made(said)
    assert faults_of(lambda: made(250 / share + 0.1))


def test_a_cove_that_ends_at_a_round_is_refused_and_either_can_be_made():
    joints = '"deck over left"'
    both = ['"deck and left" = { round = 8 }']
    (told,) = faults_of(lambda: coved((0, 0), "round = 40", both, joints))
    assert (
        "Its hollow edge at screen ends at a bevel, round or mitre, that at left. "
        "Leave the edge at left square, or that at screen without a shape." in told
    )
    assert coved((0, 0), "round = 40", (), joints)
    assert coved((0, 0), "", both, joints)


def test_a_cove_that_ends_at_a_mitre_is_refused():
    """It would stand out before the side."""
    (told,) = faults_of(lambda: coved((0, 0), joints='"deck mitre left"'))
    assert "Its hollow edge at screen ends at a bevel, round or mitre, that at left." in told
    assert coved((0, 0), "", joints='"deck mitre left"')


def test_above_the_edges_of_sides_that_are_flush_its_own_ends_are_seen():
    ends = [end for end in coved((0, 0)).ends if end.board in PAIR and end.owner is None]
    assert {end.finish for end in ends} == {"base"}
    assert [end.size for end in ends] == pytest.approx([added(40, math.pi / 2) / 2] * 4, abs=FACETS)
    proud = {"deck": "set_back = 50", "screen": "set_back = 50"}
    within = coved((0, 0), **proud).ends  # the cove is 40 high and deep there
    assert not [end for end in within if end.board in PAIR and end.owner is None]


def test_rounds_of_a_side_at_a_coves_end_are_not_told_to_go_to_its_boards():
    """Laid on deck and screen they would end at the cove."""
    rounds = ['"deck and left" = { round = 8 }', '"screen and left" = { round = 8 }']
    (square,) = faults_of(lambda: coved((0, 0), "", rounds))
    (cove,) = faults_of(lambda: coved((0, 0), "round = 40", rounds))
    for told in (square, cove):
        assert "Remove “left and deck” and “left and screen” from the carcase's edges." in told
    assert "joints = [" in square
    assert "joints = [" not in cove
    assert coved((0, 0), "round = 40")


def test_what_is_measured_on_a_face_starts_at_the_sharp_corner():
    hole = """
[[hardware]]
name = "key"
kind = "round"
diameter = 8
on = "box-deck"
from = { screen = 60, left = 100 }
"""

    words = {
        "joints": "",
        "turn": 0,
        "high": 480,
        "dy": 300,
        "ey": 300,
        "ez": 200,
        "screen": "",
        "deck": "",
    }
    for edge in ("", '"deck and screen" = { round = 40 }'):
        face = built(TEXT.format(edges=edge, **words) + hole).face("box-deck")
        (x, y), lift = face.holes[0].centre, face.cells[0].lift
        assert lift @ [x, y, 1] == pytest.approx([100, 240, 200])


def test_a_cove_is_read_back_from_step_as_it_was_reckoned(tmp_path):
    from mateline.exports.solid import step

    (panel, _) = panels(coved(CORNERS["71.7"]))
    step.write([panel], tmp_path / "one.step", colours={})
    valid, size, ((radius, _),) = measured(_read_step(tmp_path / "one.step"))
    assert valid
    assert size == pytest.approx(volume(panel), rel=1e-9)
    assert radius == pytest.approx(40, rel=1e-9)


def random_stairs(seed):
    """Steps up to the back, with hollow and bulging edges by chance; None where refused."""
    chance = random.Random(seed)  # noqa: S311  not for secrets
    view = chance.choice(["side", "plan", "front"])
    y, z, points = 0.0, chance.uniform(80, 200), []
    for _ in range(chance.randint(1, 3)):
        points += [(y, z)]
        y, z = y + chance.uniform(90, 220), z + chance.uniform(-20, 40)
        points += [(y, z)]
        y, z = y + chance.uniform(-25, 40), z + chance.uniform(90, 220)
    points = [(0, 0), (y + 150, 0), (y + 150, z), (y, z), *reversed(points)]
    names = "ABCDEFGHIJKL"[: len(points)]
    walls = [f"w{at}" for at in range(len(points))]
    edges, boards = [], []
    back = chance.choice([0, 0, 12, 30])
    for at, name in enumerate(walls):
        words = f", board = {chance.choice([9, 12, 18])}" if chance.random() < 0.3 else ""
        words += f", set_back = {back}" if back and 3 <= at < len(walls) - 1 else ""
        pair = f"{names[at]}-{names[(at + 1) % len(names)]}"
        boards.append(f'{name} = {{ edge = "{pair}"{words} }}')
        (px, py), (x, y), (nx, ny) = points[at - 1], points[at], points[(at + 1) % len(points)]
        inside = (x - px) * (ny - y) < (y - py) * (nx - x)
        if chance.random() < (0.9 if inside else 0.4):
            kind = chance.choice(["round", "round", "bevel"])
            size = chance.uniform(5, 60) if inside else chance.uniform(2, 8)
            edges.append(f'"{name} and {walls[at - 1]}" = {{ {kind} = {size:.2f} }}')
    end = {"side": "left", "plan": "top", "front": "front"}[view]
    over = [f'"{name} over {end}"' for name in walls if chance.random() < 0.4]
    spots = "\n".join(f"{name} = [{a:.3f}, {b:.3f}]" for name, (a, b) in
                      zip(names, points, strict=True))  # fmt: skip
    return f"""
[[carcase]]
name = "box"
view = "{view}"
corners = {list(names)}
width = {chance.uniform(80, 400):.1f}
board = 18
joints = [{", ".join(over)}]
edges = {{ {", ".join(edges)} }}
[carcase.outline.points]
{spots}
[carcase.panels]
{chr(10).join(boards)}
"""


def held(seed):
    """How many hollow edges of a random cabinet were held against the kernel and the mesh."""
    from mateline.errors import InputError, InputFaultsError

    try:
        cabinet = built(random_stairs(seed))
    except (InputError, InputFaultsError):
        return 0
    for face in cabinet.faces:
        panel = face.panel
        valid, size, _ = measured(shape(panel))
        assert valid, (seed, panel.name)
        assert size == pytest.approx(volume(panel), rel=1e-9), (seed, panel.name)
        slack = 1e-9 * size + sum(0.1 * e.strip_width * 500 for e in panel.edges if e.strips)
        assert mesh_volume(panel) == pytest.approx(volume(panel), abs=slack), (seed, panel.name)
    return sum(edge.rise > 0 for face in cabinet.faces for edge in face.panel.edges)


def test_random_stairs_are_closed_and_as_large_as_reckoned():
    assert sum(held(seed) for seed in range(8)) > 20


@pytest.mark.judge
@pytest.mark.parametrize("block", range(20))
def test_many_random_stairs_are(block):
    assert sum(held(seed) for seed in range(100 + 30 * block, 130 + 30 * block)) > 10
