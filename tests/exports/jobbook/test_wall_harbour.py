"""The wall's book of a whole cabinet, page by page: every id, order, letters and legend."""

import math
import re
from collections import Counter
from pathlib import Path

import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream

from mateline.exports.findings_table import numbered
from mateline.exports.jobbook import write_pdf
from mateline.exports.jobbook.places import cuttings_of
from mateline.survey import as_laid_out, planned, surveyed, with_true_borders
from mateline.tape.reading import printed

CABINET = Path(__file__).parents[3] / "cabinets" / "harbour-lights"
LEAST = 6.0  # points


@pytest.fixture(scope="module")
def job():
    return with_true_borders(surveyed(CABINET))


@pytest.fixture(scope="module")
def plan(job):
    return planned(job)


@pytest.fixture(scope="module")
def laid_out(job, plan):
    return as_laid_out(job, plan.sets)


@pytest.fixture(scope="module")
def cuttings(job, plan):
    return cuttings_of(job, plan.sets)


@pytest.fixture(scope="module")
def book(job, plan, cuttings, tmp_path_factory):
    path = tmp_path_factory.mktemp("wall") / "job-book.pdf"
    write_pdf(job, plan, path, cuttings=cuttings)
    return PdfReader(path)


@pytest.fixture(scope="module")
def pages(book):
    """Each page's words, one for each that is shown, and the sizes that they are shown in."""
    found = []
    for page in book.pages:
        words, sizes, size = [], set(), 0.0
        for operands, operator in ContentStream(page.get_contents(), book).operations:
            if operator == b"Tf":
                size = float(operands[1])
            elif operator == b"Tj":
                words.append(str(operands[0]))
                sizes.add(size)
        found.append((words, sizes))
    return found


def drawings(pages, heading):
    """The words of pages by what their heading says."""
    found = []
    for words, _ in pages:
        matches = [re.fullmatch(heading, word) for word in words]
        found += [(match.groups(), words) for match in matches if match]
    return found


def test_every_id_is_on_the_key_of_its_face_once(laid_out, pages):
    keys = {name: words for (name,), words in drawings(pages, r"Key: (\S+)")}
    stencils = [each for each in laid_out.stencils if each.has_board]
    assert set(keys) == {each.face.name for each in stencils}
    for stencil in stencils:
        counts = Counter(keys[stencil.face.name])
        ids = [piece.short for piece in stencil.pieces]
        assert {name: counts[name] for name in ids} == dict.fromkeys(ids, 1)


def test_every_id_is_on_every_pass_once_and_once_more_in_its_list(laid_out, plan, pages):
    stencils = {each.face.name: each for each in laid_out.stencils}
    passes = drawings(pages, r"Pass (\d+) of \d+: (?:\S+)   (\S+)")
    wanted = [(run.each.order, there) for run in plan.runs for there in run.each.faces]
    assert len(wanted) == len(passes)
    for (order, there), ((number, face), words) in zip(wanted, passes, strict=True):
        assert (str(order), there.face) == (number, face)  # in the order of the work
        counts = Counter(words)
        for piece in stencils[face].pieces:
            assert counts[piece.short] == (2 if piece.id in there.off else 1), (number, piece.id)


def test_no_words_are_smaller_than_can_be_read(pages):
    assert min(min(sizes) for _, sizes in pages) >= LEAST


def test_the_first_page_is_the_whole_job(pages):
    said = " ".join(pages[0][0])
    for words in ("The whole job", "What to cut", "What each board", "What to buy", "What to do"):
        assert words in said
    assert "Take the tape off what stays." in said
    assert "The whole job" not in " ".join(pages[1][0])


def test_findings_have_their_numbers_in_words_and_on_the_keys(laid_out, pages):
    numbers = numbered(laid_out.findings)
    said = " ".join(word for words, _ in pages for word in words)
    keys = {name: words for (name,), words in drawings(pages, r"Key: (\S+)")}
    assert numbers
    for at, number in numbers.items():
        finding = laid_out.findings[at]
        assert re.search(rf"{number}\. (Stop|Warning|Note): {finding.code}", said)
        if finding.at is not None and finding.face in keys:
            assert keys[finding.face].count(str(number)) == 1


def test_the_legend_of_a_page_names_what_is_drawn(laid_out, pages):
    stencils = {each.face.name: each for each in laid_out.stencils}
    for (name,), words in drawings(pages, r"Key: (\S+)"):
        said, stencil = " ".join(words), stencils[name]
        for piece in stencil.pieces:
            assert f"{piece.letter}: {piece.colour}" in said
        holes = stencil.face.holes
        assert ("open hole" in said) == any(not hole.stays for hole in holes)
        assert ("hardware that stays" in said) == any(hole.stays for hole in holes)
    for _, words in drawings(pages, r"Pass (\d+) of \d+: (?:\S+)   (\S+)"):
        assert "off and wet (thick edge)" in words


def test_each_face_has_its_laying_page_after_its_key(laid_out, pages):
    heads = [
        word for words, _ in pages for word in words if re.fullmatch(r"(Key|Laying): \S+", word)
    ]
    names = [each.face.name for each in laid_out.stencils if each.has_board]
    assert heads == [f"{what}: {name}" for name in names for what in ("Key", "Laying")]


def test_pages_of_words_are_full_to_the_last(book, pages):
    """All but the last: the right column goes on into the lowest third."""
    first, *rest = (at for at, (words, _) in enumerate(pages) if "Cautions" in words)
    assert not rest
    last = next(at for at, (words, _) in enumerate(pages) if "Key: body-left" in words) - 1
    for page in book.pages[first:last]:
        places = []

        def noted(text, cm, tm, *_, places=places):
            if text.strip():
                places.append((tm[4] + cm[4], tm[5] + cm[5]))

        page.extract_text(visitor_text=noted)
        wide, high = (float(side) for side in page.mediabox[2:])
        right = [y for x, y in places if x > wide / 2 and y > 0.06 * high]
        assert min(right) < high / 3


def test_a_letter_and_a_number_is_a_piece_and_never_a_sheet_or_a_paper(laid_out, pages):
    said = " ".join(word for words, _ in pages for word in words)
    assert not re.search(r"\b([Ss]heet|[Pp]aper|[Ll]oad) [A-Z]+\d", said)
    parted = [each for each in laid_out.stencils if len(each.grid.sheets) > 1]
    assert parted
    for sheet in parted[0].grid.sheets:
        assert f"sheet {sheet.number} of {parted[0].face.name}, " in said


def test_the_last_pages_are_those_of_cutting_by_hand_whole_and_in_order(cuttings, pages):
    wanted = [page for each in cuttings.values() for page in each.pages]
    assert len(wanted) > 20
    last = pages[len(pages) - len(wanted) :]
    for page, (words, _) in zip(wanted, last, strict=True):
        shown = re.findall(r"\((.*?)\) Tj", page.content)
        foot = 2  # the book's name and the page's number
        assert len(words) == len(shown) + foot
        assert page.label in words
    drawn = {page.label.split(", ")[0].removeprefix("Cutting by hand: ") for page in wanted}
    assert drawn == {face for face, each in cuttings.items() if each.table}
    assert "Pass" in " ".join(pages[len(pages) - len(wanted) - 1][0])
    said = " ".join(pages[0][0])
    assert said.count("last pages of this book") == len(drawn)


def test_measurements_have_each_outlines_sketch(job, pages):
    words = [word for words, _ in pages for word in words]
    for outline in job.cabinet.outlines.values():
        counts = Counter(words)
        for corner in outline.corners:
            assert counts[corner] >= 1
        for side in outline.sides:
            assert printed(math.dist(side.start, side.to), job.tape) in words
    outlines = len(job.cabinet.outlines)
    assert [words.count(way) >= outlines for way in ("front", "back", "bottom")] == [True] * 3
