"""How readings close: whether one of them is wrong, and which, by solving again without each.

Stands after next_reading, before the outline. A slip of inches turns a figure or folds it, and
the residuals of the spoilt figure, being linear, then point anywhere. So nothing is read off them
but whether the readings close; each observation in turn is left out, and the outline that is left
is fitted anew from figures of its own.

    alternative   the outline without one observation: what is true if that one alone is wrong
    suspect       the observation whose alternative fits clearly better than all others
    tie           alternatives that fit alike: the readings cannot tell which is wrong
    told          all that readings say of each other
    checked       a reading is checked when enough of a slip in it would show in its own residual

Source: W. Baarda, A Testing Procedure for Use in Geodetic Networks (1968), for w and the smallest
slip that can be found. While slips are small, an alternative's square sum is w squared less than
that of all readings, so that two alternatives differ by the difference of their w squared; the
likelihood ratio of the two hypotheses is that in either case.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from mateline.tape.next_reading import NextReading, checking, deciding
from mateline.tape.solving.adjustment import Fit, NoOutlineError, fits, fitted
from mateline.tape.solving.approximate import figures
from mateline.tape.solving.network import Network
from mateline.tape.solving.observations import Along, Distance, Height, Square
from mateline.tape.solving.rigidity import lacking
from mateline.tape.solving.statistics import (
    ELLIPSE_95,
    LEAST_SHARE,
    ROUNDED,
    SURE,
    W_LIMIT,
    W_SURE,
    overall_limit,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.tape.accuracy import Tape
    from mateline.tape.solving.approximate import Form
    from mateline.tape.solving.network import Solution
    from mateline.tape.solving.observations import Array, Observation

Verdict = Literal["closes", "suspect", "cannot-tell", "unchecked", "stated"]

CLEARLY = W_LIMIT**2  # no unit: an alternative whose square sum is this much larger is out
TRIES = 40  # evaluations that an alternative gets at first; most of them fit far worse already
NEAR = (
    10.0  # no unit: one whose square sum is not so many times clearly larger is solved to the end
)
SLACK = 1000.0  # no unit: how much less sure a reading is made that can't be left out
OTHERWISE = (
    0.9,
    1.1,
    0.75,
    1.3,
    0.5,
    1.7,
    0.3,
    2.5,
)  # no unit: shares of its length that are tried
DOUBTED = 4  # observations that are named where no single one explains the misclosure


@dataclass(frozen=True, slots=True)
class Alternative:
    """The `fit` of all observations but `row`, which then reads `slip` too much.

    `spread` is one standard deviation of that slip: the reading's own and the outline's. Where the
    others don't hold the outline it is not `held`: the fit is one of many, and the slip 0.
    """

    row: int
    fit: Fit
    slip: float  # mm or radians, as the observation
    spread: float
    held: bool = True

    @property
    def misfit(self) -> float:
        """The weighted square sum of the others and of the form, rounded."""
        return _misfit(self.fit)


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict, and the alternatives of what may be wrong, most likely first.

    `more_than_one` says that no single observation explains the misclosure, and `others_close`
    that what is left without the first is as good as readings usually are.
    """

    verdict: Verdict
    doubted: tuple[Alternative, ...] = ()
    more_than_one: bool = False
    others_close: bool = True


@dataclass(frozen=True, slots=True)
class Shift:
    """How far leaving a reading out moves the corner that it moves most, mm.

    `beyond` says that some corner moves out of its own 95 % ellipse.
    """

    corner: str
    size: float
    beyond: bool


@dataclass(frozen=True, slots=True)
class Asked:
    """What an outline is solved from."""

    form: Form
    observations: tuple[Observation, ...]
    rough: tuple[Observation, ...]
    tape: Tape


@dataclass(frozen=True, slots=True)
class Told:
    """A fit, and what its readings say of each other.

    `found` are all alternatives that were solved. `left_out` is the observation that no outline
    can have, and the fit does without.
    """

    fit: Fit
    judgement: Judgement
    found: tuple[Alternative, ...] = ()
    advice: NextReading | None = None
    shift: Shift | None = None
    left_out: Observation | None = None


def told_of(asked: Asked, fit: Fit) -> Told:
    """Judge an outline of all readings; where they don't close, each is left out in turn."""
    readings = np.array([not isinstance(each, Square) for each in fit.observations])
    verdict = closing(fit.solution, readings)
    if verdict is not None:
        return Told(fit, Judgement(verdict), advice=checking(fit, asked.tape))
    found = alternatives(asked, fit)
    judgement = judged(found)
    fit = _refitted(asked, fit, judgement)
    verdict = closing(fit.solution, readings)
    if verdict is not None:
        return Told(fit, Judgement(verdict), advice=checking(fit, asked.tape))
    shifts = [shift_between(fit, each) for each in judgement.doubted]
    least = min(shifts, key=lambda each: (each.beyond, round(each.size, ROUNDED)), default=None)
    return Told(fit, judgement, found, _advice(asked, judgement), least)


def told_without(asked: Asked, error: NoOutlineError) -> Told:
    """The outline without the one reading that keeps all others from having one.

    Raises NoOutlineError, with what is known of the reading, where no single one does, or nothing
    would be left to show that it does.
    """
    judgement = judged(found := alternatives(asked, None) if error.doubtful else ())
    if judgement.more_than_one:
        if not found or error.otherwise:
            raise error
        remedy = f"{error.remedy} No reading alone explains this: look for more than one."
        raise NoOutlineError(error.what, remedy, error.labels)
    names = [asked.observations[each.row].label for each in judgement.doubted]
    if error.otherwise:
        again = "measure it again" if len(names) == 1 else "measure them again"
        remedy = f"{error.remedy} If it is not, {' or '.join(names)} is wrong: {again}."
        raise NoOutlineError(error.what, remedy, error.labels)
    if judgement.verdict != "suspect":
        advice = _advice(asked, judgement)
        then = "measure them again"
        if advice is not None:
            most = "" if advice.done == advice.wanted else " most of them apart"
            then = f"measure {advice.label}, which would tell{most}"
        remedy = f"One of {', '.join(names)} is wrong, if one reading is: {then}."
        raise NoOutlineError(error.what, remedy, error.labels)
    best = judgement.doubted[0]
    if best.fit.solution.redundancy > 0:
        try:
            fit = fitted(asked.form, _rest(asked, best.row), asked.rough, asked.tape.unit)
        except NoOutlineError:
            fit = None  # the others know that it is wrong, but not which outline is right
        if fit is not None:
            return Told(fit, judgement, found, left_out=asked.observations[best.row])
    remedy = f"{names[0]} alone can be what is wrong, if one reading is: measure it again."
    raise NoOutlineError(error.what, remedy, (names[0],))


def closing(solution: Solution, are_readings: Array) -> Verdict | None:
    """Whether the readings close; None where one is wrong. `are_readings` (m,) leaves assumptions.

    `unchecked`: no reading is checked by any other.
    """
    shares = solution.redundancy_numbers
    if not (shares[are_readings] > LEAST_SHARE).any():
        return "unchecked"
    return "closes" if solution.closes else None


def alternatives(asked: Asked, whole: Fit | None) -> tuple[Alternative, ...]:
    """The outline without each observation that the others can do without, in their order.

    Each starts from figures of its own, since the outline of all of them, `whole`, may be spoilt,
    and again from the best that another one found. A corner that should turn one way and turns the
    other within its noise is no other form: that alternative may be the true one. What has no
    outline of its form is left out, unless another length of its reading gives it one: at a special
    position a reading may hold a corner by itself that others hold in general. Only where none of
    these explains it are those looked at that hold a corner by themselves anywhere: such a reading
    closes with any length, but for one that does not reach.
    """
    found: dict[int, Fit] = {}
    corners = asked.form.corners
    rows = [
        row for row in range(len(asked.observations)) if not lacking(corners, _rest(asked, row))
    ]
    for row in rows:
        starts = figures(asked.form, _rest(asked, row), asked.rough)
        _keep_best(found, row, starts, asked, tries=TRIES)
        if whole is not None:
            _keep_best(found, row, [whole.solution.points], asked, tries=TRIES)
    if not found:
        return _unheld(asked, whole, range(len(asked.observations)))
    least = min(found, key=lambda row: (_misfit(found[row]), row))
    best = found[least].solution
    for row in rows:
        if row not in found or _misfit(found[row]) > _misfit(found[least]) + CLEARLY:
            _keep_best(found, row, [best.points], asked, tries=TRIES)
    ranked = sorted(found, key=lambda row: (_misfit(found[row]), row))
    for at, row in enumerate(ranked):  # those that will be compared or named, to the end
        if at < DOUBTED or _misfit(found[row]) <= _misfit(found[ranked[0]]) + NEAR * CLEARLY:
            _keep_best(found, row, [found[row].solution.points], asked)
    loose = [row for row in rows if row not in found]
    if surely_wrong(found[ranked[0]].solution):
        loose = [row for row in range(len(asked.observations)) if row not in found]
    others = _unheld(asked, whole, loose)
    every = (*(_alternative(row, fit, asked) for row, fit in found.items()), *others)
    return tuple(sorted(every, key=lambda each: each.row))


def judged(found: Sequence[Alternative]) -> Judgement:
    """Which observation is wrong where readings do not close, from the `alternatives`.

    `suspect`: one explains it clearly better than all others. `cannot-tell`: several do equally
    well, or even the best leaves what is surely no chance, so that more than one is wrong.
    """
    if not found:
        return Judgement("cannot-tell", more_than_one=True)
    ranked = sorted(found, key=lambda each: (each.misfit, each.row))
    best = ranked[0].fit.solution
    if surely_wrong(best):
        return Judgement("cannot-tell", tuple(ranked[:DOUBTED]), more_than_one=True)
    tied = tuple(each for each in ranked if each.misfit <= ranked[0].misfit + CLEARLY)
    single = len(tied) == 1 and tied[0].held
    verdict: Verdict = "suspect" if single else "cannot-tell"
    return Judgement(verdict, tied, others_close=best.closes)


def surely_wrong(solution: Solution) -> bool:
    """Whether chance would not leave these residuals once in ten million times.

    Far stricter than `closes`: among ten thousand sets with one wrong reading none should be told
    to have two, while two slips worth finding leave far more than this.
    """
    if solution.redundancy < 1:
        return False
    beyond = solution.square_sum > overall_limit(solution.redundancy, SURE)
    return beyond or bool(np.abs(solution.w).max() > W_SURE)


def shift_between(whole: Fit, other: Alternative) -> Shift:
    """How far corners of `whole` move when the alternative's reading is left out.

    Both are laid on each other as well as they go, without a change of size, so that no corner is
    held more than another; spreads are taken in the same way, as in a free network.
    """
    there, here = other.fit.solution.points, whole.solution.points
    moved = laid_on(here, there) - there
    sizes = np.sqrt((moved**2).sum(axis=1))
    free = _free(other.fit.solution)
    beyond = not other.held
    for corner, size in enumerate(sizes.tolist()):
        if size > 0:
            along = moved[corner] / size
            at = slice(2 * corner, 2 * corner + 2)
            own = math.sqrt(max(float(along @ free[at, at] @ along), 0.0))
            beyond = beyond or round(size - ELLIPSE_95 * own, ROUNDED) > 0
    most = int(np.argmax(np.round(sizes, ROUNDED)))
    return Shift(other.fit.solution.names[most], float(sizes[most]), beyond)


def laid_on(points: Array, others: Array) -> Array:
    """`points` (n, 2) moved and turned so that they lie on `others` as well as they go."""
    one, two = points - points.mean(axis=0), others - others.mean(axis=0)
    turn = math.atan2(
        float((one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]).sum()), float((one * two).sum())
    )
    cos, sin = math.cos(turn), math.sin(turn)
    laid: Array = one @ np.array([[cos, sin], [-sin, cos]]) + others.mean(axis=0)
    return laid


def _unheld(asked: Asked, whole: Fit | None, rows: Sequence[int]) -> tuple[Alternative, ...]:
    """The outline with each reading of `rows` made to weigh next to nothing.

    Nothing says what it should be, so that other lengths are tried till there is an outline.
    """
    found: list[Alternative] = []
    for row in rows:
        observation = asked.observations[row]
        if not isinstance(observation, Distance | Height):
            continue  # an angle has no other length
        for share in OTHERWISE:
            slack = _slack(observation, share)
            loose = [slack if at == row else each for at, each in enumerate(asked.observations)]
            starts = figures(asked.form, loose, asked.rough)
            starts += [] if whole is None else [whole.solution.points]
            several = fits(starts, asked.form, loose, asked.rough, tries=TRIES)
            if several and not surely_wrong(several[0].solution):
                found.append(Alternative(row, several[0], 0.0, math.inf, held=False))
                break
    return tuple(found)


def _slack(observation: Distance | Height, share: float) -> Observation:
    """A distance or height read as `share` of what it is, and hardly trusted."""
    out = SLACK * observation.deviation
    return replace(observation, length=share * observation.length, deviation=out)


def _refitted(asked: Asked, fit: Fit, judgement: Judgement) -> Fit:
    """The outline of all readings, started again from the best that leaving one out has found."""
    starts = [each.fit.solution.points for each in judgement.doubted[:1]]
    again = fits(starts, asked.form, asked.observations, asked.rough)
    return again[0] if again and again[0].total < fit.total else fit


def _advice(asked: Asked, judgement: Judgement) -> NextReading | None:
    if judgement.more_than_one or len(judgement.doubted) < 2:
        return None
    solutions = [each.fit.solution for each in judgement.doubted]
    return deciding(asked.observations, solutions, asked.tape)


def _rest(asked: Asked, row: int) -> list[Observation]:
    return [each for index, each in enumerate(asked.observations) if index != row]


def _keep_best(
    found: dict[int, Fit],
    row: int,
    starts: Sequence[Array],
    asked: Asked,
    tries: int | None = None,
) -> None:
    rest = _rest(asked, row)
    for fit in fits(starts, asked.form, rest, asked.rough, tries=tries, chance=W_LIMIT)[:1]:
        kept = found.get(row)
        if kept is None or fit.total <= kept.total:
            found[row] = fit


def _misfit(fit: Fit) -> float:
    """The weighted square sum, rounded: what alternatives are compared by."""
    return round(fit.square_sum, ROUNDED)


def _alternative(row: int, fit: Fit, asked: Asked) -> Alternative:
    slip, spread = slip_beside(fit.solution, asked.observations[row])
    return Alternative(row, fit, slip, spread)


def slip_beside(solution: Solution, observation: Observation) -> tuple[float, float]:
    """What `observation`, no part of `solution`, reads too much, and one deviation of that."""
    values, slopes = Network(solution.names, [observation]).values(solution.points)
    value, slope = float(values[0]), slopes[0]
    if not isinstance(observation, Along):  # heights and angles are read without their sign
        value = abs(value)
    spread = math.sqrt(max(float(slope @ solution.covariance @ slope), 0.0))
    return observation.observed - value, math.hypot(observation.deviation, spread)


def _free(solution: Solution) -> Array:
    """The covariance of `solution` (2n, 2n) with no corner held: of the least mean movement."""
    x, y = (solution.points - solution.points.mean(axis=0)).T
    still = np.zeros_like(x)
    rigid = np.stack([
        np.stack(pair, axis=1).ravel() for pair in ((still + 1, still), (still, still + 1), (-y, x))
    ])  # fmt: skip
    rigid /= np.sqrt((rigid**2).sum(axis=1))[:, None]
    away = np.eye(2 * len(x)) - rigid.T @ rigid
    free: Array = away @ solution.covariance @ away
    return free
