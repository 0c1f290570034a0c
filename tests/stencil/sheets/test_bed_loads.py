"""Loads of a bed: what is shared out, what the crosses fix, and where lines run."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, integers
from shapely import LineString, box

from mateline.curves import Chain, Segment, circle, flattened, length
from mateline.definition.board import board_of
from mateline.definition.schema import StencilTable
from mateline.errors import InputError
from mateline.stencil.sheets.bed_loads import LAP, OFF, Bed, Work, loads_for
from mateline.stencil.sheets.clipping import shared_out
from mateline.stencil.sheets.crosses import ARM
from rulers import ruler

SHEET = (0.0, 0.0, 700.0, 1000.0)
FACE = box(*SHEET)


def squares(side, across, up):
    """Closed square chains `side` wide in a grid, 100 mm from one to the next."""
    found = []
    for column, row in itertools.product(range(across), range(up)):
        x, y = 30.0 + 100 * column, 30.0 + 100 * row
        corners = ((x + side, y), (x + side, y + side), (x, y + side), (x, y))
        found.append(Chain((x, y), tuple(map(Segment, corners))))
    return tuple(found)


WORK = Work(squares(50.0, 7, 10), (), (), tuple(box(30, 30, 80, 80) for _ in range(1)))


def test_a_sheet_that_fits_the_bed_as_it_is_drawn_is_no_loads():
    assert loads_for(SHEET, FACE, WORK, Bed((700.0, 1000.0))) is None


def test_a_sheet_that_fits_turned_is_one_load_turned():
    loads = loads_for(SHEET, FACE, WORK, Bed((1000.0, 700.0)))
    (only,) = loads.loads
    assert only.turned
    assert only.size == (1000.0, 700.0)
    corners = [only.matrix[:, :2] @ at + only.matrix[:, 2] for at in ((0, 0), (700, 0), (0, 1000))]
    np.testing.assert_array_equal(corners, [(1000, 0), (1000, 700), (0, 0)])


@pytest.mark.parametrize(
    ("bed", "least"),
    [
        ((700.0, 600.0), 2),  # 580 + 580 holds 1000
        ((400.0, 1000.0), 2),  # 380 + 380 holds 700
        ((700.0, 500.0), 3),  # 480 + 480 does not hold 1000; turned, 2 x 2
        ((400.0, 600.0), 4),
        ((610.0, 914.0), 2),  # turned: 700 in 914, 1000 in two of 610
        ((300.0, 300.0), 12),  # 3 x 4: 280 + 260 + 280, and 280 + 2 * 260 + 280
    ],
)
def test_there_are_no_more_loads_than_the_bed_needs_with_its_strips(bed, least):
    loads = loads_for(SHEET, FACE, WORK, Bed(bed))
    assert len(loads.loads) == least
    for load in loads.loads:
        wide, high = load.size
        assert wide <= bed[0] + 1e-9
        assert high <= bed[1] + 1e-9


def test_a_rim_makes_the_bed_smaller_and_lays_each_load_off_its_edges():
    """280 + 260 + 280 hold 700 on a bed of 300; with a rim of 26, 228 + 208 + 228 do not."""
    assert len(loads_for(SHEET, FACE, WORK, Bed((1100.0, 300.0))).xs) == 2
    loads = loads_for(SHEET, FACE, WORK, Bed((1100.0, 300.0), 26.0))
    assert len(loads.xs) == 3
    for load in loads.loads:
        left, low, right, high = load.bounds
        ends = [load.matrix[:, :2] @ at + load.matrix[:, 2] for at in ((left, low), (right, high))]
        assert np.min(ends) == 26.0
        assert np.max(ends, axis=0).tolist() == pytest.approx([side - 26.0 for side in load.size])
        assert (np.max(ends, axis=0) <= np.array([1074.0, 274.0]) + 1e-9).all()


def test_a_sheet_as_large_as_the_bed_does_not_fit_within_a_rim():
    assert loads_for(SHEET, FACE, WORK, Bed((701.0, 1001.0), 0.5)) is None
    assert loads_for(SHEET, FACE, WORK, Bed((700.0, 1001.0), 0.5)) is not None


def test_lines_go_between_small_pieces_where_there_is_freedom():
    loads = loads_for(SHEET, FACE, WORK, Bed((400.0, 600.0)))
    for line in (*loads.xs, *loads.ys):
        assert not 30 < line % 100 < 80, line


def test_a_line_keeps_off_tacks_and_lettering():
    free = box(300, 0, 400, 1000)
    crowd = tuple(circle((x, 500.0), 4.0) for x in range(250, 450, 5) if abs(x - 365) > 6)
    work = Work((), crowd, (), (free,))
    loads = loads_for(SHEET, FACE, work, Bed((450.0, 1000.0)))
    assert 359 <= loads.xs[0] <= 371


def near(cells):
    return [
        (a, b)
        for a, b in itertools.combinations(cells, 2)
        if abs(a[0] - b[0]) + abs(a[1] - b[1]) == 1
    ]


@pytest.mark.parametrize("bed", [(400.0, 600.0), (300.0, 300.0), (700.0, 500.0)])
def test_neighbours_share_three_crosses_that_fix_shift_and_turn(bed):
    loads = loads_for(SHEET, FACE, WORK, Bed(bed)).loads
    by_cell = {load.cell: load for load in loads}
    assert [load.number for load in loads] == list(range(1, len(loads) + 1))
    for pair in near(by_cell):
        first, later = sorted((by_cell[cell] for cell in pair), key=lambda each: each.number)
        shared = [at for earlier, at in later.found if earlier == first.number]
        assert len(shared) == 3
        assert set(shared) <= set(first.drawn)
        a, b, c = (np.array(at) for at in shared)
        assert math.dist(a, b) >= 60  # the farther apart, the finer the turn
        area = abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2
        assert area >= math.dist(a, b) * OFF * 0.99  # not in line: 2 * OFF high
        for load in (first, later):
            left, low, right, high = load.bounds
            for x, y in shared:
                assert left + ARM <= x <= right - ARM
                assert low + ARM <= y <= high - ARM
        # Turned by half, the three would not lie on themselves: a board the wrong way is seen.
        turned = (a + b + c) * (2 / 3) - np.array(shared)
        apart = [min(math.dist(at, other) for other in shared) for at in turned]
        assert max(apart) > OFF / 2


def test_all_but_the_first_load_are_laid_to_an_earlier_one():
    loads = loads_for(SHEET, FACE, WORK, Bed((300.0, 300.0))).loads
    seen = {loads[0].number}
    for load in loads[1:]:
        assert {earlier for earlier, _ in load.found} <= seen
        assert load.found
        seen.add(load.number)


def test_crosses_keep_clear_of_borders_where_they_can():
    loads = loads_for(SHEET, FACE, WORK, Bed((400.0, 600.0))).loads
    lines = [LineString(flattened(chain)) for chain in WORK.cut]
    for load in loads:
        for x, y in load.drawn:
            cross = box(x - ARM, y - ARM, x + ARM, y + ARM)
            assert not any(line.intersects(cross) for line in lines)


def test_a_bed_too_narrow_for_two_strips_is_refused():
    with pytest.raises(ValueError, match="too narrow"):
        loads_for(SHEET, FACE, WORK, Bed((80.0, 500.0)))


def test_a_part_of_the_grid_without_face_is_no_load():
    corner = box(0, 0, 700, 300).union(box(0, 0, 200, 1000))
    loads = loads_for(SHEET, corner, Work((), (), (), ()), Bed((400.0, 600.0)))
    assert len(loads.loads) == 3


@given(
    floats(-50, 450), floats(-50, 450), floats(1, 300), integers(0, 3), floats(10, 190),
    floats(210, 390),
)  # fmt: skip
@settings(deadline=None)
def test_a_circle_is_shared_out_whole_and_its_parts_share_their_ends(x, y, reach, extra, a, b):
    ring = circle((x, y), reach)
    xs, ys = (a, b), tuple(50.0 + 100 * at for at in range(extra))
    parts = [part for _, part in shared_out(ring, xs, ys)]
    assert sum(map(length, parts)) == pytest.approx(length(ring), rel=1e-9)
    ends = [part.points[0] for part in parts if not part.closed]
    assert sorted(ends) == sorted(part.points[-1] for part in parts if not part.closed)


def test_a_border_along_a_line_is_in_one_cell_only():
    along = Chain((100.0, 0.0), (Segment((100.0, 50.0)),))
    assert shared_out(along, (100.0,), ()) == [((0, 0), along)]


def test_the_strip_holds_the_crosses():
    assert OFF + ARM < LAP


def bed_of(sides):
    """The bed that a definition with `[stencil] bed = sides` states."""
    reader = ruler(unit="in", file="bed")
    board = board_of(StencilTable(bed=sides), reader)
    reader.faults.settle()
    return board.bed


def test_a_bed_is_read_in_the_units_of_the_file():
    assert bed_of(["24", "900 mm"]) == (609.6, 900.0)


@pytest.mark.parametrize(
    ("sides", "words"),
    [
        (["0", "36"], "“0” is not more than 0."),
        (["24", "-36"], "“-36” is not more than 0."),
        (["3", "36"], '“3” is 3", and a bed is at least 3 15/16"'),
        (["24", "0.5 mm"], '“0.5 mm” is 1/64", and a bed is at least 3 15/16"'),
        (["24", "wide"], "stencil, bed"),
    ],
)
def test_a_bed_of_no_size_is_a_fault(sides, words):
    with pytest.raises(InputError) as caught:
        bed_of(sides)
    assert caught.value.place == "stencil, bed"
    assert words in str(caught.value)


@pytest.mark.parametrize("wide", [19.2, 12.0, 10.5])
def test_crosses_of_a_narrow_board_stay_on_it(wide):
    board = box(0, 0, wide, 600)
    loads = loads_for(board.bounds, board, Work((), (), (), ()), Bed((400.0, 300.0)))
    assert len(loads.loads) > 1
    for load in loads.loads:
        for x, _ in load.drawn:
            assert ARM <= x <= wide - ARM
