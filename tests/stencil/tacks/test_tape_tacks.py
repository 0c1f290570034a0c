r"""Tacks, checked by means that the layout does not use: shapely's own discs, and counting.

Punches 38 x 13, 20 x 8 and a disc of 8, tape 3 wider all round, reach 150, as in specimens.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPoint, Point, Polygon, affinity, box, get_coordinates, union_all

from mateline.definition.board import usual_board
from mateline.stencil.board import Punch, Tack
from mateline.stencil.tacks.farthest_point import farthest, gaps
from mateline.stencil.tacks.k_centre import Task, k_centres
from mateline.stencil.tacks.patches import SLACK
from mateline.stencil.tacks.tape_tacks import (
    _certainly_in,
    _demand,
    _missed,
    _moved_in,
    _room,
    _several,
    least_count,
    out_of_reach,
    patch,
    tacks_for,
)
from specimens import BOARD, PUNCHES


def tape(tack):
    """The tape of a tack by shapely's own turning and growing, a little smaller than exact."""
    punch, (x, y) = tack.punch, tack.centre
    if punch.round:
        return Point(x, y).buffer(punch.length / 2 + BOARD.tape_margin - 1e-6, quad_segs=32)
    long, wide = (side / 2 + BOARD.tape_margin - 1e-6 for side in (punch.length, punch.width))
    return affinity.rotate(box(x - long, y - wide, x + long, y + wide), tack.turn, use_radians=True)


def bare(area, tacks, reach=BOARD.reach):
    """The share of `area` beyond `reach` of every tack; discs from outside their circle."""
    outside = reach / math.cos(math.pi / 1024)
    return area.difference(
        union_all([Point(tack.centre).buffer(outside, quad_segs=256) for tack in tacks])
    ).area


def blob(seed, size):
    rng = np.random.default_rng(seed)
    turns = np.sort(rng.uniform(0, math.tau, 24))
    reach = size * rng.uniform(0.55, 1.0, 24)
    return Polygon(np.column_stack([reach * np.cos(turns), reach * np.sin(turns)]))


@pytest.mark.parametrize("seed", range(30))
def test_tape_lies_in_the_piece_and_off_open_holes_and_everything_is_held(seed):
    area = blob(seed, 60.0 + 25 * seed)
    rng = np.random.default_rng(seed)
    holes = [Point(*rng.uniform(-200, 200, 2)).buffer(15) for _ in range(6)]
    tacks = tacks_for(area, holes, BOARD)
    assert tacks
    for tack in tacks:
        assert area.contains(tape(tack))
        assert not any(tape(tack).intersects(hole) for hole in holes)
    assert bare(area, tacks) < 1e-6


def test_tape_of_two_tacks_may_not_be_needed_where_one_reaches_all():
    """A square of 212 has a half diagonal of 149.9, one of 213 of 150.6."""
    assert len(tacks_for(box(0, 0, 212, 212), [], BOARD)) == 1
    assert len(tacks_for(box(0, 0, 213, 213), [], BOARD)) == 2


def test_the_largest_punch_that_fits_is_taken():
    """Tape of 44 x 19, 26 x 14, and a disc of 14."""
    sizes = {(45, 20): 38, (43, 20): 20, (27, 15): 20, (15, 15): 8, (13.9, 60): None}
    for (wide, high), length in sizes.items():
        tacks = tacks_for(box(0, 0, wide, high), [], BOARD)
        assert [tack.punch.length for tack in tacks] == ([length] if length else [])


def test_a_slanting_strip_takes_a_punch_turned_along_it():
    strip = affinity.rotate(box(0, 0, 120, 21), 33, origin=(0, 0))
    (tack,) = tacks_for(strip, [], BOARD)
    assert tack.punch == PUNCHES[0]
    assert math.degrees(tack.turn) == pytest.approx(33)


def test_a_piece_over_an_open_hole_has_nowhere_to_be_tacked():
    assert tacks_for(box(0, 0, 40, 40), [box(-1, -1, 41, 41)], BOARD) == ()


def test_a_piece_half_over_an_open_hole_is_tacked_beside_it():
    (tack,) = tacks_for(box(0, 0, 100, 60), [box(50, -10, 200, 70)], BOARD)
    assert tape(tack).bounds[2] <= 50


def test_a_strip_takes_as_many_tacks_as_its_length_asks_for():
    """A tack holds 2 sqrt(150² - 15²) = 298.5 of a strip 30 wide, were it in the middle."""
    for count in (1, 2, 3, 4):
        length = count * 2 * math.sqrt(150**2 - 15**2) * 0.97
        assert len(tacks_for(box(0, 0, length, 30), [], BOARD)) == count


def test_the_same_piece_has_the_same_tacks_each_time():
    area = blob(5, 500.0)
    assert tacks_for(area, [], BOARD) == tacks_for(area, [], BOARD)


def test_a_tip_too_thin_for_any_punch_is_left_and_told():
    area = box(0, 0, 60, 60) | box(60, 25, 400, 35)
    tacks = tacks_for(area, [], BOARD)
    assert tacks
    place, gap = out_of_reach(area, tacks, BOARD.reach)
    assert place[0] == 400
    assert gap == pytest.approx(max(math.dist(p, tacks[0].centre) for p in [(400, 25), (400, 35)]))


def test_a_piece_in_reach_everywhere_is_not_told():
    area = blob(7, 400.0)
    assert out_of_reach(area, tacks_for(area, [], BOARD), BOARD.reach) is None


def test_no_tacks_hold_nothing():
    with pytest.raises(ValueError, match="no tack"):
        out_of_reach(box(0, 0, 10, 10), (), BOARD.reach)


def test_the_patch_is_the_punch_and_its_margin():
    assert patch(Tack((5.0, 5.0), Punch(38.0, 13.0)), BOARD).bounds == (-17, -4.5, 27, 14.5)
    disc = patch(Tack((0.0, 0.0), PUNCHES[2]), BOARD)
    assert disc.area >= math.pi * 7**2
    assert disc.area == pytest.approx(math.pi * 7**2, rel=0.01)


@settings(deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 7))
def test_the_farthest_point_is_no_nearer_than_any_point_of_the_area(seed, count):
    """Against points 4 apart in the area and on its border, which miss the farthest by under 5."""
    rng = np.random.default_rng(seed)
    area = blob(seed, 100.0) - Point(10, 0).buffer(20)
    if area.geom_type != "Polygon":
        return
    centres = rng.uniform(-80, 80, (count, 2))
    points, far = farthest(area, centres)
    lattice = MultiPoint([(x, y) for x in range(-100, 101, 4) for y in range(-100, 101, 4)])
    rim = MultiPoint(get_coordinates(area.segmentize(4)))
    inside = [p for p in (lattice | rim).geoms if area.distance(p) < 1e-9]
    known = max(min(p.distance(Point(c)) for c in centres) for p in inside)
    assert known - 1e-9 <= far.max() <= known + 5
    assert area.distance(Point(points[far.argmax()])) < 1e-9


def test_centres_on_a_lattice_have_their_farthest_point_in_the_middle_of_four():
    centres = np.array([(x, y) for x in (0.0, 100.0, 200.0) for y in (0.0, 100.0)])
    points, far = farthest(box(0, 0, 200, 100), centres)
    assert far.max() == pytest.approx(50 * math.sqrt(2))
    assert {tuple(p) for p in points[far > 70].round(6)} == {(50, 50), (150, 50)}


# Least radii of n equal discs that cover a unit square: n = 4 elementary, sqrt(2) / 4; n = 5 by
# A. Heppes and J. B. M. Melissen, Covering a rectangle with equal circles (1997), from memory. A
# tack cannot sit nearer to the border than its tape, which these covers do not need.
@pytest.mark.parametrize(("count", "radius"), [(4, 0.353554), (5, 0.326161)])
def test_a_square_takes_no_more_than_one_tack_above_the_known_least(count, radius):
    side = 0.97 * BOARD.reach / radius
    assert count <= len(tacks_for(box(0, 0, side, side), [], BOARD)) <= count + 1


def test_the_lower_bound_is_met_where_it_is_known():
    """In a strip longer than 4 reaches there are three points more than 2 reaches apart."""
    assert least_count(box(0, 0, 650, 1), 150.0) == 3
    assert least_count(box(0, 0, 200, 200), 150.0) == 1


@pytest.mark.parametrize(("base", "least"), [(200.0, 2), (200.1, 3)])
def test_corners_two_reaches_apart_share_a_tack(base, least):
    """One disc of 100 on the middle of the base holds both its ends.

    It also holds 97 of each leg, 206 long: what is left is held from 65 below the apex.
    """
    area = Polygon([(0, 0), (base, 0), (base / 2, 180)])
    assert least_count(area, 100.0) == least
    assert (bare(area, [Tack((100, 0), PUNCHES[0]), Tack((100, 115), PUNCHES[0])], 100.0) == 0) == (
        least == 2
    )


@pytest.mark.parametrize(("beyond", "missed"), [(-2 * SLACK, 2), (SLACK / 2, 0), (1.0, 0)])
def test_what_no_tack_can_reach_is_not_asked_for_again(beyond, missed):
    """A bar whose two far corners are 150 and `beyond` from the room; it would go on for ever."""
    room, centre = box(0, 0, 10, 30), np.array([[5.0, 15.0]])
    bar = box(0, 0, 10 + BOARD.reach + beyond, 30)
    assert len(np.unique(_missed(bar, centre, room, BOARD), axis=0)) == missed


@pytest.mark.parametrize("high", [19.2, 60.0])
def test_what_the_room_reaches_can_be_reached_from_it(high):
    """Room for 44 x 19 lying along a bar, and turned anyhow: what is just out of reach is left."""
    bar, turns = box(0, 0, 500, high), np.array([[0.0, math.pi / 2]])
    board = replace(BOARD, punches=PUNCHES[:1])
    room, near = _room(np.array([[-900.0, 0.0]]), bar, turns, board, _moved_in)
    assert not near.any()
    x, y = max(get_coordinates(room).tolist())
    tries = [x + BOARD.reach + beyond for beyond in (-2 * SLACK, SLACK / 2)]
    demand = np.array([(-900.0, 0.0), *((each, y) for each in tries)])
    again, near = _room(demand, bar, turns, board, _moved_in)
    assert again.equals(room)
    assert near.tolist() == [False, True, False]


def test_tacks_are_steered_by_points_no_farther_apart_than_a_third_of_the_reach():
    """On the rim, 1000 x 30, none is more than a sixth of 150 from one, and so inside."""
    points = MultiPoint(_demand(box(0, 0, 1000, 30), 150.0))
    assert max(points.distance(Point(x, y)) for x in range(1001) for y in (0, 30)) <= 25
    assert len(points.geoms) < 100


@pytest.mark.parametrize("steered", [(400.0, 30.0), (900.0, 900.0)])
def test_points_that_steer_badly_leave_nothing_unheld(steered, monkeypatch):
    """A single one in the piece, and one that is in reach of no tack."""
    monkeypatch.setattr("mateline.stencil.tacks.tape_tacks._demand", lambda *_: np.array([steered]))
    bar = box(0, 0, 700, 60)
    tacks = tacks_for(bar, [], BOARD)
    assert len(tacks) < 6
    assert bare(bar, tacks) < 1e-6


def test_certain_room_keeps_off_holes_as_off_the_rim():
    """By 7: 86 square, less a hole 20 square grown by 7, round at its corners."""
    area = box(0, 0, 100, 100) - box(40, 40, 60, 60)
    room = _certainly_in(area, 7.0)
    assert 7 <= room.distance(area.boundary) <= 7.05
    assert room.area == pytest.approx(86**2 - (20**2 + 4 * 20 * 7 + math.pi * 7**2), rel=0.002)


@pytest.mark.parametrize("seed", range(12))
def test_no_layout_has_fewer_tacks_than_the_lower_bound(seed):
    area = blob(seed, 150.0 + 50 * seed)
    assert len(tacks_for(area, [], BOARD)) >= least_count(area, BOARD.reach)


def test_a_board_with_one_small_punch_is_enough():
    board = replace(BOARD, punches=PUNCHES[2:])
    assert len(tacks_for(box(0, 0, 15, 15), [], board)) == 1


def test_demands_out_of_the_rooms_reach_are_refused():
    task = Task(np.array([[0.0, 0.0], [500.0, 0.0]]), box(0, 0, 10, 10), 100.0)
    with pytest.raises(ValueError, match="out of reach"):
        k_centres(task, box(0, 0, 500, 10))


def test_every_demand_is_reached_from_the_room():
    rng = np.random.default_rng(0)
    demand = rng.uniform(0, 400, (60, 2))
    room = box(0, 0, 190, 400) | box(210, 0, 400, 400)
    centres = k_centres(Task(demand, room, 80.0), box(0, 0, 400, 400))
    assert gaps(demand, centres).min(axis=1).max() <= 80
    assert all(room.distance(Point(c)) < 1e-9 for c in centres)


def test_a_strip_too_narrow_for_a_turned_rectangle_is_tacked_along_its_edges():
    """19.2 is wide enough for tape of 44 x 19 lying along it and for no other way."""
    board = replace(BOARD, punches=PUNCHES[:1])
    strip = affinity.rotate(box(0, 0, 500, 19.2), 20)
    tacks = tacks_for(strip, [], board)
    assert len(tacks) == 2
    assert all(strip.contains(tape(tack)) for tack in tacks)
    assert bare(strip, tacks) < 1e-6


def test_room_that_the_offset_of_short_edges_leaves_by_mistake_is_not_used():
    """A wedge cut in two at its neck: GEOS 3.14 moved it in by 7 and left a sliver, 4 inside."""
    wedge = Polygon(
        [(44.4019375540602, 12.767525134602337), (29.354742119357812, 15.492110780043078),
         (35.994041992537255, 26.437769509186403), (36.3495158564497, 26.911178074133005),
         (36.79103353386944, 27.305563010224137), (37.30140146445091, 27.605566198080062),
         (37.86074492457227, 27.799504927861395), (38.44728198787515, 27.879826846798675),
         (39.03817175600249, 27.843404062553837), (39.610403827773474, 27.691654949454563),
         (40.14169436912932, 27.430488914228796), (40.61135388913685, 27.070076272169686),
         (41.00109292915809, 26.62445219520228), (41.295734290076645, 26.110970154887536),
         (41.48380406206209, 25.54962614436009)]
    )  # fmt: skip
    tacks = tacks_for(wedge, [], BOARD)
    assert all(wedge.contains(tape(tack)) for tack in tacks)


def test_no_two_tacks_are_put_in_one_place():
    """Two are asked for, and the corner of the room that is nearest to both far corners is one."""
    room = Polygon([(12, 73), (19, 80), (12, 87), (5, 80)])
    tacks = _several(box(0, 0, 160, 160), room, usual_board(), least=2)
    places = [tack.centre for tack in tacks]
    assert len(places) == len(set(places)) == 1
