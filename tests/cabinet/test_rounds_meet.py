"""Rounded edges that meet at a corner of any angle, against integrals worked on the page.

A board of sharp area A, perimeter P and cotangents C = sum of cot(angle / 2) over its corners has,
with every edge moved in by s, the area A - P s + C s². A round of radius r moves it in by
s = r (1 - sin w) at depth r (1 - cos w), 0 <= w <= pi / 2, so that all round it takes

    P r² (1 - pi/4) - C r³ (5/3 - pi/2)

from the board, and the strip of an edge of length L between corners c1 and c2 has the area

    r (L pi/2 - (c1 + c2) r (pi/2 - 1)).
"""

import math

import numpy as np
import pytest
import trimesh
from shapely import Point

from boxes import built
from mateline.cabinet.volume import volume
from mateline.drawing.shapes import Shape
from mateline.exports.solid.indexed_mesh import indexed
from mateline.exports.solid.skin import skin
from mateline.pattern.pattern import pattern_of

PLAN = """
[[carcase]]
name = "box"
view = "plan"
corners = [{corners}]
width = 300
board = 18
edges = {{ {edges} }}
[carcase.outline.points]
{points}
[carcase.panels]
{panels}
"""
LOPSIDED = [(0, 0), (420, -30), (500, 210), (230, 400), (-60, 250)]  # 94° to 130°


def regular(count, reach=220.0):
    turns = 2 * math.pi * (np.arange(count) + 0.3) / count
    return np.round(reach * np.column_stack((np.cos(turns), np.sin(turns))), 3).tolist()


def lid(points, shapes):
    """The top of a cabinet with this plan, `shapes[i]` on the edge from corner i."""
    names = [chr(ord("A") + at) for at in range(len(points))]
    edges = [f'"top and w{at}" = {{ {shape} }}' for at, shape in enumerate(shapes) if shape]
    pairs = zip(names, (*names[1:], names[0]), strict=True)
    text = PLAN.format(
        corners=", ".join(f'"{name}"' for name in names),
        edges=", ".join(edges),
        points="\n".join(f"{name} = {list(at)}" for name, at in zip(names, points, strict=True)),
        panels="\n".join(f'w{at} = {{ edge = "{a}-{b}" }}' for at, (a, b) in enumerate(pairs)),
    )
    return built(text).face("box-top")


def cotangents(points):
    """cot(angle / 2) at each corner, and the length of the edge after it."""
    corners = np.array(points, dtype=float)
    to, back = np.roll(corners, -1, axis=0) - corners, np.roll(corners, 1, axis=0) - corners
    lengths = np.linalg.norm(to, axis=1)
    cosines = np.einsum("ij,ij->i", to, back) / lengths / np.roll(lengths, 1)
    return np.sqrt((1 + cosines) / (1 - cosines)), lengths


def painted(face):
    discs = [
        Shape(Point(*at).buffer(45.0), colour, "disc")
        for at, colour in zip(face.flat.exterior.coords, ("#d03020", "#2040c0") * 9, strict=False)
    ]
    pattern = pattern_of(discs, face.outline, base="#f4ead2")
    return [(region.area, region.colour) for region in pattern.regions]


def mesh(face, paint):
    made = indexed(skin(face.panel, paint, "#c8a06a"))
    return trimesh.Trimesh(made.places, made.triangles, process=False)


OUTLINES = {
    "square": regular(4),
    "pentagon": regular(5),
    "hexagon": regular(6),
    "octagon": regular(8),
    "lopsided": LOPSIDED,
}


@pytest.mark.parametrize("points", OUTLINES.values(), ids=OUTLINES)
@pytest.mark.parametrize("radius", [2.5, 12.0])
class TestRoundsAllRound:
    def test_take_the_volume_of_the_integral(self, points, radius):
        face = lid(points, [f"round = {radius}"] * len(points))
        cots, lengths = cotangents(points)
        x, y = np.array(points).T
        sharp = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
        taken = lengths.sum() * radius**2 * (1 - math.pi / 4)
        taken -= cots.sum() * radius**3 * (5 / 3 - math.pi / 2)
        assert volume(face.panel) == pytest.approx(sharp * 18 - taken, rel=1e-9)
        # facets leave the rounds by up to 0.1 mm
        found = mesh(face, painted(face))
        assert found.is_watertight
        assert found.is_winding_consistent
        slack = 0.1 * lengths.sum() * radius * math.pi / 2
        assert found.volume == pytest.approx(volume(face.panel), abs=slack)

    def test_have_strips_of_the_area_of_the_integral(self, points, radius):
        face = lid(points, [f"round = {radius}"] * len(points))
        cots, lengths = cotangents(points)
        areas = radius * math.pi / 2 * lengths
        areas -= (cots + np.roll(cots, -1)) * radius**2 * (math.pi / 2 - 1)
        for strip in face.strips:
            # facets of the seams leave the true sine curves by 0.005 mm at most
            slack = 2 * 0.005 * radius * math.pi
            assert min(abs(areas - strip.area.area)) < slack

    def test_make_a_valid_solid_with_these_faces(self, points, radius):
        from mateline.cabinet.cadquery_solid import solid

        face = lid(points, [f"round = {radius}"] * len(points))
        made = solid(face.panel)
        assert made.isValid()
        assert made.Volume() == pytest.approx(volume(face.panel), rel=1e-9)
        cots, lengths = cotangents(points)
        areas = radius * math.pi / 2 * lengths
        areas -= (cots + np.roll(cots, -1)) * radius**2 * (math.pi / 2 - 1)
        rolled = [each.Area() for each in made.Faces() if each.geomType() == "CYLINDER"]
        assert sorted(rolled) == pytest.approx(sorted(areas), rel=1e-9)


@pytest.mark.parametrize("count", [5, 8])
@pytest.mark.parametrize("shapes", ["round = 12|round = 5", "round = 9|bevel = 7", "round = 12|"])
def test_unlike_edges_that_meet_make_a_closed_model_and_a_valid_solid(count, shapes):
    from mateline.cabinet.cadquery_solid import solid

    face = lid(regular(count), (shapes.split("|") * count)[:count])
    found = mesh(face, painted(face))
    assert found.is_watertight
    assert found.volume == pytest.approx(volume(face.panel), rel=1e-3)
    made = solid(face.panel)
    assert made.isValid()
    assert made.Volume() == pytest.approx(volume(face.panel), rel=1e-9)


HUGGED = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D", "E", "F", "G", "H"]
width = 300
board = 18
[carcase.outline.points]
A = [249.966, 4.108]
B = [173.848, 179.657]
C = [-4.108, 249.966]
D = [-179.657, 173.848]
E = [-249.966, -4.108]
F = [-173.848, -179.657]
G = [4.108, -249.966]
H = [179.657, -173.848]
[carcase.panels]
w0 = { edge = "A-B" }
w1 = { edge = "B-C" }
w2 = { edge = "C-D" }
w3 = { edge = "D-E" }
w4 = { edge = "E-F" }
w5 = { edge = "F-G" }
w6 = { edge = "G-H" }
w7 = { edge = "H-A" }
[carcase.edges]
"right and w1" = { round = 6 }
"right and w2" = { round = 10 }
"right and w3" = { bevel = 10 }
"right and w4" = { round = 11.41 }
"right and w5" = { round = 7.22 }
"right and w7" = { round = 17 }
"""


def test_paint_that_hugs_a_seam_leaves_the_model_closed():
    """The rim of this disc runs between the bow of a seam and its chord: with the seam drawn
    straight, the cell between them turned over."""
    face = built(HUGGED).face("box-right")
    disc = Point(409.8047169489115, 466.3752197231938).buffer(76.79076347082227, 32)
    pattern = pattern_of([Shape(disc, "#d03020", "disc")], face.outline, base="#f4ead2")
    assert mesh(face, [(region.area, region.colour) for region in pattern.regions]).is_watertight
