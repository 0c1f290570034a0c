"""Which observation explains that readings do not close."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis.strategies import integers, sampled_from

from figures import TAPE
from mateline.tape.blunders import (
    Asked,
    alternatives,
    closing,
    judged,
    laid_on,
    shift_between,
    told_of,
    told_without,
)
from mateline.tape.solving.adjustment import Fit, NoOutlineError, fitted
from mateline.tape.solving.approximate import Form
from mateline.tape.solving.network import Distance, HeldEdge, solve
from mateline.tape.solving.statistics import W_SURE, overall_limit

CORNERS = {"A": (0.0, 0.0), "B": (600.0, 0.0), "C": (650.0, 700.0), "D": (200.0, 1100.0),
           "E": (-60.0, 640.0)}  # fmt: skip
PAIRS = [(a, b) for i, a in enumerate(CORNERS) for b in list(CORNERS)[i + 1 :]]
FORM = Form(tuple(CORNERS), frozenset())
EVERY = np.full(len(PAIRS), fill_value=True)


def observations(random, slips=(), *, spread=0.5, noise=1.0):
    at = {name: np.array(point) for name, point in CORNERS.items()}
    read = [Distance(a, b, float(np.linalg.norm(at[a] - at[b])), spread, a + b) for a, b in PAIRS]
    slips = [*slips, *enumerate(random.normal(0, spread * noise, len(PAIRS)))]
    for row, slip in slips:
        old = read[row]
        read[row] = Distance(old.a, old.b, old.length + slip, old.deviation, old.label)
    return read


def asked(read):
    return Asked(FORM, tuple(read), (), TAPE)


def whole(read):
    return solve(CORNERS, read, datum=HeldEdge("A", "B"))


def told(read):
    return told_of(asked(read), Fit(whole(read), tuple(read), 0.0))


def w_without(row, solution):
    """|w| of the others once `row` is left out, by Baarda's formula, which is linear: w_k becomes
    (w_k - c w_row) / sqrt(1 - c^2), where c is the correlation of the two."""
    size = np.sqrt(solution.redundancy_numbers)
    c = np.delete(solution.reliability[row] / (size * size[row]), row)
    return np.abs((np.delete(solution.w, row) - c * solution.w[row]) / np.sqrt(1 - c**2))


@settings(deadline=None)
@given(seed=integers(0, 10**6), row=integers(0, len(PAIRS) - 1))
def test_leaving_one_out_by_formula_is_solving_without_it(seed, row):
    # The formula is linear, so the readings scatter by micrometres: the figure hardly turns.
    slip = ((row + 3) % len(PAIRS), 0.004)
    read = observations(np.random.default_rng(seed), [slip], spread=0.0005)
    all_of_them = whole(read)
    rest = solve(CORNERS, read[:row] + read[row + 1 :], datum=HeldEdge("A", "B"))
    assert w_without(row, all_of_them) == pytest.approx(np.abs(rest.w), abs=1e-3)
    fallen = all_of_them.square_sum - all_of_them.w[row] ** 2
    assert fallen == pytest.approx(rest.square_sum, abs=1e-3)


def test_an_alternative_of_small_slips_has_the_slip_and_the_square_sum_of_the_formula():
    read = observations(np.random.default_rng(3), [(4, 0.004)], spread=0.0005)
    solution = whole(read)
    found = alternatives(asked(read), Fit(solution, tuple(read), 0.0))
    assert [each.row for each in found] == list(range(len(PAIRS)))
    for each in found:
        assert each.slip == pytest.approx(solution.slips[each.row], abs=1e-5)
        fallen = solution.square_sum - solution.w[each.row] ** 2
        assert each.misfit == pytest.approx(fallen, abs=1e-3)
        share = solution.redundancy_numbers[each.row]
        assert each.spread == pytest.approx(0.0005 / np.sqrt(share), rel=1e-4)


@settings(deadline=None, max_examples=25)
@given(row=integers(0, len(PAIRS) - 1), slip=sampled_from([-250.0, -127.0, 127.0, 250.0, 300.0]))
def test_a_slip_of_inches_is_found_from_a_figure_that_it_has_spoilt(row, slip):
    read = observations(np.random.default_rng(row), [(row, slip)])
    found = alternatives(asked(read), None)  # not even a spoilt one
    judgement = judged(found)
    assert judgement.verdict == "suspect"
    assert judgement.others_close
    assert judgement.doubted[0].row == row
    assert judgement.doubted[0].slip == pytest.approx(slip, abs=5 * judgement.doubted[0].spread)


@pytest.mark.parametrize(("worse", "verdict"), [(10.7, "cannot-tell"), (10.9, "suspect")])
def test_a_suspect_explains_more_than_chance_would_of_any_other(worse, verdict):
    """Chi-square of one degree of freedom passes 10.83 once in a thousand (any table of it)."""
    found = alternatives(asked(observations(np.random.default_rng(2), [(5, 20.0)])), None)
    least = found[5].misfit

    def with_misfit(each, misfit):
        solution = each.fit.solution
        residuals = np.sqrt(misfit / len(solution.residuals)) * solution.deviations
        return replace(each, fit=replace(each.fit, solution=replace(solution, residuals=residuals)))

    likely = [each if each.row == 5 else with_misfit(each, least + worse + 20 * (each.row != 7))
              for each in found]  # fmt: skip
    judgement = judged(likely)
    assert judgement.verdict == verdict
    assert [each.row for each in judgement.doubted] == ([5] if verdict == "suspect" else [5, 7])


def test_one_large_slip_has_one_explanation():
    read = observations(np.random.default_rng(2), [(5, 20.0)])
    judgement = told(read).judgement
    assert judgement.verdict == "suspect"
    assert [each.row for each in judgement.doubted] == [5]
    # and nothing else brings the square sum below its limit
    good = [e.row for e in told(read).found if e.misfit < overall_limit(2)]
    assert good == [5]


def test_a_w_over_its_limit_is_wrong_though_the_sum_of_squares_passes():
    read = observations(np.random.default_rng(1), noise=0.0)
    share = whole(read).redundancy_numbers[5]
    slip = 3.6 * 0.5 / np.sqrt(share)  # w is 3.6: over 3.29, but its square is under 16.27
    read = observations(np.random.default_rng(1), [(5, slip)], noise=0.0)
    solution = whole(read)
    assert solution.square_sum < overall_limit(solution.redundancy)
    assert closing(solution, EVERY) is None
    assert told(read).judgement.verdict != "closes"


def test_good_readings_fail_about_as_rarely_as_they_should():
    """The limits are at 0.001 each; ten readings and one sum give at most about 1 in 90."""
    random = np.random.default_rng(7)
    verdicts = [closing(whole(observations(random)), EVERY) for _ in range(400)]
    assert verdicts.count("closes") >= 390


def test_more_than_one_is_told_only_where_chance_would_surely_not_do_it():
    """A second slip of w 4 is told beside the first; one of w 8 makes two of them."""
    share = whole(observations(np.random.default_rng(1), noise=0.0)).redundancy_numbers
    for w, several in ((4.0, False), (8.0, True)):
        assert (w > W_SURE) is several
        # DE is hardly tied to AB: its own w stays once AB is left out
        second = (9, w * 0.5 / np.sqrt(share[9]) * 1.3)
        judgement = told(observations(np.random.default_rng(1), [(0, 60.0), second], noise=0.0))
        judgement = judgement.judgement
        assert judgement.more_than_one is several
        assert not judgement.others_close or several
        assert judgement.doubted[0].row == 0


def test_where_no_outline_is_left_nothing_is_named():
    judgement = judged(())
    assert (judgement.verdict, judgement.doubted) == ("cannot-tell", ())
    assert judgement.more_than_one


def test_a_refusal_that_no_reading_can_mend_stays_as_it_was():
    read = observations(np.random.default_rng(1))
    error = NoOutlineError("What.", "Do.")
    with pytest.raises(NoOutlineError) as raised:
        told_without(asked(read), error)
    assert raised.value is error


def test_figures_are_laid_on_each_other_before_their_corners_are_compared():
    points = np.array(list(CORNERS.values()))
    cos, sin = np.cos(0.3), np.sin(0.3)
    turned = points @ np.array([[cos, sin], [-sin, cos]]) + (40.0, -7.0)
    assert laid_on(turned, points) == pytest.approx(points, abs=1e-9)


def test_the_shift_of_a_slip_is_at_its_ends_and_against_what_the_tape_explains():
    for slip, beyond in ((100.0, True), (0.3, False)):
        read = observations(np.random.default_rng(1), [(1, slip)], noise=0.0)  # A-C
        fit = fitted(FORM, read, (), "mm")
        without = alternatives(asked(read), fit)[1]
        shift = shift_between(fit, without)
        assert shift.corner in {"A", "C"}
        assert 0 < shift.size < abs(slip)
        assert shift.beyond is beyond
