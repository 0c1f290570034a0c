"""What tracing guessed is found again by the marks that it leaves in the drawing.

400 +-------------+     a box's left side, 400 wide and 500 high; its lower part is traced red,
    |    cream    |     and of the border between, at y = 300, the stretch from x = 100 to 150
300 +~~~==~~~~~~~~+     was hidden by a chip
    |     red     |
"""

import pytest

from boxes import square
from mateline.capture.traced import Traced, TracedBorder, TracedRegion
from mateline.checks.findings import Subject
from mateline.checks.guessed import check
from mateline.curves import Chain, Segment
from mateline.definition.art import art_of
from mateline.definition.schema import ArtTable
from mateline.drawing.svg.reader import read_svg
from mateline.exports.picture.traced_svg import traced_svg
from mateline.placing.place import placed
from rulers import ruler

LOW, HIGH, EAST, WEST = (0.0, 300.0), (400.0, 300.0), (400.0, 500.0), (0.0, 500.0)


def line(*points):
    return Chain(points[0], tuple(Segment(to) for to in points[1:]))


def traced(*guessed):
    middle = TracedBorder(line(LOW, HIGH), 0, 1, 1, 0, guessed)
    below = TracedBorder(line(LOW, (0.0, 0.0), (400.0, 0.0), HIGH), 0, 1, 0, -1)
    above = TracedBorder(line(HIGH, EAST, WEST, LOW), 1, 0, 1, -1)
    regions = (TracedRegion("red", ((1, ~0),)), TracedRegion("cream", ((0, 2),)))
    return Traced((LOW, HIGH), (middle, below, above), regions)


def found(folder, *guessed, mirror=False):
    paints = {"red": "#b3271e", "cream": "#f4ead2"}
    (folder / "left.svg").write_text(traced_svg(traced(*guessed), 400, 500, paints))
    drawing = read_svg(folder / "left.svg", root=folder)
    assert drawing.notes == ()
    reader = ruler()
    tables = [ArtTable(drawing="left.svg", on="box-left")]
    if mirror:
        tables.append(ArtTable(mirror="box-left", onto=("box-right",)))
    art = placed(art_of(tuple(tables), reader), square(), {"left.svg": drawing}, reader.faults)
    reader.faults.settle()
    return check(Subject((), None, reader.tape, {}, (), (), art)), art


def test_a_traced_drawing_is_read_as_it_was_traced(tmp_path):
    _, (art,) = found(tmp_path)
    assert [(s.colour, s.area.bounds) for s in art.shapes] == [
        ("#b3271e", (0, 0, 400, 300)), ("#f4ead2", (0, 300, 400, 500)),
    ]  # fmt: skip


def test_nothing_guessed_is_no_finding(tmp_path):
    assert found(tmp_path)[0] == ()


def test_a_guess_is_found_at_its_middle_and_says_how_long_it_is(tmp_path):
    (guess,), _ = found(tmp_path, (100.0, 150.0))
    assert (guess.code, guess.level, guess.face) == ("art-guessed", "warn", "box-left")
    assert guess.at == pytest.approx((125, 300))
    assert "A border of left.svg, 50.0 mm in all" in guess.message
    assert "guessed-50mm-1" in guess.remedy


def test_a_line_carried_on_over_a_scratch_or_a_chip_is_no_guess_to_look_at(tmp_path):
    assert found(tmp_path, (100.0, 104.0), (200.0, 239.0))[0] == ()
    assert len(found(tmp_path, (200.0, 241.0))[0]) == 1
    assert len(found(tmp_path, (0.0, 20.0))[0]) == 1  # where it starts nobody sees


def test_guesses_beside_each_other_are_one_place_and_others_are_not(tmp_path):
    near, far = found(tmp_path, (0.0, 20.0), (352.0, 393.0), (394.0, 400.0))[0]
    assert "A border of left.svg, 20.0 mm" in near.message
    assert near.at == pytest.approx((10, 300))
    assert "2 stretches of borders of left.svg, 47.0 mm" in far.message
    assert far.at == pytest.approx((372.5, 300))  # of the longer one


def test_a_guess_is_told_on_the_face_that_was_traced_only(tmp_path):
    findings, art = found(tmp_path, (100.0, 150.0), mirror=True)
    assert [each.face for each in art] == ["box-left", "box-right"]
    assert [each.face for each in findings] == ["box-left"]
