"""Which faces of a carcase mirror each other about the cabinet's middle plane.

Beside place_words. The plane is upright and runs from front to back, halfway across the carcase. In
a carcase drawn in side view it parts the left end from the right one, and every other board lies
across it. In plan and front views it parts the outline, whose two halves must be alike but for the
tape and a cabinet's age: then each board has its opposite, and those across the plane are their
own. What is measured from an edge on one side is measured from the opposite board's edge on the
other.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.cabinet.carcase import ENDS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mateline.cabinet.carcase import Placed

ALIKE = 0.02  # no unit: how far corners may be from their opposites, by the outline's size


@dataclass(frozen=True, slots=True)
class MiddlePlane:
    """The plane X = `middle`, mm, and what lies opposite: panels and corners by their names.

    `of_sides` says that the carcase was drawn in side view, so that its ends face each other.
    """

    middle: float
    panels: Mapping[str, str]
    corners: Mapping[str, str]
    of_sides: bool

    def name(self, name: str) -> str:
        """The panel or corner opposite the one called `name`."""
        return self.panels.get(name) or self.corners.get(name) or name


def middle_plane(placed: Placed) -> MiddlePlane | None:
    """The middle plane of a carcase; None for an outline whose halves are not alike."""
    carcase = placed.carcase
    low, high = ENDS[carcase.view]
    own = {board.name: board.name for board in carcase.boards} | {low: low, high: high}
    if carcase.view == "side":
        middle = (placed.low + placed.high) / 2
        corners = {name: name for name in carcase.corners}
        return MiddlePlane(middle, own | {low: high, high: low}, corners, of_sides=True)
    reach = np.ptp(placed.corners, axis=0).max()
    middle = float(placed.corners[:, 0].min() + placed.corners[:, 0].max()) / 2
    mirrored = placed.corners * (-1, 1) + (2 * middle, 0)
    count = len(mirrored)
    apart, shift = min(
        (float(np.abs(placed.corners[(shift - np.arange(count)) % count] - mirrored).max()), shift)
        for shift in range(count)
    )
    if apart > ALIKE * reach:
        return None
    opposite = {
        name: carcase.corners[(shift - at) % count] for at, name in enumerate(carcase.corners)
    }
    bulges = {frozenset(side.ends): side.bulge for side in placed.mean}
    for ends, bulge in bulges.items():
        other = bulges.get(frozenset(opposite[corner] for corner in ends), 0.0)
        if abs(bulge - other) > ALIKE:
            return None
    by_edge = {frozenset(board.edge): board.name for board in carcase.boards if board.edge}
    panels = {
        name: by_edge.get(frozenset(opposite[corner] for corner in edge), name)
        for edge, name in by_edge.items()
    }
    return MiddlePlane(middle, own | panels, opposite, of_sides=False)
