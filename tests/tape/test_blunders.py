"""Which observation explains that readings do not close."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import integers

from mateline.tape.blunders import _explains, _without, judged
from mateline.tape.network import Distance, HeldEdge, solve
from mateline.tape.statistics import overall_limit

CORNERS = {"A": (0.0, 0.0), "B": (600.0, 0.0), "C": (650.0, 700.0), "D": (200.0, 1100.0),
           "E": (-60.0, 640.0)}  # fmt: skip
PAIRS = [(a, b) for i, a in enumerate(CORNERS) for b in list(CORNERS)[i + 1 :]]


def observations(random, slips=(), *, spread=0.5, noise=1.0):
    at = {name: np.array(point) for name, point in CORNERS.items()}
    read = [Distance(a, b, float(np.linalg.norm(at[a] - at[b])), spread, a + b) for a, b in PAIRS]
    slips = [*slips, *enumerate(random.normal(0, spread * noise, len(PAIRS)))]
    for row, slip in slips:
        old = read[row]
        read[row] = Distance(old.a, old.b, old.length + slip, old.deviation, old.label)
    return read


@settings(deadline=None)
@given(seed=integers(0, 10**6), row=integers(0, len(PAIRS) - 1))
def test_leaving_one_out_by_formula_is_solving_without_it(seed, row):
    # The formula is linear, so the readings scatter by micrometres: the figure hardly turns.
    slip = ((row + 3) % len(PAIRS), 0.004)
    read = observations(np.random.default_rng(seed), [slip], spread=0.0005)
    datum = HeldEdge("A", "B")
    whole = solve(CORNERS, read, datum=datum)
    rest = solve(CORNERS, read[:row] + read[row + 1 :], datum=datum)
    predicted = np.delete(_without(row, whole), row)
    assert predicted == pytest.approx(np.abs(rest.w), abs=1e-3)
    assert whole.square_sum - whole.w[row] ** 2 == pytest.approx(rest.square_sum, abs=1e-3)


def test_one_large_slip_has_one_explanation():
    solution = solve(
        CORNERS, observations(np.random.default_rng(2), [(5, 20.0)]), datum=HeldEdge("A", "B")
    )
    judgement = judged(solution, np.full(len(PAIRS), fill_value=True))
    assert judgement.verdict == "suspect"
    assert judgement.rows == (5,)
    assert [row for row in range(len(PAIRS)) if _explains(row, solution)] == [5]


def test_a_w_over_its_limit_is_wrong_though_the_sum_of_squares_passes():
    read = observations(np.random.default_rng(1), noise=0.0)
    share = solve(CORNERS, read, datum=HeldEdge("A", "B")).redundancy_numbers[5]
    slip = 3.6 * 0.5 / np.sqrt(share)  # w is 3.6: over 3.29, but its square is under 16.27
    solution = solve(
        CORNERS,
        observations(np.random.default_rng(1), [(5, slip)], noise=0.0),
        datum=HeldEdge("A", "B"),
    )
    assert solution.square_sum < overall_limit(solution.redundancy)
    assert judged(solution, np.full(len(PAIRS), fill_value=True)).verdict != "closes"


def test_good_readings_fail_about_as_rarely_as_they_should():
    """The limits are at 0.001 each; ten readings and one sum give at most about 1 in 90."""
    random = np.random.default_rng(7)
    verdicts = []
    for _ in range(400):
        solution = solve(CORNERS, observations(random), datum=HeldEdge("A", "B"))
        verdicts.append(judged(solution, np.full(len(PAIRS), fill_value=True)).verdict)
    assert verdicts.count("closes") >= 390
