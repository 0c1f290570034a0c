"""Rows that look like lettering are found, and rows of ornaments are not.

Letters are strokes of the labels' own alphabet made 12 mm wide on a height of 60.
"""

import math

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, Polygon, box
from shapely.affinity import rotate, scale, skew, translate

from mateline.curves import flattened
from mateline.drawing.shapes import Drawing, Shape
from mateline.placing.letter_rows import letter_rows, rows_of
from mateline.placing.placed import PlacedArt
from mateline.stencil.lettering.single_stroke import CAP, letters

HEIGHT = 60.0


def word(text, pen=12.0):
    """The letters of a word, y down, beside one another."""
    times = HEIGHT / CAP
    found = []
    for x, strokes in letters(text):
        lines = [LineString(flattened(stroke, 0.05)) for stroke in strokes]
        letter = shapely.union_all([line for line in lines if line.length > 0])
        letter = scale(translate(letter, x), times, -times, origin=(0, 0))
        found.append(letter.buffer(pen / 2, cap_style="square", join_style="round"))
    return found


def star(points, inner=0.45):
    angles = np.arange(2 * points) * math.pi / points + math.pi / 2
    radii = np.where(np.arange(2 * points) % 2, 30 * inner, 30)
    return Polygon(np.column_stack([radii * np.cos(angles), radii * np.sin(angles)]))


GULL = Polygon([(0, 0), (20, 18), (40, 4), (70, 30), (42, 16), (22, 30)])
DISC = Point(0, 0).buffer(30)
DIAMOND = rotate(box(-21, -21, 21, 21), 45)
SQUARE = box(-30, -30, 30, 30)
RING = DISC.difference(Point(0, 0).buffer(18))
CROSS = box(-30, -10, 30, 10).union(box(-10, -30, 10, 30))
PATCH = Polygon([(-30, -30), (30, -30), (-30, 30)])
HEART = Polygon([(0, -30), (30, 10), (15, 30), (0, 18), (-15, 30), (-30, 10)])


def row(shapes, pitch=80.0):
    return [translate(shape, pitch * at) for at, shape in enumerate(shapes)]


def found(areas, colours=None):
    return rows_of(areas, colours or ["red"] * len(areas))


@pytest.mark.parametrize(
    "text", ["HARBOUR", "PIER", "LUCKY", "SKEE", "ARCADE", "BALL", "CAFE", "1927", "500", "GRAND"]
)
def test_words_are_rows(text):
    assert found(word(text)) == (tuple(range(len(text))),)


@pytest.mark.parametrize("pen", [6.0, 12.0, 16.0])
@pytest.mark.parametrize("lean", [0.0, 15.0])
def test_words_are_rows_in_other_hands(pen, lean):
    assert len(found([skew(each, lean, 0, origin=(0, 0)) for each in word("HARBOUR", pen)])) == 1


def test_a_word_in_one_shape_is_a_row():
    assert found([shapely.MultiPolygon(word("PIER"))]) == ((0,),)


def test_a_word_that_runs_up_is_a_row():
    assert len(found([rotate(each, -90, origin=(0, 0)) for each in word("PIER")])) == 1


def test_letters_above_one_another_are_a_row():
    stacked = []
    for at, letter in enumerate(word("PIER")):
        x = letter.centroid.x
        stacked.append(translate(letter, -x, at * 90))
    assert len(found(stacked)) == 1


def test_letters_of_many_colours_are_no_row():
    """A row is of one colour, so that patches of a quilt are not compared with each other."""
    assert found(word("PIER"), ["red", "blue", "gold", "sea"]) == ()


@pytest.mark.parametrize(
    "shapes",
    [
        [DISC] * 6,
        [DIAMOND] * 6,
        [DISC, DIAMOND, SQUARE] * 3,
        [star(5), star(6), star(8), star(5)],
        [star(5), DISC, CROSS, HEART, RING] * 2,
        [RING] * 5,
        [GULL] * 5,
        [PATCH, rotate(PATCH, 90), rotate(PATCH, 180), rotate(PATCH, 270)] * 2,
        [SQUARE] * 8,
    ],
    ids=["discs", "diamonds", "plain", "stars", "mixed", "rings", "gulls", "patches", "squares"],
)  # fmt: skip
def test_ornaments_are_no_rows(shapes):
    assert found(row(shapes)) == ()


def test_a_chequer_is_no_row():
    squares = [box(x, y, x + 30, y + 30) for x in range(0, 300, 60) for y in range(0, 300, 60)]
    assert found(squares) == ()


@pytest.mark.parametrize("text", ["TOMATO", "AVATAR"[:5], "WOW", "OXO"])
def test_letters_that_are_their_own_mirror_images_are_no_row(text):
    assert found(word(text)) == ()


@pytest.mark.parametrize("seed", range(6))
def test_shapes_strewn_at_random_are_no_rows(seed):
    rng = np.random.default_rng(seed)
    strewn = [
        translate(scale(GULL, size, size), *rng.uniform(0, 2000, 2))
        for size in rng.uniform(0.3, 2, 60)
    ]
    assert found(strewn) == ()


@pytest.mark.parametrize("seed", range(6))
def test_rows_of_random_symmetric_shapes_are_no_rows(seed):
    """Polygons with a random half and its mirror image, cut in facets that differ on both sides."""
    rng = np.random.default_rng(seed)
    shapes = []
    for _ in range(8):
        heights = np.sort(rng.uniform(-30, 30, 7))
        half = Polygon([(0, -30), *zip(rng.uniform(8, 30, 7), heights, strict=True), (0, 30)])
        other = shapely.segmentize(scale(half, -1, 1, origin=(0, 0)), 3.0)
        shapes.append(shapely.union(half, other))
    assert found(row(shapes)) == ()


@pytest.mark.parametrize(
    ("how", "asked"),
    [
        ({"mirrored": True}, True),
        ({"mirrored": False}, False),
        ({"mirrored": True, "positions": ()}, False),
        ({"mirrored": True, "one_way": ("#l0", "#l2", "#l3")}, False),
    ],
)
def test_only_letters_that_were_mirrored_and_that_nobody_named_are_told(how, asked):
    shapes = tuple(Shape(area, "red", f"#l{at}") for at, area in enumerate(word("SKEE")))
    names = {shape.element: (at,) for at, shape in enumerate(shapes)}
    drawing = Drawing("sign", (0, 0, 400, 60), (1, 0, 0, -1, 0, 60), shapes, (), names, {})
    there = tuple(
        Shape(translate(scale(each.area, -1, 1, origin=(0, 0)), 500), "red", each.element)
        for each in shapes
    )
    art = PlacedArt(0, "sign", "right", there, **{"positions": (0, 1, 2, 3), **how})
    rows = letter_rows((art,), {"sign": drawing})
    assert [(row.face, row.drawing, row.elements) for row in rows] == [
        ("right", "sign", ("#l0", "#l1", "#l2", "#l3"))
    ] * asked
    for row in rows:
        middle = shapely.MultiPoint([shape.area.centroid for shape in there]).centroid
        assert row.at == pytest.approx((middle.x, middle.y))
