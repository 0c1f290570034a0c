"""Thousands of rings inside one another or side by side: each is a region of its own, in time.

Areas are those of regular polygons: n / 2 R² sin(2 pi / n) for n corners at R from the middle.
"""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, box

from mateline.drawing.fill_rule import enclosed
from mateline.drawing.shapes import Shape
from mateline.errors import InputError
from mateline.pattern.pattern import Tiling, pattern_of, tiling

FACE = box(0, 0, 1000, 1000)
CORNERS = 32
COLOURS = ("#000000", "#000001", "#000002")
BASE = "#ffffff"


def ring(x, y, reach):
    turn = np.linspace(0, math.tau, CORNERS, endpoint=False)
    return np.column_stack([x + reach * np.cos(turn), y + reach * np.sin(turn)])


def within(reach):
    return CORNERS / 2 * reach * reach * math.sin(math.tau / CORNERS)


def concentric(count):
    """Radii, the largest first."""
    return 490 * np.arange(count, 0, -1) / count


def in_rows(count, reach):
    """Rings side by side, `count` a row and as many rows."""
    pitch = 1000 / count
    middles = pitch * (np.arange(count) + 0.5)
    return [ring(x, y, reach * pitch) for x in middles for y in middles]


def shape(outer, holes=(), colour=COLOURS[0]):
    return Shape(Polygon(outer, holes), colour, "ring")


def made(shapes):
    pattern = pattern_of(shapes, FACE, base=BASE)
    assert tiling(pattern, FACE) == Tiling(0.0, 0.0, 0)
    return pattern


def test_a_stack_of_discs_is_seen_as_rings():
    reaches = concentric(1000)
    discs = [shape(ring(500, 500, r), colour=COLOURS[at % 3]) for at, r in enumerate(reaches)]
    regions = made(discs).regions
    assert len(regions) == 1001
    areas = sorted(region.area.area for region in regions if region.colour != BASE)
    rims = within(reaches) - within(np.append(reaches[1:], 0))
    np.testing.assert_allclose(areas, sorted(rims), rtol=1e-9)
    assert all(region.colour == BASE or len(region.sources) == 1 for region in regions)


def test_rings_that_share_their_edges_are_noded_once():
    reaches = concentric(1000)
    rims = [
        shape(ring(500, 500, far), [ring(500, 500, near)], COLOURS[at % 3])
        for at, (far, near) in enumerate(pairwise(reaches))
    ]
    pattern = made(rims)
    assert len(pattern.regions) == 1001
    assert len(pattern.borders) == 1001
    assert [region.area.area for region in pattern.regions if region.colour != BASE] == (
        pytest.approx([within(a) - within(b) for a, b in pairwise(reaches)])
    )


def test_every_second_ring_of_one_shape_leaves_the_base_between():
    reaches = concentric(1000)
    pairs = zip(reaches[0::2], reaches[1::2], strict=True)
    one = MultiPolygon([Polygon(ring(500, 500, a), [ring(500, 500, b)]) for a, b in pairs])
    pattern = made([Shape(one, COLOURS[0], "target")])
    assert len(pattern.regions) == 1001
    assert sum(region.colour == BASE for region in pattern.regions) == 501


def test_five_thousand_discs_lie_in_one_region():
    discs = [shape(points) for points in in_rows(71, 0.4)]
    regions = made(discs).regions
    assert len(regions) == 71 * 71 + 1
    (base,) = (region for region in regions if region.colour == BASE)
    assert len(base.area.interiors) == 71 * 71
    assert base.area.area == pytest.approx(1e6 - 71 * 71 * within(400 / 71))


def test_a_shape_with_thousands_of_holes_holds_a_disc_in_each():
    plate = shape([(0, 0), (1000, 0), (1000, 1000), (0, 1000)], in_rows(55, 0.4))
    discs = [shape(points, colour=COLOURS[1]) for points in in_rows(55, 0.2)]
    regions = made([plate, *discs]).regions
    assert len(regions) == 1 + 2 * 55 * 55
    gaps = [region.area.area for region in regions if region.colour == BASE]
    reach = 1000 / 55
    np.testing.assert_allclose(gaps, within(0.4 * reach) - within(0.2 * reach), rtol=1e-9)


def test_bars_that_cross_many_times_are_still_refused():
    bars = [shape([(i, 0), (i + 0.3, 0), (i + 0.3, 999), (i, 999)]) for i in range(999)]
    across = [shape([(0, i), (999, i), (999, i + 0.3), (0, i + 0.3)]) for i in range(999)]
    with pytest.raises(InputError, match="Too many of its 1998 shapes lie across each other"):
        pattern_of([*bars, *across], FACE, base=BASE)


@pytest.mark.parametrize("evenodd", [True, False])
def test_rings_of_one_path_wind_whatever_lies_around_them(evenodd):
    reaches = concentric(800)
    rings = [ring(500, 500, reach) for reach in reaches]
    area = enclosed(rings, evenodd=evenodd)
    signs = np.where(np.arange(800) % 2, -1, 1)
    seen = (within(reaches) * signs).sum() if evenodd else within(490.0)
    assert area.area == pytest.approx(seen)
    assert len(shapely.get_parts(area)) == (400 if evenodd else 1)
