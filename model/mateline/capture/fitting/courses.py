"""A planar map with measured places along its borders.

Stands first in fitting; profiles measure the places in a picture, pen lines on paper, and
network fits lines and arcs to them.

    course   one border: places along it from node to node, each with its expected error
    sound    measured; a place that isn't only says roughly where the border goes
    rim      a course with the outside on one side: the given outline itself, between its nodes
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from mateline.capture.traced import TracedRegion

    Floats = NDArray[np.float64]

OUTSIDE = -1  # the region beyond the outline
RING = -1  # start and end of a closed course that no other one touches


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """One border from node `start` to node `end` (RING both, for one that touches none), with the
    region on each side. `places` (n, 2), mm, in order from start to end, the ends themselves not
    needed; a ring's first is not repeated. `errors` (n,), mm, of each place across the border, one
    sigma, independent of one another. `sound` (n,): measured, not guessed.

    `path` (m, 2) is the border roughly, node to node, and crosses no other path: what is left when
    nothing fitted will do. None stands for the places.

    A rim has OUTSIDE on one side, and its places don't matter: it may have none.
    """

    start: int
    end: int
    left: int
    right: int
    places: Floats
    errors: Floats
    sound: NDArray[np.bool_]
    path: Floats | None = None

    @property
    def ring(self) -> bool:
        """Whether it is closed and touches no other course."""
        return self.start == RING

    @property
    def rim(self) -> bool:
        """Whether it is a part of the outline."""
        return OUTSIDE in {self.left, self.right}


@dataclass(frozen=True, slots=True, eq=False)
class Network:
    """`nodes` (k, 2), mm, roughly; those at the ends of rims come to lie on the outline. Regions
    are loops of signed courses, as in Traced; `slack` is how far nodes may be wrong, mm.
    """

    nodes: Floats
    courses: tuple[Course, ...]
    regions: tuple[TracedRegion, ...]
    slack: float = 3.0
