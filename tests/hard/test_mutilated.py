"""Drawings with numbers, words and lines torn out or swapped are read, or refused with a reason.

Nothing else may come of them: no other exception, whatever the damage.
"""

import re

import pytest
from hypothesis import given, settings
from hypothesis.strategies import data, integers, sampled_from

from hard.hostile_dxf import SQUARE, circle, ellipse, raw, spline
from mateline.drawing.reader import read_drawing
from mateline.errors import InputError

WHOLE_SVG = """\
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100" width="100mm" height="100mm">
<style>.a{fill:red} #b{stroke-width:2px}</style>
<clipPath id="c"><circle cx="50" cy="50" r="30"/></clipPath>
<mask id="m" maskUnits="userSpaceOnUse"><rect width="100" height="100" fill="#fff"/></mask>
<linearGradient id="g" x1="0" x2="1"><stop offset="0" stop-color="red"/></linearGradient>
<marker id="k" viewBox="0 0 9 9" markerWidth="3" orient="auto" refX="5"><path d="M0 0h9z"/></marker>
<symbol id="s" viewBox="0 0 10 10"><rect width="5" height="5" rx="1"/></symbol>
<g transform="translate(10 5) rotate(30)" opacity=".5" clip-path="url(#c)" font-size="2em">
<path class="a" d="M0 0C10 5 20 30 40 40A10 5 30 0 1 60 60z" stroke="#080" stroke-dasharray="5 2"/>
<polyline id="b" points="1 2 30 40 50 6" stroke="hsl(20,50%,50%)" marker-mid="url(#k)"/></g>
<use href="#s" x="10" y="20" width="30" height="40" mask="url(#m)" fill="url(#g)"/>
<ellipse cx="50%" cy="50" rx="20" ry="10" stroke="blue" stroke-width="3" stroke-linejoin="round"/>
</svg>
"""
WHOLE_DXF = raw(circle() + ellipse(0.5) + spline(9) + SQUARE).decode()
WORDS = [
    "", "0", "-1", "1e308", "-1e308", "1e-308", "1e400", "nan", "inf", "%", "em", "url(#c)", "none",
    "inherit", "initial", "auto", "100%", "999999999", "1 2 3", "M0 0", "matrix(1 2 3 4 5 6)",
    "scale(0 1)", "rotate(1e300)", "9" * 50,
]  # fmt: skip
TAGS = ["0", "-1", "1e308", "nan", "inf", "", "10", "42", "70", "INSERT", "ENDSEC", "LINE", "5"]


def read_or_refused(path):
    try:
        drawing = read_drawing(path, root=path.parent)
    except InputError:
        return
    assert all(not shape.area.is_empty for shape in drawing.shapes)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("mutilated")


@settings(max_examples=250, deadline=None)
@given(data())
def test_an_svg_with_other_values_is_read_or_refused(folder, data):
    text = WHOLE_SVG
    for _ in range(data.draw(integers(1, 4))):
        places = [match.span(1) for match in re.finditer(r'="([^"]*)"', text)][1:]
        start, stop = data.draw(sampled_from(places))
        text = text[:start] + data.draw(sampled_from(WORDS)) + text[stop:]
    path = folder / "torn.svg"
    path.write_text(text, encoding="utf-8")
    read_or_refused(path)


@settings(max_examples=150, deadline=None)
@given(data())
def test_an_svg_with_bytes_torn_out_is_read_or_refused(folder, data):
    text = WHOLE_SVG
    start = data.draw(integers(0, len(text) - 1))
    path = folder / "torn.svg"
    path.write_text(text[:start] + text[start + data.draw(integers(1, 9)) :], encoding="utf-8")
    read_or_refused(path)


@settings(max_examples=150, deadline=None)
@given(data())
def test_a_dxf_with_other_lines_is_read_or_refused(folder, data):
    lines = WHOLE_DXF.split("\n")
    for _ in range(data.draw(integers(1, 4))):
        at = data.draw(integers(0, len(lines) - 1))
        lines[at : at + data.draw(integers(0, 1))] = data.draw(
            sampled_from([[], *([tag] for tag in TAGS)])
        )
    path = folder / "torn.dxf"
    path.write_text("\n".join(lines), encoding="utf-8")
    read_or_refused(path)
