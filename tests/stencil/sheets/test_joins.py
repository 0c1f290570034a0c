import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import Polygon, box

from mateline.curves import length
from mateline.stencil.board import Board, Punch
from mateline.stencil.sheets.joins import grid_for
from stencils import FRONT, board, painted_by, striped


def sheet(width, height):
    return Board(
        (width, height), 0.4, 6.0, 150.0, math.radians(12), (Punch(30, 12),), 150.0, 2.0, 0.2
    )


def grid_of(stencil, board):
    return grid_for(stencil.face, stencil.pattern, stencil.pieces, board)


def plain(width, height, shapes=()):
    return painted_by(board("front", FRONT, (width, height)), shapes)


def fewest(width, height, size):
    """Sheets of the smaller of both grids on a rectangle: rows times columns."""
    return min(
        math.ceil(width / a - 1e-9) * math.ceil(height / b - 1e-9)
        for a, b in (size, size[::-1])
    )  # fmt: skip


@pytest.mark.parametrize(
    ("face", "size"),
    [
        ((1200.0, 700.0), (762.0, 1016.0)),
        ((600.0, 1800.0), (762.0, 1016.0)),
        ((1524.0, 1016.0), (762.0, 1016.0)),
        ((1900.0, 1900.0), (500.0, 700.0)),
        ((400.0, 300.0), (762.0, 1016.0)),
    ],
)
def test_a_rectangle_takes_the_fewest_sheets_of_any_grid(face, size):
    grid = grid_of(plain(*face), sheet(*size))
    assert len(grid.sheets) == fewest(*face, size)
    for each in grid.sheets:
        x0, y0, x1, y1 = each.bounds
        wide, tall = size[::-1] if grid.turned else size
        assert x1 - x0 <= wide + 1e-6
        assert y1 - y0 <= tall + 1e-6


def test_sheets_tile_the_face():
    grid = grid_of(striped(board("front", FRONT, (1300.0, 1100.0))), sheet(500, 700))
    areas = [box(*each.bounds) for each in grid.sheets]
    assert sum(area.area for area in areas) == pytest.approx(1300 * 1100)
    assert shapely.union_all(areas).equals(box(0, 0, 1300, 1100))


def test_a_face_that_fits_a_sheet_has_no_join():
    grid = grid_of(plain(700, 900), sheet(762, 1016))
    assert (len(grid.sheets), grid.joins) == (1, ())


def test_a_line_runs_along_an_upright_border_where_it_can():
    """Two halves that meet at 640: the only place where nothing has to be taped."""
    grid = grid_of(plain(1200, 700, [("sea blue", box(640, 0, 1200, 700))]), sheet(762, 1016))
    assert [each.bounds[2] for each in grid.sheets] == [640, 1200]
    assert grid.joins == ()


def test_the_join_is_the_shortest_of_all_places():
    """Every 5 mm tried by hand; borders save what lies on them."""
    shapes = [("sea blue", box(520, 100, 900, 480)), ("sun yellow", box(700, 300, 800, 650))]
    stencil = plain(1200, 700, shapes)
    grid = grid_of(stencil, sheet(762, 1016))
    borders = shapely.union_all([piece.area.boundary for piece in stencil.pieces])
    best = min(
        shapely.difference(shapely.LineString([(x, 0), (x, 700)]), borders).length
        for x in np.arange(1200 - 762, 762.5, 1.0)
        if all(sound(piece.area, x) for piece in stencil.pieces)
    )
    assert sum(join.tape for join in grid.joins) == pytest.approx(best)
    assert best < 700


def sound(area, x):
    """No disc of the least width goes missing where a line at x cuts `area`, but in its corners."""
    halves = [area & box(-1, -1, x, 2000), area & box(x, -1, 2000, 2000)]
    parts = [part for half in halves for part in shapely.get_parts(half) if part.area > 0]
    return all(part.area >= 150 and not part.buffer(-3).is_empty for part in parts)


def test_no_part_of_a_piece_is_a_sliver():
    """A pale tower from 598 to 641: lines every 5 mm at 600, 635 and 640 would shave it."""
    shapes = [("sea blue", box(598, 200, 641, 700))]
    stencil = plain(1200, 700, shapes)
    grid = grid_of(stencil, sheet(640, 1016))
    x = grid.sheets[0].bounds[2]
    assert grid.slivers == ()
    assert not 592 < x < 604 or x == pytest.approx(598)
    assert not 635 < x < 641


def test_where_every_line_shaves_a_piece_it_says_so():
    """The sheet leaves 4 mm to choose from, all of it within 6 mm of the band's edge."""
    stencil = plain(1516, 1500, [("sea blue", box(700, 100, 761, 300))])
    grid = grid_of(stencil, sheet(760, 1505))
    assert len(grid.sheets) == 2
    (sliver,) = grid.slivers
    assert shapely.Point(sliver.at).within(box(700, 100, 761, 300))
    assert sliver.width == pytest.approx(761 - grid.xs[0])
    assert sliver.area == pytest.approx(200 * (761 - grid.xs[0]))


def test_joins_are_as_long_as_the_lines_less_the_borders_on_them():
    stencil = striped(board("front", FRONT, (1300.0, 1100.0)))
    grid = grid_of(stencil, sheet(500, 700))
    xs = sorted({each.bounds[2] for each in grid.sheets} - {1300.0})
    ys = sorted({each.bounds[3] for each in grid.sheets} - {1100.0})
    total = sum(join.tape for join in grid.joins)
    assert total == pytest.approx(len(xs) * 1100 + len(ys) * 1300, rel=1e-6)
    for join in grid.joins:
        middle = shapely.Point((join.start[0] + join.end[0]) / 2, (join.start[1] + join.end[1]) / 2)
        (piece,) = [piece for piece in stencil.pieces if piece.id == join.piece]
        assert piece.area.contains(middle)


def test_marks_cross_their_join_and_stay_in_their_piece():
    stencil = plain(1200, 700)
    (join,) = grid_of(stencil, sheet(762, 1016)).joins
    line = shapely.LineString([join.start, join.end])
    assert len(join.marks) == 3  # one tick and two: the sheets can't be put together upside down
    for mark in join.marks:
        assert length(mark) == pytest.approx(12)
        assert shapely.LineString(mark.points).crosses(line)
        assert box(0, 0, 1200, 700).covers(shapely.LineString(mark.points))


def test_an_l_shaped_face_needs_no_sheet_for_its_empty_corner():
    face = Polygon([(0, 0), (1200, 0), (1200, 400), (500, 400), (500, 1000), (0, 1000)])
    stencil = plain(1200, 1000)
    cut = replace(stencil, face=replace(stencil.face, outline=face))
    grid = grid_of(cut, sheet(700, 600))
    brute = min(
        sum(face.intersection(box(*cell)).area > 1e-6 for cell in cells(x, y))
        for x, y in itertools.product(range(500, 701, 20), range(400, 601, 20))
    )
    assert len(grid.sheets) == brute == 3


def cells(x, y):
    return [(0, 0, x, y), (x, 0, 1200, y), (0, y, x, 1000), (x, y, 1200, 1000)]


def test_the_grid_is_the_same_for_a_face_turned_with_its_sheet():
    one = grid_of(plain(1200, 700), sheet(762, 1016))
    other = grid_of(plain(700, 1200), sheet(1016, 762))
    assert len(one.sheets) == len(other.sheets)


@pytest.mark.parametrize("seed", range(16))
def test_slivers_are_told_where_discs_and_areas_find_them_and_nowhere_else(seed):
    """Every part that the lines make of any piece, by shapely's own overlay.

    A sheet that leaves 30 mm to choose from, so that some can't be helped.
    """
    rng = np.random.default_rng(seed)
    shapes = [
        ("sea blue", shapely.Point(*rng.uniform(0, (1200, 800))).buffer(rng.uniform(5, 90)))
        for _ in range(40)
    ]
    shapes += [("sun yellow", each.buffer(-7)) for _, each in shapes[::2] if each.area > 700]
    stencil = plain(1200, 800, shapes)
    own = sheet(615, 805)
    grid = grid_of(stencil, own)
    cells_ = [box(*each.bounds) for each in grid.sheets]
    lines = [shapely.LineString([join.start, join.end]) for join in grid.joins]
    bad = set()
    for piece in stencil.pieces:
        mine = [line for line in lines if line.intersection(piece.area).length > 1e-6]
        for cell in cells_ if mine else []:
            for part in shapely.get_parts(piece.area & cell):
                if part.area > 1e-6 and (
                    part.area < own.least_area or part.buffer(-own.least_width / 2).is_empty
                ):
                    bad.add((piece.id, round(part.area, 3)))
    told = {(each.piece, round(each.area, 3)) for each in grid.slivers if each.area is not None}
    assert told == bad
    pieces = {piece.id: piece.area for piece in stencil.pieces}
    for each in grid.slivers:
        if each.area is None:
            gap = shapely.Point(each.at).distance(shapely.union_all(lines))
            rim = shapely.Point(each.at).distance(pieces[each.piece].boundary)
            assert gap == pytest.approx(each.width / 2)
            assert rim == pytest.approx(each.width / 2, abs=0.05)
            assert each.width < own.least_width
