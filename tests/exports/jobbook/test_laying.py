"""Laying in the book: the drawing as a picture, and the same words as on the page."""

import base64
import re
from html.parser import HTMLParser

import pytest

from mateline.exports.jobbook.laying import MOST_ROWS, part
from mateline.exports.laying.sets import laid_sets
from mateline.exports.laying.words import steps_said
from mateline.exports.picture.widest import widest_places
from mateline.starter import write_starter
from mateline.survey import surveyed, with_true_borders
from svg_reading import parsed


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    folder = tmp_path_factory.mktemp("laying") / "box"
    write_starter(folder)
    return with_true_borders(surveyed(folder))


@pytest.fixture(scope="module")
def laid(job):
    return laid_sets(job)["box-left"]


@pytest.fixture(scope="module")
def markup(job, laid):
    return part(laid, job.tape, None, widest_places(laid.stencil))


class _Texts(HTMLParser):
    def __init__(self):
        super().__init__()
        self.found = []

    def handle_data(self, data):
        self.found.append(data)


def texts(markup):
    reader = _Texts()
    reader.feed(markup)
    return reader.found


def test_the_picture_is_in_the_book_itself_and_shows_every_piece_once(laid, markup):
    (data,) = re.findall(r'src="data:image/svg\+xml;base64,([^"]+)"', markup)
    drawn = [each.text for each in parsed(base64.b64decode(data).decode()).iter() if each.text]
    for piece in laid.stencil.pieces:
        assert drawn.count(f"{piece.letter}{piece.number}") == 1


def test_what_to_do_is_what_the_page_says(job, laid, markup):
    found = texts(markup)
    for words in steps_said(laid, job.tape):
        assert words in found


def test_each_piece_has_a_row_in_the_order_of_laying(laid, markup):
    assert len(laid.stencil.pieces) <= MOST_ROWS
    rows = re.findall(r'<tr><th scope="row">(\d+)</th><td>([A-Z]\d+)</td>', markup)
    assert [int(number) for number, _ in rows] == [*range(1, len(laid.stencil.pieces) + 1)]
    assert {name for _, name in rows} == {f"{p.letter}{p.number}" for p in laid.stencil.pieces}


def test_the_legend_is_in_words(markup):
    (legend,) = (each for each in texts(markup) if each.startswith("Red number"))
    assert "Red dashes: diagonal to measure" in legend
