"""One figure, three writers, each read back by a library that knows nothing of ours."""

import io
import math

import pypdf
import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from mateline.curves import Chain, Segment, circle
from mateline.exports.print.figure import (
    Area,
    Boxes,
    Clipped,
    Figure,
    Lines,
    Words,
    draw_page,
    figure_page,
    figure_svg,
    width_of,
)
from mateline.exports.print.pdf_file import POINT, pdf_bytes
from svg_reading import parsed

WORDS = ('12 1/2" (3)', "FRONT (body-front)", "a < b & c", "R·3 \\ 5°")
FIGURE = Figure(
    "Test",
    (200.0, 100.0),
    (
        Clipped(
            (10.0, 10.0, 100.0, 60.0), (Lines((Chain((0.0, 20.0), (Segment((190.0, 20.0)),)),)),)
        ),
        Area((circle((50.0, 50.0), 10.0),), "#ff0000", ("#000000", 0.2)),
        Boxes(((120.0, 10.0, 140.0, 30.0),), "#00ff00"),
        Lines((circle((150.0, 50.0), 20.0),), "#0000ff", 0.5, (2.0, 1.0)),
        *(Words((20.0, 70.0 + 6 * at), 4.0, text, bold=at == 0) for at, text in enumerate(WORDS)),
        Words((180.0, 50.0), 4.0, "upright", "middle", turn=math.pi / 2),
    ),
)


def by_canvas():
    paper = io.BytesIO()
    canvas = Canvas(paper, pagesize=tuple(side * POINT for side in FIGURE.size), invariant=1)
    draw_page(canvas, figure_page(FIGURE))
    canvas.showPage()
    canvas.save()
    return paper.getvalue()


@pytest.mark.parametrize(
    "data", [pdf_bytes("Test", [figure_page(FIGURE)], []), by_canvas()], ids=["ours", "reportlab"]
)
def test_the_pdf_says_every_word_and_is_as_large(data):
    (page,) = pypdf.PdfReader(io.BytesIO(data), strict=True).pages
    assert [float(side) / POINT for side in page.mediabox[2:]] == pytest.approx([200, 100])
    text = page.extract_text()
    for words in (*WORDS, "upright"):
        assert words in text


def test_the_svg_says_every_word_where_it_stands():
    root = parsed(figure_svg(FIGURE))
    assert root.get("width") == "200mm"
    texts = [each.text for each in root.iter() if each.tag.endswith("}text")]
    assert texts == [*WORDS, "upright"]
    (upright,) = (each for each in root.iter() if each.text == "upright")
    assert upright.get("transform") == "rotate(-90 180 50)"


def test_widths_are_those_of_helvetica():
    for words in ('12 1/2"', "FRONT (body-front)", "Compass, R 125 mm: 2 arcs", "c12 to n45 by"):
        assert width_of(words, 10.0) == pytest.approx(
            stringWidth(words, "Helvetica", 10.0), rel=0.02
        )
