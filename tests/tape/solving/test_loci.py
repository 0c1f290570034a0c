"""Where one observation lets a corner be, and where two loci cross."""

import math

import pytest
from hypothesis import given
from hypothesis.strategies import floats

from mateline.tape.solving.loci import Circle, Line, crossings, loci
from mateline.tape.solving.observations import Along, Angle, Distance, Height, Lean, Square

NUMBERS = floats(-2000, 2000)


def off(locus, at):
    """How far `at` is off `locus`."""
    if isinstance(locus, Circle):
        return abs(math.dist(at, (locus.x, locus.y)) - locus.radius)
    return abs((at[0] - locus.x) * locus.uy - (at[1] - locus.y) * locus.ux)


@given(x=NUMBERS, y=NUMBERS, radius=floats(1, 3000), angle=floats(0, math.pi))
def test_every_true_crossing_is_on_both_loci(x, y, radius, angle):
    circle, line = Circle(0, 0, 1000), Line(x, y, math.cos(angle), math.sin(angle))
    for other in (line, Circle(x, y, radius)):
        for crossing in crossings(circle, other):
            if crossing.sine > 1e-3:
                assert off(circle, crossing.at) < 1e-6
                assert off(other, crossing.at) < 1e-6


def test_a_3_4_5_triangle_closes_at_both_sides():
    found = crossings(Circle(0, 0, 3), Circle(5, 0, 4))
    assert [crossing.at for crossing in found] == [
        pytest.approx((1.8, 2.4)),
        pytest.approx((1.8, -2.4)),
    ]
    assert found[0].sine == pytest.approx(1.0)  # they cross squarely


@pytest.mark.parametrize(
    ("one", "two", "at"),
    [
        (Circle(0, 0, 100), Circle(300, 0, 100), (150, 0)),
        (Circle(0, 0, 300), Circle(100, 0, 100), (250, 0)),
        (Circle(0, 0, 100), Circle(100, 0, 300), (-150, 0)),
        (Circle(0, 0, 100), Line(0, 150, 1, 0), (0, 150)),
    ],
)
def test_loci_that_miss_each_other_give_one_point_between_them(one, two, at):
    (crossing,) = crossings(one, two)
    assert crossing.at == pytest.approx(at)
    assert crossing.sine == 0


def test_lines_cross_once_and_parallel_ones_never():
    (crossing,) = crossings(Line(0, 5, 1, 0), Line(7, 0, 0, 1))
    assert crossing.at == (7, 5)
    assert crossings(Line(0, 5, 1, 0), Line(0, 9, 1, 0)) == ()


def test_circles_round_one_centre_never_cross():
    assert crossings(Circle(0, 0, 5), Circle(0, 0, 6)) == ()


PLACED = {"A": (0.0, 0.0), "B": (600.0, 0.0), "C": (600.0, 400.0), "D": (0.0, 400.0)}


@pytest.mark.parametrize(
    "observation",
    [
        Distance("A", "C", math.hypot(600, 400), 1.0, ""),
        Height("D", "A", "B", 400.0, 1.0, ""),
        Square("A", "D", "B", 0.01, ""),
        Square("C", "B", "D", 0.01, ""),
    ],
)
def test_each_point_of_a_true_observation_is_on_one_of_its_loci(observation):
    for corner in observation.names:
        rest = {name: at for name, at in PLACED.items() if name != corner}
        ways = loci(observation, corner, rest)
        assert min(off(way, PLACED[corner]) for way in ways) < 1e-9


def test_no_locus_before_the_other_points_are_placed():
    assert loci(Height("D", "A", "B", 400.0, 1.0, ""), "D", {"A": (0.0, 0.0)}) == ()
    assert loci(Distance("A", "B", 5.0, 1.0, ""), "C", PLACED) == ()


SMALL = {"A": (0.0, 0.0), "B": (0.6, 0.0), "C": (0.6, 0.4), "D": (0.0, 0.4)}  # mm


@pytest.mark.parametrize(("size", "some"), [(1.0, True), (1e-5, True), (1e-7, False)])
def test_points_less_than_a_nanometre_apart_are_one_and_others_have_their_loci(size, some):
    """Rectangles of 0.6 x 0.4 mm, of 6 x 4 nm, and a hundredth of that."""
    placed = {name: (x * size, y * size) for name, (x, y) in SMALL.items()}
    quarter = math.pi / 2
    for observation, corner in (
        (Height("D", "A", "B", 0.4 * size, 1.0, ""), "D"),
        (Height("D", "A", "B", 0.4 * size, 1.0, ""), "B"),
        (Square("A", "D", "B", 0.01, ""), "B"),
        (Along("C", "A", "B", 0.6 * size, 1.0, ""), "C"),
        (Along("C", "A", "B", 0.6 * size, 1.0, ""), "B"),
        (Angle("A", "D", "B", quarter, 0.01, ""), "A"),
        (Angle("A", "D", "B", quarter, 0.01, ""), "B"),
        (Lean(("A", "B", "B", "C"), quarter, 0.01, ""), "C"),
    ):
        rest = {name: at for name, at in placed.items() if name != corner}
        ways = loci(observation, corner, rest)
        assert bool(ways) == some
        if some:
            assert min(off(way, placed[corner]) for way in ways) < 1e-9
    meeting = crossings(Circle(0, 0, 0.5 * size), Circle(0.5 * size, 0, 0.5 * size))
    assert len(meeting) == (2 if some else 0)
