"""What keeps its form when a drawing is bent: lines, circles, arcs, and borders that are shared.

The bend is that of a square 400 by 500 whose upper right corner goes 8 mm to the left and 6 down.
"""

import math

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, Polygon, box

from mateline.drawing.shapes import Shape
from mateline.placing.warping.carriers import forms_of
from mateline.placing.warping.warp import warp_to, warped

UNIT = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
SQUARE = np.array([(0.0, 0.0), (400.0, 0.0), (400.0, 500.0), (0.0, 500.0)])
GOALS = np.array([(0.0, 0.0), (400.0, 0.0), (392.0, 494.0), (0.0, 500.0)])
BEND = warp_to(UNIT, UNIT, SQUARE, GOALS)


def laid(*areas):
    return BEND.laid([Shape(area, "red", str(at)) for at, area in enumerate(areas)])


def points(area):
    return shapely.get_coordinates(area)[:-1]


def off_line(places, start, end):
    """How far places lie off the line through two."""
    way = np.array(end) - start
    away = np.array(places) - start
    return np.abs(away[:, 0] * way[1] - away[:, 1] * way[0]) / np.hypot(*way)


def circle(a, b, c):
    """Centre and radius of the circle through three points, by the perpendicular bisectors."""
    rows = 2 * np.array([b - a, c - a])
    centre = np.linalg.solve(rows, [(b * b - a * a).sum(), (c * c - a * a).sum()])
    return centre, np.hypot(*(a - centre))


def off_circle(places):
    third = len(places) // 3
    centre, radius = circle(places[0], places[third], places[2 * third])
    return np.abs(np.hypot(*(places - centre).T) - radius).max(), centre, radius


def test_corners_go_just_where_they_should():
    (found,) = laid(Polygon(SQUARE))
    assert {tuple(each) for each in points(found).tolist()} == {tuple(g) for g in GOALS.tolist()}


def test_a_border_with_vertices_on_it_stays_straight():
    many = shapely.segmentize(box(37, 120, 371, 410), 7.0)
    (found,) = laid(many)
    (corners,) = laid(box(37, 120, 371, 410))
    for start, end in zip(points(corners), np.roll(points(corners), -1, axis=0), strict=True):
        own = [p for p in points(found) if LineString([start, end]).distance(Point(p)) < 1.0]
        assert len(own) > 40
        assert off_line(own, start, end).max() < 1e-9


def test_what_lies_on_a_line_follows_the_map_along_it():
    (found,) = laid(Polygon([(50, 100), (200, 100), (350, 100), (350, 300), (50, 300)]))
    start, middle, end = points(found)[:3]
    there = BEND.points(np.array([(200.0, 100.0)]))[0]
    assert off_line([middle], start, end).max() < 1e-9
    assert np.dot(there - middle, end - start) == pytest.approx(0, abs=1e-6)


def test_a_border_goes_on_in_one_line_behind_what_crosses_it():
    """Two bars that a sign parts, as a tiling has them: four edges, two lines."""
    left, right, sign = box(20, 200, 150, 260), box(250, 200, 390, 260), box(150, 180, 250, 300)
    one, other, _ = laid(left, right, sign)
    for at in (0, 1, 2, 3):  # of the bar's corners, both lower or both upper ones
        low = np.vstack([points(one), points(other)])[[at, at + 4]]
        assert off_line(low, *_ends(one, other, at in _upper(one))).max() < 1e-9


def _upper(area):
    ring = points(area)
    return {at for at in range(4) if ring[at, 1] > ring[:, 1].mean()}


def _ends(one, other, upper):
    """The outer ends of the upper or the lower line of two bars."""
    left = [p for at, p in enumerate(points(one)) if (at in _upper(one)) == upper]
    right = [p for at, p in enumerate(points(other)) if (at in _upper(other)) == upper]
    return min(left, key=lambda p: p[0]), max(right, key=lambda p: p[0])


@pytest.mark.parametrize("holds", [(), ("line",), ("line", "half")])
def test_a_circle_stays_one(holds):
    """Alone; cut by a line that runs on on both sides of it; and of two halves."""
    disc = Point(260, 310).buffer(70, 48)
    ground = [box(10, 310, 390, 490)] if "line" in holds else []
    if "half" in holds:
        low, high = box(0, 0, 400, 310), box(0, 310, 400, 500)
        ground = [low.difference(disc), high.difference(disc), disc.intersection(low)]
        disc = disc.intersection(high)
    found = laid(*ground, disc)[-1]
    ring = points(found)
    if "half" in holds:  # without the straight side between its ends
        ring = np.array([p for p in ring if not _on_side(p, ring)])
    off, centre, radius = off_circle(ring)
    assert off < 1e-9
    # its middle goes where the smooth map takes it, and areas grow as there: by its slopes
    there = BEND.points(np.array([(260.0, 310.0)]))[0]
    step = 1e-3 * np.array([(1, 0), (-1, 0), (0, 1), (0, -1)]) + (260.0, 310.0)
    right, left, up, down = BEND.points(step) / 2e-3
    (a, b), (c, d) = right - left, up - down
    assert centre == pytest.approx(there, abs=1e-9)
    assert radius == pytest.approx(70 * math.sqrt(a * d - b * c), abs=1e-4)


def _on_side(place, ring):
    """Whether a vertex of a half disc lies inside its widest chord."""
    apart = np.hypot(*(ring[:, None] - ring[None]).transpose(2, 0, 1))
    first, last = np.unravel_index(apart.argmax(), apart.shape)
    chord = LineString([ring[first], ring[last]])
    return (
        chord.distance(Point(place)) < 1e-6
        and min(np.hypot(*(ring[at] - place)) for at in (first, last)) > 1e-6
    )


def test_the_line_through_a_circle_is_one_on_both_sides_and_ends_on_it():
    disc = Point(200, 250).buffer(60, 32)
    high, low = box(0, 250, 400, 500).difference(disc), box(0, 0, 400, 250).difference(disc)
    top, _, ball = laid(high, low, disc)
    line = sorted(points(top)[points(high)[:, 1] == 250].tolist())
    assert len(line) == 4
    assert off_line(line, line[0], line[-1]).max() < 1e-9
    _, centre, radius = off_circle(points(ball))
    assert [math.dist(p, centre) for p in line[1:3]] == pytest.approx([radius] * 2, abs=1e-9)


def test_rings_about_one_middle_keep_it():
    outer, inner = laid(*(Point(290, 380).buffer(reach, 32) for reach in (90, 40)))
    _, one, wide = off_circle(points(outer))
    _, other, narrow = off_circle(points(inner))
    assert one == pytest.approx(other, abs=1e-9)
    assert wide / narrow == pytest.approx(90 / 40)


def test_the_corners_of_a_rounded_box_stay_arcs_and_nearly_tangent():
    area = box(60, 60, 340, 440).buffer(20, 24)
    (found,) = laid(area)
    before, after = points(area), points(found)
    for x, y in [(60, 60), (340, 60), (340, 440), (60, 440)]:
        quarter = np.abs(np.hypot(*(before - (x, y)).T) - 20) < 1e-9
        off, _, radius = off_circle(after[quarter])
        assert off < 1e-9
        assert radius == pytest.approx(20, rel=0.03)
    way = np.roll(after, -1, axis=0) - after
    turns = np.angle(np.roll(way[:, 0] + 1j * way[:, 1], -1) / (way[:, 0] + 1j * way[:, 1]))
    # Facets turn by 90° / 24; where arcs meet lines by half as much, and by what the bend does:
    # shear of 8 in 400 at most, 1.1°
    assert np.degrees(np.abs(turns)).max() < 90 / 24 + 1.2


def test_neighbours_share_their_border_to_the_last_bit():
    """A tiling of nine with a wave, a circle and a line between them."""
    wave = Polygon(
        [(x, 240 + 30 * math.sin(x / 40)) for x in range(0, 404, 4)] + [(400, 500), (0, 500)]
    )
    disc = Point(120, 330).buffer(50, 16)
    ground = box(0, 0, 400, 500)
    tiles = []
    for area in (disc, wave.difference(disc), ground.difference(wave)):
        tiles += [area.intersection(box(x, 0, x + 150, 500)) for x in (0, 150, 300)]
    tiles = [tile for tile in tiles if not tile.is_empty]
    found = laid(*tiles)
    assert shapely.is_valid(found).all()
    assert shapely.area(found).sum() == pytest.approx(shapely.union_all(found).area, abs=1e-9)
    assert shapely.union_all(found).area == pytest.approx(Polygon(GOALS).area, abs=1e-6)
    table = dict(zip(map(tuple, shapely.get_coordinates(tiles).tolist()),
                     map(tuple, shapely.get_coordinates(found).tolist()), strict=True))  # fmt: skip
    for place, there in zip(shapely.get_coordinates(tiles).tolist(),
                            shapely.get_coordinates(found).tolist(), strict=True):  # fmt: skip
        assert table[tuple(place)] == tuple(there)


def test_lines_that_end_on_each_other_in_a_ring_stay_straight():
    """A pinwheel: four bars about a square, each of which ends on the next."""
    bars = [box(20, 20, 250, 170), box(250, 20, 380, 300), box(150, 300, 380, 480),
            box(20, 170, 150, 480), box(150, 170, 250, 300)]  # fmt: skip
    found = laid(*bars)
    assert shapely.area(found).sum() == pytest.approx(shapely.union_all(found).area, abs=1e-7)
    ring = points(found[4])  # its corners lie on the sides of the four
    sides = np.vstack([points(area) for area in found[:4]])
    for at in range(4):
        start, end = ring[at], ring[(at + 1) % 4]
        own = [p for p in sides if off_line([p], start, end)[0] < 0.5]
        assert len(own) >= 3
        assert off_line(own, start, end).max() < 1e-8


def test_three_lines_through_one_place_let_the_shortest_bend_there():
    star = [Polygon([(200, 250), (200 + 150 * math.cos(a), 250 + 150 * math.sin(a)),
                     (200 + 150 * math.cos(b), 250 + 150 * math.sin(b))])
            for a, b in zip(np.arange(6) * math.pi / 3, np.arange(1, 7) * math.pi / 3,
                            strict=True)]  # fmt: skip
    found = laid(*star)
    middles = {tuple(points(area)[0]) for area in found}
    assert len(middles) == 1
    assert shapely.area(found).sum() == pytest.approx(shapely.union_all(found).area, abs=1e-9)


def test_a_turn_and_a_scale_are_carried_out_just_so():
    """Turned by a quarter and made half as large, circles and all."""
    turned = np.array([[0.0, -0.5, 300.0], [0.5, 0.0, 10.0]])
    goals = np.column_stack([300 - SQUARE[:, 1] / 2, 10 + SQUARE[:, 0] / 2])
    bend = warp_to(UNIT, turned, SQUARE, goals)
    area = box(30, 40, 350, 400).buffer(12, 16).difference(Point(150, 200).buffer(60))
    (found,) = bend.laid([Shape(area, "red", "a")])
    there = shapely.transform(
        area, lambda p: np.column_stack([300 - p[:, 1] / 2, 10 + p[:, 0] / 2])
    )
    assert np.abs(shapely.get_coordinates(found) - shapely.get_coordinates(there)).max() < 1e-9
    assert bend.stretch == pytest.approx(0.5)
    assert warped("corners", turned, SQUARE, goals).moved == 0
    assert warped("corners", turned, SQUARE, goals).scales == (0.5, 0.5)


def test_how_far_a_drawing_is_bent_is_told_of_the_worst_point():
    square = np.array([(0.0, 0.0), (300.0, 0.0), (300.0, 300.0), (0.0, 300.0)])
    moved = square + np.array([(3, 0), (-3, 0), (3, 4), (-3, 0)])
    told = warped("landmarks", UNIT, square, moved)
    assert (told.moved, told.at, told.scales) == (5, (303, 304), (1, 1))


def test_a_map_that_folds_says_so():
    near = np.array([(0.0, 0.0), (400.0, 0.0), (400.0, 500.0), (0.0, 500.0),
                     (200.0, 250.0), (201.0, 250.0)])  # fmt: skip
    swapped = near.copy()
    swapped[4:] = near[[5, 4]] + [(4, 0), (-4, 0)]
    assert warp_to(UNIT, UNIT, near, swapped).folds(near[4:])
    assert not BEND.folds(shapely.get_coordinates(shapely.segmentize(Polygon(SQUARE), 20.0)))


def test_nothing_is_laid_where_nothing_is():
    assert len(BEND.laid([])) == 0


def test_forms_are_the_distinct_vertices_and_what_they_lie_on():
    """Two boxes side by side: eight corners of which two are shared, five lines."""
    areas = np.array([box(0, 0, 10, 10), box(10, 0, 20, 10)], dtype=object)
    forms = forms_of(areas)
    assert len(forms.vertices) == 6
    assert len(forms.places) == 10
    assert sorted((round(each.reach), len(each.between)) for each in forms.carriers) == [
        (10, 0), (10, 0), (10, 0), (20, 1), (20, 1)]  # fmt: skip
