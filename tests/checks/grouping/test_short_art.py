r"""A drawing that ends short of its face's edge is one finding with all that comes of it.

The left side is 400 deep and 500 high, and its front edge has a round of 10, which makes the face
longer by a quarter of a circle less the radius: 400 - 10 + 5π = 405.708. The drawing ends 16 mm
short of that. Its boards run off there, and between them slits of the base coat are left, 7 mm
high where a tack takes 8:

    +-----------------------+--+
    |            +----------|--|
    |  sky       |  board   |  |
    |            +----------|--|  slit
    |            +----------|--|
    +-----------------------+--+
    0                     389.7 405.7
"""

import math
import tomllib
from collections import Counter
from dataclasses import replace

import pytest
from shapely import Point, box

from mateline.checks.findings import Settlement
from mateline.definition.definition import settled
from mateline.definition.schema import parsed
from mateline.drawing.shapes import Drawing, Shape
from mateline.errors import Faults
from mateline.survey import survey_of
from words import FILE, GIVEN, POINTS, SLOTS

WIDE = 390 + 5 * math.pi
SHORT = 16.0
ART = '[[art]]\ndrawing = "sign"\non = "box-left"\nbleed = true\n'
MIRROR = '[[art]]\nmirror = "box-left"\nonto = ["box-right"]\n'
ROUNDS = """[carcase.edges]
"left and front" = { round = 10 }
"right and front" = { round = 10 }
"""


def fence(wide=WIDE - SHORT, beyond=30.0):
    """Twelve boards before the sky, y down; they run `beyond` the drawing's own right edge."""
    sky = Shape(box(0, 0, wide, 500), "#0000ff", "sky")
    boards = tuple(
        Shape(box(200, 10 + 40 * at, wide + beyond, 43 + 40 * at), "#ff0000", f"board-{at}")
        for at in range(12)
    )
    return Drawing("fence.svg", (0.0, 0.0, wide, 500.0), (1.0, 0.0, 0.0, -1.0, 0.0, 500.0),
                   (sky, *boards), (), {}, {"sky": (wide / 2, 250.0)})  # fmt: skip


def job(art=ART, drawing=None, more=""):
    given = {"outline": POINTS.format(""), "panels": 'bottom = {edge = "A-B"}'}
    given["more"] = ROUNDS + more + art
    text = FILE.format(**{slot: given.get(slot, GIVEN.get(slot, "")) for slot in SLOTS})
    stated = settled(parsed(tomllib.loads(text), "cabinet.toml"), Faults("cabinet.toml"))
    return survey_of(stated, {"sign": fence() if drawing is None else drawing})


def of_strip(job):
    return [each for each in job.findings if each.code == "face-uncovered"]


def levels(findings):
    return Counter(each.level for each in findings)


@pytest.fixture(scope="module")
def short():
    return job()


def test_the_drawing_is_the_first_finding_and_carries_what_comes_of_it(short):
    cause, *others = short.findings
    assert (cause.code, cause.face) == ("face-uncovered", "box-left")
    counts = Counter(each.code for each in cause.consequences)
    assert counts == {"piece-without-tack": 11, "piece-tiny": 11, "face-uncovered": 1}
    at = box(WIDE - SHORT, 0, WIDE, 500)
    assert all(at.contains(Point(each.at)) for each in cause.consequences)
    assert {each.level for each in others} <= {"warn"}


def test_it_is_as_grave_as_the_gravest_that_comes_of_it(short):
    cause = short.findings[0]
    assert cause.level == "stop"
    assert levels(cause.consequences) == {"stop": 11, "warn": 11, "note": 1}
    assert "11 stops, 11 warnings and 1 note come of it." in cause.message


def test_it_says_how_much_is_short_and_what_mends_it(short):
    cause = short.findings[0]
    assert "sign ends 16.0 mm short of the right edge of box-left" in cause.message
    assert 'Write fit = "face" in art 1' in cause.remedy
    assert f"{WIDE / (WIDE - SHORT):.3f} times as wide and 1.000 times as high" in cause.remedy


def test_the_remedy_mends_all_of_it():
    mended = job(f'{ART}fit = "face"\n')
    assert of_strip(mended) == []
    assert levels(mended.findings)["stop"] == 0


def test_a_settled_cause_takes_all_that_comes_of_it_along(short):
    meant = Settlement("face-uncovered", "A frame of cream.", face="box-left")
    done = survey_of(replace(short.definition, settlements=(meant,)), {"sign": fence()})
    assert [each.finding for each in done.settled] == [short.findings[0]]
    assert levels(done.findings)["stop"] == 0


def test_its_mirror_image_has_the_same_cause():
    cause, *others = job(ART + MIRROR).findings
    assert (cause.level, cause.face) == ("stop", "box-left")
    faces = Counter(each.face for each in cause.consequences)
    assert faces["box-left"] == faces["box-right"] == 23
    assert "come of it, also on box-right." in cause.message
    assert levels(others)["stop"] == 0


def test_one_drawing_on_two_faces_is_one_cause():
    cause, *others = job(ART.replace('"box-left"', '["box-left", "box-right"]')).findings
    assert cause.face == "box-left"
    assert {each.face for each in cause.consequences} == {"box-left", "box-right"}
    assert "also on box-right" in cause.message
    assert 'fit = "face"' in cause.remedy
    assert levels(others)["stop"] == 0


def test_two_entries_that_are_short_are_two_causes():
    first, second, *others = job(ART + ART.replace("box-left", "box-right")).findings
    assert [first.face, second.face] == ["box-left", "box-right"]
    assert ["art 1" in first.remedy, "art 2" in second.remedy] == [True, True]
    assert levels(others)["stop"] == 0


def test_a_drawing_that_is_wrapped_has_to_be_drawn_larger():
    wrapped = ART.replace('on = "box-left"', 'wrap = ["box-left", "box-front"]')
    cause = job(wrapped.replace("bleed = true\n", "")).findings[0]
    assert cause.code == "face-uncovered"
    assert cause.remedy.startswith("Draw it larger")


def test_hardware_at_the_end_of_the_drawing_is_told_with_it():
    """A lock in the gap of a lost board, 5 mm from where the drawing ends; with the drawing at the
    face's edge nothing is thin there."""
    gap = fence()
    gap = replace(gap, shapes=(*gap.shapes[:7], *gap.shapes[8:]))  # 243 to 290 from the top
    lock = """[[hardware]]
name = "lock"
kind = "round"
diameter = 10
on = "box-left"
from = { front = 21, bottom = 233 }
state = "stays"
"""
    cause = job(drawing=gap, more=lock).findings[0]
    (thin,) = [each for each in cause.consequences if each.code == "hole-thins-piece"]
    assert thin.hardware == "lock"
    mended = job(f'{ART}fit = "face"\n', gap, lock)
    assert {each.code for each in mended.findings if each.hardware == "lock"} == {"mirror-missing"}


def test_a_drawing_whose_background_runs_on_beyond_its_box_is_not_short():
    whole = fence()
    (sky, *boards) = whole.shapes
    wider = replace(sky, area=box(0, 0, WIDE + 1, 500))
    assert of_strip(job(drawing=replace(whole, shapes=(wider, *boards)))) == []


def test_a_motif_on_the_base_coat_is_meant_to_end_where_it_does():
    (note,) = of_strip(job(drawing=fence(0.7 * WIDE, beyond=0.0)))
    assert (note.level, note.consequences) == ("note", ())


def test_a_strip_of_which_nothing_comes_is_a_note_as_before():
    (note,) = of_strip(job(drawing=fence(beyond=0.0)))
    assert (note.level, note.consequences) == ("note", ())
    assert note.remedy.startswith("Leave it if cream is meant to show")


def test_landmarks_know_no_fit():
    marks = 'landmarks = { "sky" = [194.85, 250], "edge" = [389.7, 250] }\n'
    drawing = fence()
    drawing = replace(drawing, landmarks={"sky": (WIDE / 2 - 8, 250.0), "edge": (WIDE - 16, 250.0)})
    cause = job(ART + marks, drawing).findings[0]
    assert cause.code == "face-uncovered"
    assert cause.remedy.startswith("Draw it larger, by 16.5 mm at the least on that side")
