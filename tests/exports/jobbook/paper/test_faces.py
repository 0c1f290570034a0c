"""A face that a page has no room for: enlarged in parts, so that every piece is named."""

import math

import numpy as np
import pytest
import shapely

from mateline.exports.jobbook.paper.faces import FEW, sheets_for
from mateline.exports.jobbook.paper.sheet import MM, named_anew
from mateline.exports.picture.widest import widest_places
from stencils import FRONT, board, painted_by

FRAMES = ((110 * MM, 130 * MM), (130 * MM, 110 * MM))


@pytest.fixture(scope="module")
def stencil():
    """480 squares like those of a draughtboard, every other one blue."""
    squares = [
        ("sea blue", shapely.box(37.5 * x, 30 * y, 37.5 * (x + 1), 30 * (y + 1)))
        for x in range(24)
        for y in range(20)
        if (x + y) % 2
    ]
    return painted_by(board("front", FRONT, (900.0, 600.0)), squares)


@pytest.fixture(scope="module")
def pages(stencil):
    return sheets_for(stencil, widest_places(stencil), FRAMES, 240, {})


def test_parts_name_every_piece_once(stencil, pages):
    assert pages.key.missed
    assert len(pages.parts) == round(math.sqrt(len(pages.parts))) ** 2 > 1
    named = [piece for part in pages.parts for piece in part.labels]
    assert sorted(named) == sorted(piece.id for piece in stencil.pieces)


def test_parts_are_drawn_larger_than_the_key(pages):
    scales = {part.layout.denominator for part in pages.parts}
    assert max(scales) < pages.key.layout.denominator


def test_a_pass_whose_list_is_short_has_it_beside_the_drawing(pages):
    assert pages.drawing_of(FEW) is pages.few
    assert pages.few.layout.holds >= FEW
    assert pages.drawing_of(240) is pages.work
    assert pages.work.layout.holds == 0


def test_a_drawing_can_name_some_of_its_pieces_alone(stencil, pages):
    some = [piece.id for piece in stencil.pieces[:5]]
    assert set(named_anew(pages.work, some).labels) == set(some)


def test_findings_have_marks_that_lie_on_no_id(stencil):
    at = shapely.get_coordinates(stencil.pieces[0].area.centroid)[0]
    pages = sheets_for(stencil, widest_places(stencil), ((500.0, 700.0), (700.0, 500.0)), 5,
                       {"7": tuple(at)})  # fmt: skip
    mark = pages.key.labels["7"]
    assert mark.led is not None
    assert "7" not in pages.work.labels
    for piece, label in pages.key.labels.items():
        if piece != "7":
            assert np.hypot(*np.subtract(label.at, mark.at)) > 1.0
