"""Twins: the piece of the right face that a piece of the left set is, once it is turned over.

Stands after pieces and labels. The right face is the left one reflected across the cabinet's
middle plane, so the back of a left piece is the front of its twin.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

import numpy as np
import shapely
from shapely import Polygon

from mateline.curves import moved
from mateline.stencil.labels import label_box, label_in, label_strokes, room_in, wordings

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon

    from mateline.curves import Chain
    from mateline.stencil.labels import Label
    from mateline.stencil.pieces import Piece, Stencil

    Floats = NDArray[np.float64]

Area = TypeVar("Area", Polygon, "Polygon | MultiPolygon")

MOST = 0.5  # of a piece's area: its twin holds more than this


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
    areas = [_carried(piece.area, matrix) for piece in left.pieces]
    there = np.array([piece.area for piece in right.pieces], dtype=object)
    here, over = shapely.STRtree(there).query(areas, predicate="intersects")
    same = [
        left.pieces[i].colour == right.pieces[j].colour for i, j in zip(here, over, strict=True)
    ]
    here, over = here[same], over[same]
    shared = shapely.area(shapely.intersection(np.array(areas, dtype=object)[here], there[over]))
    most = np.flatnonzero(shared > MOST * shapely.area(areas)[here])
    # At most one holds more than half, as the right pieces do not overlap.
    twins = {left.pieces[here[at]].id: right.pieces[over[at]] for at in most.tolist()}
    return TurnedOver(matrix, twins)


def back_label(
    piece: Piece, turn: TurnedOver, clear: Sequence[Polygon], front: Label | None
) -> Iterator[Chain]:
    """The strokes of the twin's label on the back of `piece`, as they lie seen from the front.

    In the left face's frame, mirrored, so that they read right from behind. Beside the label of
    the front where there is room for the twin's letter and number, and behind it otherwise.
    """
    twin = turn.twins.get(piece.id)
    if twin is None:
        return
    area = _carried(piece.area, turn.matrix)
    texts = wordings(twin, turned_over=True)
    label = None
    if front is not None and front.arrow:  # else the piece is too small for two
        beside = room_in(piece, (*clear, label_box(front)))
        label = label_in(_carried(beside, turn.matrix), area, texts[:-1])
    label = label or label_in(_carried(room_in(piece, clear), turn.matrix), area, texts)
    if label is not None:
        inverse = _inverse(turn.matrix)
        yield from (moved(chain, inverse) for chain in label_strokes(label))


def _carried(area: Area, matrix: Floats) -> Area:
    there: Area = shapely.transform(area, lambda at: at @ matrix[:, :2].T + matrix[:, 2])
    return there


def _inverse(matrix: Floats) -> Floats:
    linear = np.linalg.inv(matrix[:, :2])
    return np.column_stack([linear, -linear @ matrix[:, 2]])
