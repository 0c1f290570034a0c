"""Fitting: from observations to the one outline that they describe.

Stands after the start figure, before the outline. Every start figure is adjusted by least squares;
what is folded, clockwise or crosses itself is thrown away; the best that is left is the outline.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.products import ring_area
from mateline.tape.reading import printed_exact
from mateline.tape.solving.approximate import (
    FEW,
    SCATTERED,
    Form,
    figures,
    follows,
    scattered,
    signed,
)
from mateline.tape.solving.network import (
    HeldEdge,
    Network,
    Solution,
    UndeterminedError,
    adjusted,
    motions_under,
    solve,
)
from mateline.tape.solving.polygon import STRAIGHT, crossing_sides, framed, turn_slopes, turns
from mateline.tape.solving.rigidity import readings_against
from mateline.tape.solving.statistics import ROUNDED, W_LIMIT, fits_overall

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.tape.solving.observations import Array, Observation

TRIED = 6  # start figures that are adjusted; the others fit far worse already
CLEARLY = W_LIMIT**2  # no unit: a figure whose square sum is this much larger is out
ROUGHLY = 4.0  # no unit: or whose square sum of rough readings is this much larger
APART = 1.0  # mm: figures that differ by less are one
STILL = 1e-18  # radians squared: a turn of less variance does not vary
LOOSE = 50.0  # mm: a corner that is known no better than this is not held


class NoOutlineError(ValueError):
    """No outline, or more than one: what is wrong, what to do, and the readings it is about.

    `doubtful` says that one wrong reading may be all that is the matter; with `otherwise`, all of
    them fit an outline of another form too.
    """

    def __init__(
        self,
        what: str,
        remedy: str,
        labels: tuple[str, ...] = (),
        *,
        doubtful: bool = False,
        otherwise: bool = False,
    ) -> None:
        super().__init__(what, remedy, labels)
        self.what, self.remedy, self.labels = what, remedy, labels
        self.doubtful, self.otherwise = doubtful, otherwise


@dataclass(frozen=True, slots=True)
class Fit:
    """A solved outline: first corner at (0, 0), second on +x. Rows as `observations`.

    `against` is the square sum of what contradicts the rough readings, and `bent` what the readings
    would at least contradict an outline whose corners all turn as they should: 0 where they do.
    """

    solution: Solution
    observations: tuple[Observation, ...]
    against: float
    bent: float = 0.0

    @property
    def square_sum(self) -> float:
        """The weighted square sum of what the readings contradict the outline and its form."""
        return self.solution.square_sum + self.bent

    @property
    def total(self) -> float:
        """What fits are compared by, rounded: contradictions of all readings, rough ones too."""
        return round(self.square_sum + self.against, ROUNDED)

    @property
    def passes(self) -> bool:
        """Whether the residuals are what good readings would leave."""
        return fits_overall(self.solution.square_sum, max(self.solution.redundancy, 1))


def fitted(
    form: Form, observations: Sequence[Observation], rough: Sequence[Observation], unit: str
) -> Fit:
    """The outline of `form` that fits `observations` best; `rough` decides where two fit alike.

    `unit` is the reader's, for what a refusal says.
    Raises NoOutlineError: nothing fits, two figures fit, another form fits, or a special position
    leaves a corner loose.
    """
    found = fits(figures(form, observations, rough), form, observations, rough)
    if not found:
        found = _from_afar(form, observations, rough)
    if found[0].passes:
        _refuse_twin(found, unit)
    _refuse_loose(found[0])
    return found[0]


def _from_afar(
    form: Form, observations: Sequence[Observation], rough: Sequence[Observation]
) -> list[Fit]:
    """As `_fits`, where no corner follows from others, or only into a folded figure.

    Raises NoOutlineError when no figure of `form` fits, with the reason.
    """
    starts = FEW if follows(form, observations) else SCATTERED
    found = fits(scattered(form, observations, rough, starts=starts), form, observations, rough)
    if found and found[0].passes:
        return found
    anyhow = Form(form.corners, None)
    others = figures(anyhow, observations, rough)
    others = others or scattered(anyhow, observations, rough, starts=starts)
    other = fits(others, anyhow, observations, rough)
    alike = [fit for fit in other if form.matches(fit.solution.points, STRAIGHT)]
    found = found or alike
    if other and not alike and (other[0].passes or not found):
        raise _wrong_form(other[0], form)
    folded = Form(form.corners, None, simple=False)
    nearest = figures(form, observations, rough) or figures(folded, observations, rough) or others
    for start in nearest[:1]:
        fault = _folded(start, form, observations)
        if not (found and (found[0].passes or fault.labels)):  # contradictions are judged later
            raise fault
    if not found:
        raise NoOutlineError(
            "No outline of this form has these readings.",
            "Check which corners each one is between, and which are named square.",
            doubtful=True,
        )
    return found


def fits(
    starts: Sequence[Array],
    form: Form,
    observations: Sequence[Observation],
    rough: Sequence[Observation],
    *,
    tries: int | None = None,
    chance: float = 0.0,
) -> list[Fit]:
    """Adjusted outlines of the right form, best first; `tries` as in `solve`.

    Those are of the right form too in which a corner turns the wrong way by no more than `chance`,
    in deviations of its turn.
    """
    found: list[Fit] = []
    for start in starts[:TRIED]:
        points = framed(start)
        tied = signed(observations, form.corners, points)
        at = {name: (float(x), float(y)) for name, (x, y) in zip(form.corners, points, strict=True)}
        try:
            solution = solve(
                at, tied, datum=HeldEdge(form.corners[0], form.corners[1]), tries=tries
            )
        except UndeterminedError:
            continue
        points, bent = solution.points, bent_by(form, solution)
        if ring_area(points) > 0 and bent <= chance**2 and crossing_sides(points) is None:
            found.append(Fit(solution, tuple(tied), _square_sum(rough, form, points), bent))
    return sorted(found, key=lambda fit: fit.square_sum + fit.against)


def bent_by(form: Form, solution: Solution) -> float:
    """By how many deviations, squared, the corner turns the wrong way that does so most; or 0.

    So much would the square sum grow at least were the corner held straight: it does for that
    corner alone, and holding others as well adds to it.
    """
    if form.matches(solution.points, STRAIGHT):
        return 0.0
    past = -turns(solution.points) * form.signs - STRAIGHT
    slopes = turn_slopes(solution.points)
    variances = ((slopes @ solution.covariance) * slopes).sum(axis=1)
    shares = past.clip(min=0.0) ** 2 / np.maximum(variances, STILL)
    return round(float(shares.max()), ROUNDED)


def _square_sum(observations: Sequence[Observation], form: Form, points: Array) -> float:
    residuals, _ = Network(form.corners, observations).whitened(points)
    return float(np.sum(residuals**2))


def _refuse_twin(found: list[Fit], unit: str) -> None:
    best = found[0].solution
    for twin in found[1:]:
        worse = twin.solution.square_sum - best.square_sum > CLEARLY
        if worse or twin.against - found[0].against > ROUGHLY or not twin.passes:
            continue
        one, two = (
            np.linalg.norm(each.points[:, None] - each.points[None, :], axis=2)
            for each in (best, twin.solution)
        )
        a, b = np.unravel_index(np.abs(one - two).argmax(), one.shape)
        if abs(one[a, b] - two[a, b]) > APART:
            pair = f"{best.names[a]}-{best.names[b]}"
            raise NoOutlineError(
                f"Two different outlines fit these readings: {pair} is "
                f"{printed_exact(float(one[a, b]), unit)} in one and "
                f"{printed_exact(float(two[a, b]), unit)} in the other.",
                f"Measure {pair}, or give it roughly under about.",
            )


def _refuse_loose(fit: Fit) -> None:
    sizes, motions = np.linalg.eigh(fit.solution.covariance)
    if sizes[-1] > LOOSE**2:
        raise _loose(fit.solution.points, motions[:, -1], fit.solution.names, fit.observations)


def _wrong_form(fit: Fit, form: Form) -> NoOutlineError:
    turned = turns(fit.solution.points)
    reflex = [name for name, turn in zip(form.corners, turned, strict=True) if turn < 0]
    stated = ", ".join(sorted(form.reflex or ())) or "none"
    listed = ", ".join(f'"{name}"' for name in reflex)
    where = f"only at {', '.join(reflex)}" if reflex else "nowhere"
    return NoOutlineError(
        f"These readings give an outline that is over 180° inside {where}; reflex names {stated}.",
        f"Check the readings there; if the wood is like that, write reflex = [{listed}].",
        doubtful=True,
        otherwise=fit.passes,
    )


def _folded(start: Array, form: Form, observations: Sequence[Observation]) -> NoOutlineError:
    """Why the best figure of any form is no outline: `labels` say that readings contradict."""
    tied = signed(observations, form.corners, framed(start))
    network = Network(form.corners, tied)
    held = motions_under(HeldEdge(*form.corners[:2]), form.corners, framed(start))
    points = adjusted(network, framed(start), held)
    residuals, slopes = network.whitened(points)
    wrong = tuple(tied[row].label for row in np.flatnonzero(np.abs(residuals) > W_LIMIT))
    if wrong:
        return NoOutlineError(
            f"No outline has these readings: {', '.join(wrong)} contradict each other.",
            "Measure them again, and check which corners each one is between.",
            wrong,
            doubtful=True,
        )
    sides = crossing_sides(points)
    if sides is None:
        motion = held @ np.linalg.svd(slopes @ held)[2][-1]
        return _loose(points, motion, form.corners, observations)
    around = (*form.corners, form.corners[0])
    one, two = (f"{around[side]}-{around[side + 1]}" for side in sides)
    return NoOutlineError(
        f"The best outline found for these readings crosses itself: {one} meets {two}.",
        "List the corners in order round the outline, and check the readings between them.",
    )


def _loose(
    points: Array, motion: Array, corners: tuple[str, ...], observations: Sequence[Observation]
) -> NoOutlineError:
    """Say which corner moves most along `motion` (2n,), and what would stop it."""
    moved = motion.reshape(-1, 2)
    loosest = corners[int(np.linalg.norm(moved, axis=1).argmax())]
    return NoOutlineError(
        f"At these lengths {loosest} stays loose, though there are readings enough.",
        readings_against(moved, points, corners, observations),
    )
