"""Borders of both sides say where one has what the other has.

Points lie on a square of 100 mm, its upper half another colour than its lower, and a circle.
"""

from dataclasses import replace

import numpy as np
import pytest

from mateline.capture.both_sides.border_points import BorderPoints
from mateline.capture.both_sides.registration import UnlikeError, Warp, registered

BOX = (0.0, 0.0, 400.0, 300.0)


def points(moved=lambda at: at, pairs=(1, 2, 3)):
    """Two level lines, an upright one and a circle, with the directions across after moving."""
    share = np.linspace(0, 1, 400)[:, None]
    runs = [
        (1, np.array([0, 100]) + share * (400, 20)),
        (2, np.array([150, 0]) + share * (-30, 300)),
        (1, np.array([0, 220]) + share * (400, 0)),
        (
            3,
            np.hstack([280 + 50 * np.cos(2 * np.pi * share), 160 + 50 * np.sin(2 * np.pi * share)]),
        ),
    ]
    at, across, pair, border = [], [], [], []
    for number, (code, run) in enumerate(runs):
        if code in pairs:
            placed = moved(run)
            way = np.gradient(placed, axis=0)
            way /= np.hypot(way[:, 0], way[:, 1])[:, None]
            at.append(placed)
            across.append(np.column_stack([-way[:, 1], way[:, 0]]))
            pair.append(np.full(len(run), code))
            border.append(np.full(len(run), number))
    return BorderPoints(
        np.vstack(at), np.vstack(across), np.concatenate(pair), np.concatenate(border)
    )


def test_sides_that_are_alike_stay_where_they_are():
    found = registered(points(), points(), BOX)
    assert np.abs(found.warp.moved(points().at) - points().at).max() < 1e-3
    assert found.matched == found.asked == 1600


def test_a_shift_a_turn_and_a_scale_are_found():
    turn, scale = 0.004, 1.003
    cos, sin = scale * np.cos(turn), scale * np.sin(turn)

    def moved(at):
        return at @ np.array([[cos, sin], [-sin, cos]]) + (1.5, -2.0)

    found = registered(points(), points(moved), BOX)
    inside = np.array([[120.0, 100.0], [280.0, 160.0], [140.0, 220.0]])
    assert np.abs(found.warp.moved(inside) - moved(inside)).max() < 0.1
    assert found.rms < 0.02


def test_a_hand_that_strays_smoothly_is_followed_across_borders():
    def moved(at):
        x, y = at.T
        return at + np.column_stack([1.5 * np.sin(y / 150), 1.2 * np.cos(x / 200)])

    found = registered(points(), points(moved), BOX)
    circle = points(pairs=(3,)).at
    assert np.hypot(*(found.warp.moved(circle) - moved(circle)).T).max() < 0.15
    assert found.rms < 0.05


def test_borders_of_other_colours_are_not_taken_for_each_other():
    # the right's lower line has the colours of nothing on the left, 2 mm off
    other = points()
    strange = np.where((other.pair == 1) & (other.at[:, 1] < 150), 9, other.pair)
    off = replace(other, at=other.at + (0, 2) * (strange == 9)[:, None], pair=strange)
    found = registered(points(), off, BOX)
    upper = points().at[800:1200]
    assert np.abs((found.warp.moved(upper) - upper)[:, 1]).max() < 0.01


def test_what_is_moved_is_carried_back():
    warp = Warp(
        BOX, ((0, 0), (1, 0), (0, 1), (1, 1)), np.array([(2, 1), (1, 0), (0, -1), (0.5, 1)])
    )
    places = np.array([[10.0, 20.0], [390.0, 280.0], [200.0, 150.0]])
    assert np.abs(warp.back(warp.moved(places)) - places).max() < 1e-6


def test_the_middle_of_the_box_is_moved_by_the_first_term_alone():
    warp = Warp(BOX, ((0, 0), (1, 0), (0, 1)), np.array([(2.0, 1.0), (5.0, 0.0), (0.0, 5.0)]))
    assert warp.moved(np.array([[200.0, 150.0], [400.0, 150.0]])).tolist() == [
        [202, 151],
        [407, 151],
    ]


def test_sides_that_share_no_colours_are_refused():
    with pytest.raises(UnlikeError):
        registered(points(pairs=(1,)), points(pairs=(2, 3)), BOX)


def shapes_by_hand(seed):
    """Thirty discs and bars of 15 to 250 mm, each put up to half a millimetre off by itself."""
    chance = np.random.default_rng(seed)
    at, across = [], []
    for number in range(30):
        long = (15, 15, 25, 25, 40, 250)[number % 6]
        share = np.linspace(-0.5, 0.5, 2 * long)
        angle = chance.uniform(0, 2 * np.pi)
        if number % 2:
            run = share[:, None] * long * np.array([np.cos(angle), np.sin(angle)])
        else:
            turn = 2 * np.pi * share[:, None]
            run = long / 4 * np.hstack([np.cos(turn), np.sin(turn)])
        way = np.gradient(run, axis=0)
        way /= np.hypot(way[:, 0], way[:, 1])[:, None]
        at.append(chance.uniform((20, 20), (380, 280)) + run)
        across.append(np.column_stack([-way[:, 1], way[:, 0]]))
    border = np.repeat(np.arange(30), [len(run) for run in at])
    own = BorderPoints(np.vstack(at), np.vstack(across), border, border)
    off = chance.normal(0, 0.15, (30, 2))[border]
    return own, replace(own, at=own.at + off)


def test_shapes_that_are_off_by_themselves_do_not_bend_the_map_between_them():
    """The map is the identity. What thirty shapes of 0.15 mm tell of it is some 0.1 mm good."""
    x, y = np.meshgrid(np.arange(40.0, 400.0, 40.0), np.arange(30.0, 300.0, 30.0))
    places = np.column_stack([x.ravel(), y.ravel()])
    squares = []
    for seed in range(4):
        warp = registered(*shapes_by_hand(seed), BOX).warp
        squares.append(((warp.moved(places) - places) ** 2).mean())
    assert np.sqrt(np.mean(squares)) < 0.15
