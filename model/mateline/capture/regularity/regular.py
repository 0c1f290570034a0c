"""Regularities proposed, and made so where somebody asks for them.

Stands last in regularity. Everything is adjusted again at once with the ties asked for: corners
and nodes stay where borders meet. What would move something farther than the tolerance, or make
borders cross, is left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.capture.asked import KINDS
from mateline.capture.fitting.adjustment import DECIMALS, adjusted
from mateline.capture.fitting.planarity import at_fault, tiled
from mateline.capture.fitting.rim import OnRim
from mateline.capture.regularity.kinds import found
from mateline.capture.regularity.outlines import drawn, redrawn
from mateline.capture.regularity.targets import OnCircle
from mateline.curves import flattened
from mateline.pattern.tiling import Tiling

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.borders.standard_radii import RadiusSizes
    from mateline.capture.asked import Kind
    from mateline.capture.regularity.kinds import Found
    from mateline.capture.regularity.outlines import Drawn
    from mateline.capture.traced import Traced
    from mateline.curves import Chain, Point

    Floats = NDArray[np.float64]

FREE = 3.0  # mm: how far a vertex that no place holds may go
FACET = 0.002  # mm
STEP = 1.0  # mm between places where a move is measured


@dataclass(frozen=True, slots=True)
class Proposal:
    """Something that looks meant: what it is, and the borders that it is about."""

    kind: Kind
    borders: tuple[int, ...]
    words: str


@dataclass(frozen=True, slots=True)
class Change:
    """A proposal that was made so, and how far that moved its borders at most, mm."""

    kind: Kind
    borders: tuple[int, ...]
    words: str
    moved: float


def proposed(traced: Traced, tolerance: float, sizes: RadiusSizes = "mm") -> tuple[Proposal, ...]:
    """All regularities within the tolerance, mm, and the expected errors; nothing is changed."""
    own = drawn(traced)
    return tuple(
        Proposal(each.kind, _borders(own, each), each.words)
        for each in found(own, KINDS, tolerance, sizes)
    )


def regular(
    traced: Traced, which: Sequence[Kind], tolerance: float, sizes: RadiusSizes = "mm"
) -> tuple[Traced, tuple[Change, ...]]:
    """What was traced with the regularities of some kinds made so; what was changed.

    Raises ValueError for a kind that there isn't.
    """
    strange = set(which) - set(KINDS)
    if strange:
        raise ValueError(f"no kinds of regularity: {sorted(strange)}; there are {KINDS}")
    own = drawn(traced)
    asked = list(found(own, which, tolerance, sizes))
    while asked:
        made = _made(own, asked)
        moved = _moves(traced, made)
        far = {at for at, away in moved.items() if away > tolerance}
        far |= _wrong(made)
        kept = [each for each in asked if not far & set(_borders(own, each))]
        if len(kept) == len(asked):
            if not far:
                return made, tuple(
                    Change(each.kind, own_borders, each.words, max(moved[at] for at in own_borders))
                    for each in asked
                    if (own_borders := _borders(own, each))
                )
            kept = asked[:-1]  # what moved is no border of theirs: the last one found gives way
        asked = kept
    return traced, ()


def _borders(own: Drawn, one: Found) -> tuple[int, ...]:
    return tuple(at for at, segments in own.segments.items() if set(segments) & set(one.segments))


def _made(own: Drawn, asked: Sequence[Found]) -> Traced:
    # Circles that a later kind has too are as that kind has them.
    rounds: dict[tuple[int, ...], OnCircle] = {}
    ties = []
    for each in asked:
        for tie in each.ties:
            if isinstance(tie, OnCircle):
                before = rounds.get(tie.segments)
                sized = each.kind in {"equal", "radii", "mirrored"} or before is None
                rounds[tie.segments] = tie if sized or before is None else before
            else:
                ties.append(tie)
    rim = [OnRim(own.rim, own.rims)] if len(own.rims) else []
    anchors = np.full(len(own.frame.at), FREE)
    result = adjusted(own.frame, own.measured, anchors, [*rim, *ties, *rounds.values()])
    whole: dict[int, tuple[Point, float]] = {}
    for tie in rounds.values():
        for at, segments in own.segments.items():
            if own.traced.borders[at].start < 0 and set(segments) <= set(tie.segments):
                x, y = tie.centre
                centre = (round(x, DECIMALS), round(y, DECIMALS))
                whole[at] = (centre, round(tie.reach, DECIMALS))
    return redrawn(own, result.frame, whole)


def _moves(traced: Traced, made: Traced) -> dict[int, float]:
    """How far each border is from where it was, either way."""
    found = {}
    for at, (one, other) in enumerate(zip(traced.borders, made.borders, strict=True)):
        found[at] = round(max(_away(one.chain, other.chain), _away(other.chain, one.chain)), 6)
    return found


def _away(chain: Chain, other: Chain) -> float:
    if chain == other:
        return 0.0
    line = shapely.linestrings(flattened(other, FACET))
    shapely.prepare(line)
    spots = shapely.get_coordinates(
        shapely.segmentize(shapely.linestrings(flattened(chain, FACET)), STEP)
    )
    return float(shapely.distance(line, shapely.points(spots)).max())


def _wrong(made: Traced) -> set[int]:
    """Borders that cross one another, or are around regions that are no areas."""
    wrong = set(at_fault(made.borders).tolist())
    if wrong:
        return wrong
    tiling, regions = tiled(made.borders, made.regions)
    for region in regions.tolist():
        wrong |= {max(at, ~at) for loop in made.regions[region].loops for at in loop}
    if not wrong and tiling != Tiling(0.0, 0.0, 0):
        wrong = set(range(len(made.borders)))
    return wrong
