"""Small faces whose borders are known, and scenes: what tracing makes of them."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from scipy import ndimage
from shapely import Point, box

from mateline import curves
from mateline.capture.fitting.planarity import tiled
from mateline.capture.picture import encoded
from mateline.capture.tracing.trace import fit, traced
from mateline.pattern.tiling import Tiling
from scenes.flat import flat

DARK, PALE, RED = (0.02, 0.02, 0.03), (0.8, 0.75, 0.6), (0.45, 0.03, 0.02)
FACE = box(0, 0, 160, 60)
CORNERS = tuple(FACE.exterior.coords)[:-1]


def half_planes():
    """Dark left of x = 100.37, pale right of it: each column the mixture that it covers exactly."""
    picture, labels = flat([(box(100.37, -1, 200, 99), 1)], FACE, [DARK, PALE])
    grid = picture.grid
    left = grid.left + np.arange(grid.columns) * grid.pitch
    share = np.clip((left + grid.pitch - 100.37) / grid.pitch, 0, 1)
    share = ndimage.gaussian_filter1d(share, 0.7)[None, :, None]
    light = (1 - share) * np.array(DARK) + share * np.array(PALE)
    light = np.repeat(light, grid.rows, axis=0).astype(np.float32)
    return replace(picture, light=light), labels


def inner(made):
    return [each for each in made.borders if -1 not in (each.left, each.right)]


def test_a_border_between_pixels_is_found_to_a_hundredth_of_a_millimetre():
    picture, labels = half_planes()
    (border,) = inner(traced(labels, picture, CORNERS))
    (segment,) = border.chain.segments
    assert segment.centre is None
    for x, _ in border.chain.points:
        assert x == pytest.approx(100.37, abs=0.01)
    assert sorted(y for _, y in border.chain.points) == [0.0, 60.0]


@pytest.mark.parametrize(("blur", "near"), [(0.7, 0.03), (1.1, 0.09)])
def test_a_stripe_of_four_pixels_is_found_too(blur, near):
    # No whole profile has room in it; one that ends in its middle has.
    low, high = 100.37, 102.05
    picture, labels = flat([(box(low, -1, high, 99), 1)], FACE, [DARK, PALE])
    grid = picture.grid
    left = grid.left + np.arange(grid.columns) * grid.pitch
    share = (np.clip(high - left, 0, grid.pitch) - np.clip(low - left, 0, grid.pitch)) / grid.pitch
    share = ndimage.gaussian_filter1d(share, blur)[None, :, None]
    light = (1 - share) * np.array(DARK) + share * np.array(PALE)
    picture = replace(picture, light=np.repeat(light, grid.rows, axis=0).astype(np.float32))
    one, other = inner(traced(labels, picture, CORNERS))
    for border in (one, other):
        (segment,) = border.chain.segments
        assert segment.centre is None
    places = sorted(border.chain.start[0] for border in (one, other))
    assert places == pytest.approx([low, high], abs=near)


def test_in_srgb_the_same_border_would_move_towards_the_dark():
    # Half a pixel of pale is far more than half way from dark to pale in sRGB.
    picture, labels = half_planes()
    bent = replace(picture, light=encoded(picture.light))
    (border,) = inner(traced(labels, bent, CORNERS))
    for x, _ in border.chain.points:
        assert x < 100.37 - 0.05


#  60 +-------+---+
#     |  1   /| 2 |      The border of 1 goes straight on behind nothing; 2 meets it at (80, 30).
#  30 |     / +---+
#   0 +----/--|---+
def test_a_border_goes_on_in_one_line_where_another_meets_it():
    slope = shapely.Polygon([(70, -1), (90, 61), (200, 61), (200, -1)])
    low = shapely.Polygon([(70, -1), (80, 30), (200, 30), (200, -1)])
    picture, labels = flat([(slope, 1), (low, 2)], FACE, [DARK, PALE, RED])
    made = traced(labels, picture, CORNERS)
    (node,) = [each for each in made.nodes if 1 < each[1] < 59 and 1 < each[0] < 159]
    assert node == pytest.approx((80, 30), abs=0.02)
    ways = []
    for border in inner(made):
        points = border.chain.points if border.chain.start == node else border.chain.points[::-1]
        ways.append(math.atan2(points[1][1] - node[1], points[1][0] - node[0]))
    turned = [abs(abs(a - b) - math.pi) for a in ways for b in ways if a < b]
    assert min(turned) < 1e-6


def test_a_circle_is_carried_on_across_a_chip():
    disc = Point(80, 30).buffer(20, quad_segs=200)
    picture, labels = flat([(disc, 1)], FACE, [PALE, DARK], hidden=Point(97, 40).buffer(8))
    (border,) = inner(traced(labels, picture, CORNERS))
    assert len(border.chain.segments) == 2
    for segment in border.chain.segments:
        assert segment.centre == pytest.approx((80, 30), abs=0.02)
        assert curves.radius(segment) == pytest.approx(20, abs=0.02)
    hidden = sum(to - at for at, to in border.guessed)
    assert 15 < hidden < 26  # the chip's width, and what a profile needs to be seen beside it
    assert border.error < 0.02


def test_a_corner_under_a_chip_is_where_its_sides_meet():
    picture, labels = flat(
        [(box(80, 30, 200, 99), 1)], FACE, [PALE, DARK], hidden=Point(80, 30).buffer(6)
    )
    rounded = labels.numbers.copy()  # behind the chip the label map cuts the corner
    grid = labels.grid
    row, column = np.indices(rounded.shape)
    places = grid.places(np.column_stack([column.ravel(), row.ravel()]).astype(float))
    cut = (places.sum(axis=1) < 80 + 30 + 4).reshape(rounded.shape)
    rounded[cut & (rounded == 1)] = 0
    (border,) = inner(traced(replace(labels, numbers=rounded), picture, CORNERS))
    assert len(border.chain.segments) == 2
    assert border.chain.points[1] == pytest.approx((80, 30), abs=0.05)


def test_regions_tile_the_outline_to_the_bit_of_its_corners():
    outline = shapely.Polygon([(0, 0), (160, 0), (140.1, 60), (0, 60)])
    picture, labels = flat(
        [(Point(70, 60).buffer(25), 1), (box(90, 20, 200, 40), 2)], outline, [PALE, DARK, RED]
    )
    corners = tuple(outline.exterior.coords)[:-1]
    made = fit(labels, picture, corners)
    assert (made.finer, made.rough) == ((), ())
    tiling, wrong = tiled(made.traced.borders, made.traced.regions)
    assert tiling == Tiling(0.0, 0.0, 0)
    assert len(wrong) == 0
    rim = {p for b in made.traced.borders if -1 in (b.left, b.right) for p in b.chain.points}
    assert set(corners) <= rim
    areas = sum(
        sum(_swept(made.traced.borders, at) for at in loop)
        for region in made.traced.regions
        for loop in region.loops
    )
    assert areas == pytest.approx(outline.area, rel=1e-9)


def _swept(borders, at):
    """The area between a border and the origin."""
    chain = borders[at].chain if at >= 0 else curves.backwards(borders[~at].chain)
    total, (ax, ay) = 0.0, chain.start
    for segment in chain.segments:
        bx, by = segment.to
        turn = curves.sweep((ax, ay), segment)
        total += (ax * by - bx * ay) / 2
        if segment.centre is not None:
            total += curves.radius(segment) ** 2 * (turn - math.sin(turn)) / 2
        ax, ay = bx, by
    return total


def test_specks_and_strips_of_mixed_pixels_are_no_regions():
    picture, labels = flat([(box(100.37, -1, 200, 99), 1)], FACE, [DARK, PALE, RED])
    spoilt = labels.numbers.copy()
    spoilt[10:13, 20:24] = 2  # twelve pixels, 1.9 mm²
    spoilt[30:130, 251] = 2  # a column of pixels that are half of either
    made = traced(replace(labels, numbers=spoilt), picture, CORNERS)
    assert [region.colour for region in made.regions] == ["colour 0", "colour 1"]
    (border,) = inner(made)
    assert len(border.chain.segments) == 1


def test_labels_and_picture_of_two_grids_are_refused():
    picture, labels = flat([], FACE, [DARK])
    with pytest.raises(ValueError, match="the picture on"):
        traced(labels, replace(picture, grid=replace(picture.grid, pitch=0.5)), CORNERS)
