r"""Grooves, rabbets and holes along the curved edges of boards, on the boxes of curved_boxes.py.

The sides are 400 wide and 500 high, of boards of 18; their edge with the board called high is an
arc: a bow of 520 about (200, 20), or a hollow of 681.67 about (200, 1151.67).
"""

import math

import pytest
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_State
from shapely import Polygon, box

from boxes import built, faults_of
from curved_boxes import BOWED, HEELS, HOLLOW, ROUNDED, board, curved
from mateline.cabinet.cadquery_solid import solid
from mateline.cabinet.edges.tools import bore_axes
from mateline.cabinet.panel import level
from mateline.cabinet.solids import shape
from mateline.cabinet.volume import volume
from volumes import SAME, agree, in_facets, in_kernel, in_mesh

RADIUS, DEEP = 520.0, (200**2 + 30**2) / 60
GROOVE = "groove = { width = 3, depth = 10 }"
OTHER = "groove = { width = 4, depth = 7, offset = 6 }"
RABBET = "rabbet = { width = 18, depth = 6 }"


def edges(board="left", **words):
    """What is said of the edges of a board, by the board beyond each."""
    lines = (f'"{board} and {other}" = {{ {text} }}' for other, text in words.items())
    return "\n".join(["[carcase.edges]", *lines])


def under(r, low=-200.0, high=200.0):
    """Area between a circle's middle line and its arc, from one place to another beside it."""
    return sum(
        sign * (at * math.sqrt(r**2 - at**2) + r**2 * math.asin(at / r)) / 2
        for sign, at in ((-1, low), (1, high))
    )


BOX = 400 * 500 * 18
BOW = BOX + (under(RADIUS) - 400 * 480) * 18
HOLLOWED = BOX - (under(DEEP) - 400 * (DEEP - 30)) * 18


def test_a_groove_along_a_bow_is_what_lies_between_two_arcs():
    left = board(curved(panels=edges(high=GROOVE)), "left")
    assert volume(left) == pytest.approx(BOW - 3 * (under(RADIUS) - under(RADIUS - 10)), rel=1e-12)


def test_a_groove_along_a_hollow_lies_outside_of_its_arc():
    left = board(curved(HOLLOW, edges(high=GROOVE)), "left")
    taken = 3 * (under(DEEP + 10) - under(DEEP))
    assert volume(left) == pytest.approx(HOLLOWED - taken, rel=1e-12)


def test_grooves_of_two_edges_meet_in_the_corner_without_a_rest():
    left = board(curved(panels=edges(high=GROOVE, near=GROOVE)), "left")
    # What is left at their depth: 390 wide from the ground to 20, and above that under 510.
    kept = 390 * 20 + under(510, -190, 200)
    assert volume(left) == pytest.approx(BOW - 3 * (BOW / 18 - kept), rel=1e-12)


def test_a_rabbet_goes_on_to_the_inside_and_the_board_in_it_is_as_much_larger():
    plain, cut = curved(), curved(panels=edges(high=RABBET))
    taken = 6 * (under(RADIUS) - under(RADIUS - 18))
    assert volume(board(cut, "left")) == pytest.approx(BOW - taken, rel=1e-12)
    # The bent board is 18 thick as the rabbet is wide, and ends at both others in flat cuts.
    goes_on = volume(board(cut, "high")) / volume(board(plain, "high"))
    assert goes_on == pytest.approx((300 - 36 + 6) / (300 - 36), rel=1e-12)


def test_a_groove_all_round_follows_round_corners():
    words = dict.fromkeys(("low", "heel", "far", "high", "shoulder", "near"), GROOVE)
    left = board(curved(ROUNDED, f"{HEELS}\n{edges(**words)}"), "left")

    def rounded(wide, high, *radii):
        return wide * high - (1 - math.pi / 4) * sum(r**2 for r in radii)

    kept = 15 * rounded(400, 500, 110, 90) + 3 * rounded(380, 480, 100, 80)
    assert volume(left) == pytest.approx(kept, rel=1e-7)  # corners have six decimals


MADE = {
    "bow": (BOWED, "", edges(high=GROOVE)),
    "corner": (BOWED, "", edges(high=GROOVE, near=GROOVE)),
    "beside": (BOWED, "", edges(near=GROOVE)),  # which runs out through the arc
    "unlike": (BOWED, "", edges(high=OTHER, near=GROOVE, far=GROOVE.replace("10", "20"))),
    "hollow": (HOLLOW, "", edges(high=GROOVE, far=OTHER)),
    "rabbets": (BOWED, "", edges(high=RABBET, near=RABBET, far=GROOVE)),
    "round": (ROUNDED, HEELS, edges(near=OTHER, low=GROOVE, heel=GROOVE, far=GROOVE)),
}


@pytest.mark.parametrize("made", MADE)
def test_solids_files_meshes_and_volumes_of_boards_cut_along_curves_agree(made, tmp_path):
    curves, panels, words = MADE[made]
    if made == "round":  # the corner of near and high is round too
        words += f'\n"left and high" = {{ {OTHER} }}\n"left and shoulder" = {{ {OTHER} }}'
    assert agree(board(curved(curves, f"{panels}\n{words}"), "left"), tmp_path)


@pytest.mark.parametrize(("view", "end"), [("plan", "bottom"), ("front", "front")])
def test_they_agree_in_other_views(view, end):
    words = edges(end, high=GROOVE, near=OTHER)
    assert agree(board(curved(panels=words, view=view), end))


@pytest.mark.parametrize("words", [{"near": "bevel = 8"}, {"near": "round = 6"}])
def test_a_groove_along_a_curve_may_lie_beside_a_bevel_or_a_round(words):
    left = board(curved(panels=edges(high=GROOVE, **words)), "left")
    assert in_kernel(left) == pytest.approx(volume(left), rel=SAME)
    assert in_mesh(left) == pytest.approx(volume(left), rel=1e-4)


def test_the_walls_of_a_groove_along_an_arc_are_true_cylinders():
    found = []
    for face in solid(board(curved(panels=edges(high=GROOVE)), "left")).Faces():
        surface = BRepAdaptor_Surface(face.wrapped)
        if surface.GetType() == GeomAbs_SurfaceType.GeomAbs_Cylinder:
            found.append(surface.Cylinder().Radius())
    assert sorted(found) == pytest.approx([510, 520, 520], abs=1e-9)


def test_what_is_left_of_the_end_along_a_curve_is_painted():
    bend = 2 * math.asin(200 / RADIUS)
    plain = {(e.board, e.owner): e.size for e in curved().ends}
    cut = {(e.board, e.owner): e.size for e in curved(panels=edges(high=GROOVE, near=OTHER)).ends}
    at = "box-left", "box-high"
    assert plain[at] == pytest.approx(RADIUS * bend * 18)
    # Where near's groove, 7 deep and from 4 to 8, runs out, the arc starts at x = 7; from 7.5 to
    # 10.5 is the curve's own groove.
    lost = RADIUS * (math.asin(200 / RADIUS) - math.asin(193 / RADIUS))
    assert cut[at] == pytest.approx(RADIUS * bend * 15 - lost * 3.5)


def test_ends_beside_a_round_corner_show_as_much_as_is_left_of_them():
    words = dict.fromkeys(("low", "heel", "far", "high", "shoulder", "near"), GROOVE)
    made = curved(ROUNDED, f"{HEELS}\n{edges(**words)}")
    ends = {(e.board, e.owner): e.size for e in made.ends}
    # The sides are straight for 400 - 110 and 500 - 110, and the groove takes 3 of 18.
    assert ends["box-left", "box-low"] == pytest.approx(290 * 15, abs=1e-3)
    assert ends["box-left", "box-far"] == pytest.approx(390 * 15, abs=1e-3)
    deep = GROOVE.replace("10", "60")
    words = dict.fromkeys(("low", "far", "crown", "high", "near"), deep)
    curves = 'D-A = { rise = 150 }\n"C" = { radius = 110 }'
    assert agree(board(curved(curves, f'crown = {{ edge = "C" }}\n{edges(**words)}'), "left"))


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ({"heel": "groove = { width = 3, depth = 120 }"}, "too deep for the round"),
        ({"heel": "groove = { width = 3, depth = 110 }"}, "whose radius is 110.0 mm"),
        ({"heel": GROOVE}, "runs on without a corner to that at"),
        ({"heel": GROOVE, "low": GROOVE, "far": OTHER}, "Give “left and heel” the same groove"),
        ({"near": "groove = { width = 3, depth = 400 }"}, "goes through the board"),
        ({"shoulder": "holes = [{ name = 'x', diameter = 6, depth = 9, from = { low = 9 } }]"},
         "does not end at low, but at"),
    ],
)  # fmt: skip
def test_cuts_that_curves_have_no_room_for_are_refused(words, what):
    told = " ".join(faults_of(lambda: curved(ROUNDED, f"{HEELS}\n{edges(**words)}")))
    assert what in told
    assert "Traceback" not in told


def test_a_groove_that_leaves_nothing_of_a_side_is_refused():
    """The sides turn in by 200 to the middle of a hollow: from both, nothing is left of it."""
    deep = "groove = { width = 3, depth = 220 }"
    told = faults_of(lambda: curved(HOLLOW, edges(near=deep, far=deep)))
    assert "has nothing left of one of its edges" in " ".join(told)


CHAMFERED = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D", "E"]
width = 300
board = 18
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [400, 500]
D = [8, 500]
E = [0, 492]
[carcase.panels]
bottom = { edge = "A-B" }
back = { edge = "B-C" }
top = { edge = "C-D" }
slant = { edge = "D-E", missing = true }
front = { edge = "E-A", missing = true }
[carcase.edges]
"left and top" = { groove = { width = 3, depth = 10 } }
"left and front" = { groove = { width = 3, depth = 10 } }
"""


def test_grooves_beside_a_chamfer_that_they_swallow_are_refused():
    """The chamfer lies beyond the corner of the two grooves: its line would cut wood in the air."""
    assert "has nothing left of one of its edges" in " ".join(faults_of(lambda: built(CHAMFERED)))


PIN = "{ name = 'pin', diameter = 8, depth = 30, from = { near = 100 } }"
PEG = "{ name = 'peg', diameter = 6, depth = 25, offset = 6, from = { far = 90 } }"
HOLES = f"holes = [{PIN}, {PEG}]"
# So much lower lies the end beside the middle of a mouth of radius r, times its area:
# the integral of u² / 2 R + u^4 / 8 R³ over it is pi r^4 / 8 R + pi r^6 / 64 R³.


def lens(r, reach):
    return math.pi * r**4 / (8 * reach) + math.pi * r**6 / (64 * reach**3)


@pytest.mark.parametrize(
    ("curves", "whole", "reach"), [(BOWED, BOW, RADIUS), (HOLLOW, HOLLOWED, -DEEP)]
)
def test_holes_go_radially_into_a_curve_and_are_as_deep_at_their_middle(curves, whole, reach):
    left = board(curved(curves, edges(high=HOLES)), "left")
    taken = math.pi * (16 * 30 + 9 * 25) - lens(4, reach) - lens(3, reach)
    assert volume(left) == pytest.approx(whole - taken, rel=1e-12)
    assert in_kernel(left) == pytest.approx(volume(left), rel=SAME)


def test_a_hole_lies_at_its_distance_along_the_curve():
    left = board(curved(panels=edges(high=f"holes = [{PIN}]")), "left")
    made = shape(left)
    # 100 along the arc from (0, 500), which is asin(200 / 520) left of straight up.
    angle = math.asin(200 / RADIUS) - 100 / RADIUS
    for deep, beside, wood in ((1, 0, 0), (29.9, 0, 0), (30.1, 0, 1), (15, 3.9, 0), (15, 4.1, 1)):
        out, along = RADIUS - deep, beside
        y = 200 - out * math.sin(angle) + along * math.cos(angle)
        z = 20 + out * math.cos(angle) + along * math.sin(angle)
        state = BRepClass3d_SolidClassifier(made, gp_Pnt(9, y, z), 1e-6).State()
        assert (state == TopAbs_State.TopAbs_IN) == bool(wood), (deep, beside)


def mouths(panel):
    """What holes of 32 sides take of the facets that they are in."""
    taken = 0.0
    for index, edge in enumerate(panel.edges):
        for bore in edge.bores:
            spot, inward = bore_axes(panel, index, bore)
            along = (inward[1], -inward[0])
            corners = level(panel, bore.down) - spot
            at = [(float(c @ along), float(c @ inward)) for c in corners]
            turns = [math.tau * step / 32 for step in range(32)]
            r = bore.diameter / 2
            rim = Polygon([(r * math.cos(turn), r * math.sin(turn)) for turn in turns])
            for (u, h), (v, k) in zip(at, (*at[1:], at[0]), strict=True):
                if v <= u or abs(h) > 30:
                    continue  # facets that lie elsewhere, or look the other way
                part = rim.intersection(box(u, -r, v, r))
                if part.area > 0:
                    deep = bore.deep - h - (part.centroid.x - u) * (k - h) / (v - u)
                    taken += part.area * deep
    return taken


@pytest.mark.parametrize(
    ("curves", "panels", "words"),
    [
        (BOWED, "", {"high": HOLES}),
        (HOLLOW, "", {"high": HOLES}),
        (BOWED, "", {"high": HOLES, "near": "groove = { width = 3, depth = 8 }"}),
        (BOWED, "", {"high": f"groove = {{ width = 2, depth = 5, offset = 15 }}, {HOLES}"}),
        (BOWED, "", {"near": HOLES.replace("near", "low").replace("far", "high")}),
        (ROUNDED.replace("110", "30"), HEELS,
         {"heel": "holes = [{ name = 'x', diameter = 14, depth = 20, from = { far = 20 } }]"}),
    ],
)  # fmt: skip
def test_meshes_of_drilled_curves_are_closed_and_as_large_as_their_facets(curves, panels, words):
    left = board(curved(curves, f"{panels}\n{edges(**words)}"), "left")
    assert in_mesh(left) == pytest.approx(in_facets(left) - mouths(left), rel=SAME)


@pytest.mark.parametrize(
    ("before", "after", "what"),
    [
        ("diameter = 8", "diameter = 18", "runs out of the end"),
        ("near = 100", "near = 3", "runs out of the end"),
        ("depth = 30", "depth = 560", "goes through the board"),
        ("near = 100", "far = 94", "runs into another hole"),
        ("near = 100", "low = 94", "does not end at low, but at near and far"),
        ("holes", "groove = { width = 2, depth = 9 }, holes", "into a groove"),
    ],
)
def test_holes_that_no_curve_has_room_for_are_refused(before, after, what):
    words = edges(high=HOLES.replace(before, after, 1))
    assert what in " ".join(faults_of(lambda: curved(panels=words)))


def test_a_hole_is_refused_where_the_curve_is_too_sharp_for_a_drill():
    hole = "holes = [{ name = 'x', diameter = 14, depth = 9, from = { far = 6 } }]"
    make = lambda: curved(ROUNDED.replace("110", "7"), f"{HEELS}\n{edges(heel=hole)}")  # noqa: E731
    assert "The curve is too sharp there" in " ".join(faults_of(make))


def test_hardware_that_runs_into_a_hole_in_a_curve_is_refused():
    bolt = '[[hardware]]\nname = "bolt"\nkind = "round"\ndiameter = 9\non = "box-left"\n'
    at = "from = { near = 98, low = 510 }\n"
    words = f"\n{edges(high=HOLES)}\n{bolt}{at}"
    assert "It runs into a hole in an edge" in " ".join(faults_of(lambda: curved(after=words)))


def test_a_groove_that_would_end_in_the_middle_of_a_line_is_refused():
    """Two boards in one plane meet at E: the side's edge runs straight on there."""
    split = CHAMFERED.replace("D = [8, 500]", "D = [0, 500]").replace("492]", "200]")
    split = split.replace(", missing = true", "")
    told = " ".join(faults_of(lambda: built(split)))
    assert "The edge runs on without a corner to that at slant." in told
    both = split + '"left and slant" = { groove = { width = 3, depth = 10 } }\n'
    left = built(both).face("box-left").panel
    # 3 wide and 10 deep along both lines, which share 10 x 10 in the corner.
    assert volume(left) == pytest.approx(BOX - 3 * (500 * 10 + 400 * 10 - 100), rel=1e-12)
    assert agree(left)


def test_a_bevel_that_would_end_at_a_small_round_is_refused():
    """A round of 3 has facets of 6.6°, and its tangent is that of the edge with the bevel."""
    words = edges(far="bevel = 5")
    told = faults_of(lambda: curved("B = { radius = 3 }", f'heel = {{ edge = "B" }}\n{words}'))
    assert "It meets far and heel in one line, but not alike" in " ".join(told)
