"""The kernel's own faces against the flattened ones: area, holes and edge lengths.

The kernel knows nothing of nets: it measures the solid that was made from the same panel.
"""

import itertools
import math

import pytest
from shapely import Polygon

from boxes import built, square
from mateline.cabinet.cadquery_solid import solid
from mateline.cabinet.hole import opening
from mateline.cabinet.volume import volume
from mateline.curves import flattened, length

HARDWARE = """
[[hardware]]
name = "leg bolt"
kind = "countersunk"
size = "M8"
on = "box-left"
from = { front = 60, bottom = 60 }
both_sides = true
[[hardware]]
name = "vent"
kind = "slot"
length = 60
width = 10
turn = 90
on = "box-back"
from = { left = 100, bottom = 100 }
row = { count = 3, pitch = 30, turn = 180 }
[[hardware]]
name = "door"
kind = "rectangle"
length = 120
width = 90
corner = 12
on = "box-front"
from = { left = 150, bottom = 250 }
[[hardware]]
name = "system hole"
kind = "round"
diameter = 5
on = "box-top"
from = { left = 60, front = 60 }
grid = { columns = 4, rows = 3, across = 32, up = 32 }
"""
SHAPED = """joints = ["left mitre front", "front over top"]
edges."left and front" = { round = 14 }
edges."right and front" = { bevel = 10 }
edges."right and top" = { bevel = 7, angle = 30 }"""
SLOPED = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C", "D", "E"]
width = 420
board = 18
joints = ["slope mitre front", "top over slope", "back over top"]
edges = { "front and slope" = { round = 20 }, "left and slope" = { bevel = 9 } }
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [400, 500]
D = [250, 500]
E = [0, 300]
[carcase.panels]
front = { edge = "E-A" }
slope = { edge = "D-E", board = 18 }
top = { edge = "C-D", board = 12 }
back = { edge = "B-C" }
bottom = { edge = "A-B", missing = true }
"""


def cabinets():
    yield from square(after=HARDWARE).faces
    yield from square(SHAPED, HARDWARE).faces
    yield from built(SLOPED).faces


def outside(made, face):
    """The kernel's face that is the flat outside: the largest one that looks outward."""
    lift = face.cells[0].lift
    across = face.cells[0].outward
    height = across @ lift[:, 2]
    found = [
        each
        for each in made.Faces()
        if each.geomType() == "PLANE"
        and abs(each.normalAt().dot(_vector(across)) - 1) < 1e-9
        and abs(across @ each.Center().toTuple() - height) < 1e-6
    ]
    (only,) = found
    return only


def _vector(numbers):
    from cadquery import Vector

    return Vector(*(float(number) for number in numbers))


@pytest.mark.parametrize("face", list(cabinets()), ids=lambda face: face.name)
class TestAFace:
    def test_is_as_large_as_the_kernels(self, face):
        made = outside(solid(face.panel), face)
        # exact areas: arcs, not their facets
        holes = sum(_exact_area(hole) for hole in face.holes)
        assert made.Area() == pytest.approx(face.flat.area - holes, rel=1e-9)

    def test_has_the_kernels_holes(self, face):
        assert len(outside(solid(face.panel), face).innerWires()) == len(face.holes)

    def test_has_the_kernels_edges(self, face):
        made = outside(solid(face.panel), face)
        corners = face.flat.exterior.coords
        sides = sorted(math.dist(a, b) for a, b in itertools.pairwise(corners))
        kernel = sorted(edge.Length() for edge in made.outerWire().Edges())
        assert kernel == pytest.approx(sides, abs=1e-6)

    def test_has_strips_as_large_as_the_kernels(self, face):
        made = solid(face.panel)
        areas = [each.Area() for each in made.Faces()]
        for strip in face.strips:
            # facets of a slanted end leave the true sine curve by 0.005 mm at most
            slack = 0.005 * strip.area.length
            assert min(abs(area - strip.area.area) for area in areas) < slack

    def test_belongs_to_a_valid_solid_of_the_closed_forms_volume(self, face):
        made = solid(face.panel)
        assert made.isValid()
        assert made.Volume() == pytest.approx(volume(face.panel), rel=1e-9)


def _exact_area(hole):
    from mateline.curves import area

    return area(opening(hole))


def test_openings_are_facetted_within_their_tolerance():
    (face,) = [face for face in square(after=HARDWARE).faces if face.name == "box-front"]
    (hole,) = face.holes
    ring = Polygon(flattened(opening(hole)))
    assert ring.length == pytest.approx(length(opening(hole)), rel=1e-3)
