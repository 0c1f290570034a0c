"""Which paths belong together, whatever the order and direction in which they were drawn."""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis.strategies import permutations, randoms

from mateline.drawing.dxf.entities import Open, backwards, bulged
from mateline.drawing.dxf.loops import joined
from mateline.drawing.fill_rule import enclosed
from mateline.drawing.flattening import flattened
from mateline.drawing.path import Line
from mateline.planar.affine import IDENTITY

JOIN = 0.05


def line(*points):
    return Open(points[0], tuple(Line(*point) for point in points[1:]), f"from {points[0]}")


def ring(*points):
    """One line for each side of a polygon."""
    return [line(a, b) for a, b in zip(points, [*points[1:], points[0]], strict=True)]


def box(x, y, wide, high):
    return ring((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))


def area(figure):
    lines = [flattened(subpath, IDENTITY, 1e-3) for subpath in figure.subpaths]
    if figure.parted:
        return shapely.union_all(shapely.polygonize(shapely.linestrings(lines))).area
    return enclosed(lines, evenodd=True).area


def drawn(random, paths):
    """The paths in another order, some of them backwards."""
    shuffled = random.sample(paths, len(paths))
    return [backwards(path) if random.random() < 0.5 else path for path in shuffled]


# Each with its total area and how many paths are left over.
FIGURES = {
    "a tail at a corner": ([*box(0, 0, 100, 50), line((-20, 0), (-5, 0)), line((-5, 0), (0, 0))],
                           5000, 2),
    "two cells and the line between them": (
        [*ring((0, 0), (50, 0), (100, 0), (100, 50), (50, 50), (0, 50)), line((50, 0), (50, 50))],
        5000, 0),
    "corner to corner": ([*box(0, 0, 50, 50), *box(50, 50, 30, 30)], 3400, 0),
    "a hole that touches the corner": ([*box(0, 0, 50, 50), *box(0, 0, 30, 30)], 1600, 0),
    "two crescents that share both tips": (
        [Open((0, 0), (bulged((0, 0), (100, 0), bulge),), str(bulge))
         for bulge in (1, 0.5, -0.5, -1)],
        # A disc of radius 50 less a lens of two segments of radius 62.5, each turning 4 atan 1/2.
        math.pi * 50**2 - 62.5**2 * (4 * math.atan(0.5) - math.sin(4 * math.atan(0.5))), 0),
}  # fmt: skip


@pytest.mark.parametrize("name", FIGURES)
@given(random=randoms(use_true_random=False))
def test_the_order_and_direction_of_drawing_make_no_difference(name, random):
    paths, known, left = FIGURES[name]
    found = joined(drawn(random, paths), JOIN)
    assert sum(map(area, found.figures)) == pytest.approx(known, rel=2e-4)
    assert len(found.left) == left
    assert all(figure.gap == 0 for figure in found.figures)


@given(permutations(box(0, 0, 10, 10) * 2))
def test_lines_drawn_twice_are_taken_once_and_told(paths):
    found = joined(paths, JOIN)
    assert [area(figure) for figure in found.figures] == [100]
    assert len(found.twice) == 4


def test_pieces_shorter_than_the_join_distance_make_a_curve():
    around = [math.tau * at / 2000 for at in range(2000)]
    (circle,) = joined(ring(*((math.cos(a), math.sin(a)) for a in around)), JOIN).figures
    assert area(circle) == pytest.approx(math.pi, rel=1e-5)
    assert circle.gap == 0


@pytest.mark.parametrize(("gap", "closes"), [(0.049, True), (0.051, False)])
def test_a_gap_is_closed_up_to_the_join_distance(gap, closes):
    paths = [*box(0, 0, 10, 10)[:3], line((0, 10), (0, gap))]
    found = joined(paths, JOIN)
    assert [figure.gap for figure in found.figures] == ([pytest.approx(gap)] if closes else [])
    assert len(found.left) == (0 if closes else 4)


def test_an_end_goes_to_the_nearest_of_several():
    """Two boxes a hair apart, whose own corners are nearer than the other box's."""
    first = [*box(0, 0, 10, 10)[:3], line((0, 10), (0, 0.01))]
    other = [
        line((-0.03, 0.02), (-0.03, 10)),
        *ring((-0.03, 10), (-9, 10), (-9, 0), (-0.03, 0))[:3],
    ]
    found = joined([*first, *other], JOIN)
    assert sorted(figure.gap for figure in found.figures) == pytest.approx([0.01, 0.02])


def test_a_speck_is_not_closed_on_itself():
    found = joined([line((0, 0), (0.01, 0), (0.01, 0.01)), *box(5, 5, 1, 1)], JOIN)
    assert [area(figure) for figure in found.figures] == [1]
    assert len(found.left) == 1
