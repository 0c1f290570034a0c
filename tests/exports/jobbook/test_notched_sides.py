"""The papers of a cabinet whose sides are notched and bowed, and whose faces have few pieces."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
import shapely
from lxml import html as reader
from pypdf import PdfReader
from shapely import affinity, box

from mateline.curves import flattened
from mateline.exports.jobbook import html, write_pdf
from mateline.exports.jobbook.paper.sketches import sketch_figure
from mateline.exports.laying.figure import laying_figure
from mateline.exports.laying.sets import laid_sets
from mateline.exports.laying.words import steps_said
from mateline.exports.picture.outline_sketch import sketch_of
from mateline.exports.print.figure import Area, Words
from mateline.survey import planned, surveyed, with_true_borders

CABINET = Path(__file__).parents[3] / "cabinets" / "night-ferry"
SIGN = 0.56  # no unit: width of a sign in a sans-serif font, as a share of its height


@pytest.fixture(scope="module")
def job():
    return with_true_borders(surveyed(CABINET))


@pytest.fixture(scope="module")
def plan(job):
    return planned(job)


@pytest.fixture(scope="module")
def screen(job, plan):
    return reader.document_fromstring(html(job, plan))


@pytest.fixture(scope="module")
def wall(job, plan, tmp_path_factory):
    path = tmp_path_factory.mktemp("wall") / "job-book.pdf"
    write_pdf(job, plan, path)
    return PdfReader(path)


@pytest.fixture(scope="module")
def pages(wall):
    return [page.extract_text() for page in wall.pages]


def ground(words, at, size, turn_deg):
    """What words cover that stand about a place and are turned."""
    half = SIGN * size * len(words) / 2
    flat = box(-half, -0.42 * size, half, 0.42 * size)
    return affinity.translate(affinity.rotate(flat, turn_deg, origin=(0, 0)), *at)


def apart(grounds):
    return all(
        not one.intersects(other) for at, one in enumerate(grounds) for other in grounds[:at]
    )


@pytest.mark.parametrize("face", ["body-left", "body-right"])
def test_names_of_sides_lie_neither_on_one_another_nor_on_the_face(job, screen, face):
    (stencil,) = (each for each in job.stencils if each.face.name == face)
    outline, top = stencil.face.outline, stencil.face.outline.bounds[3]
    flipped = shapely.transform(outline, lambda points: np.array([0, top]) + points * [1, -1])
    grounds = []
    for text in screen.xpath(f"//*[@data-face='{face}']//g[@class='sides']/text"):
        x, y, turn = map(float, re.findall(r"-?[\d.]+", text.get("transform")))
        grounds.append(ground(text.text, (x, y), float(text.get("font-size")), turn))
    assert len(grounds) == 7  # floor, back, top, marquee, screen, deck, front
    assert apart(grounds)
    assert all(not each.intersects(flipped) for each in grounds)


def test_lengths_on_an_outlines_sketch_lie_on_none_another(job):
    sketch = sketch_of(job.cabinet.outlines["body"], job.tape, "side")
    figure = sketch_figure(sketch, 130, 92)
    words = [mark for mark in figure.marks if isinstance(mark, Words)]
    grounds = [ground(each.text, each.at, each.size, math.degrees(each.turn)) for each in words]
    assert len(grounds) == 7 + 7 + 3  # letters, lengths, ways
    assert apart(grounds)


def test_each_corners_letter_lies_outside_of_the_face_on_its_laying_page(job):
    laid = laid_sets(job)["body-left"]
    figure = laying_figure(laid, job.tape)
    rings = {mark.text: mark.at for mark in figure.marks if isinstance(mark, Words)
             and re.fullmatch("[A-G]", mark.text) and mark.size == 3.0}  # fmt: skip
    assert set(rings) == set("ABCDEFG")
    pieces = shapely.union_all(
        [shapely.Polygon(flattened(chain, 0.05)) for mark in figure.marks
         if isinstance(mark, Area) and mark.edge for chain in mark.chains]
    )  # fmt: skip
    for name, at in rings.items():
        assert pieces.distance(shapely.Point(at)) > 2.1, name  # mm: the ring's radius


def test_a_side_is_named_once_where_a_piece_goes_against_two_parts_of_it(job):
    for laid in laid_sets(job).values():
        (order,) = (each for each in steps_said(laid, job.tape) if each.startswith("Lay the"))
        edges = re.findall(r"the (\w+) edge", order)
        assert len(edges) == len(set(edges))


def test_the_first_page_fills_its_columns(wall):
    places = []
    wall.pages[0].extract_text(
        visitor_text=lambda text, cm, tm, _font, _size: (
            places.append((cm[4] + cm[0] * tm[4], cm[5] + cm[3] * tm[5])) if text.strip() else None
        )
    )
    wide, high = map(float, wall.pages[0].mediabox[2:])
    right = [y for x, y in places if x > wide / 2]
    left = [y for x, y in places if x < wide / 2 and y > 20]  # without the foot
    assert min(right) < 0.4 * high
    assert min(left) < 0.4 * high
    assert min(x for x, y in places if y > 20 and x > wide / 2) < 0.55 * wide  # two, not three


def test_a_turned_sets_pieces_are_listed_in_order(pages):
    for words in pages:
        if re.search(r"Pass \d of 4: \S+\s+body-right", words):
            listed = words.split("off\n", 1)[-1].split("dry", 1)[0]
            numbers = [int(each) for each in re.findall(r"^[GTRN](\d+)$", listed, re.MULTILINE)]
            tail = numbers[-5:] if len(numbers) >= 5 else numbers
            assert tail == sorted(tail)


def test_several_pieces_go_back_and_one_goes_back(pages):
    said = "\n".join(pages)
    assert "5 off and wet, go back when dry" in said
    assert "1 off and wet, goes back when dry" in said


def test_a_small_table_stands_on_the_page_of_its_drawing(pages):
    (page,) = (" ".join(each.split()) for each in pages if "Cutting by hand: body-front" in each)
    assert "left edge of the board" in page
    assert "Straight edge: 16 lines" in page
    assert "The drawing has every mark" in page  # not that of another file


def test_an_outlines_heading_stands_with_its_sketch(pages):
    (page,) = (" ".join(each.split()) for each in pages if "Outline body" in each)
    assert "1700 mm" in page


def test_a_borrowed_sets_pieces_are_not_counted_as_the_faces_own(screen, pages):
    said = "15 pieces of body-left, turned over"
    right = screen.get_element_by_id("face-body-right")
    assert said in " ".join(right.xpath("string(.//p[@class='size'])").split())
    assert "The list of the 15 pieces that lie here" in " ".join(right.text_content().split())
    (key,) = (each for each in pages if "Key: body-right" in each)
    assert f"from outside; {said}." in key
