"""The cabinet's picture on paper, read back with pypdf. Circles are worked on the page."""

import math
from io import BytesIO

import numpy as np
import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream
from reportlab.pdfgen.canvas import Canvas

from mateline.exports.jobbook.paper.still_picture import LEAST, draw_picture

ARCS = "M90 50A40 40 0 0 1 50 90A40 40 0 0 1 10 50A40 40 0 0 0 50 90Z"
SVG = f"""<svg xmlns="http://www.w3.org/2000/svg" width="100" height="100">
<rect width="100" height="100" fill="#ffffff"/>
<defs><g id="art"><path fill="#ff0000" d="{ARCS}"/></g></defs>
<path fill="#000000" fill-opacity="0.25" d="M0 0L10 0L10 10Z"/>
<clipPath id="c"><path d="M0 0L50 0L50 50Z"/></clipPath>
<g clip-path="url(#c)"><use href="#art" transform="matrix(1 0 0 1 3.5 -4)"/></g>
<text x="50" y="20" font-size="1" fill="#00ff00" text-anchor="middle">Café</text>
</svg>"""


@pytest.fixture(scope="module")
def steps():
    file = BytesIO()
    canvas = Canvas(file, pagesize=(300, 200))
    draw_picture(canvas, SVG, (300, 200))
    canvas.showPage()
    canvas.save()
    page = PdfReader(file).pages[0]
    return page, ContentStream(page.get_contents(), None).operations


def test_arcs_stay_on_their_circle_whichever_way_they_turn(steps):
    at, found = (0.0, 0.0), 0
    for operands, operator in steps[1]:
        if operator not in {b"m", b"l", b"c"}:
            continue
        points = np.array([float(each) for each in operands]).reshape(-1, 2)
        if operator == b"c":
            near, far, end = points
            halfway = (at + 3 * near + 3 * far + end) / 8  # of a cubic curve at a half
            for point in (halfway, end):
                assert math.dist(point, (50, 50)) == pytest.approx(40, abs=0.01)
            found += 1
        at = points[-1]
    assert found >= 3


def test_it_fills_the_frame_and_stands_in_its_middle(steps):
    (first, *_) = [operands for operands, operator in steps[1] if operator == b"cm"][1:]
    # 100 px high in 200 points: twice as large, y down, 50 points from the left and 200 up.
    assert [float(each) for each in first] == [2, 0, 0, -2, 50, 200]


def test_artwork_is_clipped_moved_and_faint_where_it_says(steps):
    operators = [operator for _, operator in steps[1]]
    assert b"W" in operators
    assert [3.5, -4.0] in [
        [float(each) for each in operands[4:]]
        for operands, operator in steps[1]
        if operator == b"cm"
    ]
    states = steps[0]["/Resources"]["/ExtGState"].values()
    assert 0.25 in [float(each.get_object().get("/ca", 1)) for each in states]


def test_words_are_never_too_small(steps):
    assert "Café" in steps[0].extract_text()
    sizes = [float(operands[1]) for operands, operator in steps[1] if operator == b"Tf"]
    assert LEAST in sizes
