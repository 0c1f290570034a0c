r"""Lines of the grid of sheets against every choice on a lattice, counted by raster.

Outlines are made of steps of 40, and so are sheets, so that no choice off the lattice does with
fewer sheets; outlines with slopes may do better off it, never worse.

    +--+  L   +--+   T  +-----+   steps  +--+     wedge   +--.
    |  +--+   +-----+   +-+ +-+          |  +--+          |    `.
    +-----+   +--+        | |            |     +--+       |       |
"""

import itertools

import numpy as np
import pytest
import shapely
from shapely import Polygon, box

from mateline.stencil.sheets.grid_lines import Ground, cells, least_sheets, lines_for
from stencils import FRONT, board, painted_by

UNIT = 40.0
MOST = 3  # lines that the other way goes through, in each direction


def stepped(rng):
    """Columns of blocks that share some height with the next one."""
    blocks, low, high = [], 0, int(rng.integers(3, 14))
    for _ in range(int(rng.integers(3, 7))):
        wide = int(rng.integers(1, 5))
        left = sum(block[2] for block in blocks)
        blocks.append((left, low, wide, high))
        floor = int(rng.integers(0, high))
        low, high = floor, floor + int(rng.integers(1, 14))
        low, high = min(low, blocks[-1][3] - 1), max(high, blocks[-1][1] + 1)
    area = shapely.union_all(
        [box(x * UNIT, y0 * UNIT, (x + w) * UNIT, y1 * UNIT) for x, y0, w, y1 in blocks]
    )
    left, low, _, _ = area.bounds
    return shapely.affinity.translate(area, -left, -low)


def wedge(rng):
    wide, tall = rng.integers(10, 22, 2)
    return Polygon(
        [
            (0, 0),
            (wide * UNIT, 0),
            (wide * UNIT, rng.uniform(0.2, 0.9) * tall * UNIT),
            (rng.uniform(0.2, 0.8) * wide * UNIT, tall * UNIT),
            (0, tall * UNIT),
        ]
    )


def letter(rng):
    wide, tall = rng.integers(8, 20, 2)
    a, b = rng.integers(2, wide - 2), rng.integers(2, tall - 2)
    c = rng.integers(1, a)
    foot = box(0, 0, wide * UNIT, b * UNIT)
    return foot | box(c * UNIT, 0, a * UNIT, tall * UNIT)


def chosen(outline, size):
    """Sheets of the better of both ways to lay them."""
    ground = Ground(outline, outline, ())
    ways = [lines_for(ground, way, 6.0, lambda *_: 0) for way in (size, size[::-1])]
    for lines, way in zip(ways, (size, size[::-1]), strict=True):
        left, low, right, high = outline.bounds
        for stops, most in (
            ((left, *lines.xs, right), way[0]),
            ((low, *lines.ys, high), way[1]),
        ):
            assert max(np.diff(stops)) <= most + 1e-6
        assert lines.sheets == len(cells(outline, lines.xs, lines.ys))
        assert lines.sheets >= least_sheets(outline, way)
    return min(lines.sheets for lines in ways)


def fewest(outline, size):
    """The same by going through all lines on the lattice; None where `MOST` lines are too few."""
    _, _, right, high = outline.bounds
    wide, tall = round(np.ceil(right / UNIT - 1e-9)), round(np.ceil(high / UNIT - 1e-9))
    x, y = np.meshgrid(np.arange(wide), np.arange(tall), indexing="ij")
    squares = shapely.box(x * UNIT, y * UNIT, (x + 1) * UNIT, (y + 1) * UNIT)
    board = shapely.area(outline & squares) > 1e-6
    return min(_fewest(board, [round(s / UNIT) for s in way]) for way in (size, size[::-1]))


def _fewest(board, size):
    choices = []
    for count, most in zip(board.shape, size, strict=True):
        stops = [
            (0, *inner, count)
            for lines in range(MOST + 1)
            for inner in itertools.combinations(range(1, count), lines)
        ]
        choices.append([each for each in stops if max(np.diff(each)) <= most])
    best = 10**6
    for ys in choices[1]:
        rows = np.stack([board[:, a:b].any(axis=1) for a, b in itertools.pairwise(ys)])
        sums = np.concatenate([np.zeros((len(rows), 1), int), rows.cumsum(axis=1)], axis=1)
        for length, group in itertools.groupby(choices[0], key=len):
            xs = np.array(list(group))
            used = (sums[:, xs[:, 1:]] > sums[:, xs[:, :-1]]).sum(axis=(0, 2))
            best = min(best, int(used.min()))
            assert length > 1
    return best


@pytest.mark.parametrize("seed", range(24))
def test_stepped_faces_take_as_few_sheets_as_any_lines_on_the_lattice_leave(seed):
    rng = np.random.default_rng(seed)
    outline = (stepped, letter)[seed % 2](rng)
    _, _, right, high = outline.bounds
    size = tuple((np.array([0.45, 0.6]) * max(right, high) // UNIT + 1) * UNIT)
    assert chosen(outline, size) == fewest(outline, size)


@pytest.mark.parametrize("seed", range(12))
def test_faces_with_slopes_take_no_more_sheets_than_lines_on_the_lattice_leave(seed):
    outline = wedge(np.random.default_rng(seed))
    _, _, right, high = outline.bounds
    size = tuple((np.array([0.4, 0.55]) * max(right, high) // UNIT + 1) * UNIT)
    assert chosen(outline, size) <= fewest(outline, size)


def test_a_cross_takes_five_sheets_with_a_line_more_than_its_width_needs():
    """Arms 1 high, a trunk 6 high: one line through the trunk would part three sheets' height."""
    outline = box(0, 280, 720, 320) | box(240, 0, 480, 600)
    assert chosen(outline, (480.0, 200.0)) == fewest(outline, (480.0, 200.0))


@pytest.mark.parametrize("seed", range(10))
def test_joins_are_no_longer_than_those_of_lines_at_every_mm(seed):
    """Upright bands, some cut short: a line saves what it shares with their edges."""
    rng = np.random.default_rng(seed)
    shapes = []
    for _ in range(8):
        x, y = rng.uniform((50, 0), (1000, 300)).round()
        shapes.append(
            ("sea blue", box(x, y, x + rng.integers(20, 150), y + rng.integers(100, 400)))
        )
        shapes.append(("sun yellow", shapes[-1][1].buffer(-8)))
    stencil = painted_by(board("front", FRONT, (1200.0, 700.0)), shapes)
    ground = Ground(stencil.face.outline, stencil.face.outline, stencil.pattern.borders)
    lines = lines_for(ground, (762.0, 1016.0), 6.0, lambda *_: 0)
    borders = shapely.union_all([piece.area.boundary for piece in stencil.pieces])
    every = [(shapely.LineString([(x, 0), (x, 700)]) - borders).length for x in range(438, 763)]
    assert lines.length == pytest.approx(min(every))
    (x,) = lines.xs
    assert (shapely.LineString([(x, 0), (x, 700)]) - borders).length == pytest.approx(min(every))


def test_slanted_outlines_are_joined_where_they_are_narrow():
    """A wedge 1200 wide, 700 high at the left and 100 at the right: the line goes right."""
    outline = Polygon([(0, 0), (1200, 0), (1200, 100), (0, 700)])
    ground = Ground(outline, outline, ())
    lines = lines_for(ground, (762.0, 1016.0), 6.0, lambda *_: 0)
    assert lines.xs == (pytest.approx(762.0),)
    assert lines.length == pytest.approx(700 - 762 / 2)


def test_a_place_that_spoils_something_is_left_for_the_next_best():
    outline = Polygon([(0, 0), (1200, 0), (1200, 100), (0, 700)])
    ground = Ground(outline, outline, ())
    lines = lines_for(ground, (762.0, 1016.0), 6.0, lambda _axis, place: int(place > 751))
    assert 740 < lines.xs[0] <= 751
    assert lines.faults == 0
