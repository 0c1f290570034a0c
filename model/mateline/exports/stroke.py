"""The joint between chains and the writers of files: one small protocol.

Stands first in exports. Everything that draws calls `drawn`; every format is a `Stroke`.
Arcs stay arcs here; a format that has none chops them itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

from mateline.curves import Chain, ring

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mateline.curves import Point
    from mateline.pattern.pattern import Region

Call = tuple[str, *tuple[object, ...]]


class Stroke(Protocol):
    """Receives one chain at a time, mm, face frame. True arcs are never chopped here."""

    def start(self, at: Point) -> None:
        """Begin a chain at `at`."""

    def line(self, to: Point) -> None:
        """Go straight to `to`."""

    def arc(self, to: Point, centre: Point, *, counterclockwise: bool) -> None:
        """Go to `to` round `centre`; an arc that ends where it starts is a full circle."""

    def end(self, *, closed: bool) -> None:
        """The chain is over; `closed` when it came back to its start exactly."""


def drawn(chain: Chain, stroke: Stroke) -> None:
    """Send `chain` through `stroke`, in the chain's direction."""
    stroke.start(chain.start)
    for segment in chain.segments:
        if segment.centre is None:
            stroke.line(segment.to)
        else:
            stroke.arc(segment.to, segment.centre, counterclockwise=segment.counterclockwise)
    stroke.end(closed=chain.closed)


@dataclass
class Recorded:
    """A stroke that keeps its calls, to compare or to send on later."""

    calls: list[Call] = field(default_factory=list)

    def start(self, at: Point) -> None:
        """Keep the call."""
        self.calls.append(("start", at))

    def line(self, to: Point) -> None:
        """Keep the call."""
        self.calls.append(("line", to))

    def arc(self, to: Point, centre: Point, *, counterclockwise: bool) -> None:
        """Keep the call."""
        self.calls.append(("arc", to, centre, counterclockwise))

    def end(self, *, closed: bool) -> None:
        """Keep the call."""
        self.calls.append(("end", closed))


def rings(chains: tuple[Chain, ...], region: Region) -> Iterable[Chain]:
    """The closed chains round `region`, its outer one first."""
    return (ring(chains, loop) for loop in region.loops)
