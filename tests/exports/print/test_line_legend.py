"""The legend of a stencil on paper, read back."""

import re
from fractions import Fraction

import pytest

from mateline.exports.cut.layers import layers_of
from mateline.exports.print.line_legend import MEANING, PAPER
from mateline.exports.print.pdf import stencil_pdf
from mateline.tape.accuracy import Tape
from pdf_reading import forms, read, subpaths
from stencils import BOLT, FRONT, board, seaside, striped

METRIC = Tape("mm", Fraction(1), "II")
STENCILS = [seaside(), striped(board("front", FRONT, (1000.0, 640.0), holes=(BOLT,)))]


def words(page):
    return " ".join(page.extract_text().split())


@pytest.mark.parametrize("stencil", STENCILS)
def test_every_layer_that_is_drawn_is_named_on_the_whole_page_and_the_map(stencil):
    reader = read(stencil_pdf(stencil, METRIC))
    there = {layer for layer, form in forms(reader).items() if subpaths(form)}
    assert {"cut", "label"} <= there
    for page in reader.pages[:2]:
        said = {layer for layer, meaning in MEANING.items() if meaning in words(page)}
        assert said - {PAPER} == there
    assert MEANING[PAPER] in words(reader.pages[1])
    assert MEANING[PAPER] not in words(reader.pages[0])


def test_every_layer_of_a_stencil_has_a_meaning_and_no_two_the_same():
    assert set(layers_of(STENCILS[0])) <= set(MEANING)
    assert len(set(MEANING.values())) == len(MEANING)


def test_papers_are_called_so_wherever_they_are_named():
    """A letter and a number is a piece, and nothing else but a size of paper."""
    reader = read(stencil_pdf(STENCILS[1], METRIC))
    for page in reader.pages[1:]:
        said = words(page)
        assert re.search(r"\bpaper \d+\b", said)
        assert set(re.findall(r"\b[A-Z]+\d+\b", said)) <= {"A4"}
