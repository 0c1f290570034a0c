"""Curved sides as boards: lengths and places worked on the page."""

import math

import numpy as np
import pytest

from boxes import faults_of
from curved_boxes import BOWED, HEELS, HOLLOW, ROUNDED, board, curved
from mateline.cabinet.bent.rings import in_facets
from mateline.cabinet.panel import frame_at, level, raised
from mateline.curves import FACET

VIEWS = ("side", "plan", "front")
RADIUS = 400**2 / (8 * 40) + 20  # of the bow: 520


def spots(panel, depth=0.0):
    """The board's corners at a depth, in the cabinet frame."""
    return raised(panel, level(panel, depth), depth)


@pytest.mark.parametrize("view", VIEWS)
def test_a_bent_board_is_as_long_as_its_outside(view):
    panel = board(curved(view=view), "high")
    size = np.ptp(np.array(panel.outline), axis=0)
    along, across = size if not panel.bend.upright else size[::-1]
    assert along == pytest.approx(2 * RADIUS * math.asin(200 / RADIUS), abs=1e-6)
    assert across == pytest.approx(300, abs=1e-9)
    assert panel.bend.radius == pytest.approx(RADIUS, abs=1e-6)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("curves", [BOWED, HOLLOW])
def test_it_starts_and_ends_at_the_corners_of_the_outline(view, curves):
    cabinet = curved(curves, view=view)
    at = {"side": lambda p: p[[1, 2]], "plan": lambda p: p[:2], "front": lambda p: p[[0, 2]]}[view]
    panel = board(cabinet, "high")
    found = {tuple(np.round(at(p), 6) + 0.0) for p in raised(panel, np.array(panel.outline), 0.0)}
    assert found == {(0.0, 500.0), (400.0, 500.0)}


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize(("curves", "way"), [(BOWED, 40.0), (HOLLOW, -30.0)])
def test_its_middle_is_where_the_rise_says_and_its_wood_below(view, curves, way):
    panel = board(curved(curves, view=view), "high")
    middle = np.array(panel.outline).mean(axis=0)
    outside, inside = (raised(panel, middle[None], depth)[0] for depth in (0.0, 18.0))
    up = {"side": 2, "plan": 1, "front": 2}[view]
    assert outside[up] == pytest.approx(500 + way, abs=1e-6)
    assert inside[up] == pytest.approx(500 + way - 18, abs=1e-6)
    frame = frame_at(panel, tuple(middle))
    assert frame.corner == pytest.approx(outside, abs=1e-9)
    assert frame.outward[up] == pytest.approx(1, abs=1e-9)


def test_facets_of_a_side_follow_the_curve():
    panel = board(curved(), "right")
    run = panel.runs[0]
    rim = np.array(panel.outline)
    away = np.hypot(*(rim - run.centre).T)[run.first : run.first + run.count]
    assert away == pytest.approx(RADIUS, abs=1e-6)
    step = math.dist(rim[run.first], rim[run.first + 1])
    assert RADIUS - math.sqrt(RADIUS**2 - step**2 / 4) <= FACET


def test_left_and_right_are_mirrored():
    cabinet = curved(f"{HOLLOW}\n{ROUNDED.splitlines()[0]}", 'heel = { edge = "B" }')
    left, right = (np.array(board(cabinet, side).outline) for side in ("left", "right"))
    here, there = np.sort(400 - left[:, 0]), np.sort(right[:, 0])
    assert here == pytest.approx(there, abs=1e-6)


def test_a_round_corner_gets_a_board_between_its_neighbours():
    cabinet = curved(ROUNDED, HEELS)
    heel = board(cabinet, "heel")
    assert abs(heel.bend.radius) == pytest.approx(110, abs=1e-4)
    length = np.ptp(np.array(heel.outline), axis=0)[1 if heel.bend.upright else 0]
    assert length == pytest.approx(110 * math.pi / 2, abs=1e-4)
    # The straight boards end where the round starts, cut square.
    low = np.array(board(cabinet, "low").outline)
    assert np.ptp(low, axis=0).min() == pytest.approx(400 - 110, abs=1e-6)


def test_a_board_in_facets_keeps_its_ends():
    panel = board(curved(), "high")
    parts = in_facets(panel, 12)
    assert len(parts.outline) == 2 * 12 + 2
    for depth in (0.0, 18.0):
        want = {tuple(p) for p in np.round(spots(panel, depth), 6) + 0.0}
        assert want <= {tuple(p) for p in np.round(spots(parts, depth), 6) + 0.0}


def fault(**box):
    return " ".join(faults_of(lambda: curved(**box)))


class TestRefusals:
    def test_a_round_corner_without_a_board(self):
        assert "No panel stands on B" in fault(curves=ROUNDED, panels='shoulder = { edge = "D" }')

    def test_mitred_along_a_curve(self):
        assert "not mitred" in fault(more='joints = ["left mitre high"]')

    def test_a_round_along_a_curve(self):
        said = fault(panels='[carcase.edges]\n"left and high" = { round = 6 }')
        assert "meet at a curve" in said

    def test_a_bevel_where_a_bent_board_ends(self):
        said = fault(panels='[carcase.edges]\n"near and high" = { bevel = 6 }')
        assert "meet at a curve" in said

    def test_boards_that_do_not_reach(self):
        # Bent in a radius of 26 mm, a board of 18 mm on an inner radius of 8 has no room.
        said = fault(curves="A-B = { rise = 240 }", more='joints = ["near over low"]')
        assert said

    def test_standing_on_a_curve(self):
        more = """
[[carcase]]
name = "head"
view = "side"
corners = ["A", "B", "C"]
width = 300
board = 18
stands_on = { carcase = "box", edge = "C-D" }
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [0, 300]
[carcase.panels]
low = { edge = "A-B" }
high = { edge = "B-C" }
near = { edge = "C-A" }
"""
        assert "C-D is curved" in " ".join(faults_of(lambda: curved(after=more)))
