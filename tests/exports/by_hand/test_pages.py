"""hand-cutting.pdf read back by a library that knows nothing of ours."""

import io
import re
from collections import Counter
from fractions import Fraction

import pypdf
import pytest

from mateline.exports.by_hand.pages import hand_cutting_pdf, hand_pages
from mateline.exports.by_hand.strokes import hand_sheets
from mateline.exports.picture.widest import widest_places
from mateline.stencil.cutting.cut_path import cut_path
from mateline.tape.accuracy import Tape
from stencils import seaside

METRIC = Tape("mm", Fraction(1), "II")
INCH = 72.0


def written(stencil, tape, paper=None):
    sheets = hand_sheets(stencil, tape, cut_path(stencil.pattern))
    places = {
        piece.id: line.coords[0]
        for piece, line in zip(stencil.pieces, widest_places(stencil), strict=True)
    }
    pages = hand_pages(sheets, stencil, places, tape, paper)
    return sheets, hand_cutting_pdf(stencil.face.name, pages)


def read(data):
    """The texts of each page, one by one: pypdf joins those that stand close."""
    return [
        [
            words.decode()
            for words in re.findall(rb"\(([^()]*)\) Tj", page.get_contents().get_data())
        ]
        for page in pypdf.PdfReader(io.BytesIO(data)).pages
    ]


def test_a_small_face_is_one_page_with_its_table():
    (sheet,), data = written(seaside(), METRIC)
    (page,) = read(data)
    words = Counter(page)
    for mark in sheet.marks:
        assert words[mark.name] == 1
        assert sum(cell.startswith(f"{mark.name}  ") for cell in page) == 1
    for name in ("A1", "B1", "C1"):
        assert words[name] == 1
    assert "Compass, R 125 mm: 2 arcs" in page
    assert "left edge of the board" in page


@pytest.mark.parametrize("face", ["body-left", "head-front"])
def test_every_mark_and_number_is_drawn_and_in_the_table(job, face):
    (stencil,) = (each for each in job.stencils if each.face.name == face)
    sheets, data = written(stencil, job.tape)
    pages = read(data)
    for sheet in sheets:
        of = f"{face}, {sheet.name}" if sheet.name else face
        heading = re.compile(rf"Cutting by hand: {of}(, part \d of \d)?")
        drawn = Counter(text for page in pages if heading.fullmatch(page[0]) for text in page)
        for mark in sheet.marks:  # on the line between two parts it is on both
            assert drawn[mark.name] in {1, 2}
        for stroke in sheet.strokes:
            assert drawn[str(stroke.number)] in {1, 2, 3}  # and the numbers of parts
    ids = {f"{piece.letter}{piece.number}" for piece in stencil.pieces}
    assert ids <= {text for page in pages for text in page}


@pytest.mark.parametrize(
    ("tape", "paper", "size"),
    [(METRIC, None, (210, 297)), (METRIC, "A3", (297, 420)),
     (Tape("in", Fraction(254, 160), "II"), None, (8.5 * 25.4, 11 * 25.4))],
)  # fmt: skip
def test_pages_are_the_jobs_paper(tape, paper, size):
    _, data = written(seaside(), tape, paper)
    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        sides = sorted(float(side) / INCH * 25.4 for side in page.mediabox[2:])
        assert sides == pytest.approx(sorted(size), abs=0.01)


def test_no_text_is_smaller_than_6_points(job):
    (stencil,) = (each for each in job.stencils if each.face.name == "body-left")
    _, data = written(stencil, job.tape)
    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        sizes = re.findall(rb"/F1 ([\d.]+) Tf", page.get_contents().get_data())
        assert min(map(float, sizes)) >= 6


def test_the_same_face_gives_the_same_bytes():
    assert written(seaside(), METRIC)[1] == written(seaside(), METRIC)[1]
