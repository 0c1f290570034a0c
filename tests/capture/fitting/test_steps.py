"""Which courses are at fault, and what of them goes back a step."""

import numpy as np
import pytest

from mateline.capture.fitting.courses import RING, Course, Network
from mateline.capture.fitting.rim import rim_of
from mateline.capture.fitting.steps import (
    FINER,
    ends_of,
    faults_of,
    first_step,
    nearer,
    stepped,
    stepped_back,
    strayed,
    ways_of,
)
from mateline.capture.traced import TracedBorder, TracedRegion
from mateline.curves import Chain, Segment

SQUARE = Chain((0.0, 0.0), tuple(Segment(at) for at in ((100.0, 0.0), (100.0, 100.0), (0.0, 100.0),
                                                        (0.0, 0.0))))  # fmt: skip


def line(hidden):
    """Sixty places in a row, measured but for those in `hidden`."""
    weak = np.isin(np.arange(60), hidden)
    places = np.column_stack([np.arange(60.0), np.zeros(60)])
    return Course(0, 1, 0, 1, places, np.where(weak, 1.5, 0.03), ~weak)


def test_only_the_stretch_at_fault_is_kept_to_more_closely_all_of_it():
    course = line([*range(10, 20), *range(40, 50)])
    step = nearer(course, first_step(course), [(15, 18)])
    assert np.flatnonzero(step.near).tolist() == list(range(10, 20))
    taken = stepped(course, step)
    assert taken.errors[10:20] == pytest.approx(0.35)
    assert taken.errors[[9, 45]] == pytest.approx([0.03, 1.5])


def test_where_it_is_known_what_crosses_only_places_near_that_are_kept_to_more_closely():
    course = line([*range(5, 50)])
    crossed = np.array([[40.0, 3.0]])
    step = nearer(course, first_step(course), [(0, 60)], crossed)
    assert np.flatnonzero(step.near).tolist() == list(range(31, 50))  # within 10 mm
    for _ in range(2):
        step = nearer(course, step, [(0, 60)], crossed)
    assert set(step.near[31:50].tolist()) == {3}
    # Where that does not help, all of the stretch is, and what is measured never.
    wider = nearer(course, step, [(0, 60)], crossed)
    assert np.flatnonzero(wider.near).tolist() == list(range(5, 50))
    assert nearer(line([]), first_step(line([])), [(0, 60)], crossed) is None


def test_only_the_segment_at_fault_may_become_more_segments():
    course = line([])
    steps = {0: first_step(course)}
    stepped_back([course], steps, {0: {1}}, {0: [(0, 20), (20, 60)]}, {}, both=True)
    assert np.flatnonzero(steps[0].leave.where).tolist() == list(range(16, 60))


def test_where_all_at_fault_is_measured_the_whole_course_goes_back():
    one, other = line([*range(40, 50)]), line([])
    courses = [one, other]
    steps = {at: first_step(course) for at, course in enumerate(courses)}
    spans = {0: [(0, 20), (20, 60)], 1: [(0, 60)]}
    # Where a border that is seen and one that is not cross, the latter gives way.
    assert stepped_back(courses, steps, {0: {1}, 1: {0}}, spans, {}, both=False) == [0]
    assert (steps[0].whole, steps[1].whole) == (0, 0)
    assert stepped_back(courses, steps, {1: {0}}, spans, {}, both=False) == [1]
    assert steps[1].whole == FINER


def test_an_arc_that_turned_into_the_rest_of_its_circle_is_at_fault():
    turn = np.linspace(0.2, 2 * np.pi - 0.2, 200)
    places = np.column_stack([50 + 20 * np.cos(turn), 50 + 20 * np.sin(turn)])
    course = Course(RING, RING, 1, 0, places, np.full(200, 0.03), np.ones(200, dtype=bool))
    none = np.zeros((0, 2)), np.zeros(0), np.zeros(0, dtype=bool)
    network = Network(
        np.zeros((0, 2)), (course, Course(RING, RING, 0, -1, *none)),
        (TracedRegion("a", ((1,), (~0,))), TracedRegion("b", ((0,),))),
    )  # fmt: skip
    (ax, ay), (bx, by) = places[0].tolist(), places[-1].tolist()

    def faults(*, longer):
        arc = Segment((bx, by), (50.0, 50.0), counterclockwise=longer)
        ring = Chain((ax, ay), (arc, Segment((ax, ay))))
        borders = (
            TracedBorder(ring, RING, RING, 1, 0), TracedBorder(SQUARE, RING, RING, 0, -1)
        )  # fmt: skip
        return faults_of(network, borders, {0: [(0, 200), (200, 200)]}, rim_of(SQUARE))

    assert faults(longer=False) == {0: {0}}
    assert 0 not in faults(longer=True)


def test_a_corner_far_from_all_paths_is_at_fault_at_the_ends_of_its_segments():
    course = line([*range(20, 40)])
    tip = Chain((0.0, 0.0), (Segment((80.0, 3.0)), Segment((59.0, 0.0))))
    near = Chain((0.0, 0.0), (Segment((30.0, 5.0)), Segment((59.0, 0.0))))
    spans = {0: [(0, 30), (30, 60)]}
    for chain, found in ((tip, {0: {0, 1}}), (near, {})):
        border = TracedBorder(chain, 0, 1, 0, 1)
        assert strayed([course], [border], ways_of([course])) == found
    ends = ends_of([course], {0: {0}}, spans)
    assert ends[0].tolist() == [[0.0, 0.0], [29.0, 0.0]]


def test_a_segment_that_passes_its_measured_places_by_is_at_fault():
    """A border that bulges by 2 mm, drawn as one of 1.2: places known to 0.03 mm lie beside."""
    x = np.linspace(5.0, 95.0, 60)
    places = np.column_stack([x, 50 + 2.0 * (1 - ((x - 50) / 50) ** 2)])
    course = Course(0, 1, 0, 1, places, np.full(60, 0.03), np.ones(60, dtype=bool))
    none = np.zeros((0, 2)), np.zeros(0), np.zeros(0, dtype=bool)
    network = Network(
        np.array([[0.0, 50.0], [100.0, 50.0]]),
        (course, Course(0, 1, 1, -1, *none), Course(1, 0, 0, -1, *none)),
        (TracedRegion("a", ((0, 2),)), TracedRegion("b", ((~0, 1),))),
    )
    rim = rim_of(SQUARE)
    below = rim.between(rim.foot((0.0, 50.0))[1:], rim.foot((100.0, 50.0))[1:])
    above = rim.between(rim.foot((100.0, 50.0))[1:], rim.foot((0.0, 50.0))[1:])

    def faults(height):
        middle = (50.0, 50 - (2500 - height**2) / (2 * height))
        bulge = Segment((100.0, 50.0), middle, counterclockwise=False)
        drawn = Chain((0.0, 50.0), (bulge,))
        borders = (
            TracedBorder(drawn, 0, 1, 0, 1), TracedBorder(below, 0, 1, 1, -1),
            TracedBorder(above, 1, 0, 0, -1),
        )  # fmt: skip
        return faults_of(network, borders, {0: [(0, 60)]}, rim)

    assert faults(2.0) == {}
    assert faults(1.2) == {0: {0}}
