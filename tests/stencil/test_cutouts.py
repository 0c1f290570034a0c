r"""Board cut round hardware that stays, against a pattern made anew.

400 x 300, base coat, with a bar of red across its middle:

300 +------------------+
    |   (a)            |      a lies in the base coat, b in the bar, c on its border
200 +---------(c)------+
    |   red       (b)  |
100 +------------------+
    |                  |
  0 +------------------+
"""

import pytest
import shapely
from shapely import Point, box

from mateline.drawing.shapes import Shape
from mateline.pattern.pattern import pattern_of
from mateline.pattern.tiling import Tiling, tiling_of
from mateline.stencil.cutouts import cleared

FACE = box(0, 0, 400, 300)
BAR = Shape(box(-10, 100, 410, 200), "red", "bar")
A, B, C = Point(80, 250).buffer(15), Point(300, 150).buffer(20), Point(200, 200).buffer(12)
ACROSS = box(-5, 240, 405, 260)


@pytest.mark.parametrize("clear", [[A], [A, B], [A, B, C], [C], [A, Point(90, 250).buffer(9)]])
def test_the_regions_are_those_of_a_pattern_made_anew(clear):
    design = pattern_of([BAR], FACE, base="cream")
    found = cleared(design, [BAR], FACE, clear, "cream")
    room = FACE.difference(shapely.union_all(clear))
    anew = pattern_of([BAR], room, base="cream")
    assert tiling_of([region.area for region in found.regions], room) == Tiling(0.0, 0.0, 0)
    key = lambda region: (region.colour, region.area.centroid.coords[0])  # noqa: E731
    for one, other in zip(
        sorted(found.regions, key=key), sorted(anew.regions, key=key), strict=True
    ):
        assert one.colour == other.colour
        assert one.area.symmetric_difference(other.area).area < 1e-9


def test_hardware_inside_a_region_leaves_the_other_borders_alone():
    design = pattern_of([BAR], FACE, base="cream")
    found = cleared(design, [BAR], FACE, [A], "cream")
    assert found.borders[:-1] == design.borders
    new = found.borders[-1]
    (home,) = [at for at, region in enumerate(found.regions) if len(region.loops) > 1]
    assert (new.start, new.left, new.right) == (new.end, -1, home)
    assert found.regions[home].loops[-1] == (~(len(found.borders) - 1),)


def test_hardware_right_across_parts_the_face():
    design = pattern_of([BAR], FACE, base="cream")
    found = cleared(design, [BAR], FACE, [ACROSS], "cream")
    assert sum(region.area.area for region in found.regions) == pytest.approx(400 * 280)
