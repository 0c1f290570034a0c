"""Whether readings hold an outline at all, and if not, what to measure next.

Stands after the network, before the outline. Looks at which corners are tied together, not at
lengths, so it can answer before anything is solved.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from mateline.tape.network import Network
from mateline.tape.observations import Distance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.tape.observations import Array, Observation

SEED = 314  # any number; corners in no special position, the same ones each time
RANK = 1e-8  # no unit: smaller singular values are zero
OFFERED = 3  # ways named where one more reading is enough


def lacking(corners: tuple[str, ...], observations: Sequence[Observation]) -> int:
    """How many more readings it takes to hold the outline; 0 when it is determined.

    Counts what holds corners in general position. Readings that hold an outline in general may
    still fail in a special one; solving it finds that out.
    """
    return 2 * len(corners) - 3 - _rank(_ties(corners, observations))


def next_readings(
    corners: tuple[str, ...], observations: Sequence[Observation], points: Array | None = None
) -> str:
    """What to measure next, as a sentence: `Measure A-C or B-D.`

    `points` (n, 2) are where the corners are, if that is known and is a special position.
    """
    ties = _ties(corners, observations, points)
    wanted = 2 * len(corners) - 3 - _rank(ties)
    offers = [
        pair for pair in _unread(corners, observations)
        if _rank(np.vstack([ties, _tie(corners, pair, points)])) > _rank(ties)
    ]  # fmt: skip
    if wanted <= 1:
        return f"Measure {_listed([f'{a}-{b}' for a, b in offers[:OFFERED]], 'or')}."
    chosen: list[str] = []
    for pair in offers:
        grown = np.vstack([ties, _tie(corners, pair, points)])
        if _rank(grown) > _rank(ties):
            ties = grown
            chosen.append("-".join(pair))
    return f"Measure {_listed(chosen, 'and')}."


def _unread(corners: tuple[str, ...], observations: Sequence[Observation]) -> list[tuple[str, str]]:
    """Corner pairs without a distance: sides first, then diagonals."""
    read = {frozenset(each.names) for each in observations if isinstance(each, Distance)}
    sides = list(zip(corners, (*corners[1:], corners[0]), strict=True))
    sets = {frozenset(side) for side in sides}
    others = [pair for pair in combinations(corners, 2) if frozenset(pair) not in sets]
    return [pair for pair in (*sides, *others) if frozenset(pair) not in read]


def _ties(
    corners: tuple[str, ...], observations: Sequence[Observation], points: Array | None = None
) -> Array:
    """Derivatives of all observations by all coordinates, (m, 2n); the figure has size 1."""
    at = _general(len(corners)) if points is None else points / np.abs(points).max()
    return Network(corners, observations).values(at)[1]


def _tie(corners: tuple[str, ...], pair: tuple[str, str], points: Array | None) -> Array:
    return _ties(corners, [Distance(*pair, 1.0, 1.0, "")], points)


def _general(number: int) -> Array:
    return np.random.default_rng(SEED).uniform(-1.0, 1.0, (number, 2))


def _rank(ties: Array) -> int:
    return int(np.linalg.matrix_rank(ties, tol=RANK)) if len(ties) else 0


def _listed(words: list[str], joint: str) -> str:
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {joint} {words[-1]}"
