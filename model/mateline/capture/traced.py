"""What was traced: a planar map whose borders are lines and arcs, with how sure each is.

Stands after labels and after the pattern and its borders; tracing and pen lines make it,
regularities change it, and the drawing of a face is written from it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.curves import area, length, ring

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.curves import Chain, Point


@dataclass(frozen=True, slots=True)
class TracedBorder:
    """One border from node `start` to node `end`, both ends of `chain` to the bit (a closed border
    that nothing touches has start == end == -1), with the region on each side; -1 is the outside
    of the outline. `guessed` are stretches (from, to), mm along the chain, that no sound paint
    shows. `error` is the expected distance from the true border, rms, mm, where it is seen.
    """

    chain: Chain
    start: int
    end: int
    left: int
    right: int
    guessed: tuple[tuple[float, float], ...] = ()
    error: float = 0.0


@dataclass(frozen=True, slots=True)
class TracedRegion:
    """One connected area of one colour. `loops` are signed borders as in `pattern.Region`: i, or
    ~i walked backwards; the first is the outer one, counter-clockwise.
    """

    colour: str
    loops: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Traced:
    """Nodes (face frame, mm), borders between them, regions that tile the outline."""

    nodes: tuple[Point, ...]
    borders: tuple[TracedBorder, ...]
    regions: tuple[TracedRegion, ...]

    def areas(self) -> dict[str, float]:
        """The area within the chains of each colour's regions, mm², in the order of the regions."""
        chains = tuple(border.chain for border in self.borders)
        found: dict[str, float] = {}
        for region in self.regions:
            size = sum(area(ring(chains, loop)) for loop in region.loops)
            found[region.colour] = found.get(region.colour, 0.0) + size
        return found


def expected_error(borders: Sequence[TracedBorder]) -> float:
    """The expected distance of borders from the true ones, rms, mm, over what is seen of them.

    What is guessed has no say: how far a guess may be off is not known, only its share is told.
    """
    squares = seen = 0.0
    for each in borders:
        own = length(each.chain) - sum(end - start for start, end in each.guessed)
        squares += max(0.0, own) * each.error**2
        seen += max(0.0, own)
    return (squares / seen) ** 0.5 if seen else 0.0


def segment_counts(borders: Sequence[TracedBorder]) -> dict[str, int]:
    """How many lines and arcs borders have."""
    arcs = sum(s.centre is not None for each in borders for s in each.chain.segments)
    return {"line": sum(len(each.chain.segments) for each in borders) - arcs, "arc": arcs}
