"""Every file of a build, read back and held against the job: cabinets of ours, and random ones.

A few of them here; `pytest -m judge` takes all cabinets and 200 random ones, and half an hour.
"""

import math
from pathlib import Path

import ezdxf
import pytest

from boxes import PRELUDE
from file_judge import complaints
from mateline.errors import InputError, InputFaultsError
from mateline.exports.build import write
from mateline.survey import surveyed, with_true_borders
from random_cabinets import INK, wave, write_cabinet

CABINETS = Path(__file__).parent.parent / "cabinets"
OURS = sorted(each.name for each in CABINETS.iterdir() if (each / "cabinet.toml").exists())
FEW = (5, 9, 18, 19)  # a stand, a table in inches, a box, a table cut in loads


def built(folder, out):
    """What is wrong with the files of the cabinet in `folder`; a refusal says why, and is none."""
    try:
        job = with_true_borders(surveyed(folder))
    except (InputError, InputFaultsError) as error:
        faults = getattr(error, "faults", (error,))
        assert all(fault.what and fault.remedy for fault in faults)
        return None
    write(job, out)
    return complaints(job, out)


def test_the_tutorials_files_are_what_was_checked(tmp_path):
    assert built(CABINETS / "corner-box", tmp_path / "out") == []


@pytest.mark.parametrize("seed", FEW)
def test_files_of_a_random_cabinet_are_what_was_checked(seed, tmp_path):
    assert built(write_cabinet(seed, tmp_path / "cabinet"), tmp_path / "out") == []


@pytest.mark.judge
@pytest.mark.parametrize("name", OURS)
def test_files_of_our_cabinets_are_what_was_checked(name, tmp_path):
    assert built(CABINETS / name, tmp_path / "out") == []


@pytest.mark.judge
@pytest.mark.parametrize("seed", range(200))
def test_files_of_random_cabinets_are_what_was_checked(seed, tmp_path):
    assert not built(write_cabinet(seed, tmp_path / "cabinet"), tmp_path / "out")


WAVY = (
    PRELUDE
    + """ink = { paint = "#1f7a7c", letter = "T" }
[stencil]
knife = { offset = "0.5 mm", depth = "0.6 mm", swivel_depth = "0.1 mm" }
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D"]
width = 60
board = 12
[carcase.outline.points]
A = [0, 0]
B = [700, 0]
C = [700, 600]
D = [0, 600]
[carcase.panels]
front = { edge = "D-A" }
back = { edge = "B-C" }
top = { edge = "C-D" }
bottom = { edge = "A-B" }
[[art]]
drawing = "waves.svg"
on = "box-left"
"""
)


def test_sixty_four_s_shaped_waves_are_cut_as_they_were_drawn(tmp_path):
    """Each border is point-symmetric about its chord, where the turn of the whole is rounding."""
    shapes = []
    for at in range(64):
        x, y = 12 + 85 * (at % 8), 30 + 70 * (at // 8)
        top = wave(x, y, 60, 0.05 * 1.12**at, 1 + at % 3)  # from flat to 63 mm
        shapes.append(f'<path fill="{INK[0]}" d="{top} v30 h-60 Z"/>')
    size = 'width="700mm" height="600mm" viewBox="0 0 700 600"'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{"".join(shapes)}</svg>'
    (tmp_path / "box").mkdir()
    (tmp_path / "box" / "cabinet.toml").write_text(WAVY)
    (tmp_path / "box" / "waves.svg").write_text(svg)
    job = with_true_borders(surveyed(tmp_path / "box"))
    (left,) = [each for each in job.stencils if each.face.name == "box-left"]
    assert sum(piece.colour == "ink" for piece in left.pieces) == 64
    write(job, tmp_path / "out")
    assert complaints(job, tmp_path / "out") == []


CURVED = (
    PRELUDE
    + """ink = { paint = "#1f7a7c", letter = "T" }
[stencil]
knife = { offset = "0.5 mm", depth = "0.6 mm", swivel_depth = "0.1 mm" }
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D"]
width = 260
board = 12
joints = ["top over front"]
[carcase.outline.points]
A = [0, 0]
B = [360, 0]
C = [360, 300]
D = [0, 280]
[carcase.outline.curves]
C-D = { rise = 45 }
D-A = { rise = 15, hollow = true }
B = { radius = 105 }
[carcase.panels]
front = { edge = "D-A" }
back = { edge = "B-C" }
top = { edge = "C-D" }
bottom = { edge = "A-B" }
heel = { edge = "B" }
[[hardware]]
name = "latch"
kind = "round"
diameter = 20
on = "box-top"
from = { front = 60, left = 70 }
state = "stays"
[[art]]
drawing = "waves.svg"
wrap = ["box-front", "box-top", "box-back", "box-heel"]
[[art]]
drawing = "waves.svg"
cast = "left"
"""
)


def test_files_of_a_curved_cabinet_are_what_was_checked(tmp_path):
    """Bowed, hollow and round sides: arcs in the stencils, cylinders and closed models."""
    folder = tmp_path / "cabinet"
    folder.mkdir()
    (folder / "cabinet.toml").write_text(CURVED, encoding="utf-8")
    size = 'width="360mm" height="300mm" viewBox="0 0 360 300"'
    hill = f'<path fill="{INK[0]}" d="M0 90 Q 180 200 360 120 V260 H0 Z"/>'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{hill}</svg>'
    (folder / "waves.svg").write_text(svg, encoding="utf-8")
    assert built(folder, tmp_path / "out") == []
    drawing = ezdxf.readfile(tmp_path / "out" / "faces" / "box-right" / "stencil.dxf")
    bulges = [
        abs(bulge)
        for each in drawing.modelspace().query("LWPOLYLINE[layer=='CUT']")
        for *_, bulge in each.get_points("xyb")
        if bulge
    ]
    # Twice the rise over the chord, and tan(90° / 4) for the round, as the definition says.
    chord = math.hypot(360, 20)
    wanted = [2 * 45 / chord, 2 * 15 / 280, math.tan(math.pi / 8)]
    assert sorted(bulges) == pytest.approx(sorted(wanted), abs=2e-4)


COVED = (
    PRELUDE
    + """ink = { paint = "#1f7a7c", letter = "T" }
[stencil]
knife = { offset = "0.5 mm", depth = "0.6 mm", swivel_depth = "0.1 mm" }
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D", "E", "F", "G", "H"]
width = 260
board = 12
joints = ["deck over left", "screen over left", "lip over left"]
[carcase.edges]
"deck and screen" = { round = 35 }
"deck and lip" = { bevel = 25 }
"deck and left" = { end = "art" }
"lip and rim" = { round = 5 }
[carcase.outline.points]
A = [0, 0]
B = [420, 0]
C = [420, 420]
D = [330, 420]
E = [290, 190]
F = [110, 160]
G = [80, 230]
H = [0, 230]
[carcase.panels]
bottom = { edge = "A-B" }
back = { edge = "B-C" }
top = { edge = "C-D" }
screen = { edge = "D-E" }
deck = { edge = "E-F" }
lip = { edge = "F-G" }
rim = { edge = "G-H" }
front = { edge = "H-A" }
[[hardware]]
name = "latch"
kind = "round"
diameter = 20
on = "box-deck"
from = { screen = 70, right = 70 }
state = "stays"
[[art]]
drawing = "waves.svg"
wrap = ["box-screen", "box-deck", "box-lip"]
[[art]]
drawing = "waves.svg"
on = "box-left"
"""
)


def test_files_of_a_cabinet_with_coves_are_what_was_checked(tmp_path):
    """Solids, models and stencils of boards whose edges are hollow, and one end beside them."""
    folder = tmp_path / "cabinet"
    folder.mkdir()
    (folder / "cabinet.toml").write_text(COVED, encoding="utf-8")
    size = 'width="360mm" height="420mm" viewBox="0 0 360 420"'
    hill = f'<path fill="{INK[0]}" d="M0 90 Q 180 200 360 120 V370 H0 Z"/>'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{hill}</svg>'
    (folder / "waves.svg").write_text(svg, encoding="utf-8")
    assert built(folder, tmp_path / "out") == []
    drawing = ezdxf.readfile(tmp_path / "out" / "faces" / "box-deck" / "stencil.dxf")
    assert len(drawing.modelspace().query("*[layer=='SCORE']")) == 2  # the folds of both
