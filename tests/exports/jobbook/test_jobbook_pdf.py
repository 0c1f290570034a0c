"""The wall's book, read back with pypdf. A point is 1/72 in (ISO 32000-1, 8.3.2.3)."""

import re
from dataclasses import replace

import numpy as np
import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream

from mateline.checks.findings import Settled
from mateline.exports.jobbook import write_pdf
from mateline.exports.jobbook.paper.sheet import SCALES, scale_for
from mateline.exports.jobbook.wall import lists
from mateline.paint.passes import FacePass
from mateline.starter import write_starter
from mateline.survey import planned, surveyed, with_true_borders


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wall")
    write_starter(folder / "box")
    return folder


@pytest.fixture(scope="module")
def job(folder):
    return with_true_borders(surveyed(folder / "box"))


@pytest.fixture(scope="module")
def plan(job):
    return planned(job)


@pytest.fixture(scope="module")
def book(folder, job, plan):
    write_pdf(job, plan, folder / "job-book.pdf")
    return PdfReader(folder / "job-book.pdf")


@pytest.fixture(scope="module")
def pages(book):
    """The page of each pass and face."""
    found = {}
    for page in book.pages:
        heading = re.search(r"Pass (\d+) of \d+: \S+\s+(\S+)", page.extract_text())
        if heading and "scale 1:" in page.extract_text():
            found[int(heading[1]), heading[2]] = page
    return found


def operations(book, page):
    return ContentStream(page.get_contents(), book).operations


def test_the_same_job_gives_the_same_bytes(folder, job, plan, book):
    write_pdf(job, plan, folder / "again.pdf")
    assert (folder / "again.pdf").read_bytes() == (folder / "job-book.pdf").read_bytes()
    assert len(book.pages) > 1


def test_cautions_are_on_one_page_in_full(book):
    pages = [" ".join(page.extract_text().split()) for page in book.pages]
    (first,) = (page for page in pages if "Cautions" in page)
    for words in ("hold lead", "air-fed", "respirator", "sharp blade", "Never cut PVC", "Unplug"):
        assert words in first


def test_what_is_settled_is_told_with_its_reason(folder, job, plan):
    first, *others = job.findings
    meant = replace(job, findings=tuple(others), settled=(Settled(first, "A fence & a gate."),))
    write_pdf(meant, plan, folder / "settled.pdf")
    pages = PdfReader(folder / "settled.pdf").pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert f"Settled: meant to be so {first.code}" in text
    assert "Because: A fence & a gate." in text


def test_every_face_of_every_pass_has_its_page_in_order(plan, pages):
    wanted = [(each.order, there.face) for each in plan.passes[1:] for there in each.faces]
    assert list(pages) == wanted


def test_each_page_lists_its_pieces_with_boxes_to_tick(book, plan, pages):
    for each in plan.passes[1:]:
        for there in each.faces:
            page = pages[each.order, there.face]
            words = page.extract_text().split()
            for piece in there.off:
                assert piece.rsplit(" ", 1)[1] in words
            boxes = sum(operator == b"re" for _, operator in operations(book, page))
            # besides: the colour's square, the scale bar, and the box for a dry face
            assert boxes == len(there.off) * (2 if there.back else 1) + 3


def filled_points(steps):
    """The points of polygons that are filled and stroked: those of pieces, and no round sign."""
    found, path, curved = [], [], False
    for operands, operator in steps:
        if operator in {b"m", b"l"}:
            path.append([float(value) for value in operands])
        elif operator == b"c":
            curved = True
        elif operator in {b"B*", b"B", b"S", b"f", b"f*", b"n"}:
            found += path if operator == b"B*" and not curved else []
            path, curved = [], False
    return found


def test_a_face_is_drawn_at_the_scale_that_its_page_states(book, job, pages):
    sizes = {each.face.name: each.face.outline.bounds[2:] for each in job.stencils}
    for (_, face), page in pages.items():
        (scale,) = re.findall(r"scale 1:([\d.]+)", page.extract_text())
        points = np.array(filled_points(operations(book, page)))
        drawn = (points.max(axis=0) - points.min(axis=0)) / 72 * 25.4 * float(scale)
        # borders are drawn 0.12 mm roughly on paper, and points have a few decimals
        assert drawn == pytest.approx(sizes[face], abs=0.3 * float(scale))


def test_the_scale_bar_is_as_long_as_it_says(book, pages):
    for page in pages.values():
        text = page.extract_text()
        ((inches, scale),) = re.findall(r'(\d+)", scale 1:([\d.]+)', text)
        bars = [
            float(operands[2])
            for operands, operator in operations(book, page)
            if operator == b"re" and float(operands[3]) == pytest.approx(1.4 / 25.4 * 72, abs=0.01)
        ]
        assert bars == [pytest.approx(int(inches) * 72 / float(scale), abs=0.01)]


def test_pages_are_of_the_users_paper(folder, job, plan, book):
    assert [float(side) for side in book.pages[0].mediabox[2:]] == [792.0, 612.0]  # US Letter
    metric = replace(job, definition=replace(job.definition, tape=replace(job.tape, unit="mm")))
    write_pdf(metric, plan, folder / "metric.pdf")
    sides = [float(side) for side in PdfReader(folder / "metric.pdf").pages[0].mediabox[2:]]
    assert sides == pytest.approx([297 / 25.4 * 72, 210 / 25.4 * 72], abs=0.01)  # ISO 216 A4


def test_letters_that_the_font_lacks_are_not_lost_without_a_sign(folder, job, plan):
    definition = replace(job.definition, title="Café <b>Łódź</b>")
    write_pdf(replace(job, definition=definition), plan, folder / "title.pdf")
    first = PdfReader(folder / "title.pdf").pages[0].extract_text()
    assert "Café <b>?ód?</b>" in first


def test_the_least_scale_that_fits_is_taken():
    room = (100 / 25.4 * 72, 50 / 25.4 * 72)  # 100 by 50 mm
    assert scale_for((100, 50), room) == 1
    assert scale_for((101, 10), room) == 2
    assert scale_for((10, 350), room) == 7
    with pytest.raises(ValueError, match="fits on no page"):
        scale_for((100 * SCALES[-1] + 1, 1), room)


def test_a_list_too_long_for_its_page_goes_on():
    off = tuple(f"box-left R{number}" for number in range(1, 1001))
    parts = lists(FacePass("box-left", off, (), off), 40, (700.0, 500.0))
    assert sum(parts, ()) == off
    assert len(parts) > 1
    assert [part for part in parts if not part] == []


def test_every_box_of_a_long_list_is_on_the_paper(folder, job, plan):
    # the same piece again and again: 500 of them
    first, second, *rest = plan.passes
    there = second.faces[0]
    off = there.off * (500 // len(there.off) + 1)
    crowded = replace(second, faces=(replace(there, off=off, back=off),))
    write_pdf(job, replace(plan, passes=(first, crowded, *rest)), folder / "long.pdf")
    book = PdfReader(folder / "long.pdf")
    heading = f"Pass 1 of {len(plan.passes) - 1}: {second.colour}"
    mine = [page for page in book.pages if heading in page.extract_text()]
    boxes = [
        (float(operands[0]), float(operands[1]))
        for page in mine
        for operands, operator in operations(book, page)
        if operator == b"re" and float(operands[2]) == float(operands[3]) < 12
    ]
    assert len(mine) > 1
    assert len(boxes) == 2 * len(off) + 1
    assert min(y for _, y in boxes) >= 0
    assert min(x for x, _ in boxes) >= 0
