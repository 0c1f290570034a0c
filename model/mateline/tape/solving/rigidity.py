"""Whether readings hold an outline at all, and if not, what to measure next.

Stands after the network, before the outline. Looks at which corners are tied together, not at
lengths, so it can answer before anything is solved.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from mateline.tape.solving.network import Network
from mateline.tape.solving.observations import Distance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.tape.solving.observations import Array, Observation

SEED = 314  # any number; corners in no special position, the same ones each time
RANK = 1e-8  # no unit: smaller singular values are zero
OFFERED = 3  # ways named where one more reading is enough
FELT = 0.3  # no unit: a reading that changes less than this share of the most is not offered


def lacking(corners: tuple[str, ...], observations: Sequence[Observation]) -> int:
    """How many more readings it takes to hold the outline; 0 when it is determined.

    Counts what holds corners in general position. Readings that hold an outline in general may
    still fail in a special one; solving it finds that out.
    """
    return 2 * len(corners) - 3 - _rank(_ties(corners, observations))


def next_readings(corners: tuple[str, ...], observations: Sequence[Observation]) -> str:
    """What to measure next to hold corners in general position: `Measure A-C or B-D.`"""
    ties = _ties(corners, observations)
    rank = _rank(ties)
    offers = [
        pair
        for pair in _unread(corners, observations)
        if _rank(np.vstack([ties, _tie(corners, pair)])) > rank
    ]
    if 2 * len(corners) - 3 - rank == 1:
        return f"Measure {_listed(offers[:OFFERED], 'or')}."
    chosen: list[tuple[str, str]] = []
    for pair in offers:
        grown = np.vstack([ties, _tie(corners, pair)])
        if _rank(grown) > _rank(ties):
            ties = grown
            chosen.append(pair)
    return f"Measure {_listed(chosen, 'and')}."


def readings_against(
    motion: Array, points: Array, corners: tuple[str, ...], observations: Sequence[Observation]
) -> str:
    """What to measure next where `points` (n, 2) may still move along `motion` (n, 2)."""
    place = {corner: index for index, corner in enumerate(corners)}
    offers: dict[tuple[str, str], float] = {}
    for pair in _unread(corners, observations):
        a, b = (place[corner] for corner in pair)
        along = points[b] - points[a]
        offers[pair] = abs(float(along @ (motion[b] - motion[a]))) / float(np.linalg.norm(along))
    felt = FELT * max(offers.values(), default=0.0)
    return f"Measure {_listed([pair for pair in offers if offers[pair] > felt][:OFFERED], 'or')}."


def _unread(corners: tuple[str, ...], observations: Sequence[Observation]) -> list[tuple[str, str]]:
    """Corner pairs without a distance: sides first, then diagonals."""
    read = {frozenset(each.names) for each in observations if isinstance(each, Distance)}
    sides = list(zip(corners, (*corners[1:], corners[0]), strict=True))
    sets = {frozenset(side) for side in sides}
    others = [pair for pair in combinations(corners, 2) if frozenset(pair) not in sets]
    return [pair for pair in (*sides, *others) if frozenset(pair) not in read]


def _ties(corners: tuple[str, ...], observations: Sequence[Observation]) -> Array:
    """Derivatives of all observations by all coordinates, (m, 2n), in general position."""
    at = np.random.default_rng(SEED).uniform(-1.0, 1.0, (len(corners), 2))
    return Network(corners, observations).values(at)[1]


def _tie(corners: tuple[str, ...], pair: tuple[str, str]) -> Array:
    return _ties(corners, [Distance(*pair, 1.0, 1.0, "")])


def _rank(ties: Array) -> int:
    return int(np.linalg.matrix_rank(ties, tol=RANK)) if len(ties) else 0


def _listed(pairs: Sequence[tuple[str, str]], joint: str) -> str:
    words = [f"{a}-{b}" for a, b in pairs]
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {joint} {words[-1]}"
