r"""Rounds of sections by the angle along them: how a solid follows them.

Stands beside cuts, before solids. Knows no kernel.

    ____                     |
        `.  w grows from     |.  a cove rises before the face,
          \  0 at the face   | `.__  and its w grows upward
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.curves import radius

if TYPE_CHECKING:
    from mateline.cabinet.panel import Edge
    from mateline.curves import Point

ALIKE = 1e-9  # mm: rounds whose radius and centre's depth differ by less are one shape
NO_SHARE = 1e-10  # no unit: less of a round's height than this is rounding


@dataclass(frozen=True, slots=True)
class Arc:
    """One round of an edge: in = centre - side r sin w, down = centre - way r cos w, 0 <= w <= pi.

    `side` is 1 on a round that bulges and -1 on a hollow one, `way` is -1 on one that rises before
    the face; w grows along the section on all.
    """

    centre: Point
    radius: float
    side: float
    way: float = 1.0

    def turn(self, down: float) -> float:
        """The angle w at a depth, exact where the round is tangent to the face."""
        top = self.centre[1] - self.way * self.radius
        share = self.way * (down - top) / (2 * self.radius)
        # A round of radius 6 may start 1e-15 mm above the face: its root would be 1e-7 mm.
        return 2 * math.asin(math.sqrt(min(1.0, share))) if share > NO_SHARE else 0.0

    def like(self, other: Arc) -> bool:
        """Whether both run in alike at every depth."""
        apart = max(abs(self.radius - other.radius), abs(self.centre[1] - other.centre[1]))
        return (self.side, self.way) == (other.side, other.way) and apart < ALIKE


def arc_between(edge: Edge, top: float, bottom: float) -> Arc | None:
    """The round that the section of `edge` follows between two depths, or None."""
    middle, at = (top + bottom) / 2, edge.section.start
    if edge.rise > 0 and bottom > top:  # below its strip
        return None
    for segment in edge.section.segments:
        if middle >= segment.to[1] if bottom < top else middle <= segment.to[1]:
            if segment.centre is None:
                return None
            side = -1.0 if at[0] > segment.centre[0] else 1.0
            return Arc(segment.centre, radius(segment), side, math.copysign(1.0, bottom - top))
        at = segment.to
    return None
