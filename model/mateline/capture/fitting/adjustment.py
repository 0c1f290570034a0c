"""Everything at once: the frame that measured places and ties agree on best.

Stands in fitting after frame. Weighted least squares (Gauss and Newton) over all vertices and
turns: a corner lies where its neighbours meet because both share it, and so does a node. What
must hold (a tangent joint, a node on the outline) is a tie, an observation of next to no error.

Sums run through a sparse factorisation whose last bits may differ between machines; nothing is
decided by them, and what is written is rounded to `DECIMALS`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

from mateline.capture.fitting.frame import distances

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.capture.fitting.frame import Frame

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

DECIMALS = 6  # of a mm that is written
ROUNDS = 30
COMING = 8  # rounds before outlying places count less
CHANGING = 6  # rounds after that in which it may change how far off most of a segment are
UNBENT = 1e-4  # 1/rad²: a turn that nothing holds stays
STILL = 1e-4  # mm and radians: a step that is no step
NEAR = 1e-2  # mm and radians: after a step no larger, outlying places count less at once
LONGEST = 2.0  # mm: a vertex goes no farther in one step, and
LEAST = 1e-3  # 1/mm² and 1/rad²: damping of a step, and how much
RELATIVE = 1e-9  # of each unknown's own weight: what holds it where the matrix is singular
MORE, LESS = 8.0, 0.5  # it is changed where an unknown goes back, or on
WIDEST = 0.2  # rad: an arc turns by no more
OUTLYING = 3.5  # sigma: what is farther off counts less, as its square


class Tie(Protocol):
    """Something that must hold: residuals over their errors (k,), and how they change, as rows,
    columns and values.
    """

    def rows(self, frame: Frame) -> tuple[Floats, Ints, Ints, Floats]:
        """Residuals, and rows, columns and values of their derivatives."""


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """Places (n, 2), mm, with errors (n,), each of segment `of`, in order of segments."""

    places: Floats
    errors: Floats
    of: Ints


@dataclass(frozen=True, slots=True, eq=False)
class Adjusted:
    """The frame that fits best, and what is needed to tell how sure it is."""

    frame: Frame
    factor: Any  # scipy's factorisation of the normal matrix
    weights: Floats  # of the measured places, 1 / mm²

    def variance(self, rows: Floats, columns: Ints) -> Floats:
        """The variance of each sum of `rows` (n, k) times the unknowns `columns` (n, k), -1 for
        none.
        """
        count, size = len(rows), self.frame.unknowns
        found = np.zeros(count)
        for low in range(0, count, 512):
            part = slice(low, min(count, low + 512))
            right = np.zeros((size, part.stop - low))
            at, own = np.nonzero(columns[part] >= 0)
            np.add.at(right, (columns[part][at, own], at), rows[part][at, own])
            found[part] = (right * self.factor.solve(right)).sum(axis=0)
        return np.maximum(found, 0.0)


def adjusted(frame: Frame, measured: Measured, anchors: Floats, ties: Sequence[Tie]) -> Adjusted:
    """The frame moved to where it fits best. `anchors` (v,) is how far each vertex may be from
    where it is, mm: what nothing else holds stays there.
    """
    home = frame.at
    size = frame.unknowns
    hold = np.append(np.repeat(1 / anchors**2, 2), np.full(size - 2 * len(home), UNBENT))
    weights = 1 / measured.errors**2
    damping, before = np.full(size, LEAST), np.zeros(size)
    coming, weighed, slack = True, 0, np.zeros(0)
    for turn in range(ROUNDS):
        away, slopes = distances(frame, measured.places, measured.of)
        # The first steps come from far; nothing is outlying yet.
        coming = coming and turn < COMING
        if not coming:
            sure = np.abs(away) / measured.errors
            if weighed < CHANGING:
                slack = _slack(sure, measured.of, len(frame.tail))
            weights = np.minimum(1.0, (slack / np.maximum(sure, 1e-9)) ** 2) / measured.errors**2
            weighed += 1
        block = _blocks(slopes, away, weights, measured.of, len(frame.tail))
        normal, right = _equations(frame, block, hold + damping, ties)
        right = right - hold * np.append((frame.at - home).ravel(), np.zeros(size - 2 * len(home)))
        factor = _factor(normal)
        step = _held_in(factor.solve(right), len(home))
        # What goes back and forth is held: a short segment turns with its ends.
        back = _turned(step, before, len(home))
        damping = np.where(back, damping * MORE, np.maximum(damping * LESS, LEAST))
        before = step
        frame = frame.moved(step)
        largest = np.abs(step).max(initial=0.0)
        if not coming and largest < STILL:
            break
        coming = coming and largest > NEAR
    return Adjusted(frame, factor, weights)


def _factor(normal: Any) -> Any:
    """The factorisation of a normal matrix. Ties of segments that have all but no length swamp all
    else in their unknowns; then each is held a little by itself, the factor is that of a step
    which is a trifle shorter.
    """
    from scipy.sparse.linalg import splu  # noqa: PLC0415  slow to import

    how = {"permc_spec": "MMD_AT_PLUS_A", "options": {"SymmetricMode": True}}
    try:
        return splu(normal, **how)
    except RuntimeError:  # exactly singular
        from scipy.sparse import diags_array  # noqa: PLC0415

        held = normal + diags_array(RELATIVE * normal.diagonal(), format="csc")
        return splu(held.tocsc(), **how)


def _slack(sure: Floats, of: Ints, count: int) -> Floats:
    """How many sigma off each place may be: those that are by far more than most of their segment
    count less.
    """
    found: Floats = OUTLYING * np.maximum(1.0, middle(sure, of, count)[of])
    return found


def _equations(
    frame: Frame, block: Floats, hold: Floats, ties: Sequence[Tie]
) -> tuple[Any, Floats]:
    """The normal matrix, and the right side without what vertices are held by."""
    from scipy.sparse import csc_array  # noqa: PLC0415  slow to import

    size = len(hold)
    columns = frame.columns()
    rows, cols, values = [np.arange(size)], [np.arange(size)], [hold]
    own = np.repeat(columns[:, :, None], 5, axis=2)
    other = np.repeat(columns[:, None, :], 5, axis=1)
    there = (own >= 0) & (other >= 0)
    rows.append(own[there])
    cols.append(other[there])
    values.append(block[:, :5][there])
    there = columns >= 0
    right = np.zeros(size)
    right -= np.bincount(columns[there], block[:, 5][there], minlength=size)
    if ties:
        held = [tie.rows(frame) for tie in ties]
        residual = np.concatenate([each[0] for each in held])
        below = np.cumsum([0, *(len(each[0]) for each in held)])
        row = np.concatenate([each[1] + low for each, low in zip(held, below, strict=False)])
        column, value = (np.concatenate([each[at] for each in held]) for at in (2, 3))
        matrix = csc_array((value, (row, column)), shape=(len(residual), size))
        across = matrix.T
        square = (across @ matrix).tocoo()
        rows.append(square.row)
        cols.append(square.col)
        values.append(square.data)
        right = right - across @ residual
    normal = csc_array(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(cols))),
        shape=(size, size),
    )
    return normal, right


def middle(values: Floats, of: Ints, count: int) -> Floats:
    """The median of each segment's values; 0 where it has none.

    If most places of a segment are off, it is not the places that are wrong.
    """
    order = np.argsort(values, kind="stable")
    short = of[order].astype(np.int16 if count < 2**15 else np.int64)  # short ones sort by digits
    order = order[np.argsort(short, kind="stable")]
    many = np.bincount(of, minlength=count)
    at = np.cumsum(many) - many + many // 2
    found = np.zeros(count)
    found[many > 0] = values[order][at[many > 0]]
    return found


def _blocks(slopes: Floats, away: Floats, weights: Floats, of: Ints, count: int) -> Floats:
    """For each segment the sums of products of slopes (5, 5), and below them those of slopes with
    distances (5): (s, 6, 5).
    """
    found = np.zeros((count, 6, 5))
    if len(of) == 0:
        return found
    table = np.vstack([slopes.T, away])
    rows, columns = np.triu_indices(6)
    kept = columns < 5  # distances with themselves are not asked for
    rows, columns = np.append(rows[kept], np.full(5, 5)), np.append(columns[kept], np.arange(5))
    products = table[columns] * (table * weights)[rows]
    first = np.flatnonzero(np.append(True, of[1:] != of[:-1]))
    sums = np.add.reduceat(products, first, axis=1).T
    found[of[first][:, None], rows, columns] = sums
    square = rows < 5
    found[of[first][:, None], columns[square], rows[square]] = sums[:, square]
    return found


def _held_in(step: Floats, vertices: int) -> Floats:
    """The step, no part of it a leap; vertices keep the way they go."""
    places = step[: 2 * vertices].reshape(-1, 2)
    far = np.maximum(np.hypot(places[:, 0], places[:, 1]), LONGEST)
    return np.append(
        (places * (LONGEST / far)[:, None]).ravel(), np.clip(step[2 * vertices :], -WIDEST, WIDEST)
    )


def _turned(step: Floats, before: Floats, vertices: int) -> Bools:
    """Which unknowns go back the way they came in the round before."""
    back = step * before
    places = back[: 2 * vertices].reshape(-1, 2).sum(axis=1) < 0
    return np.append(np.repeat(places, 2), back[2 * vertices :] < 0)
