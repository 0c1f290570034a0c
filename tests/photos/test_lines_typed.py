"""`mateline trace SCAN --lines`, as a user types it, on ruled sheets of known sizes.

BOX with a line across its middle, at x = 30: 40 by 20 mm from (10, 10), on a sheet 60 by 40
"""

import json

import numpy as np
import pytest
from PIL import Image

from mateline.capture.picture import encoded
from mateline.cli import main
from mateline.drawing.reader import read_drawing
from scenes.ruled import box, ruled, with_dot

DENSITY = 8.0  # px to a mm of the ruled sheets
LINES = [box(10, 10, 50, 30), [(30, 10), (30, 30)]]


@pytest.fixture
def scan(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def saved(sheet, **meant):
        eight = np.round(encoded(sheet.light) * 255).astype(np.uint8)
        Image.fromarray(eight).save(tmp_path / "scan.png", **meant)
        return "scan.png"

    return saved


def areas_of(answer, folder):
    drawing = read_drawing(folder / answer["out"], root=folder, deviation=0.005)
    assert drawing.notes == ()
    return sorted(shape.area.area for shape in drawing.shapes)


def test_a_scan_that_says_its_size_becomes_regions(scan, tmp_path, capsys):
    file = scan(ruled(LINES, (60, 40)), dpi=(DENSITY * 25.4,) * 2)
    assert main(["trace", file, "--lines", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert (answer["regions"], answer["out"]) == (2, "scan-traced.svg")
    assert areas_of(answer, tmp_path) == pytest.approx([400, 400], rel=0.01)
    assert "2 regions have no colour yet" in answer["notes"][0]


def test_size_by_a_distance_and_colours_by_a_list(scan, tmp_path, capsys):
    file = scan(ruled(LINES, (60, 40)))
    line = "0 0 480 0 120"  # the sheet's 60 mm of width, said to be twice as long
    words = ["trace", file, "--lines", "--distance", *line.split(), "--json"]
    assert main([*words, "--colours", "#b3271e,#1f8a85"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert areas_of(answer, tmp_path) == pytest.approx([1600, 1600], rel=0.01)
    assert [each["colour"] for each in answer["colours"]] == ["#b3271e", "#1f8a85"]


def test_dots_say_colours(scan, capsys):
    red = np.array([0.45, 0.02, 0.013])
    file = scan(with_dot(ruled(LINES, (60, 40)), 20, 20, red), dpi=(DENSITY * 25.4,) * 2)
    assert main(["trace", file, "--lines", "--marks", "#b3271e,#1f8a85"]) == 0
    out = capsys.readouterr().out
    assert "2 regions" in out
    assert "1 region has no colour yet" in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("", "The scan does not say how large it is."),
        ("--dpi 200 --distance 0 0 9 9 9", "Its size is said in more ways than one."),
        ("--dpi 203.2 --colours red", "“red” is no colour."),
        ("--dpi 203.2 --colours #b3271e", "1 colours are listed for 2 areas."),
    ],
)
def test_what_cant_be_is_told_in_words(scan, tmp_path, capsys, words, said):
    file = scan(ruled(LINES, (60, 40)))
    assert main(["trace", file, "--lines", *words.split()]) == 2
    assert said in capsys.readouterr().err
    assert not (tmp_path / "scan-traced.svg").exists()
