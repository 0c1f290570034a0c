import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis.strategies import booleans, floats, lists, tuples

from mateline.curves import Chain, Segment, circle, flattened, length
from mateline.stencil.sheets import clipping
from mateline.stencil.sheets.clipping import within

WINDOW = (0.0, 0.0, 100.0, 60.0)
BOX = shapely.box(*WINDOW)


def test_a_circle_round_a_corner_leaves_a_quarter():
    (part,) = within(circle((0.0, 0.0), 30.0), WINDOW)
    assert length(part) == pytest.approx(math.pi * 15)
    ends = {(round(x, 9), round(y, 9)) for x, y in (part.start, part.points[-1])}
    assert ends == {(30, 0), (0, 30)}
    assert all(segment.centre == (0.0, 0.0) for segment in part.segments)


def test_a_circle_inside_stays_whole_and_one_outside_is_gone():
    inside = circle((50.0, 30.0), 20.0)
    assert within(inside, WINDOW) == (inside,)
    assert within(circle((50.0, 30.0), 200.0), WINDOW) == ()


def test_a_circle_that_starts_inside_is_not_parted_at_its_start():
    (one,) = within(circle((95.0, 30.0), 10.0), (0.0, 0.0, 110.0, 35.0))
    assert not one.closed
    assert len(one.segments) == 3


def test_what_runs_along_a_side_belongs_to_the_window():
    line = Chain((-10.0, 60.0), (Segment((110.0, 60.0)),))
    (part,) = within(line, WINDOW)
    assert (part.start, part.points[-1]) == ((0, 60), (100, 60))


def test_two_windows_share_out_a_chain():
    chain = Chain((10.0, 5.0), (Segment((190.0, 5.0), (100.0, -40.0), False),))
    halves = [within(chain, window) for window in ((0, -90, 100, 90), (100, -90, 200, 90))]
    assert sum(length(part) for parts in halves for part in parts) == pytest.approx(length(chain))
    assert halves[0][0].points[-1] == pytest.approx(halves[1][0].start)


@settings(deadline=None)  # the machine may be busy
@given(
    lists(tuples(floats(-60, 160), floats(-60, 120)), min_size=2, max_size=6, unique=True),
    floats(1.05, 5),
    booleans(),
)
def test_as_much_is_kept_as_of_the_facets(points, bulge, left):
    """Arcs of `bulge` half chords between random points, held against GEOS's own clipping."""
    segments = []
    for (ax, ay), (bx, by) in pairwise(points):
        chord = math.dist((ax, ay), (bx, by))
        if chord < 1:
            return
        rise = math.sqrt((bulge * chord / 2) ** 2 - (chord / 2) ** 2)
        nx, ny = (ay - by) / chord, (bx - ax) / chord
        centre = ((ax + bx) / 2 + rise * nx, (ay + by) / 2 + rise * ny)
        segments.append(Segment((bx, by), centre, left))
    chain = Chain(points[0], tuple(segments))
    parts = within(chain, WINDOW)
    facets = shapely.LineString(flattened(chain, 1e-5))
    found = sum(shapely.LineString(flattened(part, 1e-5)).length for part in parts)
    known = sum(
        shapely.LineString(pair).intersection(BOX).length for pair in pairwise(facets.coords)
    )
    assert found == pytest.approx(known, abs=0.05, rel=1e-3)
    for part in parts:
        assert BOX.buffer(1e-3).covers(shapely.LineString(np.array(flattened(part, 1e-4))))


@settings(deadline=None)
@given(
    lists(tuples(floats(-60, 160), floats(-60, 120)), min_size=2, max_size=5, unique=True),
    floats(1.05, 5),
)
def test_what_is_seen_to_be_inside_or_outside_at_once_is_what_parting_finds(points, bulge):
    segments = []
    for (ax, ay), (bx, by) in pairwise(points):
        half = math.dist((ax, ay), (bx, by)) / 2
        off = math.sqrt((bulge * half) ** 2 - half**2) / (2 * half)
        centre = ((ax + bx) / 2 - (by - ay) * off, (ay + by) / 2 + (bx - ax) * off)
        segments.append(Segment((bx, by), centre if len(segments) % 2 else None))
    chain = Chain(points[0], tuple(segments))
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(clipping, "_box", lambda _: (-math.inf, -math.inf, math.inf, math.inf))
        parted = within(chain, WINDOW)
    assert within(chain, WINDOW) == parted
