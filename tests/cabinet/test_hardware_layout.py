"""Hardware at its places: what a tape reads from edges and corners, on the face that it means."""

import math

import pytest

from boxes import faults_of, square

HOLE = """
[[hardware]]
name = "button"
kind = "round"
diameter = 30
on = "{on}"
{where}
"""


def holes(after, more=""):
    return {face.name: face.holes for face in square(more, after).faces}


def test_distances_are_taken_from_the_cabinets_edges_on_both_sides():
    found = holes(
        HOLE.format(on="box-left", where="from = { front = 60, bottom = 80 }\nboth_sides = true")
    )
    (left,), (right,) = found["box-left"], found["box-right"]
    assert left.centre == pytest.approx((400 - 60, 80))
    assert right.centre == pytest.approx((60, 80))


def test_a_board_that_ends_under_another_is_measured_from_the_cabinets_edge_too():
    (hole,) = holes(HOLE.format(on="box-front", where="from = { left = 100, bottom = 80 }"))[
        "box-front"
    ]
    # the front starts 18 mm in from the cabinet's edge
    assert hole.centre == pytest.approx((100 - 18, 80))


def test_two_corners_fix_a_place():
    (hole,) = holes(HOLE.format(on="box-left", where="from_corners = { A = 150, B = 330 }"))[
        "box-left"
    ]
    x, y = hole.centre
    assert math.dist((x, y), (400, 0)) == pytest.approx(150)
    assert math.dist((x, y), (0, 0)) == pytest.approx(330)
    assert y > 0


def test_uncertainty_is_that_of_the_tape_in_each_direction():
    # Class II from the hook: 0.3 + 0.2 * 1 + 0.2 mm within the first metre (2014/32/EU, MI-008);
    # uniform, and half a graduation of 1 mm: sqrt(0.7² / 3 + 1 / 12)
    (hole,) = holes(HOLE.format(on="box-left", where="from = { front = 60, bottom = 80 }"))[
        "box-left"
    ]
    assert hole.deviation == pytest.approx((math.sqrt(0.49 / 3 + 1 / 12),) * 2)


def test_a_row_runs_from_its_first_hole():
    found = holes(
        HOLE.format(
            on="box-left",
            where="from = { front = 100, bottom = 80 }\nrow = { count = 3, pitch = 40, turn = 90 }"
            "\nboth_sides = true",
        )
    )
    assert [hole.centre for hole in found["box-left"]] == [
        pytest.approx((300, 80 + 40 * step)) for step in range(3)
    ]
    assert [hole.name for hole in found["box-right"]] == ["button 1", "button 2", "button 3"]


def test_a_grid_has_columns_and_rows():
    where = "from = { front = 200, bottom = 80 }\n"
    where += "grid = { columns = 3, rows = 2, across = 40, up = 50 }"
    found = holes(HOLE.format(on="box-left", where=where))["box-left"]
    assert [hole.centre for hole in found] == [
        pytest.approx((200 + 40 * column, 80 + 50 * row)) for row in range(2) for column in range(3)
    ]


@pytest.mark.parametrize(
    ("on", "where", "words"),
    [
        ("box-left", "from = { front = 5, bottom = 80 }", "reaches over the rim of box-left"),
        ("box-left", "from = { front = -50, bottom = 80 }", "lies off box-left"),
        ("box-left", "from = { front = 50 }", "takes two distances"),
        ("box-left", "from = { front = 50, back = 60 }", "run alongside each other"),
        ("box-left", "from = { front = 50, lid = 60 }", "no edge of box-left “lid”"),
        ("box-lid", "from = { front = 50, top = 60 }", "no face “box-lid”"),
        ("box-left", "from_corners = { A = 50, B = 100 }", "don't meet"),
        ("box-left", "from_corners = { A = 50, Z = 100 }", "no corner of box-left “Z”"),
        ("box-front", "from = { left = 150, bottom = 90 }\nboth_sides = true", "its own opposite"),
        (
            "box-left",
            "along = { edge = 'lid', from = 'A', at = 9, in = 30 }",
            "no edge of box-left",
        ),
        ("box-left", "along = { edge = 'top', from = 'A', at = 9, in = 30 }", "no end of the edge"),
        (
            "box-left",
            "along = { edge = 'top', from = 'front', at = 50, in = 30, count = 2 }",
            "A count alone makes no row",
        ),
        (
            "box-left",
            "along = { edge = 'top', from = 'front', at = 300, in = 30, count = 2, leave = 150 }",
            "150.0 mm can't be left at its other end",
        ),
        (
            "box-left",
            "along = { edge = 'top', from = 'front', at = 50, in = 30, pitch = 1, leave = 50 }",
            "there would be 301 of them",
        ),
        (
            "box-left",
            "from = { front = 50, bottom = 90 }\nstraddles = 'box-front'",
            "does not reach box-front",
        ),
        ("box-left", "from = { front = 3, bottom = 90 }\nstraddles = 'box-right'", "no joint"),
        (
            "box-left",
            "from = { front = 3, bottom = 90 }\nstraddles = 'box-lid'",
            "no face “box-lid”",
        ),
        ("box-left", 'from = { front = "5 ells", bottom = 80 }', "cannot be worked out"),
    ],
)
def test_misplaced_hardware_is_told(on, where, words):
    text = HOLE.format(on=on, where=where)
    assert words in faults_of(lambda: square(after=text))[0]


@pytest.mark.parametrize(
    ("shape", "words"),
    [
        ('kind = "slot"\nlength = 20\nwidth = 30', "longer than wide"),
        ('kind = "rectangle"\nlength = 20\nwidth = 30\ncorner = 11', "not fit 20.0 mm by 30.0 mm"),
        ('kind = "rectangle"\nlength = 20', "needs a width"),
        ('kind = "bolt"\nsize = "M7"', "no bolt size “M7”"),
        ('kind = "countersunk"\nsize = "7/16"', "No head is listed"),
        ('kind = "countersunk"\nsize = "M6"\nhead = 5', "wider than the hole"),
        ('kind = "round"\ndiameter = 0', "is not more than 0"),
    ],
)
def test_impossible_hardware_is_told(shape, words):
    text = f'[[hardware]]\nname = "x"\non = "box-left"\nfrom = {{front = 99, top = 99}}\n{shape}\n'
    assert words in faults_of(lambda: square(after=text))[0]


def test_two_holes_may_not_run_into_each_other():
    one = HOLE.format(on="box-left", where="from = { front = 60, bottom = 80 }")
    two = HOLE.format(on="box-left", where="from = { front = 80, bottom = 80 }")
    (fault,) = faults_of(lambda: square(after=one + two))
    assert "runs into button on box-left" in fault
