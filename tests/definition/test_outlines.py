"""Outlines from the readings of a definition."""

import pytest

from boxes import built, faults_of

MEASURED = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D"]
width = 300
board = 18
{tables}
[carcase.panels]
front = {{ edge = "D-A" }}
back = {{ edge = "B-C" }}
top = {{ edge = "C-D" }}
bottom = {{ edge = "A-B" }}
"""
READINGS = """"A-B" = 400
"B-C" = 500
"C-D" = 400
"D-A" = 500
"A-C" = 640
"""


def outlines(tables):
    return built(MEASURED.format(tables=tables)).outlines


def test_readings_make_the_outline():
    (outline,) = outlines("[carcase.outline.readings]\n" + READINGS).values()
    assert outline.points[1] == pytest.approx([400, 0], abs=0.01)
    assert outline.redundancy == 0


def test_sides_measured_apart_give_two_outlines_and_two_faces():
    left = "[carcase.left.readings]\n" + READINGS
    right = "[carcase.right.readings]\n" + READINGS.replace("500", "504")
    cabinet = built(MEASURED.format(tables=left + right))
    assert set(cabinet.outlines) == {"box left", "box right"}
    heights = [cabinet.face(f"box-{side}").outline.bounds[3] for side in ("left", "right")]
    assert heights[1] - heights[0] == pytest.approx(4, abs=0.2)
    front = cabinet.face("box-front").outline.bounds[3]
    assert front == pytest.approx(sum(heights) / 2, abs=0.2)  # boards between stand on the mean


def test_heights_above_an_edge_are_readings():
    text = READINGS + '"C above A-B" = 500'
    (outline,) = outlines("[carcase.outline.readings]\n" + text).values()
    assert outline.redundancy == 1
    assert outline.points[2][1] == pytest.approx(500, abs=0.5)


@pytest.mark.parametrize(
    ("tables", "words"),
    [
        ("", "no single way"),
        ("[carcase.left.readings]\n" + READINGS, "no single way"),
        ("[carcase.outline.readings]\n" + READINGS.replace("A-C", "A-X"), "no corner “X”"),
        ("[carcase.outline.readings]\n" + READINGS.replace("A-C", "A/C"), "no reading between"),
        ("[carcase.outline.readings]\n" + READINGS.replace("A-C", "A-A"), "one corner twice"),
        ("[carcase.outline.readings]\n" + READINGS + '"B-A" = 400', "is there already"),
        ("[carcase.outline.readings]\n" + READINGS.replace('"A-C" = 640\n', ""), "easure"),
        (
            "[carcase.outline.readings]\n" + READINGS.replace("640", '"6 ells"'),
            "cannot be worked out",
        ),
        ("[carcase.outline.points]\nA = [0, 0]\nB = [1, 0]\nC = [1, 1]", "Corner D has no point"),
        (
            "[carcase.outline.points]\nA = [0, 0]\nB = [9, 9]\nC = [9, 0]\nD = [0, 9]",
            "cross",
        ),
    ],
)
def test_what_makes_no_outline_is_told(tables, words):
    faults = faults_of(lambda: outlines(tables))
    assert words in faults[0]
