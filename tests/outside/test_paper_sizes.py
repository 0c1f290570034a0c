"""Sizes of paper: ISO 216:2007, table 1; ANSI/ASME Y14.1, sizes A and B in inches. From memory."""

import math

import pytest

from mateline.exports.print.tiles import PAPERS


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("A4", (210, 297)),
        ("A3", (297, 420)),
        ("Letter", (8.5 * 25.4, 11 * 25.4)),  # ANSI A
        ("Tabloid", (11 * 25.4, 17 * 25.4)),  # ANSI B
    ],
)
def test_papers_have_their_published_sizes(name, size):
    paper = PAPERS[name]
    assert (paper.width, paper.height) == pytest.approx(size, abs=1e-9)


@pytest.mark.parametrize(("name", "halvings"), [("A4", 4), ("A3", 3)])
def test_iso_papers_are_a_square_metre_halved(name, halvings):
    """ISO 216, 3.1: A0 is 1 m², sides 1 : sqrt(2), whole mm."""
    paper = PAPERS[name]
    long_side = 1000 * 2**0.25 / math.sqrt(2) ** halvings
    assert paper.height == pytest.approx(long_side, abs=1)
    assert paper.width == pytest.approx(long_side / math.sqrt(2), abs=1)


def test_two_sheets_side_by_side_make_the_next_size():
    assert PAPERS["A3"].width == PAPERS["A4"].height
    assert PAPERS["A3"].height == 2 * PAPERS["A4"].width
    assert PAPERS["Tabloid"].width == pytest.approx(PAPERS["Letter"].height)
    assert PAPERS["Tabloid"].height == pytest.approx(2 * PAPERS["Letter"].width)
