"""The Python interface, as the README shows it and as code would use it."""

import math
import re
from pathlib import Path

import pytest
import shapely
from shapely import box

import mateline.interface as ml

README = Path(__file__).parents[1] / "README.md"
COLOURS = ml.Colours({"cream": "#f4ead2", "red": "#b03a2e"}, {"cream": "C", "red": "R"}, "cream")
SQUARE = {"A": (0, 0), "B": (400, 0), "C": (400, 500), "D": (0, 500)}
EDGES = {"bottom": ("A", "B"), "back": ("B", "C"), "top": ("C", "D"), "front": ("D", "A")}


def square_box(**more):
    boards = tuple(ml.Board(name, 18.0, edge) for name, edge in EDGES.items())
    return ml.Carcase("box", "side", 300.0, 18.0, (ml.Corners.named(SQUARE),), boards, **more)


def test_the_example_in_the_readme_runs_and_says_what_it_says(capsys):
    text = README.read_text(encoding="utf-8")
    (code,) = re.findall(r"```python\n(.*?)```", text, re.DOTALL)
    (said,) = re.findall(r"It prints:\n\n```\n(.*?)```", text, re.DOTALL)
    assert len(code.splitlines()) <= 20
    exec(compile(code, "README.md", "exec"), {})  # noqa: S102  what a new user would type
    assert capsys.readouterr().out == said


def test_every_public_name_is_there_and_they_are_sorted():
    assert list(ml.__all__) == sorted(ml.__all__)
    assert all(hasattr(ml, name) for name in ml.__all__)


def test_a_cabinet_from_numbers_is_the_one_that_they_state():
    job = ml.survey_of(ml.Definition("A box", COLOURS, (square_box(),)), {})
    areas = {face.name: face.outline.area for face in job.cabinet.faces}
    assert areas["box-left"] == areas["box-right"] == pytest.approx(400 * 500)
    # The sides lie over the front, and so do the bottom and the top, which are named before it.
    assert areas["box-front"] == pytest.approx((300 - 2 * 18) * (500 - 2 * 18))
    assert [finding.code for finding in job.findings if finding.level == "stop"] == []


def test_a_drawing_in_code_lands_where_it_is_put_upright():
    # A bar 100 wide and 20 high, with a knob on its left end that stands 10 higher.
    drawing = ml.drawing_of([(box(0, 0, 100, 20), "red"), (box(0, 20, 10, 30), "#B03A2E")])
    put = ml.Anchored(offset=(50.0, 60.0))
    art = ml.Art("bar", ml.OnFaces(("box-left",)), put)
    job = ml.survey_of(
        ml.Definition("A box", COLOURS, (square_box(),), art=(art,)), {"bar": drawing}
    )
    (red,) = (
        piece for stencil in job.stencils for piece in stencil.pieces if piece.colour == "red"
    )
    wanted = shapely.union_all([box(50, 60, 150, 80), box(50, 80, 60, 90)])
    assert red.face == "box-left"
    assert red.area.symmetric_difference(wanted).area < 1e-9 * wanted.area


def test_landmarks_of_a_drawing_in_code_are_not_upside_down():
    drawing = ml.drawing_of([(box(0, 0, 20, 20), "red"), (box(0, 100, 20, 120), "red")])
    put = ml.Landmarks((("1", (100.0, 100.0)), ("2", (100.0, 200.0))))
    art = ml.Art("dots", ml.OnFaces(("box-left",)), put)
    job = ml.survey_of(
        ml.Definition("A box", COLOURS, (square_box(),), art=(art,)), {"dots": drawing}
    )
    boxes = sorted(p.area.bounds for s in job.stencils for p in s.pieces if p.colour == "red")
    assert boxes == [pytest.approx((90, 90, 110, 110)), pytest.approx((90, 190, 110, 210))]


def test_what_is_wrong_is_told_without_a_file():
    art, left = (ml.Art("sun", ml.OnFaces((face,))) for face in ("box-lid", "box-left"))
    with pytest.raises(ml.InputError, match=r"art 1, on: There is no face “box-lid”"):
        ml.survey_of(ml.Definition("A box", COLOURS, (square_box(),), art=(art,)),
                     {"sun": ml.drawing_of([(box(0, 0, 1, 1), "red")])})  # fmt: skip
    with pytest.raises(ml.InputError, match=r"There is no such drawing\. Given are: none"):
        ml.survey_of(ml.Definition("A box", COLOURS, (square_box(),), art=(left,)), {})
    with pytest.raises(ml.InputError, match="#00ff00 is not in the palette"):
        ml.survey_of(ml.Definition("A box", COLOURS, (square_box(),), art=(left,)),
                     {"sun": ml.drawing_of([(box(0, 0, 1, 1), "#00FF00")])})  # fmt: skip


def test_hardware_in_code_is_cut_and_planned_round():
    bolt = ml.Hardware(
        "bolt", ml.bolt("M8"), "box-left",
        (("front", ml.Distance(60.0)), ("bottom", ml.Distance(80.0))), both_sides=True,
    )  # fmt: skip
    job = ml.survey_of(ml.Definition("A box", COLOURS, (square_box(),), hardware=(bolt,)), {})
    holes = {face.name: [hole.centre for hole in face.holes] for face in job.cabinet.faces}
    assert holes["box-left"] == [pytest.approx((400 - 60, 80))]  # the front is at large x
    assert holes["box-right"] == [pytest.approx((60, 80))]
    plan = ml.planned(job)
    assert [each.colour for each in plan.passes] == ["cream"]


def test_a_group_in_code_lies_along_an_edge():
    pair = ml.Part("pin", ml.round_hole(8.0), ((-20.0, 0.0), (20.0, 0.0)))
    place = ml.Along("bottom", "front", ml.Distance(100.0), ml.Distance(30.0))
    hinge = ml.Hardware("hinge", None, "box-left", along=place, parts=(pair,), turn=math.pi / 2)
    job = ml.survey_of(ml.Definition("A box", COLOURS, (square_box(),), hardware=(hinge,)), {})
    (side,) = [face for face in job.cabinet.faces if face.name == "box-left"]
    # seen from outside the front is at x = 400; turned upright, one pin lies above the other
    assert [hole.name for hole in side.holes] == ["hinge pin 1", "hinge pin 2"]
    assert [hole.centre for hole in side.holes] == [
        pytest.approx((300, 10)),
        pytest.approx((300, 50)),
    ]


@pytest.mark.parametrize(
    "make",
    [
        lambda: ml.bolt("M7"),
        lambda: ml.slot(10.0, 20.0),
        lambda: ml.rectangle(10.0, 20.0, 6.0),
        lambda: ml.countersunk(10.0, 9.0, 1.5),
        lambda: ml.drawing_of([]),
    ],
)
def test_sizes_that_make_nothing_are_refused(make):
    with pytest.raises(ValueError, match=r"\w+ \w+"):
        make()


def test_exports_from_code_are_whole(tmp_path):
    art = ml.Art("sun", ml.OnFaces(("box-left",)), ml.Anchored("centre", "centre"))
    drawing = ml.drawing_of([(box(0, 0, 100, 100), "red")])
    job = ml.survey_of(
        ml.Definition("A box", COLOURS, (square_box(),), art=(art,)), {"sun": drawing}
    )
    ml.write_exports(job, tmp_path / "out")
    names = {path.name for path in (tmp_path / "out").rglob("*")}
    assert {"model.step", "model.glb", "job-book.html", "stencil.dxf", "job.json"} <= names


def test_a_board_is_a_cadquery_solid():
    job = ml.survey_of(ml.Definition("A box", COLOURS, (square_box(),)), {})
    found = ml.solid(job.cabinet.faces[0].panel)
    assert type(found).__module__.startswith("cadquery")
    assert found.Volume() == pytest.approx(400 * 500 * 18)
