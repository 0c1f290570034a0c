"""What two patterns of one outline colour otherwise, worked on the page."""

import pytest
from shapely import Polygon, box

from mateline.drawing.shapes import Shape
from mateline.pattern.changed_area import changed_area
from mateline.pattern.pattern import pattern_of

FACE = box(0, 0, 60, 40)
RED, BLUE = "#ff0000", "#0000ff"


def painted(*shapes):
    return pattern_of([Shape(area, colour, "") for area, colour in shapes], FACE, base=BLUE)


def test_the_same_pattern_has_changed_nowhere():
    one = painted((box(5, 5, 20, 20), RED))
    assert changed_area(one, painted((box(5, 5, 20, 20), RED))) == 0


def test_what_moved_counts_though_each_colour_is_as_large_as_before():
    one, other = painted((box(5, 5, 20, 20), RED)), painted((box(15, 5, 30, 20), RED))
    #  10 x 15 are no more red, and 10 x 15 no more blue
    assert changed_area(one, other) == pytest.approx(300)


def test_bow_ties_with_the_same_corners_have_nothing_in_common():
    ends = [Polygon([(0, 0), (60, 0), (30, 20)]), Polygon([(0, 40), (60, 40), (30, 20)])]
    sides = [Polygon([(0, 0), (0, 40), (30, 20)]), Polygon([(60, 0), (60, 40), (30, 20)])]
    one, other = (painted(*((part, RED) for part in parts)) for parts in (ends, sides))
    assert changed_area(one, other) == pytest.approx(2400)
