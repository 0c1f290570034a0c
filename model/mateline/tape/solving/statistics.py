"""The few numbers from statistics that judging readings needs, each with its source.

Glossary: w is a residual over its own standard deviation (standard normal while all is well); tau
the same with the variance estimated from the network itself; r is a reading's redundancy number,
the share of a slip in it that shows in its residual.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

# Two-sided normal quantile at 0.001: the usual level for data snooping. Classic value 3.29.
W_LIMIT = 3.2905267314919255
ALPHA = 0.001  # the chance that W_LIMIT is passed by a good reading
# Square root of the 95 % quantile of chi-square with 2 degrees of freedom: sqrt(-2 ln 0.05).
ELLIPSE_95 = math.sqrt(-2 * math.log(0.05))
# Shift of w that is found with probability 0.80 at ALPHA: W_LIMIT plus the 0.80 normal quantile.
NONCENTRALITY = W_LIMIT + 0.8416212335729143
SURE = 1e-7  # the chance at which more than one reading is told to be wrong, not chance
W_SURE = 5.326723886384496  # two-sided normal quantile at SURE
SURELY = 10.8  # no unit: just below W_LIMIT squared, 10.828
LEAST_SHARE = 0.01  # r, no unit: a slip of which less shows would have to be over 41 deviations
ROUNDED = 6  # decimals of square sums and mm by which is chosen; never by what rounding leaves
CHECKED = 1e-6  # r, no unit: a reading with less redundancy is not checked by any other


@dataclass(frozen=True, slots=True)
class Ellipse:
    """Where a corner is with a chance of 95 %: semi-axes, mm, and the long one's direction.

    `direction` is in radians from +x, 0 to pi.
    """

    long: float
    short: float
    direction: float


def ellipse(covariance: NDArray[np.float64]) -> Ellipse:
    """The 95 % ellipse of one point from its `covariance` (2, 2)."""
    sizes, axes = np.linalg.eigh(covariance)
    short, long = np.sqrt(sizes.clip(min=0.0)) * ELLIPSE_95
    x, y = axes[:, 1]
    return Ellipse(float(long), float(short), math.atan2(y, x) % math.pi)


def tau_limit(redundancy: int, alpha: float = ALPHA) -> float:
    """The two-sided limit of |tau| at `alpha`. With one redundant reading every |tau| is 1."""
    if redundancy < 1:
        raise ValueError(f"tau needs at least one redundant observation, not {redundancy}")
    if redundancy == 1:
        return 1.0
    from scipy.special import stdtrit  # noqa: PLC0415  slow to import, and seldom needed

    student = float(stdtrit(redundancy - 1, 1 - alpha / 2))
    return student * math.sqrt(redundancy / (redundancy - 1 + student**2))


def overall_limit(redundancy: int, alpha: float = ALPHA) -> float:
    """What the weighted sum of squared residuals passes with chance `alpha` (chi-square)."""
    from scipy.special import chdtri  # noqa: PLC0415  slow to import, and seldom needed

    return float(chdtri(redundancy, alpha))


def fits_overall(square_sum: float, redundancy: int) -> bool:
    """Whether the weighted sum of squared residuals is within its limit at `ALPHA`.

    The limit grows with the redundancy; of one it is W_LIMIT squared, which most stay well below.
    """
    return square_sum < SURELY or square_sum <= overall_limit(redundancy)


def findable_slip(deviation: float, redundancy_number: float) -> float:
    """The smallest slip that shows with probability 0.80; in the deviation's unit, or infinite.

    Baarda's internal reliability: NONCENTRALITY * deviation / sqrt(r).
    """
    if redundancy_number < CHECKED:
        return math.inf
    return NONCENTRALITY * deviation / math.sqrt(redundancy_number)
