"""Where one side has what the other has: a smooth map found by the borders of both.

Stands in both sides after border points. Both designs are the same, so a place on a border lies on
the border between the same two colours on the other side; only its distance across that border is
known (point to line: Y. Chen and G. Medioni, Object modelling by registration of multiple range
images, 1992). Shift and turn first, then an affine map, then products of Chebyshev polynomials that
a ridge keeps small: as much as tape and a painter's hand explain.

A shape is also off by itself, all of its border alike: many places on one border say no more of
the map than that it lies a little off. So each border has a shift of its own, held at nothing as
firmly as the shifts of all borders are small (a mixed model; the spread of the shifts by the EM
algorithm: N. M. Laird and J. H. Ware, Random-effects models for longitudinal data, 1982).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.both_sides.border_points import BorderPoints

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

DEGREE = 7  # of the polynomials, both together
# Reach, mm, of matches, and the degree of the map that they give.
STEPS = (
    *((reach, 0) for reach in (25.0, 20.0, 16.0, 12.0)),
    *((reach, 1) for reach in (10.0, 8.0, 6.0, 5.0)),
    *((reach, 2) for reach in (4.0, 4.0)),
    *((reach, 4) for reach in (3.0, 3.0)),
    *((reach, DEGREE) for reach in (2.5, 2.0, 1.5, 1.2, 1.0, 1.0)),
)
ALIGNED = 0.85  # cosine between the directions across
# mm: what a term of degree 0, 1, 2 is likely to be; of a higher degree n, 2 / n of the last
EXPECTED = (10.0, 4.0, 1.0)
HELD = 0.1  # mm: how far a match is off, as a rule, while the map isn't there yet
CLUMP = 4.0  # matches that say no more than one: neighbours err together
ENOUGH = 3000  # places that the warp is found by
FEWEST = 40  # matches
ALONE = 0.3  # mm: how far borders are off by themselves, before they tell,
LEAST_ALONE = 0.01  # and the least it is taken for


class UnlikeError(Exception):
    """The two sides share too few borders to be laid on each other."""

    def __init__(self, matched: int) -> None:
        super().__init__(matched)
        self.matched = matched


@dataclass(frozen=True, slots=True, eq=False)
class Warp:
    """A place p goes to p + sum of `terms` (k, 2), mm, times T_i(u) T_j(v), where u and v are -1 to
    1 over `box` (left, low, right, up), mm, and (i, j) are `powers`.
    """

    box: tuple[float, float, float, float]
    powers: tuple[tuple[int, int], ...]
    terms: Floats

    def moved(self, places: Floats) -> Floats:
        """Places (n, 2), mm, carried to the other side."""
        base = self.bases(places)
        found = places.copy()
        for at, (x, y) in enumerate(self.terms.tolist()):
            found[:, 0] += base[:, at] * x
            found[:, 1] += base[:, at] * y
        return found

    def bases(self, places: Floats) -> Floats:
        """The products of polynomials at places (n, 2): (n, k). Far beyond the box they stay."""
        left, low, right, up = self.box
        u = np.clip((2 * places[:, 0] - left - right) / (right - left), -1.1, 1.1)
        v = np.clip((2 * places[:, 1] - low - up) / (up - low), -1.1, 1.1)
        most = max(max(power) for power in self.powers)
        one, other = _chebyshev(u, most), _chebyshev(v, most)
        return np.column_stack([one[i] * other[j] for i, j in self.powers])

    def back(self, places: Floats) -> Floats:
        """Places of the other side carried here: `moved` backwards."""
        found = places.copy()
        for _ in range(8):  # what it moves changes by less than a tenth of the way
            found = found + places - self.moved(found)
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Registered:
    """The warp, how far borders are off under it (rms, mm), how many matched, and of how many."""

    warp: Warp
    rms: float
    matched: int
    asked: int


def registered(
    own: BorderPoints, other: BorderPoints, box: tuple[float, float, float, float]
) -> Registered:
    """The warp that lays `own` borders on the `other` side's; both in one frame, roughly.

    Raises UnlikeError where hardly anything matches.
    """
    powers = tuple(
        (i, j) for total in range(DEGREE + 1) for i in range(total, -1, -1) for j in (total - i,)
    )
    warp = Warp(box, powers, np.zeros((len(powers), 2)))
    trees = _trees(other)
    few = own.every(1 + len(own.at) // ENOUGH)
    bases = warp.bases(few.at)
    for reach, degree in STEPS:
        at, to = _matches(few, other, warp.moved(few.at), trees, reach)
        if len(at) < FEWEST:
            raise UnlikeError(len(at))
        gap = _Gaps(other.at[to] - few.at[at], other.across[to], few.border[at])
        warp = _solved(warp, bases[at], gap, degree)
    at, to = _matches(own, other, warp.moved(own.at), trees, STEPS[-1][0])
    off = ((warp.moved(own.at[at]) - other.at[to]) * other.across[to]).sum(axis=1)
    rms = float(np.sqrt(np.mean(off * off)))
    return Registered(warp, round(rms, 4), len(at), len(own.at))


def _trees(points: BorderPoints) -> dict[int, tuple[object, Ints]]:
    """For each pair of colours its places, to be searched, and their positions."""
    from scipy.spatial import cKDTree  # noqa: PLC0415  slow to import

    found = {}
    for code in np.unique(points.pair).tolist():
        rows = np.flatnonzero(points.pair == code)
        found[code] = (cKDTree(points.at[rows]), rows)
    return found


def _matches(
    own: BorderPoints,
    other: BorderPoints,
    places: Floats,
    trees: dict[int, tuple[object, Ints]],
    reach: float,
) -> tuple[Ints, Ints]:
    """Positions of own places and of those of the other side that are nearest, of the same colours
    the same way round.
    """
    first, second = [np.zeros(0, dtype=np.int64)], [np.zeros(0, dtype=np.int64)]
    for code, (tree, rows) in trees.items():
        mine = np.flatnonzero(own.pair == code)
        if not len(mine):
            continue
        away, nearest = tree.query(places[mine], distance_upper_bound=reach)  # type: ignore[attr-defined]
        there = np.isfinite(away)
        theirs = rows[nearest[there]]
        mine = mine[there]
        same = (own.across[mine] * other.across[theirs]).sum(axis=1) > ALIGNED
        first.append(mine[same])
        second.append(theirs[same])
    return np.concatenate(first), np.concatenate(second)


@dataclass(frozen=True, slots=True, eq=False)
class _Gaps:
    """From own places to those that match them: `wide` (n, 2), mm, of which only the part `across`
    (n, 2) is known; `border` (n,) of each.
    """

    wide: Floats
    across: Floats
    border: Ints


def _solved(warp: Warp, bases: Floats, gaps: _Gaps, degree: int) -> Warp:
    """The terms up to a degree that lay own places on the lines through the other side's."""
    use = [at for at, (i, j) in enumerate(warp.powers) if i + j <= max(1, degree)]
    u, v = gaps.across[:, :1], gaps.across[:, 1:]
    columns = np.hstack([u * bases[:, use], v * bases[:, use]])
    right = (gaps.wide * gaps.across).sum(axis=1)
    held = np.array([_hold(warp.powers[at]) for at in use])
    hold = np.append(held, held)
    found = np.append(warp.terms[use, 0], warp.terms[use, 1])
    shifts = _Shifts(gaps, columns, right) if degree == DEGREE else None
    alone = np.zeros(len(right))
    for _ in range(4):
        off = right - columns @ found - alone
        usual = max(HELD, 1.4826 * float(np.median(np.abs(off))))
        weight = np.minimum(1.0, (2.5 * usual / np.maximum(np.abs(off), 1e-9)) ** 2)
        weight = weight / (usual * usual * CLUMP)
        normal = (columns * weight[:, None]).T @ columns + np.diag(hold)
        pull = (columns * weight[:, None]).T @ right
        if degree == 0:
            found = _turned(normal, pull, warp, use)
            continue
        if shifts is not None:
            found, alone = shifts.solved(normal, pull, weight)
            continue
        found = np.linalg.solve(normal, pull)
    terms = np.zeros_like(warp.terms)
    terms[use] = np.round(np.column_stack([found[: len(use)], found[len(use) :]]), 6)
    return Warp(warp.box, warp.powers, terms)


class _Shifts:
    """The shift of each border by itself, two unknowns that are eliminated before the map's.

    `spread` mm is what the shifts are held by, and comes from them.
    """

    def __init__(self, gaps: _Gaps, columns: Floats, right: Floats) -> None:
        self.order = np.argsort(gaps.border, kind="stable")
        _, self.first, self.many = np.unique(
            gaps.border[self.order], return_index=True, return_counts=True
        )
        self.across = gaps.across[self.order]
        self.columns, self.right = columns[self.order], right[self.order]
        self.spread = ALONE

    def solved(self, normal: Floats, pull: Floats, weight: Floats) -> tuple[Floats, Floats]:
        """The map's terms, and by how much each place is off across for its border's own shift."""
        weighed = self.across * weight[self.order][:, None]
        own = np.add.reduceat(weighed[:, :, None] * self.across[:, None, :], self.first)
        shared = np.add.reduceat(weighed[:, :, None] * self.columns[:, None, :], self.first)
        asked = np.add.reduceat(weighed * self.right[:, None], self.first)
        variance = np.linalg.inv(own + np.eye(2) / self.spread**2)  # (borders, 2, 2)
        less = variance @ shared
        found: Floats = np.linalg.solve(
            normal - (shared[:, :, :, None] * less[:, :, None, :]).sum(axis=(0, 1)),
            pull - (less * asked[:, :, None]).sum(axis=(0, 1)),
        )
        left = asked - shared @ found
        shifts = (variance @ left[:, :, None])[:, :, 0]
        mean = (shifts * shifts).sum(axis=1) + np.trace(variance, axis1=1, axis2=2)
        self.spread = max(LEAST_ALONE, float(np.sqrt(mean.mean() / 2)))
        alone = np.empty(len(self.order))
        alone[self.order] = (np.repeat(shifts, self.many, axis=0) * self.across).sum(axis=1)
        return found, alone


def _turned(normal: Floats, right: Floats, warp: Warp, use: list[int]) -> Floats:
    """The solution that shifts and turns only. In u and v a turn by r moves x by -r times half the
    box's height times v, and y by r times half its width times u.
    """
    left, low, far, up = warp.box
    names = [warp.powers[at] for at in use]
    count = len(use)
    turn = np.zeros(2 * count)
    turn[names.index((0, 1))] = -(up - low) / 2
    turn[count + names.index((1, 0))] = (far - left) / 2
    shift_x, shift_y = np.zeros(2 * count), np.zeros(2 * count)
    shift_x[names.index((0, 0))] = 1
    shift_y[count + names.index((0, 0))] = 1
    few = np.column_stack([shift_x, shift_y, turn])
    small = few.T @ normal @ few
    found: Floats = few @ np.linalg.solve(small, few.T @ right)
    return found


def _hold(power: tuple[int, int]) -> float:
    """How firmly a term is held at 0, 1 / mm²: it is likely to be as large as EXPECTED says."""
    total = power[0] + power[1]
    likely = EXPECTED[total] if total < len(EXPECTED) else 2 * EXPECTED[2] / total
    return 1 / likely**2


def _chebyshev(values: Floats, most: int) -> list[Floats]:
    found = [np.ones_like(values), values]
    while len(found) <= most:
        found.append(2 * values * found[-1] - found[-2])
    return found
