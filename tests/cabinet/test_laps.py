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


def stepped(angle, *edges):
    """A side with an inside corner of `angle` degrees where the deck meets the lip."""
    way = math.radians(360 - angle)
    x, y = 250 + 200 * math.cos(way), 200 + 200 * math.sin(way)
    return built(STEPPED.format(x=round(x, 4), y=round(y, 4), edges=", ".join(edges)))


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
