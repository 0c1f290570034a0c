"""The report on one drawing: a pattern that tiles its view, counted and measured."""

import math

import pytest

from mateline.curves import radius
from mateline.errors import InputError
from mateline.one_drawing import pattern_report

SUN = """\
<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="-10 5 400 200">
<rect x="-10" y="5" width="400" height="200" fill="#fff"/>
<circle id="sun" cx="190" cy="105" r="50" fill="#fc0"/>
<text x="9" y="9">tide</text>
</svg>"""


@pytest.fixture
def report(tmp_path):
    path = tmp_path / "sun.svg"
    path.write_text(SUN)
    return pattern_report(path)


def test_the_answer_counts_regions_borders_and_segments(report):
    answer = report.as_json()
    assert (answer["width"], answer["height"]) == (400, 200)
    assert (answer["regions"], answer["borders"]) == (2, 2)
    assert answer["segments"] == {"line": 4, "arc": 2}
    assert (answer["gap_area"], answer["overlap_area"]) == (0, 0)
    # The circle is exact, and its facets leave it by 0.005 mm at most, which is 0.01 units.
    assert 0.005 < answer["largest_deviation"] <= 0.01
    assert answer["unit_mm"] == pytest.approx(0.5)


def test_colours_add_up_to_the_view(report):
    white, gold = report.as_json()["colours"]
    assert (white["colour"], gold["colour"]) == ("#ffffff", "#ffcc00")
    assert gold["area"] == pytest.approx(math.pi * 2500, rel=1e-3)
    assert white["area"] + gold["area"] == pytest.approx(80_000, rel=1e-9)


@pytest.mark.parametrize(("radii", "expected"), [("inch", 25.4), ("mm", 25.393), (None, 25.393)])
def test_standard_radii_are_those_of_the_drawing_s_true_size(tmp_path, radii, expected):
    path = tmp_path / "sun.svg"
    path.write_text(SUN.replace('r="50"', 'r="50.786"'))  # a unit is half a mm
    fit = pattern_report(path, radii=radii).fit
    found = [radius(part) for chain in fit.chains for part in chain.segments if part.centre]
    assert found == pytest.approx([2 * expected] * 2, abs=1e-9)


def test_notes_name_their_element(report):
    (note,) = report.as_json()["notes"]
    assert note["element"] == "<text> in line 4"
    assert "<text> in line 4: Text was left out" in report.table()


def test_what_nothing_covers_is_told_as_no_colour(tmp_path):
    path = tmp_path / "dot.svg"
    path.write_text(SUN.replace('<rect x="-10" y="5" width="400" height="200" fill="#fff"/>', ""))
    assert [entry["colour"] for entry in pattern_report(path).as_json()["colours"]] == [
        "none",
        "#ffcc00",
    ]


def test_repairs_are_told_with_place_and_size(tmp_path):
    path = tmp_path / "gap.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="60mm" viewBox="0 0 80 60">'
        '<rect width="40" height="60" fill="#fc0"/><rect x="40.01" width="40" height="60"/>'
        '<rect x="10" y="10" width="9" height="9"/><rect x="10" y="10" width="9" height="9"/></svg>'
    )
    report = pattern_report(path)
    answer = report.as_json()
    assert answer["regions"] == 3
    assert [note["message"] for note in answer["notes"]] == [
        "A shape of 9 by 9 under another one of its form was dropped.",
        "A gap 60 long and 0.01 wide was closed.",
    ]
    assert answer["repairs"][1]["at"] == [pytest.approx(40.005), pytest.approx(30)]
    assert "at 40.005, 30: A gap" in report.table()
    assert pattern_report(path, tolerance=0.005).as_json()["regions"] == 4


def test_a_drawing_of_nothing_but_text_is_refused_with_the_reason(tmp_path):
    path = tmp_path / "words.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><text>a</text></svg>'
    )
    with pytest.raises(InputError, match="Nothing in the drawing is flat geometry: Text was left"):
        pattern_report(path)


@pytest.mark.parametrize("tolerance", [0.0, -1.0, math.nan, 9.0])
def test_a_tolerance_must_make_sense(tmp_path, tolerance):
    with pytest.raises(InputError, match="is not between"):
        pattern_report(tmp_path / "sun.svg", tolerance=tolerance)
