"""Which faces' pages for cutting by hand are in the wall's book, and where the others are."""

import numpy as np

from mateline.exports.by_hand.face_cutting import FaceCutting
from mateline.exports.jobbook.paper.by_hand import MOST, pages_in, where_said
from mateline.exports.print.pdf_file import Page
from mateline.stencil.cutting.cut_path import CutPath

A4, A3 = (210.0, 297.0), (297.0, 420.0)


def cutting(count, size=A4):
    pages = tuple(Page("", size, "") for _ in range(count))
    return FaceCutting(np.array([]), CutPath(()), pages)


def test_a_face_of_very_many_pages_has_them_in_its_own_file():
    cuttings = {"few": cutting(MOST), "many": cutting(MOST + 1), "none": cutting(0)}
    here = pages_in(cuttings, (A4, A4[::-1]))
    assert set(here) == {"few"}
    assert where_said("few", cuttings, here) == (
        "last pages of this book, or faces/few/hand-cutting.pdf"
    )
    assert where_said("many", cuttings, here) == f"faces/many/hand-cutting.pdf, {MOST + 1} pages"


def test_pages_on_larger_paper_than_the_books_stay_in_their_file():
    cuttings = {"upright": cutting(1, A3), "across": cutting(1, A4[::-1])}
    assert set(pages_in(cuttings, (A4, A4[::-1]))) == {"across"}
