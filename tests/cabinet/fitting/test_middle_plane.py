"""Both sides of cabinets drawn in any view, worked on the page.

       back                 plan of the table: A (100, 0), B (300, 0), C (400, 100) ... so that
  ___________               x = 200 is its middle; "se" is the slant right of the front
 /           \\   ne
|             |
 \\___________/   se        its lower left twin is "sw"
     front
"""

import math

import pytest

from boxes import built, faults_of, square

TABLE = """
[[carcase]]
name = "table"
view = "plan"
corners = ["A", "B", "C", "D", "E", "F", "G", "H"]
width = 300
board = 18
at = { x = 100 }
[carcase.outline.points]
A = [100, 0]
B = [300, 0]
C = [400, 100]
D = [400, 300]
E = [300, 400]
F = [100, 400]
G = [0, 300]
H = [0, 100]
[carcase.panels]
front = { edge = "A-B" }
se = { edge = "B-C" }
right = { edge = "C-D" }
ne = { edge = "D-E" }
back = { edge = "E-F" }
nw = { edge = "F-G" }
left = { edge = "G-H" }
sw = { edge = "H-A" }
"""
HOLE = """
[[hardware]]
name = "{name}"
kind = "slot"
length = 30
width = 10
turn = 20
on = "{on}"
{where}
both_sides = true
"""


def spots(face):
    """The centres of the holes in the cabinet's frame, and which way they lie there."""
    lift = face.cells[0].lift
    return {
        hole.name: (
            lift @ (*hole.centre, 1),
            lift[:, :2] @ (math.cos(hole.turn), math.sin(hole.turn)),
        )
        for hole in face.holes
    }


def is_mirrored(one, other, middle):
    """Whether a hole is the mirror image of another about x = middle; a slot has no end."""
    (at, way), (there, then) = one, other
    assert there == pytest.approx((2 * middle - at[0], at[1], at[2]))
    flipped = (-way[0], way[1], way[2])
    return abs(then @ flipped) == pytest.approx(1)


def holed(on, where, name="knob"):
    return built(TABLE + HOLE.format(on=f"table-{on}", where=where, name=name))


@pytest.mark.parametrize(
    ("on", "other", "where"),
    [
        ("se", "sw", "from = { front = 60, bottom = 100 }"),
        ("sw", "se", "from = { left = 60, top = 100 }"),
        ("right", "left", "from = { se = 60, bottom = 100 }"),
        ("ne", "nw", "along = { edge = 'top', from = 'back', at = 60, in = 50 }"),
    ],
)
def test_walls_of_a_plan_mirror_each_other_about_its_middle(on, other, where):
    cabinet = holed(on, where)
    one, twin = spots(cabinet.face(f"table-{on}")), spots(cabinet.face(f"table-{other}"))
    assert list(one) == list(twin) == ["knob"]
    assert is_mirrored(one["knob"], twin["knob"], 200)  # x = 200 is halfway from 0 to 400


@pytest.mark.parametrize(
    ("on", "where"),
    [
        ("front", "from = { sw = 60, bottom = 100 }"),
        ("front", "from = { se = 60, bottom = 100 }"),
        ("back", "from = { ne = 60, bottom = 100 }"),
        ("top", "from = { left = 60, front = 200 }"),
        ("bottom", "from = { ne = 160, front = 200 }"),
        ("bottom", "from_corners = { H = 150, G = 150 }"),
        ("top", "along = { edge = 'sw', from = 'A', at = 40, in = 40 }"),
    ],
)
def test_what_lies_across_the_middle_is_mirrored_in_itself(on, where):
    found = spots(holed(on, where).face(f"table-{on}"))
    assert sorted(found) == ["knob, left", "knob, right"]
    assert is_mirrored(found["knob, left"], found["knob, right"], 200)
    assert found["knob, left"][0][0] < 200


def test_a_front_view_is_mirrored_too():
    stand = """
[[carcase]]
name = "stand"
view = "front"
corners = ["A", "B", "C", "D"]
width = 250
board = 15
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [350, 500]
D = [50, 500]
[carcase.panels]
bottom = { edge = "A-B" }
right = { edge = "B-C" }
top = { edge = "C-D" }
left = { edge = "D-A" }
"""
    hole = HOLE.format(on="stand-left", where="from = { front = 50, top = 60 }", name="knob")
    cabinet = built(stand + hole)
    one, twin = (spots(cabinet.face(f"stand-{end}"))["knob"] for end in ("left", "right"))
    assert is_mirrored(one, twin, 200)
    front = HOLE.format(on="stand-front", where="from_corners = { A = 150, D = 450 }", name="eye")
    found = spots(built(stand + front).face("stand-front"))
    assert is_mirrored(found["eye, left"], found["eye, right"], 200)


@pytest.mark.parametrize("on", ["front", "back", "top", "bottom"])
def test_every_board_of_a_side_view_is_mirrored(on):
    beside = "bottom" if on in {"front", "back"} else "front"
    where = f"from = {{ left = 60, {beside} = 100 }}"
    cabinet = square(after=HOLE.format(on=f"box-{on}", where=where, name="knob"))
    found = spots(cabinet.face(f"box-{on}"))
    assert found["knob, left"][0][0] == pytest.approx(60)
    assert is_mirrored(found["knob, left"], found["knob, right"], 150)


def test_a_row_that_is_its_own_mirror_image_is_no_row_twice():
    """Three holes 50 apart about the middle of a front 300 wide: 100, 150, 200."""
    text = """
[[hardware]]
name = "lamp"
kind = "round"
diameter = 20
on = "box-front"
from = { left = 100, bottom = 100 }
row = { count = 3, pitch = 50 }
both_sides = true
"""
    assert "its own opposite" in faults_of(lambda: square(after=text))[0]
    found = spots(square(after=text.replace("count = 3", "count = 2")).face("box-front"))
    # the one in the middle is on both sides, the other one has its twin
    assert [round(at[0]) for at, _ in found.values()] == [100, 150, 200]


def test_a_lopsided_plan_has_no_opposite_sides():
    text = TABLE.replace("D = [400, 300]", "D = [400, 250]")
    text += HOLE.format(on="table-right", where="from = { se = 60, bottom = 100 }", name="knob")
    assert "are not alike" in faults_of(lambda: built(text))[0]


def test_a_board_whose_opposite_is_missing_is_told():
    text = TABLE.replace('left = { edge = "G-H" }', 'left = { edge = "G-H", missing = true }')
    text += HOLE.format(on="table-right", where="from = { se = 60, bottom = 100 }", name="knob")
    assert "table-left is missing" in faults_of(lambda: built(text))[0]
