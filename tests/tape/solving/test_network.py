"""Networks: what a datum holds, and what residuals say."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, integers

from mateline.tape.solving.network import (
    Distance,
    Free,
    Height,
    Held,
    HeldEdge,
    Network,
    Square,
    UndeterminedError,
    _searched,
    _stepped,
    motions_under,
    solve,
)

#  D---C
#  |   |   600 wide, 400 high
#  A---B
CORNERS = {"A": (0.0, 0.0), "B": (600.0, 0.0), "C": (600.0, 400.0), "D": (0.0, 400.0)}
PAIRS = ("AB", "BC", "CD", "DA", "AC", "BD")


def distances(pairs=PAIRS, *, spread=0.5):
    return [Distance(a, b, math.dist(CORNERS[a], CORNERS[b]), spread, f"{a}-{b}") for a, b in pairs]


def longer(observations, label, slip):
    return [
        Distance(each.a, each.b, each.length + slip, each.deviation, each.label)
        if each.label == label
        else each
        for each in observations
    ]


def test_exact_readings_leave_no_residuals():
    solution = solve(CORNERS, distances(), datum=HeldEdge("A", "B"))
    assert solution.points == pytest.approx(np.array(list(CORNERS.values())), abs=1e-9)
    assert solution.square_sum == pytest.approx(0.0, abs=1e-18)


def test_redundancy_numbers_sum_to_the_redundancy():
    solution = solve(CORNERS, distances(), datum=HeldEdge("A", "B"))
    assert solution.redundancy == 1
    assert solution.redundancy_numbers.sum() == pytest.approx(1.0, abs=1e-12)


def test_the_held_edge_has_no_spread_but_along_itself():
    solution = solve(CORNERS, distances(), datum=HeldEdge("A", "B"))
    spread = np.sqrt(np.diag(solution.covariance))
    assert spread[[0, 1, 3]] == pytest.approx(0.0, abs=1e-9)
    assert (spread[[2, 4, 5, 6, 7]] > 0.1).all()


def test_the_datum_does_not_change_how_readings_fit():
    observations = longer(distances(), "A-C", 3.0)
    datums = (HeldEdge("A", "B"), HeldEdge("C", "D"), Free())
    residuals = [solve(CORNERS, observations, datum=datum).residuals for datum in datums]
    assert residuals[1] == pytest.approx(residuals[0], abs=1e-7)
    assert residuals[2] == pytest.approx(residuals[0], abs=1e-7)


def test_the_free_datum_neither_shifts_nor_turns_the_figure():
    solution = solve(CORNERS, longer(distances(), "A-C", 3.0), datum=Free())
    start = np.array(list(CORNERS.values()))
    moved, arm = solution.points - start, start - start.mean(axis=0)
    assert moved.mean(axis=0) == pytest.approx([0, 0], abs=1e-6)
    assert np.sum(arm[:, 0] * moved[:, 1] - arm[:, 1] * moved[:, 0]) == pytest.approx(0, abs=1e-2)


def test_with_all_points_held_the_residuals_are_the_misclosures():
    solution = solve(CORNERS, longer(distances(), "A-C", 3.0), datum=Held(tuple(CORNERS)))
    assert solution.residuals == pytest.approx([0, 0, 0, 0, -3, 0], abs=1e-12)


def test_too_few_readings_are_undetermined():
    with pytest.raises(UndeterminedError, match="do not hold all points"):
        solve(CORNERS, distances(PAIRS[:4]), datum=HeldEdge("A", "B"))


def test_a_reading_that_nothing_checks_has_w_and_slip_zero():
    solution = solve(CORNERS, distances(PAIRS[:5]), datum=HeldEdge("A", "B"))
    assert solution.redundancy == 0
    assert solution.m0 is None
    assert solution.w.tolist() == [0.0] * 5
    assert solution.slips.tolist() == [0.0] * 5


@given(slip=floats(5, 200), row=integers(0, 5), sign=integers(0, 1))
def test_one_slip_is_seen_with_its_size(slip, row, sign):
    slip = -slip if sign else slip
    observations = longer(distances(), f"{PAIRS[row][0]}-{PAIRS[row][1]}", slip)
    solution = solve(CORNERS, observations, datum=HeldEdge("A", "B"))
    # The network is not linear: a large slip turns it a little.
    assert solution.slips[row] == pytest.approx(slip, rel=0.35, abs=0.5)


@given(scale=floats(0.01, 100))
def test_deviations_grow_with_those_of_the_readings(scale):
    one = solve(CORNERS, distances(), datum=HeldEdge("A", "B"))
    other = solve(CORNERS, distances(spread=0.5 * scale), datum=HeldEdge("A", "B"))
    assert other.covariance == pytest.approx(one.covariance * scale**2, rel=1e-6, abs=1e-12)


@settings(deadline=None)
@given(seed=integers(0, 2**32 - 1))
def test_derivatives_are_those_of_the_values(seed):
    points = np.random.default_rng(seed).uniform(-900, 900, (4, 2))
    observations = [
        Distance("A", "C", 500.0, 0.5, "A-C"),
        Height("D", "A", "B", 400.0, 0.5, "D above A-B"),
        Square("A", "D", "B", 0.002, "square corner A"),
    ]
    network = Network(tuple(CORNERS), observations)
    _, slopes = network.values(points)
    step = 1e-4
    for column in range(8):
        away = np.zeros(8)
        away[column] = step
        ahead, _ = network.values(points + away.reshape(4, 2))
        behind, _ = network.values(points - away.reshape(4, 2))
        assert slopes[:, column] == pytest.approx((ahead - behind) / (2 * step), abs=2e-3)


def test_a_height_is_positive_left_of_its_edge():
    value, _ = Height("D", "A", "B", 0.0, 1.0, "").value(np.array([(0, 400), (0, 0), (600, 0.0)]))
    assert value == 400
    value, _ = Height("D", "B", "A", 0.0, 1.0, "").value(np.array([(0, 400), (600, 0), (0, 0.0)]))
    assert value == -400


def test_a_square_corner_is_a_right_angle_whichever_way_it_turns():
    for after in ((600.0, 0.0), (-600.0, 0.0)):
        square = Square("A", "D", "B", 0.002, "")
        value, _ = square.value(np.array([(0.0, 0.0), (0.0, 400.0), after]))
        assert value == pytest.approx(math.pi / 2)


@settings(deadline=None)
@given(seed=integers(0, 2**32 - 1))
def test_whole_steps_end_where_the_library_search_does(seed):
    random = np.random.default_rng(seed)
    observations = [
        Distance(each.a, each.b, each.length + slip, each.deviation, each.label)
        for each, slip in zip(distances(), random.normal(0, 0.5, len(PAIRS)), strict=True)
    ]
    network = Network(tuple(CORNERS), observations)
    start = np.array(list(CORNERS.values())) + random.uniform(-5, 5, (4, 2))
    motions = motions_under(HeldEdge("A", "B"), tuple(CORNERS), start)
    stepped = _stepped(network, start, motions)
    assert stepped is not None
    searched = _searched(network, start, motions, 1e-14, None)
    # The library stops once the square sum falls no more, some 1e-8 of its place away.
    assert stepped == pytest.approx(searched, abs=1e-6)


def test_whole_steps_are_given_up_where_a_motion_is_free():
    network = Network(tuple(CORNERS), distances(PAIRS[:4]))
    start = np.array(list(CORNERS.values()))
    motions = motions_under(HeldEdge("A", "B"), tuple(CORNERS), start)
    assert _stepped(network, start, motions) is None


def test_readings_that_close_are_solved_and_judged_without_scipy():
    import subprocess
    import sys

    code = """
import sys
from fractions import Fraction
from mateline.tape.accuracy import Tape
from mateline.tape.outline import solved
from mateline.tape.readings import Readings
read = {"AB": 600, "BC": 450, "CD": 600, "DA": 450, "AC": 750, "BD": 750}
distances = {tuple(pair): Fraction(length) for pair, length in read.items()}
outline = solved(Readings(tuple("ABCD"), distances), TAPE, file="", place="")
assert outline.verdict == "closes", outline.verdict
assert outline.points.tolist() == [[0, 0], [600, 0], [600, 450], [0, 450]], outline.points
sys.exit(any(name.partition(".")[0] == "scipy" for name in sys.modules))
"""
    tape = 'Tape("mm", Fraction(1), "II")'
    subprocess.run([sys.executable, "-c", code.replace("TAPE", tape)], check=True)
