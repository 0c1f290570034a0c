"""Twins: the piece of the right face that a piece of the left set is, once it is turned over.

Stands after pieces and label_placement. The right face is the left one reflected across the
cabinet's middle plane, so the back of a left piece is the front of its twin. It keeps its name
there: the board has one, on both of its sides.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.curves import moved
from mateline.placing.similarity import inverse
from mateline.products import mapped
from mateline.stencil.lettering.label_placement import (
    areas_of,
    label_box,
    label_strokes,
    labels_in,
    rooms_in,
)
from mateline.stencil.lettering.wording import wordings

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray
    from shapely import Polygon

    from mateline.curves import Chain
    from mateline.stencil.lettering.label_placement import Label
    from mateline.stencil.lettering.wording import Wording
    from mateline.stencil.pieces import Piece
    from mateline.stencil.stencil import Stencil

    Areas = NDArray[np.object_]
    Floats = NDArray[np.float64]

MOST = 0.5  # of a piece's area: its twin holds more than this
SAME = 1e-3  # mm: corners nearer than this are mirror images but for rounding


@dataclass(frozen=True, slots=True)
class TurnedOver:
    """How a set is turned over: `matrix` (2, 3), an isometry from the left face's frame to the
    right one's, and the twin of each left piece that has one, by the left piece's id.
    """

    matrix: Floats
    twins: Mapping[str, Piece]


def turned_over(left: Stencil, right: Stencil, matrix: Floats) -> TurnedOver:
    """The twins of the left stencil's pieces: of their colour, holding most of their area.

    A piece that no single right piece of its colour holds most of has no twin.
    """
    areas = _carried(areas_of(left.pieces), matrix)
    there = areas_of(right.pieces)
    here, over = shapely.STRtree(there).query(areas, predicate="intersects")
    # What two boxes share is no less than what the areas in them share.
    low, high = np.split(shapely.bounds(areas)[here], 2, axis=1)
    least, most = np.split(shapely.bounds(there)[over], 2, axis=1)
    sides = np.minimum(high, most) - np.maximum(low, least)
    able = sides.prod(axis=1) > MOST * shapely.area(areas)[here]
    able &= [
        left.pieces[i].colour == right.pieces[j].colour for i, j in zip(here, over, strict=True)
    ]
    here, over = here[able], over[able]
    held = _mostly(areas[here], there[over])
    # At most one holds more than half, as the right pieces do not overlap.
    twins = {
        left.pieces[here[at]].id: right.pieces[over[at]] for at in np.flatnonzero(held).tolist()
    }
    return TurnedOver(matrix, twins)


def _mostly(areas: Areas, there: Areas) -> NDArray[np.bool_]:
    """Which of `areas` lie with most of their area in the one of `there` beside them."""
    size = shapely.area(areas)
    same = shapely.equals_exact(areas, there, SAME, normalize=True)
    # Where no corner is off by more, the two share all but a strip along the border.
    held = same & (2 * SAME * shapely.length(areas) < (1 - MOST) * size)
    rest = ~held
    shared = shapely.area(shapely.intersection(areas[rest], there[rest]))
    held[rest] = shared > MOST * size[rest]
    return np.asarray(held, dtype=bool)


def back_labels(
    pieces: Sequence[Piece],
    turn: TurnedOver,
    clear: Sequence[Polygon],
    fronts: Sequence[Label | None],
) -> Iterator[Chain]:
    """The strokes of the labels on the backs of those of `pieces` that have a twin, as they lie
    seen from the front.

    They say the name that the front has, and the face that the back is out on. In the left face's
    frame, mirrored, so that they read right from behind. Beside the label of the front where there
    is room for letter and number, and behind it otherwise.
    """
    places = [at for at, piece in enumerate(pieces) if piece.id in turn.twins]
    here = [pieces[at] for at in places]
    texts = [wordings(piece, out=f"out on {turn.twins[piece.id].face}") for piece in here]
    fronts = [fronts[at] for at in places]
    # Without an arrow the piece is too small for two.
    boxes = {k: label_box(at) for k, at in enumerate(fronts) if at is not None and at.arrow}
    beside = [here[k] for k in boxes]
    rooms = rooms_in(beside, clear, dict(enumerate(boxes.values())))
    letters = [texts[k][:-1] for k in boxes]
    found = dict(zip(boxes, _labels_behind(beside, rooms, letters, turn.matrix), strict=True))
    rest = [k for k in range(len(here)) if found.get(k) is None]
    behind = [here[k] for k in rest]
    rooms = rooms_in(behind, clear)
    others = _labels_behind(behind, rooms, [texts[k] for k in rest], turn.matrix)
    found |= zip(rest, others, strict=True)
    back = inverse(turn.matrix)
    for k in range(len(here)):
        if (label := found[k]) is not None:
            yield from (moved(chain, back) for chain in label_strokes(label))


def _labels_behind(
    pieces: Sequence[Piece],
    rooms: Areas,
    texts: Sequence[Sequence[Sequence[Wording]]],
    matrix: Floats,
) -> list[Label | None]:
    """The labels in `rooms` of `pieces`, in the frame that `matrix` carries them to."""
    return labels_in(_carried(rooms, matrix), _carried(areas_of(pieces), matrix), texts)


def _carried(areas: Areas, matrix: Floats) -> Areas:
    there: Areas = shapely.transform(areas, lambda at: mapped(at, matrix))
    return there
