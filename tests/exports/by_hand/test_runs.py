r"""Runs worked on the page.

20 o-----------------o        a ladder: one line through three meeting places
   |     |     |     |
 0 o-----o-----o-----o
   0    20    40    60
"""

import math

import numpy as np
import pytest
import shapely
from shapely import LineString

from mateline.curves import Chain, Segment, circle, flattened, sweep
from mateline.exports.by_hand.runs import NEAR, runs_of


def line(*points):
    return Chain(points[0], tuple(map(Segment, points[1:])))


def of(*chains, trim=False):
    return runs_of([(order, chain, trim) for order, chain in enumerate(chains)])


def walked(run):
    """A run as a line, without its own help."""
    if run.circle:
        return LineString(flattened(circle(run.centre, run.reach)))
    return LineString(
        flattened(Chain(run.start, (Segment(run.to, run.centre, not run.clockwise),)))
    )


def test_a_line_runs_on_through_meeting_places():
    found = of(
        line((0, 0), (20, 0)), line((20, 0), (20, 20)), line((20, 0), (40, 0)),
        line((40, 20), (40, 0)), line((40, 0), (60, 0)),
    )  # fmt: skip
    ends = {frozenset((run.start, run.to)) for run in found}
    assert ends == {
        frozenset({(0, 0), (60, 0)}), frozenset({(20, 0), (20, 20)}),
        frozenset({(40, 0), (40, 20)}),
    }  # fmt: skip


def test_lines_in_one_line_are_one_and_a_corner_parts_them():
    (long,) = of(line((0, 0), (10, 0), (10.1, 0.01), (25, 0), (70, 0)))
    assert (long.start, long.to) == ((0, 0), (70, 0))
    assert len(of(line((0, 0), (30, 0), (60, 5)))) == 2


def test_a_box_is_four_lines_and_no_circle_through_its_corners():
    found = of(line((0, 0), (50, 0), (50, 50), (0, 50), (0, 0)), trim=True)
    assert [run.centre for run in found] == [None] * 4


def test_the_trim_runs_on_into_nothing_else():
    inner, rim = line((-30, 0), (0, 0)), line((0, 0), (30, 0))
    assert len(runs_of([(0, inner, False), (1, rim, True)])) == 2
    assert len(runs_of([(0, inner, False), (1, rim, False)])) == 1


def test_a_wave_is_its_arcs_not_a_line_between_its_ends():
    # Point-symmetric about its middle: an S. Chords of 100, sagitta 20: r = (50² + 20²) / 40.
    reach = (50**2 + 20**2) / 40
    wave = Chain(
        (0.0, 0.0),
        (
            Segment((100.0, 0.0), (50.0, 20.0 - reach), counterclockwise=False),
            Segment((200.0, 0.0), (150.0, reach - 20.0), counterclockwise=True),
        ),
    )
    first, second = sorted(of(wave), key=lambda run: min(run.start, run.to))
    assert first.reach == pytest.approx(reach) == second.reach
    assert {first.start, first.to} == {(0.0, 0.0), (100.0, 0.0)}
    assert walked(first).hausdorff_distance(LineString([(0, 0), (100, 0)])) == pytest.approx(
        20, abs=0.01
    )


def test_a_flat_s_within_the_tolerance_is_one_line():
    wave = Chain(
        (0.0, 0.0),
        (
            Segment((50.0, 0.0), (25.0, -1000.0), counterclockwise=False),
            Segment((100.0, 0.0), (75.0, 1000.0), counterclockwise=True),
        ),
    )
    assert 1000 - math.sqrt(1000**2 - 25**2) < NEAR  # what it stands off
    (one,) = of(wave)
    assert one.centre is None


def test_an_arc_parted_by_meeting_places_is_one_again():
    angles = np.radians([10, 50, 80, 150])
    spots = [(100 * math.cos(a), 100 * math.sin(a)) for a in angles]
    parts = [
        Chain(spots[at], (Segment(spots[at + 1], (0.0, 0.0), counterclockwise=True),))
        for at in range(3)
    ]
    (one,) = of(parts[2], parts[0], parts[1])
    assert one.reach == pytest.approx(100)
    assert abs(one.turn) == pytest.approx(math.radians(140))


def test_facets_of_a_circle_are_an_arc():
    angles = np.radians(np.linspace(0, 90, 46))
    facets = line(*[(100 * math.cos(a), 100 * math.sin(a)) for a in angles])
    (arc,) = of(facets)
    assert arc.reach == pytest.approx(100, abs=0.1)


def test_more_than_half_a_turn_is_two_arcs_and_a_circle_is_one():
    three_quarters = Chain((50.0, 0.0), (Segment((0.0, -50.0), (0.0, 0.0), counterclockwise=True),))
    assert sweep((50.0, 0.0), three_quarters.segments[0]) == pytest.approx(1.5 * math.pi)
    halves = of(three_quarters)
    assert [abs(run.turn) for run in halves] == pytest.approx([0.75 * math.pi] * 2)
    (whole,) = of(circle((5.0, 6.0), 7.0))
    assert whole.circle
    assert whole.length == pytest.approx(14 * math.pi)


def test_what_is_under_half_a_mm_is_no_step():
    found = of(line((0, 0), (40, 0)), line((40, 0), (40, 0.3)), line((40, 0.3), (40, 60)))
    assert min(run.length for run in found) > 30
    assert len(found) == 2
    steps = of(line((0, 0), (30, 0), (30, 0.2), (60, 0.2)))
    assert [(run.start, run.to) for run in steps] == [((0, 0), (60, 0.2))]


def test_the_order_is_that_of_the_last_border():
    # An island held by what is cut later must not be let go: a run waits for its last part.
    found = runs_of(
        [(0, line((0, 0), (20, 0)), False), (1, line((0, 9), (9, 9)), False),
         (2, line((20, 0), (40, 0)), False)]
    )  # fmt: skip
    assert [run.order for run in found] == [1, 2]


def test_random_walks_are_never_left_by_more_than_the_tolerance():
    rng = np.random.default_rng(7)
    for _ in range(40):
        steps = rng.normal(0, 1, (30, 2)).cumsum(axis=0) * rng.choice([1.0, 5.0, 20.0])
        chain = line(*[tuple(spot) for spot in steps.tolist()])
        drawn = shapely.union_all([walked(run) for run in of(chain)])
        before = LineString(steps)
        assert before.segmentize(0.1).hausdorff_distance(drawn) < NEAR + 0.15
