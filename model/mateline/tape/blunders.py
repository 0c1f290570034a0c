"""How readings close: whether one of them is wrong, and whether they can tell which.

Stands after the network, before the outline.

    explains   an observation explains the misclosure when all others agree once it is left out
    checked    a reading is checked when enough of a slip in it would show in its own residual

Source: W. Baarda, A Testing Procedure for Use in Geodetic Networks (1968), for w and the smallest
slip that can be found. Leaving j out takes w_k to (w_k - c_kj w_j) / sqrt(1 - c_kj^2), where c is
the correlation of the two; that is the downdate of the residual projector by one row.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from mateline.tape.statistics import CHECKED, W_LIMIT, fits_overall

if TYPE_CHECKING:
    from mateline.tape.network import Solution
    from mateline.tape.observations import Array

Verdict = Literal["closes", "suspect", "cannot-tell", "unchecked", "stated"]

LEAST_SHARE = 0.01  # no unit: a slip of which less shows would have to be over 41 deviations


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict, and the rows of the observations that may be wrong, most likely first.

    `more_than_one` says that no single observation explains the misclosure.
    """

    verdict: Verdict
    rows: tuple[int, ...]
    more_than_one: bool = False


def judged(solution: Solution, are_readings: Array) -> Judgement:
    """Judge the residuals; `are_readings` (m,) tells readings from assumptions.

    `suspect`: exactly one observation explains the misclosure. `cannot-tell`: several do, or no
    single one does. `unchecked`: no reading is checked by any other.
    """
    shares = solution.redundancy_numbers
    if not (shares[are_readings] > LEAST_SHARE).any():
        return Judgement("unchecked", ())
    sizes = np.abs(solution.w)
    if sizes.max() <= W_LIMIT and fits_overall(solution.square_sum, solution.redundancy):
        return Judgement("closes", ())
    order = np.argsort(-sizes, kind="stable")
    explaining = tuple(int(row) for row in order if _explains(int(row), solution))
    if len(explaining) == 1:
        return Judgement("suspect", explaining)
    if explaining:
        return Judgement("cannot-tell", explaining)
    large = tuple(int(row) for row in order if sizes[row] > W_LIMIT)
    return Judgement("cannot-tell", large or (int(order[0]),), more_than_one=True)


def _explains(row: int, solution: Solution) -> bool:
    if solution.redundancy_numbers[row] < CHECKED:
        return False
    left = solution.redundancy - 1
    rest = solution.square_sum - solution.w[row] ** 2
    if left == 0:
        return True
    return bool(fits_overall(rest, left) and _without(row, solution).max() <= W_LIMIT)


def _without(row: int, solution: Solution) -> Array:
    """|w| of all observations once `row` is left out; 0 where nothing checks one any more."""
    shared = solution.correlations[row]
    room = 1.0 - shared**2
    alone = (room < CHECKED) | (solution.redundancy_numbers < CHECKED)
    changed = (solution.w - shared * solution.w[row]) / np.sqrt(np.where(alone, 1.0, room))
    sizes: Array = np.where(alone, 0.0, np.abs(changed))
    return sizes
