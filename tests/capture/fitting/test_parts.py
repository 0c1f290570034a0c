"""Facts of fitting's parts: breakpoints, frames, the adjustment, the rim, planarity."""

import math

import numpy as np
import pytest

from mateline.capture.fitting.adjustment import Measured, adjusted
from mateline.capture.fitting.breakpoints import Leave, stretches
from mateline.capture.fitting.chains import kept_chain
from mateline.capture.fitting.courses import Course
from mateline.capture.fitting.frame import Frame, Joints, distances
from mateline.capture.fitting.layout import Known, laid_out
from mateline.capture.fitting.planarity import at_fault, crossing_places, tiled
from mateline.capture.fitting.rim import rim_of
from mateline.capture.fitting.ties import SameBend, Tangent
from mateline.capture.traced import TracedBorder, TracedRegion
from mateline.curves import Chain, Segment, area, length


def test_a_line_a_tangent_arc_and_a_line_are_three_segments():
    chance = np.random.default_rng(0)
    along = np.arange(0, 60, 0.4)
    turn = np.arange(0, math.pi / 2, 0.02)
    places = np.vstack([
        np.column_stack([along, 0 * along]),
        np.column_stack([60 + 20 * np.sin(turn), 20 - 20 * np.cos(turn)]),
        np.column_stack([80 + 0 * along, 20 + along]),
    ])  # fmt: skip
    places += chance.normal(0, 0.02, places.shape)
    found = stretches(places, np.full(len(places), 0.02), ring=False)
    assert [each.round for each in found] == [False, True, False]
    assert found[1].first == pytest.approx(len(along), abs=6)
    assert found[1].last == pytest.approx(len(along) + len(turn), abs=6)


def test_a_circle_is_one_round_stretch_wherever_it_starts():
    turn = np.arange(0, math.tau, 0.02)
    places = np.column_stack([500 + 30 * np.cos(turn), 900 + 30 * np.sin(turn)])
    (whole,) = stretches(places, np.full(len(places), 0.02), ring=True)
    assert whole.round


def test_a_rectangle_has_its_four_corners_wherever_it_starts():
    side = np.arange(0.2, 40, 0.4)
    places = np.vstack([
        np.column_stack([side, 0 * side]), np.column_stack([40 + 0 * side, side]),
        np.column_stack([40 - side, 40 + 0 * side]), np.column_stack([0 * side, 40 - side]),
    ])  # fmt: skip
    for start in (0, 37, 150):
        found = stretches(np.roll(places, start, axis=0), np.full(len(places), 0.02), ring=True)
        assert [each.round for each in found] == [False] * 4


@pytest.mark.parametrize(
    ("bump", "weak", "count"), [(0.12, 0.01, 1), (0.5, 0.01, 3), (0.5, 1.5, 1)]
)
def test_a_line_that_a_scratch_moved_by_a_hair_is_one_line(bump, weak, count):
    """In places of 0.01 mm a tenth of one is much; between two stretches of one line it is nothing.
    What labels say of hidden places may be off by more.
    """
    x = np.arange(0.0, 120.0, 0.4)
    moved = np.abs(x - 60) < 4
    chance = np.random.default_rng(4)
    y = bump * moved + 0.01 * chance.standard_normal(len(x))
    errors = np.where(moved, weak, 0.01)
    found = stretches(np.column_stack([x, y]), errors, ring=False)
    assert len([each for each in found if each.last - each.first > 8]) == count


def test_a_leave_makes_segments_cheaper_only_where_it_is():
    # Two bends of 0.004 rad alike, 40 mm either side: too slight to be worth a segment.
    along = np.arange(0, 160, 0.4)
    off = 0.004 * (np.abs(along - 40) + np.abs(along - 120)) / 2
    places, errors = np.column_stack([along, off]), np.full(len(along), 0.05)
    assert len(stretches(places, errors, ring=False)) == 1
    leave = Leave(along > 80, 0.1, straight=True)
    found = stretches(places, errors, ring=False, leave=leave)
    assert [along[each.first] for each in found] == pytest.approx([0, 80, 120], abs=12)


def test_a_corner_that_places_tell_is_held_where_it_is_and_one_in_damage_loosely():
    bent = np.vstack([np.column_stack([np.arange(0, 20, 0.4), np.zeros(50)]),
                      np.column_stack([np.full(50, 20.0), np.arange(0, 20, 0.4)])])  # fmt: skip
    ends = np.array([[0.0, 0.0], [20.0, 20.0]])
    held = []
    for hidden in (0, 8):
        lost = np.abs(np.arange(100) - 49.5) < hidden
        course = Course(0, 1, 0, 1, bent, np.where(lost, 1.5, 0.03), ~lost)
        made = laid_out({0: course}, ends, np.array([3.0, 3.0]), {0: None}, Known())
        assert made.frame.at[2] == pytest.approx((20, 0), abs=1)
        held.append(made.anchors[2])
    assert held == [1.0, 3.0]


@pytest.mark.parametrize("turn", [0.0, 0.3, -1.2, 2.5])
def test_distances_change_as_their_slopes_say(turn):
    frame = Frame(
        np.array([[3.0, 4.0], [23.0, -6.0]]), np.array([0]), np.array([1]), np.array([turn]),
        np.array([True]),
    )  # fmt: skip
    half, across = math.hypot(20, 10) / 2, np.array([10.0, 20.0]) / math.hypot(20, 10)
    share = np.array([-0.5, 0.1, 0.7])
    places = np.array([13.0, -1.0]) + share[:, None] * np.array([10.0, -5.0])
    if turn:  # on the arc, a tenth of a millimetre to the left
        centre = np.array([13.0, -1.0]) + half / math.tan(turn) * across
        reach = half / math.sin(turn)
        angle = share * turn - math.pi / 2 + math.atan2(-10, 20)
        places = centre + reach * np.column_stack([np.cos(angle), np.sin(angle)])
    places += 0.1 * across
    on = np.zeros(3, dtype=int)
    away, slopes = distances(frame, places, on)
    if turn:
        true = reach - np.sign(turn) * np.hypot(*(places - centre).T)
        np.testing.assert_allclose(away, true, atol=1e-9)
    for at in range(5):
        step = np.zeros(5)
        step[at] = 1e-6
        moved, _ = distances(frame.moved(step), places, on)
        back, _ = distances(frame.moved(-step), places, on)
        np.testing.assert_allclose((moved - back) / 2e-6, slopes[:, at], atol=1e-3, rtol=1e-2)


def test_the_way_along_the_rim_is_counter_clockwise_and_whole():
    corners = ((10.0, 0.0), (10.0, 5.0), (0.0, 5.0), (0.0, 0.0))
    clockwise = Chain((0.0, 0.0), tuple(Segment(at) for at in (*corners[2::-1], (0.0, 0.0))))
    rim = rim_of(clockwise)
    assert rim.length == 30
    one, other = rim.foot((4.0, -1.0)), rim.foot((10.2, 2.0))
    way = rim.between(one[1:], other[1:])
    assert way.points == ((4.0, 0.0), (10.0, 0.0), (10.0, 2.0))
    back = rim.between(other[1:], one[1:])
    assert length(way) + length(back) == 30
    around = Chain(way.start, way.segments + back.segments)
    assert area(around) == 50


def test_borders_that_cross_are_at_fault_and_those_that_meet_are_not():
    def border(*points):
        return TracedBorder(Chain(points[0], tuple(map(Segment, points[1:]))), 0, 1, 0, 1)

    crossing = [border((0.0, 0.0), (10.0, 10.0)), border((0.0, 10.0), (10.0, 0.0))]
    meeting = [border((0.0, 0.0), (5.0, 5.0)), border((5.0, 5.0), (10.0, 0.0))]
    assert at_fault(crossing).tolist() == [0, 1]
    assert at_fault(meeting).tolist() == []


def test_borders_cross_where_they_do_not_only_meet():
    def border(*points):
        return TracedBorder(Chain(points[0], tuple(map(Segment, points[1:]))), 0, 1, 0, 1)

    bent = border((0.0, 0.0), (10.0, 0.0), (10.0, 10.0))
    across = border((0.0, 0.0), (12.0, 6.0))
    spots = crossing_places([bent, across], {0: {0, 1}, 1: {0}})
    assert {tuple(spot) for spot in spots[1].tolist()} == {(0.0, 0.0), (10.0, 5.0)}
    assert crossing_places([bent], {0: None}) == {}


@pytest.mark.parametrize(("half", "turn"), [(1e-3, -2.95), (1e-7, 0.19)])
def test_arcs_of_all_but_no_length_that_go_on_in_one_another_are_still_adjusted(half, turn):
    """Their ties weigh so much that nothing else is left of the normal matrix."""
    at = np.array([[0.0, 0.0], [2 * half, 0.0], [4 * half, 1e-9], [30.0, 5.0]])
    frame = Frame(
        at, np.array([0, 1, 2]), np.array([1, 2, 3]), np.array([turn, turn, 0.1]),
        np.ones(3, dtype=bool),
    )  # fmt: skip
    straight = np.zeros(2, dtype=bool)
    joints = Joints(np.array([0, 1]), np.array([1, 2]), straight, straight)
    places = np.column_stack([np.linspace(1, 29, 20), np.linspace(0, 5, 20)])
    measured = Measured(places, np.full(20, 0.02), np.full(20, 2))
    found = adjusted(frame, measured, np.full(4, 3.0), [Tangent(joints), SameBend(joints)])
    assert np.isfinite(found.frame.at).all()
    away, _ = distances(found.frame, places, measured.of)
    assert np.abs(away).max() < 0.3


def test_between_two_lines_that_share_their_ends_there_is_no_area():
    """What was fitted may come to that; then it is at fault, and nothing breaks."""
    corners = ((10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.0))
    rim = Chain((0.0, 0.0), tuple(map(Segment, corners)))
    there, back = (
        Chain((2.0, 5.0), (Segment((8.0, 5.0)),)),
        Chain((8.0, 5.0), (Segment((2.0, 5.0)),)),
    )
    borders = (
        TracedBorder(rim, -1, -1, 0, -1), TracedBorder(there, 0, 1, 1, 0),
        TracedBorder(back, 1, 0, 1, 0),
    )  # fmt: skip
    regions = (TracedRegion("ground", ((0,), (~2, ~1))), TracedRegion("ink", ((1, 2),)))
    _, wrong = tiled(borders, regions)
    assert wrong.tolist() == [0, 1]


def test_a_path_of_pixels_at_the_rim_begins_where_it_is_inside_the_outline():
    """Pixels at the rim lie over it, and the node was moved onto it: the way between is a line."""
    corners = ((10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.0))
    rim = rim_of(Chain((0.0, 0.0), tuple(map(Segment, corners))))
    path = np.array([[5.2, -0.2], [5.2, 0.0], [5.4, 0.2], [5.4, 0.6], [5.0, 9.9], [5.0, 10.2]])
    nodes = np.array([[5.1, 0.0], [5.0, 10.0]])
    course = Course(0, 1, 0, 1, path, np.full(6, 0.1), np.ones(6, dtype=bool), path)
    chain = kept_chain(course, nodes, rim, raw=True)
    points = [chain.start, *(segment.to for segment in chain.segments)]
    assert points[0] == (5.1, 0.0)
    assert points[-1] == (5.0, 10.0)
    assert all(0.05 <= y <= 9.95 for _, y in points[1:-1])
    assert len(points) > 3
