"""Sides moved in, worked on the page."""

import math

import pytest

from mateline.planar.offsets import (
    Curved,
    NoCornerError,
    corner,
    moved_sides,
    spread,
    spread_as,
    sweep_of,
)

# A quarter circle of 100 about (0, 0), and its two radii: counter-clockwise.
QUARTER = (
    Curved((0.0, 0.0), (100.0, 0.0)),
    Curved((100.0, 0.0), (0.0, 100.0), (0.0, 0.0)),
    Curved((0.0, 100.0), (0.0, 0.0)),
)


def test_a_quarter_moved_in():
    # The arc's radius is 90 then; where y is 10, x is sqrt(90^2 - 10^2).
    moved = moved_sides(QUARTER, (10.0, 10.0, 10.0))
    assert moved[0].start == pytest.approx((10, 10))
    assert moved[0].to == pytest.approx((math.sqrt(8000), 10), abs=1e-9)
    assert moved[1].radius == pytest.approx(90, abs=1e-9)


def test_a_hollow_side_moved_in_grows():
    # The chord is 80 and the circle about (0, -30) has radius 50, above the chord's line by 20.
    hollow = Curved((40.0, 0.0), (-40.0, 0.0), (0.0, 30.0), bulging=False)
    sides = (
        Curved((-40.0, -200.0), (40.0, -200.0)),
        Curved((40.0, -200.0), (40.0, 0.0)),
        hollow,
        Curved((-40.0, 0.0), (-40.0, -200.0)),
    )
    moved = moved_sides(sides, (0.0, 0.0, 10.0, 0.0))
    assert hollow.radius == -50
    assert moved[2].radius == pytest.approx(-60, abs=1e-9)
    # At x = 40 the circle of 60 about (0, 30) is at 30 - sqrt(60^2 - 40^2).
    assert moved[2].start == pytest.approx((40, 30 - math.sqrt(2000)), abs=1e-9)


def test_tangent_sides_move_square_to_both():
    line = Curved((-50.0, 100.0), (-200.0, 100.0))
    arc = Curved((50.0, 0.0), (-50.0, 100.0), (-50.0, 0.0))
    assert corner(arc, line, (7.0, 7.0)) == pytest.approx((-50, 93), abs=1e-9)


def test_sides_that_no_longer_meet_are_told():
    with pytest.raises(NoCornerError):
        moved_sides(QUARTER, (0.0, 110.0, 0.0))


def test_places_along_a_side():
    assert spread(QUARTER[0], 4) == [(0, 0), (25, 0), (50, 0), (75, 0)]
    root = 100 * math.sqrt(0.5)
    assert spread(QUARTER[1], 2) == [(100, 0), pytest.approx((root, root))]
    assert sweep_of(QUARTER[1]) == pytest.approx(math.pi / 2)


def test_turns_have_signs():
    back = Curved((0.0, 100.0), (100.0, 0.0), (0.0, 0.0))
    assert QUARTER[1].turn() == pytest.approx(math.pi / 2)
    assert back.turn() == pytest.approx(-math.pi / 2)


def test_places_of_a_side_that_is_cut_stay_where_they_are_left():
    arc = QUARTER[1]  # in tenths of 9°; a cut at 20° takes two, and the next would be too near
    turn = math.radians(20)
    cut = Curved((100 * math.cos(turn), 100 * math.sin(turn)), arc.to, arc.centre)
    angles = [math.degrees(math.atan2(y, x)) for x, y in spread_as(arc, cut, 10)]
    assert angles == pytest.approx([20, 24, 28, 32, 36, 45, 54, 63, 72, 81])
    within = Curved((80.0 * math.cos(turn), 80 * math.sin(turn)), (0.0, 80.0), arc.centre)
    found = spread_as(arc, within, 10)
    assert [math.hypot(x, y) for x, y in found] == pytest.approx([80] * 10)


def test_places_of_a_line_move_in_with_it():
    line = Curved((0.0, 0.0), (100.0, 0.0))
    found = spread_as(line, Curved((15.0, 5.0), (100.0, 5.0)), 5)
    assert [x for x, _ in found] == pytest.approx([15, 27.5, 40, 60, 80])
    assert {y for _, y in found} == {5.0}
