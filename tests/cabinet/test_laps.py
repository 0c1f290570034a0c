"""Corners that no net has room for, and whether the remedy that is told works."""

import math
import re

import pytest

from boxes import built, faults_of

STEPPED = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D", "E", "F"]
width = 300
board = 18
edges = {{ {edges} }}
[carcase.outline.points]
A = [0, 0]
B = [500, 0]
C = [500, 200]
D = [250, 200]
E = [{x}, {y}]
F = [0, {y}]
[carcase.panels]
bottom = {{ edge = "A-B" }}
back = {{ edge = "B-C" }}
deck = {{ edge = "C-D" }}
lip = {{ edge = "D-E" }}
top = {{ edge = "E-F" }}
front = {{ edge = "F-A" }}
"""


def stepped(angle, *edges, joints=""):
    """A side with an inside corner of `angle` degrees where the deck meets the lip."""
    way = math.radians(360 - angle)
    x, y = 250 + 200 * math.cos(way), 200 + 200 * math.sin(way)
    text = STEPPED.format(x=round(x, 4), y=round(y, 4), edges=", ".join(edges))
    return built(text.replace("board = 18\n", f"board = 18\n{joints}\n"))


@pytest.mark.parametrize("angle", [200, 225, 260, 270, 290])
@pytest.mark.parametrize("shape", ["round = 12", "round = 1", "bevel = 6"])
def test_what_is_told_of_an_inside_corner_works(angle, shape):
    edges = [f'"left and {name}" = {{ {shape} }}' for name in ("deck", "lip")]
    (told,) = faults_of(lambda: stepped(angle, *edges))
    assert "At the inside corner of lip and deck" in told
    assert "would lap over the rest of the face when laid flat, however small." in told
    either = "Remove “left and lip” or “left and deck” from the carcase's edges." in told
    assert either != ("Remove “left and lip” and “left and deck” from" in told)
    assert stepped(angle)  # with both removed
    for edge in edges:
        if either:
            assert stepped(angle, edge)
        else:
            (alone,) = faults_of(lambda kept=edge: stepped(angle, kept))
            (name,) = re.findall(r"Remove (“left and \w+”) from", alone)
            assert name.strip("“”") in edge


@pytest.mark.parametrize("angle", [200, 225, 270, 290])
def test_boards_that_lie_over_an_inside_corner_own_its_rounds(angle):
    """With the joints that are told the side has no strip there; deck and lip have their own."""
    edges = [f'"left and {name}" = {{ round = 12 }}' for name in ("deck", "lip", "top")]
    (told,) = faults_of(lambda: stepped(angle, *edges))
    assert "Or let lip and deck lie over left there, and own the shape: joints = " in told
    (joints,) = re.findall(r"joints = \[.*\]", told)
    cabinet = stepped(angle, *edges, joints=joints)
    owned = {
        name: [face.panel.edges[strip.edge].neighbour for strip in face.strips]
        for name in ("left", "deck", "lip", "right")
        for face in [cabinet.face(f"box-{name}")]
    }
    assert owned == {"left": ["top"], "deck": ["left"], "lip": ["left"], "right": []}


@pytest.mark.parametrize("off", [-1e-9, 0, 1e-9])
def test_a_strip_along_the_flat_part_is_refused_whatever_the_last_bits_are(off):
    """At 270° a strip's end lies along the wall of the corner: a slit that no knife cuts."""
    faults = faults_of(lambda: stepped(270 + off, '"left and deck" = { round = 12 }'))
    assert len(faults) == 1
    assert "Remove “left and deck” from the carcase's edges." in faults[0]


def test_other_edges_of_a_stepped_side_are_rounded():
    edges = [f'"left and {name}" = {{ round = 12 }}' for name in ("bottom", "back", "top", "front")]
    assert len(stepped(270, *edges).face("box-left").strips) == 4


def test_unlike_edges_at_a_blunt_corner_are_told_to_be_alike():
    """At 170° the seam of a round and a bevel swings farther aside than their strips part."""
    plan = """
[[carcase]]
name = "box"
view = "plan"
corners = ["A", "B", "C", "D", "E"]
width = 300
board = 18
edges = {{ {edges} }}
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [793.923, 69.459]
D = [793.923, 500]
E = [0, 500]
[carcase.panels]
one = {{ edge = "A-B" }}
two = {{ edge = "B-C" }}
back = {{ edge = "C-D" }}
far = {{ edge = "D-E" }}
front = {{ edge = "E-A" }}
"""
    one, two = '"top and one" = {{ {} }}', '"top and two" = {{ {} }}'

    def made(*edges):
        return built(plan.format(edges=", ".join(edges))).face("box-top")

    (told,) = faults_of(lambda: made(one.format("round = 8"), two.format("bevel = 8")))
    assert (
        "At the blunt corner of one and two the shape of “top and one” and that of “top and two” "
        "would lap over each other when laid flat, however small. Give both the same bevel or "
        "round, or remove “top and one” or “top and two” from the carcase's edges." in told
    )
    for shape in ("round = 8", "bevel = 8"):
        assert made(one.format(shape), two.format(shape))
        assert made(one.format(shape))
        assert made(two.format(shape))


def test_a_notch_narrower_than_its_strips_is_told_to_take_smaller_ones():
    """At its floor, 12 mm wide, strips of radius r reach r (pi/2 - 1) over it from both walls."""
    notched = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D", "E", "F", "G", "H"]
width = 300
board = 18
edges = {{ "left and one" = {{ round = {r} }}, "left and two" = {{ round = {r} }} }}
[carcase.outline.points]
A = [0, 0]
B = [500, 0]
C = [500, 300]
D = [296, 300]
E = [256, 100]
F = [244, 100]
G = [204, 300]
H = [0, 300]
[carcase.panels]
bottom = {{ edge = "A-B" }}
back = {{ edge = "B-C" }}
top = {{ edge = "C-D" }}
one = {{ edge = "D-E" }}
floor = {{ edge = "E-F" }}
two = {{ edge = "F-G" }}
crown = {{ edge = "G-H" }}
front = {{ edge = "H-A" }}
"""
    (told,) = faults_of(lambda: built(notched.format(r=12)))  # 13.7 mm
    assert "Make the bevels or rounds at its corners smaller." in told
    assert built(notched.format(r=10))  # 11.4 mm
    # and the largest: 2 r (pi/2 - 1) is 12 mm or more at its floor, and the walls lean away
    largest = float(re.search(r"“left and one” ([\d.]+) mm", told)[1])
    assert largest >= math.floor(10 * 6 / (math.pi / 2 - 1)) / 10
    assert built(notched.format(r=largest))
    assert faults_of(lambda: built(notched.format(r=largest + 0.2)))


@pytest.mark.parametrize(
    ("shape", "most"),
    [
        ("round = {}", 17.9),  # a round of 18 mm takes a whole end of 18 mm
        ("bevel = {}", 25.4),  # 18 / sin 45° = 25.456
    ],
)
def test_the_largest_shape_of_an_edge_is_told_and_fits(shape, most):
    edge = '"left and top" = {{ {} }}'
    (told,) = faults_of(lambda: stepped(200, edge.format(shape.format(30))))
    assert f"Make it smaller. {most} mm fits." in told
    assert stepped(200, edge.format(shape.format(most)))
    assert faults_of(lambda: stepped(200, edge.format(shape.format(most + 0.1))))


def test_rounds_that_leave_nothing_of_a_board_are_told_the_largest():
    """A triangle whose incircle is 12 mm: rounds on all its sides leave nothing from 12 mm on."""
    side = 24 * math.sqrt(3)  # the incircle of an equal-sided triangle has side / (2 sqrt 3)
    text = """
[[carcase]]
name = "wedge"
view = "plan"
corners = ["A", "B", "C"]
width = 100
board = 18
edges = {{ {edges} }}
joints = ["top over one", "top over two", "top over three"]
[carcase.outline.points]
A = [0, 0]
B = [{side}, 0]
C = [{half}, {high}]
[carcase.panels]
one = {{ edge = "A-B", board = 1 }}
two = {{ edge = "B-C", board = 1 }}
three = {{ edge = "C-A", board = 1 }}
bottom = {{ board = 1 }}
"""

    def made(r):
        size = {"side": f"{side:.4f}", "half": f"{side / 2:.4f}", "high": f"{side * 0.8660254:.4f}"}
        edges = ", ".join(
            f'"top and {name}" = {{ round = {r} }}' for name in ("one", "two", "three")
        )
        return built(text.format(edges=edges, **size))

    told = faults_of(lambda: made(13))
    (said,) = {each for line in told for each in re.findall(r"“top and \w+” ([\d.]+) mm", line)}
    assert said == "11.9"
    assert made(11.9)
