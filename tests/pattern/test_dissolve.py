"""The order of borders and regions hangs on places, not on the last bits of them."""

import pytest
from shapely import Polygon, box

from mateline.drawing.shapes import Shape
from mateline.pattern.pattern import pattern_of

FACE = box(0, 0, 64, 64)
RED, BLUE, WHITE = "#ff0000", "#0000ff", "#ffffff"


@pytest.mark.parametrize(("aside", "first"), [(-1e-12, BLUE), (-4e-10, BLUE), (-1.5e-9, RED)])
def test_what_stands_on_one_upright_line_is_ordered_upwards(aside, first):
    """On one line to half a billionth of a millimetre; farther to the left comes first."""
    low, high = box(16, 8, 24, 16), box(16 + aside, 32, 24, 40)
    pattern = pattern_of([Shape(high, RED, ""), Shape(low, BLUE, "")], FACE, base=WHITE)
    base, one, other = pattern.regions
    assert base.colour == WHITE
    assert (one.colour, other.colour) == ((BLUE, RED) if first == BLUE else (RED, BLUE))
    closed = [border for border in pattern.borders if -1 not in {border.left, border.right}]
    assert [border.points[0][1] for border in closed] == ([8, 32] if first == BLUE else [32, 8])


def test_a_closed_border_starts_at_its_lowest_point_x_before_y():
    diamond = Polygon([(32, 8), (40, 32), (32, 40), (16, 24)])
    for turn in range(4):
        ring = [*diamond.exterior.coords[turn:-1], *diamond.exterior.coords[:turn]]
        pattern = pattern_of([Shape(Polygon(ring), RED, "")], FACE, base=WHITE)
        (closed,) = (each for each in pattern.borders if -1 not in {each.left, each.right})
        assert closed.points[0].tolist() == closed.points[-1].tolist() == [16, 24]
