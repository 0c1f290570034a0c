"""Small traced faces whose figures are nearly regular, and what is made of them."""

import math
from itertools import pairwise

import pytest

from mateline import curves
from mateline.capture.regularity.regular import proposed, regular
from mateline.curves import Chain, Segment
from traced_islands import islands, polygon, sound


def nearly_a_circle(x, y, reach, off):
    """Two half turns, the second one `off` mm flatter: no circle, but within its error."""
    half = math.pi / 2 - off / reach  # half its turn
    left, right = (x - reach, y), (x + reach, y)
    centre = (x, y - reach / math.tan(half))
    return Chain(right, (Segment(left, (x, y)), Segment(right, centre)))


def test_two_arcs_that_are_nearly_a_circle_become_it():
    own = islands(nearly_a_circle(60, 50, 30, 0.02))
    made, (change,) = regular(own, ("circles",), 0.1)
    (one, other) = made.borders[1].chain.segments
    assert one.centre == other.centre
    assert one.centre == pytest.approx((60, 50), abs=0.02)
    assert 0 < change.moved < 0.03
    assert (change.kind, change.borders) == ("circles", (1,))
    assert sound(made)


def test_what_is_no_circle_beyond_its_error_stays():
    own = islands(nearly_a_circle(60, 50, 30, 0.5))
    assert regular(own, ("circles",), 1.0) == (own, ())


def test_circles_of_nearly_one_radius_become_equal_and_another_does_not():
    own = islands(
        curves.circle((30, 50), 12.01), curves.circle((90, 50), 11.99), curves.circle((150, 50), 13)
    )
    made, changes = regular(own, ("equal",), 0.1)
    reaches = [curves.radius(made.borders[at].chain.segments[0]) for at in (1, 2, 3)]
    assert reaches == pytest.approx([12, 12, 13], abs=1e-6)
    assert [change.borders for change in changes] == [(1, 2)]
    assert changes[0].moved == pytest.approx(0.01, abs=0.003)  # facets of 0.002
    assert sound(made)


def test_a_radius_is_taken_to_a_standard_size_only_if_its_error_tells_one():
    own = islands(curves.circle((60, 50), 12.02))
    made, _ = regular(own, ("radii",), 0.1)
    assert curves.radius(made.borders[1].chain.segments[0]) == pytest.approx(12, abs=1e-6)
    inches, _ = regular(islands(curves.circle((60, 50), 12.69)), ("radii",), 0.1, "inch")
    assert curves.radius(inches.borders[1].chain.segments[0]) == pytest.approx(12.7, abs=1e-6)


def test_rays_meet_in_the_centre_of_their_circle():
    def ray(angle, miss):
        spots = []
        for turn, reach in ((-0.1, 15), (-0.1, 40), (0.1, 40), (0.1, 15)):
            way = angle + turn
            x, y = 100 + reach * math.cos(way), 50 + reach * math.sin(way)
            spots.append((x - miss * math.sin(way), y + miss * math.cos(way)))
        return polygon(*spots)

    own = islands(
        curves.circle((100, 50), 10), ray(0.3, 0.01), ray(1.5, -0.02), ray(2.7, 0.015),
    )  # fmt: skip
    made, (change,) = regular(own, ("rays",), 0.1)
    for border in made.borders[2:]:
        points = border.chain.points
        for (ax, ay), (bx, by) in ((points[0], points[3]), (points[1], points[2])):
            size = math.hypot(bx - ax, by - ay)
            if size > 20:  # the long sides
                across = ((bx - ax) * (50 - ay) - (by - ay) * (100 - ax)) / size
                assert abs(across) < 1e-5
    assert change.words.startswith("6 lines")
    assert sound(made)


def test_lines_on_both_sides_of_what_crosses_them_become_one():
    own = islands(
        polygon((20, 30), (60, 30.01), (60, 40), (20, 40)),
        polygon((80, 30.02), (140, 30), (140, 45), (80, 45)),
    )
    made, changes = regular(own, ("through",), 0.1)
    low = [point for border in made.borders[1:] for point in border.chain.points if point[1] < 35]
    (ax, ay), (bx, by) = min(low), max(low)
    for x, y in low:
        assert abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / (bx - ax) < 5e-6
    assert [change.borders for change in changes] == [(1, 2)]


def test_nearly_parallel_lines_become_parallel():
    own = islands(polygon((20, 30), (120, 30.02), (120, 60), (20, 60)))
    made, changes = regular(own, ("parallel",), 0.1)
    points = made.borders[1].chain.points
    slopes = sorted(
        (b[1] - a[1]) / (b[0] - a[0])
        for a, b in pairwise(points) if abs(b[0] - a[0]) > 50
    )  # fmt: skip
    assert slopes[1] - slopes[0] < 1e-7
    assert {change.kind for change in changes} == {"parallel"}


def test_nothing_is_moved_farther_than_the_tolerance():
    own = islands(nearly_a_circle(60, 50, 30, 0.02))
    assert regular(own, ("circles",), 0.001) == (own, ())


def test_proposals_change_nothing_and_name_their_borders():
    own = islands(nearly_a_circle(60, 50, 30, 0.02), curves.circle((140, 50), 30.01))
    found = proposed(own, 0.1)
    assert {("circles", (1,)), ("equal", (1, 2))} <= {(each.kind, each.borders) for each in found}


def test_a_kind_that_there_is_not_is_refused():
    with pytest.raises(ValueError, match="golden"):
        regular(islands(), ("golden",), 0.1)
