"""Plane networks of lengths and angles, solved by weighted least squares.

Stands after the tapes, before the outlines; knows points and observations, no cabinet.

Glossary: an observation has a standard deviation known beforehand (a priori). Its residual v is
adjusted minus observed. Its redundancy number r is the share of a slip that shows in v; the r of
all observations sum to the redundancy. w = v / (deviation * sqrt(r)). A slip e in one observation
makes v = -r e, so -v / r is the likely slip. The datum is what holds the figure in the plane.

Source of the formulas: W. Baarda, A Testing Procedure for Use in Geodetic Networks (1968);
notation as in the geodetic textbooks that tests/outside/test_tape_network.py names.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.tape.solving.observations import (
    NOWHERE,
    XY,
    Array,
    Distance,
    Height,
    Observation,
    Square,
)
from mateline.tape.solving.statistics import CHECKED, W_LIMIT, fits_overall

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = [
    "XY",
    "Array",
    "Datum",
    "Distance",
    "Free",
    "Height",
    "Held",
    "HeldEdge",
    "Network",
    "Observation",
    "Solution",
    "Square",
    "UndeterminedError",
    "adjusted",
    "motions_under",
    "solve",
]

PRECISE = 1e-14  # no unit: where the iteration stops
SETTLED = 1e-12  # no unit: a step of less than this share of the figure's size is the last
NOISE = 1e-9  # no unit: a weighted square sum, and a share of one, that rounding may add
STEPS = 30  # Gauss-Newton steps before it is given up; readings that fit need about five
SINGULAR = 1e-7  # no unit: a motion this much freer than the stiffest is not held at all


class UndeterminedError(ValueError):
    """The observations leave the points free to move against each other."""


@dataclass(frozen=True, slots=True)
class Held:
    """Datum: these points stay where they are."""

    points: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HeldEdge:
    """Datum: `corner` stays where it is and `towards` stays in the same direction from it."""

    corner: str
    towards: str


@dataclass(frozen=True, slots=True)
class Free:
    """Datum: the least movement from the given positions, all points taken together.

    Inner constraints: no mean shift and no mean turn against the given positions.
    """


Datum = Held | HeldEdge | Free


@dataclass(frozen=True, slots=True)
class Solution:
    """A solved network. `points` (n, 2) and `covariance` (2n, 2n) in the order of `names`.

    `covariance` is a priori, from the deviations that were given; times `m0` squared it is a
    posteriori. The rest has one row an observation.
    """

    names: tuple[str, ...]
    points: Array
    covariance: Array
    residuals: Array
    deviations: Array
    redundancy_numbers: Array  # r
    reliability: Array  # (m, m): the whitened residual projector I - A inv(A'A) A'
    redundancy: int

    @property
    def square_sum(self) -> float:
        """The weighted sum of squared residuals."""
        return float(np.sum((self.residuals / self.deviations) ** 2))

    @property
    def m0(self) -> float | None:
        """A-posteriori deviation of unit weight; None where nothing is redundant."""
        return math.sqrt(self.square_sum / self.redundancy) if self.redundancy else None

    @property
    def w(self) -> Array:
        """Residuals over their own deviations; 0 where an observation is not checked."""
        own = self.deviations * np.sqrt(self.redundancy_numbers.clip(min=CHECKED))
        return np.where(self.redundancy_numbers > CHECKED, self.residuals / own, 0.0)

    @property
    def closes(self) -> bool:
        """Whether the residuals are what good readings leave: each one, and all together."""
        within = bool(np.abs(self.w).max(initial=0.0) <= W_LIMIT)
        return within and fits_overall(self.square_sum, self.redundancy)

    @property
    def slips(self) -> Array:
        """The likely slip in each observation if it alone is wrong: observed minus true."""
        checked = self.redundancy_numbers > CHECKED
        return np.where(checked, -self.residuals / self.redundancy_numbers.clip(min=CHECKED), 0.0)


class Network:
    """Observations tied to rows and columns once, so that each step is plain numbers.

    Distances, nearly all that there is, are valued together; other kinds one by one.
    """

    def __init__(self, names: Sequence[str], observations: Sequence[Observation]) -> None:
        place = {name: index for index, name in enumerate(names)}
        self.observed = np.array([each.observed for each in observations], dtype=np.float64)
        self.deviations = np.array([each.deviation for each in observations], dtype=np.float64)
        indices = [[place[name] for name in each.names] for each in observations]
        rows = [row for row, each in enumerate(observations) if isinstance(each, Distance)]
        ends = np.array([indices[row] for row in rows], dtype=np.intp).reshape(-1, 2)
        self.rows, (self.starts, self.ends) = np.array(rows, dtype=np.intp), ends.T
        self.others = [
            (row, each, indices[row])
            for row, each in enumerate(observations)
            if not isinstance(each, Distance)
        ]

    def values(self, points: Array) -> tuple[Array, Array]:
        """Values (m,) and their derivatives (m, 2n) at `points` (n, 2)."""
        values = np.empty(len(self.observed))
        jacobian = np.zeros((len(values), *points.shape))
        along = points[self.ends] - points[self.starts]
        lengths = np.sqrt((along**2).sum(axis=1))
        along /= np.maximum(lengths, NOWHERE)[:, None]
        values[self.rows] = lengths
        jacobian[self.rows, self.starts], jacobian[self.rows, self.ends] = -along, along
        for row, each, index in self.others:
            values[row], slopes = each.value(points[index])
            np.add.at(jacobian[row], index, slopes)  # two lines may share a corner
        return values, jacobian.reshape(len(values), points.size)

    def whitened(self, points: Array) -> tuple[Array, Array]:
        """Residuals and derivatives, each over its observation's deviation."""
        values, jacobian = self.values(points)
        return (values - self.observed) / self.deviations, jacobian / self.deviations[:, None]


def solve(
    points: Mapping[str, XY],
    observations: Sequence[Observation],
    *,
    datum: Datum,
    tries: int | None = None,
) -> Solution:
    """The positions that fit `observations` best, starting from `points`.

    The start decides between figures that fit equally well (a corner folded over, a mirror image).
    With `tries`, a start that steps don't settle from is searched for so many evaluations only.
    Raises UndeterminedError when the observations and the datum leave a point free.
    """
    names = tuple(points)
    network = Network(names, observations)
    start = np.array(list(points.values()), dtype=np.float64).reshape(-1, 2)
    motions = motions_under(datum, names, start)
    solved = adjusted(network, start, motions, tries=tries)
    residuals, jacobian = network.whitened(solved)
    design = jacobian @ motions
    left, sizes, right = np.linalg.svd(design, full_matrices=False)
    if len(sizes) < design.shape[1] or (sizes < SINGULAR * sizes.max(initial=0.0)).any():
        raise UndeterminedError("the observations do not hold all points")
    spread = motions @ (right.T / sizes)
    reliability = np.eye(len(observations)) - left @ left.T
    return Solution(
        names=names,
        points=solved,
        covariance=spread @ spread.T,
        residuals=residuals * network.deviations,
        deviations=network.deviations,
        redundancy_numbers=np.diag(reliability).clip(0.0, 1.0),
        reliability=reliability,
        redundancy=design.shape[0] - design.shape[1],
    )


def adjusted(
    network: Network,
    start: Array,
    motions: Array,
    *,
    precision: float = PRECISE,
    tries: int | None = None,
    far: bool = False,
) -> Array:
    """The (n, 2) points that fit best among those reached from `start` by `motions` (2n, k).

    With `tries`, what a search reaches after so many evaluations, found or not. From a `far` start
    it is searched at once, since whole steps could lead anywhere.
    """
    if motions.shape[1] == 0:
        return start
    found = None if far else _stepped(network, start, motions)
    return _searched(network, start, motions, precision, tries) if found is None else found


def _stepped(network: Network, start: Array, motions: Array) -> Array | None:
    """The same by Gauss-Newton steps, which a start near the end needs few of.

    None where a motion is free, where a step fits worse, and where the steps don't settle.
    """
    points, least = start, np.inf
    settled = SETTLED * float(np.ptp(start, axis=0).max())
    for _ in range(STEPS):
        residuals, slopes = network.whitened(points)
        square_sum = float(residuals @ residuals)
        step, _, rank, _ = np.linalg.lstsq(slopes @ motions, -residuals)
        if rank < motions.shape[1] or not square_sum <= (1 + NOISE) * least + NOISE:
            return None
        moved = (motions @ step).reshape(-1, 2)
        points = points + moved
        if np.abs(moved).max() <= settled:
            return points
        least = square_sum
    return None


def _searched(
    network: Network, start: Array, motions: Array, precision: float, tries: int | None
) -> Array:
    """The same by steps that are held back where a whole one would fit worse."""
    from scipy.optimize import least_squares  # noqa: PLC0415  half a second, and seldom needed

    seen: dict[bytes, tuple[Array, Array]] = {}  # residuals and derivatives, of the last place only

    def at(moved: Array) -> Array:
        reached: Array = start + (motions @ moved).reshape(-1, 2)
        return reached

    def whitened(moved: Array) -> tuple[Array, Array]:
        key = moved.tobytes()
        if key not in seen:
            seen.clear()
            seen[key] = network.whitened(at(moved))
        return seen[key]

    fit = least_squares(
        lambda moved: whitened(moved)[0],
        np.zeros(motions.shape[1]),
        jac=lambda moved: whitened(moved)[1] @ motions,
        method="lm" if len(network.observed) >= motions.shape[1] else "trf",
        xtol=precision,
        ftol=precision,
        gtol=precision,
        max_nfev=tries,
    )
    return at(fit.x)


def motions_under(datum: Datum, names: Sequence[str], start: Array) -> Array:
    """What `datum` lets the points do: orthonormal columns, (2n, k), at `start` (n, 2)."""
    every = np.eye(2 * len(names))
    if isinstance(datum, Held):
        return every[:, [2 * i + k for i, name in enumerate(names) if name not in datum.points
                         for k in (0, 1)]]  # fmt: skip
    if isinstance(datum, HeldEdge):
        corner, towards = names.index(datum.corner), names.index(datum.towards)
        along = (start[towards] - start[corner]) / np.linalg.norm(start[towards] - start[corner])
        every[2 * towards : 2 * towards + 2, 2 * towards] = along
        lost = (2 * corner, 2 * corner + 1, 2 * towards + 1)
        return np.delete(every, lost, axis=1)
    x, y = (start - start.mean(axis=0)).T
    still = np.zeros_like(x)
    rigid = np.stack([np.stack(pair, axis=1).ravel() for pair in (
        (still + 1, still), (still, still + 1), (-y, x))], axis=1)  # fmt: skip
    complete: Array = np.linalg.qr(rigid, mode="complete")[0]
    return complete[:, 3:]
