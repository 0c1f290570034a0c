"""Every file of a build, read back and held against the job: cabinets of ours, and random ones.

A few of them here; `pytest -m judge` takes all cabinets and 200 random ones, and half an hour.
"""

import json
import math
import shutil
from itertools import pairwise
from pathlib import Path

import ezdxf
import pytest

from boxes import PRELUDE
from file_judge import complaints
from mateline.commands.pictures import trace_missing
from mateline.errors import InputError, InputFaultsError
from mateline.exports.build import write
from mateline.survey import surveyed, with_true_borders
from mateline.talk import Talk
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
    folder = tmp_path / name
    shutil.copytree(CABINETS / name, folder)
    if name == "last-season":  # whose drawings are still in its photos
        trace_missing(folder, ("body-right", "body-front"), Talk())
    assert built(folder, tmp_path / "out") == []


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


# A square of colour, so that a face takes board; it has no arcs of its own.
DOT = """
[[art]]
drawing = "dot.svg"
on = "{}"
anchor = "lower-left"
to = "lower-left"
offset = [40, 80]
"""
DOTTED = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="30mm" viewBox="0 0 30 30">'
    f'<path fill="{INK[0]}" d="M0 0H30V30H0Z"/></svg>'
)


def written(folder, text):
    """The folder of a curved cabinet."""
    folder.mkdir()
    (folder / "cabinet.toml").write_text(text, encoding="utf-8")
    size = 'width="360mm" height="300mm" viewBox="0 0 360 300"'
    hill = f'<path fill="{INK[0]}" d="M0 90 Q 180 200 360 120 V260 H0 Z"/>'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{hill}</svg>'
    (folder / "waves.svg").write_text(svg, encoding="utf-8")
    return folder


def arcs_of(path):
    """The bulge and the radius of all arcs that a stencil is cut along."""
    drawing, found = ezdxf.readfile(path), []
    for each in drawing.modelspace().query("LWPOLYLINE[layer=='CUT']"):
        points = each.get_points("xyb")
        points += points[:1] if each.closed else []
        for (x, y, bulge), (then_x, then_y, _) in pairwise(points):
            if bulge:  # the chord is 2 R sin(2 atan(bulge))
                chord = math.hypot(then_x - x, then_y - y)
                found.append((abs(bulge), chord / 2 / math.sin(2 * math.atan(abs(bulge)))))
    return sorted(found)


def test_files_of_a_curved_cabinet_are_what_was_checked(tmp_path):
    """Bowed, hollow and round sides: arcs in the stencils, cylinders and closed models."""
    folder = written(tmp_path / "cabinet", CURVED + DOT.format("box-right"))
    (folder / "dot.svg").write_text(DOTTED, encoding="utf-8")
    assert built(folder, tmp_path / "out") == []
    # Twice the rise over the chord, and tan(90° / 4) for the round, as the definition says.
    chord = math.hypot(360, 20)
    wanted = [2 * 45 / chord, 2 * 15 / 280, math.tan(math.pi / 8)]
    found = arcs_of(tmp_path / "out" / "faces" / "box-right" / "stencil.dxf")
    assert [bulge for bulge, _ in found] == pytest.approx(sorted(wanted), abs=2e-4)


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
    (folder / "cabinet.toml").write_text(COVED + DOT.format("box-deck"), encoding="utf-8")
    (folder / "dot.svg").write_text(DOTTED, encoding="utf-8")
    size = 'width="360mm" height="420mm" viewBox="0 0 360 420"'
    hill = f'<path fill="{INK[0]}" d="M0 90 Q 180 200 360 120 V370 H0 Z"/>'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{hill}</svg>'
    (folder / "waves.svg").write_text(svg, encoding="utf-8")
    assert built(folder, tmp_path / "out") == []
    drawing = ezdxf.readfile(tmp_path / "out" / "faces" / "box-deck" / "stencil.dxf")
    assert len(drawing.modelspace().query("*[layer=='SCORE']")) == 2  # the folds of both


# A slot for a trim runs round the left side, and a moulding covers the right one's rounds.
TRIMMED = """
[carcase.edges]
"left and bottom" = { groove = { width = 2, depth = 8 }, end = "left" }
"left and heel" = { groove = { width = 2, depth = 8 } }
"left and back" = { groove = { width = 2, depth = 8 } }
"left and top" = { groove = { width = 2, depth = 8 } }
"left and front" = { groove = { width = 2, depth = 8 } }
"right and front" = { moulding = { right = 20 } }
"right and heel" = { moulding = { right = 20 } }
"right and top" = { holes = [{ name = "pin", diameter = 6, depth = 20, from = { front = 90 } }] }
[[hardware]]
name = "latch"
"""


def test_files_of_a_cabinet_with_trim_along_its_curves_are_what_was_checked(tmp_path):
    text = CURVED.replace('[[hardware]]\nname = "latch"\n', TRIMMED)
    text = text.replace('cast = "left"', 'on = "box-right"\nanchor = "centre"\nto = "centre"')
    assert built(written(tmp_path / "cabinet", text), tmp_path / "out") == []
    radii = [reach for _, reach in arcs_of(tmp_path / "out/faces/box-right/stencil.dxf")]
    # The hollow front is one of (140² + 15²) / 30 = 660.83 and the round one of 105; 20 inside of
    # them the pieces end.
    for inside, sharp in ((680.833, 660.833), (85, 105)):
        assert any(reach == pytest.approx(inside, abs=0.02) for reach in radii)
        assert all(abs(reach - sharp) > 1 for reach in radii)
    job = json.loads((tmp_path / "out" / "job.json").read_text(encoding="utf-8"))
    (pin,) = job["edge_holes"]
    # 90 along the bow from its front end (0, 280): it rises 45 over a chord of 360.56.
    chord = math.hypot(360, 20)
    reach = (chord**2 / 4 + 45**2) / 90
    turn = 90 / reach - math.asin(chord / 2 / reach) - math.atan2(20, 360)
    middle = (180 + (reach - 45) * 20 / chord, 290 - (reach - 45) * 360 / chord)
    at = (254, middle[0] + reach * math.sin(turn), middle[1] + reach * math.cos(turn))
    assert pin["at"] == pytest.approx(at, abs=1e-3)
    assert (pin["board"], pin["depth"]) == ("box-right", 20)
