"""`square`, `trace` and a build that starts from photos, as a user types them.

A small box: 240 wide, 180 deep, 200 high, its left side photographed by the tests' own camera, with
a disc, a band and a chip.
"""

import json
import re

import numpy as np
import pytest
import shapely
from PIL import Image

from mateline.cli import main
from mateline.drawing.reader import read_drawing
from scenes.camera import standing
from scenes.design import Design, disc, polygon
from scenes.photograph import Light, photographed
from scenes.wear import worn

BOX = """title = "A box from a photo"
[tape]
unit = "mm"
graduation = 1
accuracy = "II"
[palette]
base = "cream"
[palette.colours]
cream = { paint = "#efe3c4", letter = "C" }
navy = { paint = "#1f2f57", letter = "N" }
red = { paint = "#b3271e", letter = "R" }
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D"]
width = 240
board = 12
[carcase.outline.points]
A = [0, 0]
B = [180, 0]
C = [180, 200]
D = [0, 200]
[carcase.panels]
front = { edge = "D-A" }
back = { edge = "B-C" }
top = { edge = "C-D" }
bottom = { edge = "A-B" }
[[photo]]
file = "left.png"
on = "box-left"
[[art]]
drawing = "traced/left.svg"
on = "box-left"
"""
PALETTE = {"cream": "#efe3c4", "navy": "#1f2f57", "red": "#b3271e"}
CORNERS = np.array([(0.0, 0.0), (180.0, 0.0), (180.0, 200.0), (0.0, 200.0)])
BAND, SUN = (-9, 40, 189, 75), (90.0, 135.0, 35.0)


def band(left, low, right, up):
    return polygon((left, low), (right, low), (right, up), (left, up))


@pytest.fixture(scope="module")
def photo():
    shapes = ((band(*BAND), "navy"), (disc(*SUN), "red"))
    design = Design(CORNERS, shapes, "cream", PALETTE)
    camera = standing(design.outline, (700, 760), 2.6, yaw_deg=6, pitch_deg=-3, k1=-0.04)
    return photographed(design, camera, worn(design.outline, 0.05, 3, 4), Light(noise=0.004), 4)


@pytest.fixture
def shop(photo, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "box"
    folder.mkdir()
    (folder / "cabinet.toml").write_text(BOX, encoding="utf-8")
    Image.fromarray(photo.picture).save(folder / "left.png")
    return folder


def test_a_photo_is_traced_and_the_cabinet_built_from_it(shop, capsys):
    assert main(["check", "box"]) == 2
    err = capsys.readouterr().err
    assert "traced/left.svg: It is not there yet: it is traced from photos of box-left." in err
    assert "Run `mateline trace box box-left`" in err
    assert main(["trace", "box", "box-left", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["out"] == "box/traced/left.svg"
    assert {each["colour"] for each in answer["colours"]} == set(PALETTE)
    areas = {each["colour"]: each["area"] for each in answer["colours"]}
    assert areas["red"] == pytest.approx(np.pi * SUN[2] ** 2, rel=0.02)
    assert areas["navy"] == pytest.approx(180 * 35, rel=0.02)
    assert sum(areas.values()) == pytest.approx(180 * 200, abs=0.005 * len(areas))  # as rounded
    assert 0 < answer["expected_rms"] < 1
    drawing = read_drawing(shop / "traced" / "left.svg", root=shop, deviation=0.005)
    assert drawing.notes == ()
    assert shapely.coverage_is_valid([shape.area for shape in drawing.shapes])
    (sun,) = [shape.area for shape in drawing.shapes if shape.colour == PALETTE["red"]]
    ring = shapely.transform(sun.exterior, lambda at: at * (1, -1) + (0, 200))
    far = np.hypot(*(shapely.get_coordinates(ring) - SUN[:2]).T)
    assert np.abs(far - SUN[2]).max() < 0.5  # the tape's doubt of the box is as much
    with Image.open(shop / "traced" / "left-borders.png") as shown:
        assert shown.width >= 400
    assert main(["check", "box"]) == 0


@pytest.mark.usefixtures("shop")
def test_a_squared_photo_has_true_size(capsys):
    assert main(["square", "box", "--json"]) == 0
    (photo,) = json.loads(capsys.readouterr().out)["photos"]
    assert (photo["file"], photo["face"]) == ("left.png", "box-left")
    assert [edge["used"] for edge in photo["edges"]] == [True] * 4
    with Image.open(photo["squared"]) as picture:
        wide, high = (side * photo["mm_per_pixel"] for side in picture.size)
        assert (wide, high) == pytest.approx((180, 200), abs=2 * photo["mm_per_pixel"])
        assert picture.info["dpi"][0] == pytest.approx(25.4 / photo["mm_per_pixel"], rel=1e-3)


def light_of(ink):
    return np.array([int(ink[at : at + 2], 16) / 255 for at in (1, 3, 5)]) ** 2.2


@pytest.mark.parametrize(("grey", "brighter"), [(0.18, 1.0), (0.09, 2.0), (0.27, 2 / 3)])
def test_a_card_in_the_photo_says_how_bright_the_paint_is(shop, photo, capsys, grey, brighter):
    """A card half as bright in the same picture: the paint is twice as bright as it looks."""
    cream = np.median(photo.picture[406:426, 330:370].reshape(-1, 3) / 255, axis=0) ** 2.2
    shown = photo.picture.copy()
    light = grey * cream / light_of(PALETTE["cream"])  # as the same light shows it
    shown[20:60, 330:390] = np.round(255 * light ** (1 / 2.2))
    Image.fromarray(shown).save(shop / "left.png")
    path = shop / "cabinet.toml"
    card = "card = { between = [[332, 22], [388, 58]] }"
    path.write_text(BOX.replace(ON, ON.replace("[[", f"{card}\n[[")), encoding="utf-8")
    assert main(["trace", "box", "box-left", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["light"] == "card"
    seen = {each["colour"]: light_of(each["seen"]) for each in answer["paints"]}
    for name in ("cream", "red"):
        wanted = np.minimum(1, light_of(PALETTE[name]).max() * brighter)
        assert seen[name].max() == pytest.approx(wanted, rel=0.15)


ON, CORNERS_GIVEN = 'on = "box-left"\n[[art]]', "corners = [[9, 9], [90, 9], [90, 90]]"
CARD = "card = { between = [[9, 9], [900, 900]] }"
FAULTS = [
    ("", "", "trace box", "It is not said which face to trace."),
    ("", "", "trace box box-right", "No photo shows box-right."),
    ("", "", "trace box box-lift", "There is no face “box-lift”."),
    ("", "", "square box lift.png", "There is no photo in the definition “lift.png”."),
    ("left.png", "gone.png", "square box", "gone.png"),
    (ON, ON.replace("left", "lid"), "square box", "There is no face “box-lid”."),
    ('"traced/', '"../', "trace box box-left", "The drawing lies outside the cabinet's folder."),
    (ON, ON.replace("[[", f"{CARD}\n[["), "square box", "photo 1, card: It lies beyond the photo"),
    (ON, ON.replace("[[", f"{CORNERS_GIVEN}\n[["), "square box", "3 corners, and box-left has 4."),
]


@pytest.mark.parametrize(("old", "new", "command", "said"), FAULTS)
def test_what_cant_be_is_told_in_words(shop, capsys, old, new, command, said):
    path = shop / "cabinet.toml"
    path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    assert main(command.split()) == 2
    err = capsys.readouterr().err
    assert said in err
    assert re.search(r"fault|Traceback", err) is None
    assert not (shop / "squared").exists()


@pytest.mark.usefixtures("shop")
def test_options_for_pen_lines_are_refused_for_photos(capsys):
    assert main(["trace", "box", "box-left", "--dpi", "200"]) == 2
    assert "It is for scans of pen lines." in capsys.readouterr().err
