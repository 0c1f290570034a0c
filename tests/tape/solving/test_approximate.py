"""Start figures: corner by corner, or from scattered starts."""

import math

import numpy as np
import pytest

from mateline.tape.solving.approximate import Form, figures, scattered, signed
from mateline.tape.solving.network import Distance, Height, Square
from mateline.tape.solving.polygon import crossing_sides

#  D---C
#  |   |
#  A---B
BOARD = {"A": (0.0, 0.0), "B": (600.0, 0.0), "C": (600.0, 900.0), "D": (0.0, 900.0)}
CORNERS = tuple(BOARD)
CONVEX = Form(CORNERS, frozenset())


def distances(points, pairs):
    return [Distance(a, b, math.dist(points[a], points[b]), 0.5, f"{a}-{b}") for a, b in pairs]


def height(points, corner, a, b):
    (px, py), (ax, ay), (bx, by) = points[corner], points[a], points[b]
    length = math.hypot(bx - ax, by - ay)
    off = abs((bx - ax) * (py - ay) - (by - ay) * (px - ax)) / length
    return Height(corner, a, b, off, 0.5, f"{corner} above {a}-{b}")


def spans(points):
    at = np.array(points, dtype=float)
    return np.linalg.norm(at[:, None] - at[None, :], axis=2)


def test_exact_readings_give_the_figure_exactly():
    (found,) = figures(CONVEX, distances(BOARD, ["AB", "BC", "CD", "DA", "AC"]))
    assert spans(found) == pytest.approx(spans(list(BOARD.values())), abs=1e-9)


def test_a_flat_kite_has_two_figures_and_only_one_is_convex():
    kite = distances(BOARD | {"D": (200.0, 500.0)}, ["AB", "BC", "CD", "DA", "AC"])
    assert len(figures(CONVEX, kite)) == 1
    assert len(figures(Form(CORNERS, None), kite)) == 2  # D folded over A-C makes an arrowhead


def test_figures_that_cross_themselves_are_dropped_unless_wanted():
    kite = distances(BOARD, ["AB", "BC", "CA", "BD", "AD"])
    simple = figures(Form(CORNERS, None), kite)
    every = figures(Form(CORNERS, None, simple=False), kite)
    assert all(crossing_sides(points) is None for points in simple)
    assert any(crossing_sides(points) is not None for points in every)


def test_two_edges_that_pass_a_corner_at_known_heights_do_not_put_it_on_that_corner():
    """D is an end of both edges; their tangents cross at B, the other end, and that is not D."""
    slanted = BOARD | {"C": (650.0, 800.0), "D": (-40.0, 950.0)}
    ties = [
        *distances(slanted, ["AB", "BC", "AC", "CD"]),
        height(slanted, "A", "B", "D"),
        height(slanted, "C", "B", "D"),
    ]
    found = figures(CONVEX, ties)
    assert any(
        np.abs(spans(points) - spans(list(slanted.values()))).max() < 1e-6 for points in found
    )


def test_corners_that_would_lie_on_each_other_make_no_figure():
    # Two right angles on one side of a triangle bring its two other sides together.
    ties = [
        *distances(BOARD, ["AC"]),
        Square("A", "C", "B", 0.01, "square corner A"),
        Square("B", "A", "C", 0.01, "square corner B"),
    ]
    assert scattered(Form(("A", "B", "C"), frozenset()), ties) == []


def test_scattered_starts_are_the_same_each_time():
    ties = distances(BOARD, ["AB", "BC", "CD", "DA", "AC"])
    one, two = (scattered(CONVEX, ties) for _ in range(2))
    assert [points.tobytes() for points in one] == [points.tobytes() for points in two]
    assert spans(one[0]) == pytest.approx(spans(list(BOARD.values())), abs=1e-6)


def test_a_height_takes_the_side_on_which_the_figure_has_it():
    at = np.array(list(BOARD.values()))
    above, below = height(BOARD, "C", "A", "B"), height(BOARD, "C", "B", "A")
    assert signed([above, below], CORNERS, at) == [
        above,
        Height("C", "A", "B", 900.0, 0.5, "C above B-A"),
    ]
