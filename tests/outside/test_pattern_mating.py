"""Two published sets of shapes that tile their board exactly.

Source: R. Dighe and M. J. Jakiela, "Solving Pattern Nesting Problems with Genetic Algorithms
Employing Task Decomposition and Contact Detection", Evolutionary Computation 3 (1996),
239-266; shapes from the ESICUP data sets dighe1 and dighe2 (CC0). The sets give the shapes and
the known optimum, 100 by 100; where each one lies was found here by a search.
"""

import itertools

import numpy as np
import pytest
import shapely
from shapely import Polygon, box

from mateline.borders.refit import refit
from mateline.drawing.shapes import Shape
from mateline.pattern.pattern import Tiling, pattern_of, tiling

DIGHE1 = (
    "0,0 35,0 0,34|35,0 68,0 53,15|68,0 100,0 100,41 82,33|35,0 53,15 51,38 48,62 39,57 0,34|"
    "53,15 68,0 82,33 76,34 51,38|0,34 39,57 20,60 0,100|51,38 76,34 78,52 80,73 73,71 48,62|"
    "76,34 82,33 100,41 78,52|78,52 100,41 80,73|80,73 100,41 100,78|48,62 73,71 47,77|"
    "20,60 39,57 48,62 47,77 44,100|20,60 44,100 0,100|47,77 73,71 80,73 44,100|"
    "44,100 80,73 100,100|80,73 100,78 100,100"
)
DIGHE2 = (
    "0,0 33,0 33,19 3,11|33,0 75,0 70,30 33,19|75,0 100,0 100,51 70,30|0,0 3,11 7,33 8,38 0,36|"
    "3,11 33,19 70,30 59,40 7,33|70,30 100,51 100,100 66,100 54,72 47,53 59,40|"
    "7,33 59,40 47,53 54,72 10,63 8,38|0,36 8,38 10,63 12,100 0,100|10,63 54,72 26,100 12,100|"
    "26,100 54,72 66,100"
)
BOARD = box(0, 0, 100, 100)


def pieces(text):
    return [
        Polygon([tuple(map(float, point.split(","))) for point in piece.split()])
        for piece in text.split("|")
    ]


@pytest.fixture(params=[DIGHE1, DIGHE2], ids=["dighe1", "dighe2"])
def mating(request):
    return pieces(request.param)


def painted(areas):
    return [Shape(area, f"#{at + 1:06x}", f"piece {at}") for at, area in enumerate(areas)]


def test_the_set_covers_its_board_exactly(mating):
    assert sum(piece.area for piece in mating) == 10_000


def test_every_piece_is_one_region_and_nothing_is_left(mating):
    pattern = pattern_of(painted(mating), BOARD, base="#ffffff")
    assert tiling(pattern, BOARD) == Tiling(0.0, 0.0, 0)
    assert sorted(region.area.area for region in pattern.regions) == sorted(
        piece.area for piece in mating
    )
    assert sum(region.area.area for region in pattern.regions) == 10_000


def test_each_border_lies_between_two_pieces_that_touch(mating):
    pattern = pattern_of(painted(mating), BOARD, base="#ffffff")
    shared = {(b.left, b.right) for b in pattern.borders if -1 not in {b.left, b.right}}
    touching = {
        frozenset(pair)
        for pair in itertools.combinations(range(len(mating)), 2)
        if shapely.intersection(*(mating[at] for at in pair)).length > 1e-9
    }
    number = {next(iter(region.sources)): at for at, region in enumerate(pattern.regions)}
    assert {frozenset(pair) for pair in shared} == {
        frozenset(number[at] for at in pair) for pair in touching
    }


def test_nodes_borders_and_regions_obey_eulers_formula(mating):
    pattern = pattern_of(painted(mating), BOARD, base="#ffffff")
    assert len(pattern.nodes) - len(pattern.borders) + len(pattern.regions) == 1


def test_straight_pieces_come_back_with_their_own_corners(mating):
    pattern = pattern_of(painted(mating), BOARD, base="#ffffff")
    corners = {point for chain in refit(pattern) for point in chain.points}
    given = {tuple(p) for piece in mating for p in shapely.get_coordinates(piece).tolist()}
    assert corners <= given
    assert not any(s.centre for chain in refit(pattern) for s in chain.segments)


def test_the_order_of_painting_does_not_matter(mating):
    order = np.random.default_rng(7).permutation(len(mating))
    shapes = painted(mating)
    one = pattern_of(shapes, BOARD, base="#ffffff")
    other = pattern_of([shapes[at] for at in order], BOARD, base="#ffffff")
    assert [(r.colour, r.area.area) for r in one.regions] == [
        (r.colour, r.area.area) for r in other.regions
    ]


def test_a_piece_pulled_away_leaves_a_gap_of_the_base_coat(mating):
    moved = [
        *mating[:-1],
        shapely.transform(mating[-1], lambda points: points + np.array([0.25, 0])),
    ]
    pattern = pattern_of(painted(moved), BOARD, base="#ffffff")
    bare = sum(region.area.area for region in pattern.regions if region.colour == "#ffffff")
    gap = BOARD.difference(shapely.union_all(moved)).area
    assert gap > 0
    assert bare == pytest.approx(gap, rel=1e-9)
