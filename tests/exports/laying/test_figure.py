"""laying.svg read back: order, ids, edges, letters, ticks, the diagonal."""

import math
import re
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from shapely import affinity, box

from mateline.exports.laying.figure import laying_figure, laying_pages
from mateline.exports.laying.sets import laid_sets
from mateline.exports.laying.words import against_said, steps_said
from mateline.exports.print.figure import Words, figure_svg
from mateline.survey import planned, surveyed, with_true_borders
from mateline.tape.accuracy import Tape
from mateline.tape.reading import printed
from svg_reading import parsed

CABINET = Path(__file__).parents[3] / "cabinets" / "harbour-lights"
INCHES = Tape("in", Fraction(254, 160), "II")
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def job():
    return with_true_borders(surveyed(CABINET))


@pytest.fixture(scope="module")
def laid(job):
    return laid_sets(job)


@pytest.fixture(scope="module")
def pages(job, laid):
    return {
        name: parsed(figure_svg(laying_figure(each, job.tape)))
        for name, each in laid.items()
        if name in {"body-left", "body-right", "head-left", "head-front"}
    }


def words(page):
    """All texts with their places."""
    return [
        (each.text, (float(each.get("x")), float(each.get("y"))))
        for each in page.iter(f"{SVG}text")
    ]


def labels(page):
    """Order by id, with the place: each id stands right of its number."""
    texts = words(page)
    numbers = [(text, at) for text, at in texts if re.fullmatch(r"\d+", text)]
    found = {}
    for text, (x, y) in texts:
        if re.fullmatch(r"[A-Z]\d+", text):
            near = [(n, at) for n, at in numbers if abs(at[1] - y) < 0.3 and 0 < x - at[0] < 8]
            if near:
                found.setdefault(text, []).append(
                    (int(max(near, key=lambda each: each[1][0])[0]), (x, y))
                )
    return found


@pytest.mark.parametrize("face", ["body-left", "head-front", "body-right"])
def test_each_piece_has_its_order_and_id_once(pages, laid, face):
    set_ = laid[face]
    found = labels(pages[face])
    found["R3"] = [each for each in found["R3"] if each[0] != 12] or found["R3"]  # the legend's
    names = [f"{p.letter}{p.number}" for p in set_.stencil.pieces]
    assert set(found) == set(names)
    for number, step in enumerate(set_.laying.steps, start=1):
        assert [each[0] for each in found[names[step.piece]]] == [number]


def test_the_page_is_a_sheet_of_paper_and_nothing_is_off_it(pages):
    for page in pages.values():
        _, _, wide, high = map(float, page.get("viewBox").split())
        assert sorted((wide, high)) == pytest.approx([8.5 * 25.4, 11 * 25.4])
        for _, (x, y) in words(page):
            assert 0 < x < wide
            assert 0 < y < high


def test_the_edges_are_named_outside_where_they_are(pages):
    texts = dict(words(pages["body-left"]))
    front, back = texts["FRONT (body-front)"], texts["BACK (body-back)"]
    assert front[0] > back[0], "seen from the left, the front is at the right"
    assert texts["FLOOR (body-bottom)"][1] > texts["TOP (body-top)"][1], "y goes down"
    texts = dict(words(pages["body-right"]))
    assert texts["FRONT (body-front)"][0] < texts["BACK (body-back)"][0]


def test_corner_letters_are_those_of_the_readings_and_where_these_say(pages):
    texts = words(pages["head-left"])
    spots = {text: at for text, at in texts if re.fullmatch(r"[A-D]", text)}
    assert set(spots) == {"A", "B", "C", "D"}
    # A-B of the head is its foot: both low; A is in front, which is at the right.
    assert spots["A"][1] > spots["D"][1]
    assert spots["B"][1] > spots["C"][1]
    assert spots["A"][0] > spots["B"][0]


def test_the_diagonal_is_the_distance_of_the_solved_corners(job, laid, pages):
    outline = job.cabinet.outlines["head"]
    at = dict(zip(outline.corners, outline.points.tolist(), strict=True))
    long = math.dist(at["A"], at["C"])
    assert laid["head-left"].laying.diagonal.length == pytest.approx(long, abs=0.01)
    assert printed(long, job.tape) == '33 9/16"', "what the tape read"
    assert '33 9/16"' in dict(words(pages["head-left"]))
    (said,) = (
        each
        for each in steps_said(laid["head-left"], job.tape)
        if "diagonal" in each or "dashed" in each
    )
    assert '33\u00a09/16"' in said
    assert "corner at C to the corner at A" in said


def test_ticks_have_their_distance_from_the_ends_of_the_cabinets_edge(pages, laid):
    # 50 mm from the ends, and half of each edge: D-A of the head reads 31 1/4", half is 15 5/8".
    texts = [text for text, _ in words(pages["head-left"])]
    assert texts.count('15 5/8"') == 1
    ends = sum(tick.along is not None for tick in laid["head-left"].laying.ticks)
    assert texts.count('1 15/16"') == ends > 0


def test_a_turned_set_is_the_mirror_image_with_the_same_ids(laid, pages):
    left, right = labels(pages["body-left"]), labels(pages["body-right"])
    assert left.keys() == right.keys()
    ids = [name for name in left if len(left[name]) == len(right[name]) == 1]
    assert len(ids) > 60
    xs = np.array([[left[name][0][1][0], right[name][0][1][0]] for name in ids])
    assert np.corrcoef(xs.T)[0, 1] < -0.99
    ys = np.array([[left[name][0][1][1], right[name][0][1][1]] for name in ids])
    assert np.corrcoef(ys.T)[0, 1] > 0.99
    assert [left[name][0][0] for name in ids] == [right[name][0][0] for name in ids]
    first, *_ = steps_said(laid["body-right"], INCHES)
    assert "set of body-left, turned over" in first


def test_faces_of_the_base_coat_alone_have_no_set_to_lay(job, laid):
    bare = {s.face.name for s in job.stencils if not s.has_board}
    assert bare
    assert laid.keys() == {s.face.name for s in job.stencils} - bare


def test_what_a_piece_goes_against_is_said_in_words(laid):
    steps = laid["head-front"].laying.steps
    assert against_said(laid["head-front"], steps[0]) == "the left edge and the top edge"
    assert against_said(laid["head-front"], steps[1]) == "G3 and the left edge"


def test_the_legend_names_what_is_drawn_and_nothing_else(pages):
    texts = {text for text, _ in words(pages["head-front"])}
    assert {"diagonal to measure", "edge of the cabinet", "corner of the tape readings"} <= texts
    # The head's sides run to the cabinet's edges all round: no edge is drawn beside the board.
    assert "edge of the cabinet" not in {text for text, _ in words(pages["head-left"])}


def test_where_letters_read_one_way_the_other_side_shows_its_own(job):
    sets = planned(job).sets
    each = laid_sets(job, sets)["body-right"]
    (turned,) = (one for one in sets if one.right == "body-right")
    (right,) = (one for one in job.stencils if one.face.name == "body-right")
    assert len(turned.own) > 2
    page = laying_figure(each, job.tape)
    texts = [mark.text for mark in page.marks if isinstance(mark, Words)]
    names = [piece.short for piece in each.stencil.pieces]
    texts.remove("R3")  # of the legend
    assert {name: texts.count(name) for name in names} == dict.fromkeys(names, 1)
    assert sum(name.startswith("own ") for name in names) == len(turned.own)
    for piece, mine in zip(each.stencil.pieces, right.pieces, strict=True):
        assert piece.area.equals(mine.area)  # what is drawn is what the side will be
    assert "Cut for this side alone, their fronts to you: own " in next(steps_said(each, job.tape))
    for step in each.laying.steps[1:]:
        assert not step.held or len(step.against) + len(step.sides) >= 2


def test_where_labels_have_no_room_the_order_is_a_list(job, laid):
    each = laid["body-left"]
    nowhere = {piece.id: (0.0, 0.0) for piece in each.stencil.pieces}
    first, *lists = laying_pages(each, job.tape, "Letter", nowhere)
    said = [mark.text for mark in first.marks if isinstance(mark, Words)]
    assert not [text for text in said if re.fullmatch(r"[A-Z]\d+", text)]
    assert "listed on the next pages" in " ".join(said)
    texts = [mark.text for page in lists for mark in page.marks if isinstance(mark, Words)]
    count = len(each.laying.steps)
    assert [text for text in texts if text.isdigit()] == [str(at + 1) for at in range(count)]
    names = [text for text in texts if re.fullmatch(r"[A-Z]\d+", text)]
    assert names == [each.stencil.pieces[step.piece].short for step in each.laying.steps]


def test_in_a_browsers_wide_font_no_name_of_an_edge_lies_on_a_distance():
    job = with_true_borders(surveyed(CABINET.parent / "corner-box"))
    for laid in laid_sets(job).values():
        marks = laying_figure(laid, job.tape).marks
        grounds = [
            affinity.rotate(
                box(x - half, y - 0.35 * mark.size, x + half, y + 0.35 * mark.size),
                math.degrees(mark.turn),
                origin=mark.at,
            )
            for mark in marks
            if isinstance(mark, Words) and mark.anchor == "middle" and len(mark.text) > 4
            for x, y in [mark.at]
            # signs of DejaVu Sans are 0.56 of their size wide, of its bold 0.66, in the mean
            for half in [(0.66 if mark.bold else 0.56) * mark.size * len(mark.text) / 2]
        ]
        assert len(grounds) > 8
        for at, one in enumerate(grounds):
            assert not any(one.intersects(other) for other in grounds[:at])
