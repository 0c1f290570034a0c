"""Limits that readings are judged by, against the classic tables.

W. Baarda, A Testing Procedure for Use in Geodetic Networks (1968): limit 3.29 at 0.001, shift 4.13
at power 0.80 (from memory, certain). Tau: A. J. Pope, The Statistics of Residuals and the Detection
of Outliers (1976), by its closed form.
"""

import math

import pytest
from scipy.special import ndtr

from mateline.tape.solving.statistics import (
    ALPHA,
    ELLIPSE_95,
    NONCENTRALITY,
    W_LIMIT,
    fits_overall,
    overall_limit,
    tau_limit,
)


def test_w_limit_is_3_29_and_belongs_to_0_001():
    assert round(W_LIMIT, 4) == 3.2905
    assert 2 * (1 - ndtr(W_LIMIT)) == pytest.approx(ALPHA, rel=1e-9)


def test_shift_found_with_power_0_80_is_4_1321():
    assert round(NONCENTRALITY, 4) == 4.1321
    assert round(NONCENTRALITY**2, 3) == 17.075


def test_ellipse_factor_of_95_percent_is_2_4477():
    assert round(ELLIPSE_95, 4) == 2.4477


def test_ellipse_factor_holds_95_percent():
    # Rayleigh distribution: the chance of being within k deviations in the plane.
    assert 1 - math.exp(-(ELLIPSE_95**2) / 2) == pytest.approx(0.95, abs=1e-12)


@pytest.mark.parametrize(
    ("redundancy", "tau"),
    [(2, 1.4142), (3, 1.7303), (4, 1.9823), (5, 2.1781), (6, 2.3292), (8, 2.5407), (10, 2.6786),
     (14, 2.8450), (20, 2.9749), (50, 3.1626)],
)  # fmt: skip
def test_tau_at_0_001(redundancy: int, tau: float):
    assert tau_limit(redundancy) == pytest.approx(tau, abs=5.1e-5)


@pytest.mark.parametrize(
    ("redundancy", "tau"),
    [(2, 1.4099), (3, 1.6454), (4, 1.7567), (5, 1.8143), (6, 1.8481), (8, 1.8848), (10, 1.9039),
     (14, 1.9231), (20, 1.9358), (50, 1.9512)],
)  # fmt: skip
def test_tau_at_0_05(redundancy: int, tau: float):
    assert tau_limit(redundancy, 0.05) == pytest.approx(tau, abs=5.1e-5)


def test_tau_of_one_redundant_reading_is_one():
    assert tau_limit(1) == 1.0


def test_chi_square_of_14_from_5_629_to_26_119():
    """Two-sided 95 % limits of chi-square with 14 degrees of freedom."""
    assert overall_limit(14, 0.025) == pytest.approx(26.119, abs=5e-4)
    assert overall_limit(14, 0.975) == pytest.approx(5.629, abs=5e-4)


def test_chi_square_of_one_at_0_001_is_w_limit_squared():
    assert overall_limit(1) == pytest.approx(10.828, abs=5e-4)
    assert overall_limit(1) == pytest.approx(W_LIMIT**2, rel=1e-9)


# Chi-square at 0.001, any table: 10.828 with 1 degree of freedom, 13.816 with 2, 29.588 with 10.
@pytest.mark.parametrize(("redundancy", "limit"), [(1, 10.828), (2, 13.816), (10, 29.588)])
def test_the_square_sum_fits_up_to_the_limit_of_its_redundancy(redundancy: int, limit: float):
    assert fits_overall(limit - 0.001, redundancy)
    assert not fits_overall(limit + 0.001, redundancy)
