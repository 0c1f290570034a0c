"""Regions of a borders file: areas worked on the page, and what is wrong told by its place.

Lengths are mm, y down.
"""

import math
import random
from itertools import pairwise

import pytest
import shapely

from mateline.drawing.borders.borders import Border, Borders, Circle, Seed
from mateline.drawing.borders.regions import regions_of
from mateline.drawing.path import Arc, Line

DEVIATION = 0.0005
RED, BLUE, GOLD = "#c0392b", "#2c3e90", "#d4a017"


def line(*points):
    return Border(points[0], tuple(Line(*point) for point in points[1:]))


def arc(start, end, radius, *, large=False, sweep=True):
    return Border(start, (Arc(radius, radius, 0.0, large, sweep, *end),))


def made(*borders, seeds=(), outline=None, size=(200.0, 100.0)):
    found = regions_of(
        Borders(*size, borders, tuple(Seed(at, colour) for at, colour in seeds), outline), DEVIATION
    )
    areas = shapely.area([each.area for each in found.regions])
    whole = size[0] * size[1]
    if outline is None:  # whatever is drawn, regions tile the picture
        assert areas.sum() == pytest.approx(whole, rel=1e-9)
    return found


def area_at(found, x, y):
    (area,) = [each.area.area for each in found.regions if each.area.contains(shapely.Point(x, y))]
    return area


def segment(radius, half_chord):
    """The area between an arc and its chord: r² (θ - sin θ) / 2."""
    turn = 2 * math.asin(half_chord / radius)
    return radius**2 * (turn - math.sin(turn)) / 2


def test_a_line_and_an_arc_over_it_enclose_a_circle_segment():
    found = made(line((0, 60), (200, 60)), arc((50, 60), (150, 60), 70), seeds=[((100, 50), RED)])
    assert area_at(found, 100, 50) == pytest.approx(segment(70, 50), rel=1e-4)
    assert area_at(found, 100, 90) == pytest.approx(200 * 40, rel=1e-9)
    assert [each.colour for each in found.regions].count(RED) == 1


def test_a_circle_in_a_circle_makes_a_ring_with_both_rims():
    found = made(Circle((100, 50), 40), Circle((100, 50), 25))
    assert area_at(found, 100, 50) == pytest.approx(math.pi * 25**2, rel=1e-4)
    assert area_at(found, 132, 50) == pytest.approx(math.pi * (40**2 - 25**2), rel=1e-4)
    assert area_at(found, 5, 5) == pytest.approx(200 * 100 - math.pi * 40**2, rel=1e-4)


def test_two_circles_that_cross_part_into_a_lens_and_two_moons():
    found = made(Circle((80, 50), 40), Circle((120, 50), 40))
    lens = 2 * segment(40, math.sqrt(40**2 - 20**2))
    assert area_at(found, 100, 50) == pytest.approx(lens, rel=1e-4)
    assert area_at(found, 50, 50) == pytest.approx(math.pi * 40**2 - lens, rel=1e-4)
    assert len(found.regions) == 4


def test_three_circles_that_touch_enclose_a_region_of_their_own():
    tall = 20 * math.sqrt(3)
    centres = (60.0, 70.0), (100.0, 70.0), (80.0, 70.0 - tall)
    found = made(*(Circle(each, 20.0) for each in centres))
    # A triangle of the centres less three sixths of a circle.
    between = 20 * tall - math.pi * 20**2 / 2
    assert area_at(found, 80, 70 - tall / 3) == pytest.approx(between, rel=2e-3)
    assert len(found.regions) == 5


def test_a_circle_that_touches_another_from_inside_leaves_a_moon():
    found = made(Circle((80, 50), 40), Circle((100, 50), 20))
    assert area_at(found, 45, 50) == pytest.approx(math.pi * (40**2 - 20**2), rel=1e-4)
    assert len(found.regions) == 3


def test_a_line_that_touches_a_circle_parts_what_is_beside_it():
    found = made(line((0, 90), (200, 90)), Circle((100, 50), 40), seeds=[((10, 95), RED)])
    assert area_at(found, 10, 95) == pytest.approx(200 * 10, rel=1e-9)
    assert not [each for each in found.flaws if each.kind != "no-seed"]


def test_crossing_lines_part_the_picture_into_four_triangles():
    found = made(line((0, 0), (200, 100)), line((0, 100), (200, 0)))
    assert [each.area.area for each in found.regions] == pytest.approx([5000] * 4)


@pytest.mark.parametrize("miss", [-0.01, 0.0, 0.01, 0.049])
def test_a_line_that_misses_another_by_a_hair_meets_it(miss):
    found = made(line((0, 40), (200, 40)), line((70, 100), (70, 40 + miss)))
    assert area_at(found, 10, 90) == pytest.approx(70 * 60, abs=1e-6)
    assert area_at(found, 190, 90) == pytest.approx(130 * 60, abs=1e-6)
    assert {each.kind for each in found.flaws} == {"no-seed"}


@pytest.mark.parametrize("miss", [(0.03, 0), (0, -0.03), (-0.02, 0.02)])
def test_ends_that_miss_each_other_by_a_hair_are_one_corner(miss):
    ends = line((50, 20), (90, 80)), line((90 + miss[0], 80 + miss[1]), (10, 80), (50, 20))
    found = made(*ends)
    assert area_at(found, 50, 50) == pytest.approx(80 * 60 / 2, abs=3)
    assert len(found.regions) == 2


def test_an_arc_that_falls_short_of_a_line_keeps_its_circle():
    short = arc(
        (50, 59.98), (150, 59.98), 50
    )  # half a circle: a new centre would be millimetres off
    found = made(line((0, 60), (200, 60)), short)
    assert area_at(found, 100, 40) == pytest.approx(math.pi * 50**2 / 2, rel=1e-3)


def test_a_border_that_ends_in_the_open_breaks_no_region_and_is_told_where():
    found = made(line((100, 0), (100, 100)), line((100, 30), (150, 45), (160, 70)))
    assert area_at(found, 150, 20) == pytest.approx(100 * 100)
    (told,) = [each for each in found.flaws if each.kind == "loose-end"]
    assert told.at == (160, 70)
    assert told.border == 1


def test_a_line_that_runs_past_its_crossing_is_told_where_it_ends():
    found = made(line((0, 40), (200, 40)), line((70, 100), (70, 32)))
    assert [each.at for each in found.flaws if each.kind == "loose-end"] == [(70, 32)]
    assert len(found.regions) == 3


def test_a_line_may_run_past_the_outline():
    outline = line((0, 0), (200, 0), (200, 100), (100, 100), (0, 0))
    found = made(line((-20, 50), (230, 50)), outline=outline)
    assert sorted(each.area.area for each in found.regions) == pytest.approx(
        [
            (150 + 100) / 2 * 50,
            (200 + 150) / 2 * 50,
        ]
    )
    assert {each.kind for each in found.flaws} == {"no-seed"}


def test_a_circle_tied_to_the_edge_by_a_line_is_told():
    found = made(Circle((100, 50), 20), line((0, 50), (80, 50)))
    (told,) = [each for each in found.flaws if each.kind == "parts-nothing"]
    assert told.at == pytest.approx((40, 50))
    assert told.border == 1


def test_borders_drawn_twice_are_one():
    twice = line((50, 0), (50, 100)), line((50, 30), (50, 70)), Circle((130, 50), 30)
    found = made(*twice, Circle((130, 50), 30), Circle((130.004, 50), 30.002))
    assert len(found.regions) == 3
    assert area_at(found, 130, 50) == pytest.approx(math.pi * 900, rel=1e-3)


def test_seeds_that_fill_nothing_are_told_where():
    seeds = [((100.01, 10), RED), ((150, 50), BLUE), ((160, 60), BLUE), ((170, 90), GOLD),
             ((300, 50), RED)]  # fmt: skip
    found = made(line((100, 0), (100, 100)), seeds=seeds)
    told = {each.kind: (each.at, each.seed) for each in found.flaws}
    assert told["on-border"] == ((100.01, 10), 0)
    assert told["two-colours"] == ((170, 90), 3)
    assert told["outside"] == ((300, 50), 4)
    assert {each.colour for each in found.regions} == {None, BLUE}


def test_a_region_without_a_seed_has_no_colour_and_is_told_inside_it():
    found = made(line((100, 0), (100, 100)), seeds=[((150, 50), BLUE)])
    (told,) = found.flaws
    (bare,) = [each.area for each in found.regions if each.colour is None]
    assert told.kind == "no-seed"
    assert bare.contains(shapely.Point(told.at))


def test_neighbours_share_their_vertices_to_the_bit():
    found = made(
        Circle((80, 50), 40), Circle((120, 50), 31), line((0, 40), (200, 61)),
        arc((10, 100), (150, 0), 90, sweep=False),
    )  # fmt: skip
    edges = {}
    for region in found.regions:
        for ring in (region.area.exterior, *region.area.interiors):
            for pair in pairwise(ring.coords):
                edges.setdefault(frozenset(pair), []).append(region)
    alone = [edge for edge, sides in edges.items() if len(sides) != 2]
    assert all(  # what has one side only lies on the picture's edge
        shapely.LineString(sorted(edge)).distance(shapely.box(0, 0, 200, 100).boundary) == 0
        for edge in alone
    )
    assert shapely.coverage_is_valid([region.area for region in found.regions])


def test_regions_hold_under_many_random_borders():
    """No outside answer: only that they tile, whatever crosses (areas are summed in `made`)."""
    dice = random.Random(16)  # noqa: S311  not for secrets
    for _ in range(25):
        borders = []
        for _ in range(dice.randrange(3, 25)):
            kind = dice.random()
            a, b = ((dice.randrange(0, 200), dice.randrange(0, 100)) for _ in range(2))
            if kind < 0.4 or a == b:
                borders.append(line(a, (b[0] + 1, b[1] + 1)) if a == b else line(a, b))
            elif kind < 0.7:
                borders.append(Circle(a, dice.choice([5, 10, 12.5, 20, 40])))
            else:
                borders.append(
                    arc(a, b, math.dist(a, b) * dice.choice([0.5, 0.6, 1, 3]),
                        large=dice.random() < 0.5, sweep=dice.random() < 0.5)
                )  # fmt: skip
        made(*borders)
