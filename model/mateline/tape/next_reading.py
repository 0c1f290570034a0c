"""What to measure next: the distance that decides between suspects, or that checks most readings.

Stands after the adjustment, before blunders. Every pair of corners that is not read yet is foretold
under each alternative. Where two alternatives foretell lengths further apart than tape and outline
can blur, that one reading tells them apart, whichever of the two is true.

    parted   two alternatives one of which the new reading would rule out if the other is true
    across   a pair whose line stays on the wood, so that a tape can be laid along it
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.tape.accuracy import LONGEST, deviation
from mateline.tape.solving.network import Network
from mateline.tape.solving.observations import Distance, Square
from mateline.tape.solving.statistics import LEAST_SHARE, NONCENTRALITY, ROUNDED

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.tape.accuracy import Tape
    from mateline.tape.solving.adjustment import Fit
    from mateline.tape.solving.network import Solution
    from mateline.tape.solving.observations import Array, Observation

LEAVES = 1.0  # mm: how far a line between corners may leave the wood and still be across it


@dataclass(frozen=True, slots=True)
class NextReading:
    """The distance between two corners to measure next, and what it would do.

    `lengths` has what it would read, mm, for each of the doubted in turn; none where it is to
    check readings that nothing checks. It parts or checks `done` of `wanted`: pairs of doubted
    readings, or unchecked readings.
    """

    corners: tuple[str, str]
    side: bool
    lengths: tuple[float, ...]
    done: int
    wanted: int

    @property
    def label(self) -> str:
        """As readings are called: `C-I`."""
        return "-".join(self.corners)


def deciding(
    observations: Sequence[Observation], alternatives: Sequence[Solution], tape: Tape
) -> NextReading | None:
    """The unread distance that parts most of the `alternatives`; None where none parts any.

    Ties go to one across the wood, then to the one whose closest lengths that it parts are
    furthest apart, then by name. `observations` are all that there are.
    """
    best: tuple[tuple[int, bool, float, int], NextReading] | None = None
    wood, names = _wood(alternatives[0]), alternatives[0].names
    ways = list(combinations(range(len(alternatives)), 2))
    for place, pair in enumerate(_unread(names, observations)):
        foretold = [_foretold(each, pair) for each in alternatives]
        lengths = np.array([length for length, _ in foretold])
        if not 0 < lengths.max() <= float(LONGEST):
            continue
        own = deviation(float(lengths.mean()), tape)
        blur = np.hypot([spread for _, spread in foretold], own)
        gaps = [abs(lengths[one] - lengths[two]) / max(blur[one], blur[two]) for one, two in ways]
        parted = [gap for gap in np.round(gaps, ROUNDED).tolist() if gap > NONCENTRALITY]
        key = (-len(parted), not _is_across(wood, pair, names), -min(parted, default=0.0), place)
        if parted and (best is None or key < best[0]):
            told = tuple(float(length) for length in lengths)
            side = _is_side(pair, names)
            best = key, NextReading(pair, side, told, len(parted), len(ways))
    return None if best is None else best[1]


def checking(fit: Fit, tape: Tape) -> NextReading | None:
    """The unread distance that checks most of the readings that nothing checks, of `fit`.

    Ties go to one across the wood, then to the one that makes most of a slip in them show, then by
    name. None where all distances are read, or all readings checked.
    """
    solution = fit.solution
    readings = np.array([not isinstance(each, Square) for each in fit.observations])
    bare = readings & (solution.redundancy_numbers <= LEAST_SHARE)
    if not bare.any():
        return None
    slopes = Network(solution.names, fit.observations).whitened(solution.points)[1]
    wood = _wood(solution)
    best: tuple[tuple[int, bool, float, int], NextReading] | None = None
    for place, pair in enumerate(_unread(solution.names, fit.observations)):
        length, _ = _foretold(solution, pair)
        if not 0 < length <= float(LONGEST):
            continue
        one = Distance(*pair, length, deviation(length, tape), "")
        tie = Network(solution.names, [one]).whitened(solution.points)[1][0]
        lent = solution.covariance @ tie
        # One more row a takes (a_i C a)^2 / (1 + a C a) off the leverage of row i.
        gained = (slopes @ lent) ** 2 / (1.0 + float(tie @ lent))
        shares = (solution.redundancy_numbers + gained)[bare]
        count = int((np.round(shares, ROUNDED) > LEAST_SHARE).sum())
        across = _is_across(wood, pair, solution.names)
        key = (-count, not across, -round(float(gained[bare].sum()), ROUNDED), place)
        if best is None or key < best[0]:
            side = _is_side(pair, solution.names)
            best = key, NextReading(pair, side, (), count, int(bare.sum()))
    return None if best is None else best[1]


def _unread(
    names: tuple[str, ...], observations: Sequence[Observation]
) -> Iterator[tuple[str, str]]:
    """Pairs of corners without a distance, in the order of the corners."""
    read = {frozenset(each.names) for each in observations if isinstance(each, Distance)}
    return (pair for pair in combinations(names, 2) if frozenset(pair) not in read)


def _foretold(solution: Solution, pair: tuple[str, str]) -> tuple[float, float]:
    """The distance of a pair in `solution`, and one standard deviation of it, mm."""
    values, slopes = Network(solution.names, [Distance(*pair, 1.0, 1.0, "")]).values(
        solution.points
    )
    variance = float(slopes[0] @ solution.covariance @ slopes[0])
    return float(values[0]), float(np.sqrt(max(variance, 0.0)))


def _wood(solution: Solution) -> tuple[shapely.Geometry, Array]:
    """The inside of an outline with a rim of `LEAVES`, and its corners."""
    ring = shapely.Polygon(solution.points)
    return shapely.buffer(ring, LEAVES, join_style="mitre"), solution.points


def _is_across(
    wood: tuple[shapely.Geometry, Array], pair: tuple[str, str], names: tuple[str, ...]
) -> bool:
    inside, points = wood
    line = shapely.LineString([points[names.index(name)] for name in pair])
    return bool(shapely.covers(inside, line))


def _is_side(pair: tuple[str, str], names: tuple[str, ...]) -> bool:
    one, two = (names.index(name) for name in pair)
    return abs(one - two) in {1, len(names) - 1}
