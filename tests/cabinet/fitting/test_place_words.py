"""Places are told from the edges that the definition uses, worked on the page."""

import pytest

from boxes import square
from mateline.cabinet.fitting.place_words import place_words
from mateline.cabinet.panel import edge_axes

HOLE = """
[[hardware]]
name = "lock"
kind = "round"
diameter = 20
on = "{on}"
{where}
"""


def said(length):
    return f"{length:.0f}"


def told(on, where, more=""):
    face = square(more, HOLE.format(on=on, where=where)).face(on)
    (hole,) = face.holes
    return place_words(face, hole.centre, said, hole)


@pytest.mark.parametrize(
    ("on", "where", "words"),
    [
        # the front starts a board's thickness, 18, in from the cabinet's edge; nobody sees that
        (
            "box-front",
            "from = { left = 100, bottom = 80 }",
            "100 from its edge with left and 80 from its edge with bottom",
        ),
        (
            "box-front",
            "from = { top = 90, right = 70 }",
            "90 from its edge with top and 70 from its edge with right",
        ),
        (
            "box-left",
            "from_corners = { A = 150, B = 330 }",
            "150 from corner A and 330 from corner B",
        ),
        (
            "box-top",
            "along = { edge = 'front', from = 'right', at = 70, in = 30 }",
            "70 along its edge with front from right, and 30 in from it",
        ),
        (
            "box-left",
            "along = { edge = 'top', from = 'C', at = 70, in = 30 }",
            "70 along its edge with top from C, and 30 in from it",
        ),
    ],
)
def test_hardware_is_told_as_it_was_measured(on, where, words):
    assert told(on, where) == words


def test_any_other_place_is_told_from_the_edges_that_hardware_uses():
    face = square("", HOLE.format(on="box-front", where="from = { left = 100, bottom = 80 }")).face(
        "box-front"
    )
    # 250 from the left is 50 from the right, which is nearer
    at = (250 - 18, 300 - face.panel.outline[0][1] * -1)
    words = place_words(face, at, said)
    assert words.startswith("250 from its edge with left and ")
    bare = square().face("box-front")
    assert place_words(bare, at, said).startswith("50 from its edge with right and ")


def test_a_place_on_a_round_is_told_from_its_fold():
    face = square('edges = { "left and front" = { round = 10 } }').face("box-left")
    index = [edge.neighbour for edge in face.panel.edges].index("front")
    start, along, inward = edge_axes(face.panel, index)
    at = start + 200 * along + (10 - 4) * inward  # the fold is 10 in, the strip 15.7 wide
    assert place_words(face, tuple(at), said).startswith(
        "4 from the fold of its edge with front, beyond it, and 200 from its edge with "
    )


def test_a_place_beyond_an_edge_says_so():
    face = square().face("box-left")
    assert "30 beyond its edge with front" in place_words(face, (430, 200), said)
