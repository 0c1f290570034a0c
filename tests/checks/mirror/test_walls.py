"""Walls of a plan that mirror each other: compared where something is said to be mirrored."""

import tomllib

import numpy as np
import pytest
from shapely import box

from boxes import PRELUDE
from mateline.definition.definition import settled
from mateline.definition.schema import parsed
from mateline.drawing.shapes import drawing_of
from mateline.errors import Faults
from mateline.survey import survey_of

TABLE = """
[[carcase]]
name = "table"
view = "plan"
corners = ["A", "B", "C", "D"]
width = 300
board = 18
joints = ["left mitre front", "front mitre right", "right mitre back", "back mitre left"]
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [400, 300]
D = [0, 300]
[carcase.panels]
front = { edge = "A-B" }
right = { edge = "B-C" }
back = { edge = "C-D" }
left = { edge = "D-A" }
"""
KNOB = """
[[hardware]]
name = "{name}"
kind = "round"
diameter = 30
on = "table-{on}"
from = {{ front = {front}, bottom = 100 }}
state = "stays"
"""
ART = '[[art]]\ndrawing = "sun"\non = "table-left"\noffset = [60, 120]\n'


def job_of(more):
    text = PRELUDE + 'red = { paint = "#d03020", letter = "R" }\n' + more
    definition = settled(parsed(tomllib.loads(text), "cabinet.toml"), Faults("cabinet.toml"))
    return survey_of(definition, {"sun": drawing_of([(box(0, 0, 90, 40), "#d03020")], "sun")})


def codes(job):
    return [each.code for each in job.findings if each.code.startswith("mirror")]


def test_a_table_that_says_nothing_of_it_is_not_compared():
    job = job_of(TABLE + KNOB.format(name="knob", on="left", front=80) + ART)
    assert job.pairs == ()
    assert codes(job) == []


def test_both_sides_are_each_others_mirror_image():
    job = job_of(TABLE + KNOB.format(name="knob", on="left", front=80) + "both_sides = true\n")
    (pair,) = job.pairs
    assert (pair.left, pair.right, pair.by_hardware) == ("table-left", "table-right", True)
    assert codes(job) == []


def test_what_one_side_has_alone_is_missing_on_the_other():
    more = KNOB.format(name="knob", on="left", front=80) + "both_sides = true\n"
    job = job_of(TABLE + more + KNOB.format(name="lock", on="left", front=200))
    assert codes(job) == ["mirror-missing"]
    (told,) = [each for each in job.findings if each.code == "mirror-missing"]
    assert "200 mm from its edge with front and 100 mm from its edge with bottom" in told.message


def test_art_is_mirrored_from_wall_to_wall():
    more = ART + '[[art]]\nmirror = "table-left"\nonto = ["table-right"]\n'
    job = job_of(TABLE + more)
    (pair,) = job.pairs
    assert pair.shared
    left, right = (
        next(a for a in job.art if a.face == f"table-{side}") for side in ("left", "right")
    )
    (one,), (other,) = left.shapes, right.shapes
    faces = {face.name: face for face in job.cabinet.faces}
    for shape, face, flip in ((one, "table-left", 1), (other, "table-right", -1)):
        x, y, *_ = shape.area.bounds
        assert x > 0
        assert y == pytest.approx(120)
        lift = faces[face].cells[0].lift
        spots = np.array(shape.area.exterior.coords) @ lift[:, :2].T + lift[:, 2]
        assert spots[:, 0] == pytest.approx(200 - flip * 200)
        assert sorted({round(y, 6) for y in spots[:, 1]})[1] == pytest.approx(300 - 60)
