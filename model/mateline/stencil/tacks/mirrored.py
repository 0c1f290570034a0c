"""Tacks of one side used again on the other, where its pieces are the mirror image.

Stands after tape_tacks, before pieces. A set that is turned over has its tape at the mirrored
places, so the other side's own pieces take them too wherever they hold there; it also saves looking
for them again. What is taken over keeps every rule that `tacks_for` keeps.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.products import comparable, mapped, product
from mateline.stencil.tacks.tape_tacks import out_of_reach, patch

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon, Polygon

    from mateline.stencil.board import Board, Tack
    from mateline.stencil.pieces import Piece
    from mateline.stencil.sheets.joins import Grid

    Area = Polygon | MultiPolygon
    Array = NDArray[np.float64]

NEAR = 10.0  # mm: how far a twin's middle may be from the mirrored one
SEVERAL = 2  # tacks: a single one is found as fast as it is looked up


@dataclass(frozen=True, slots=True)
class OppositeSide:
    """The pieces and sheets of the opposite side, and the reflection (2, 3) from it to this one."""

    pieces: tuple[Piece, ...]
    matrix: Array
    grid: Grid


def mirrored_tacks(
    area: Polygon, colour: str, holes: Sequence[Area], board: Board, like: OppositeSide | None
) -> tuple[Tack, ...] | None:
    """The twin's tacks, reflected, where they hold `area` as its own would; else None."""
    twin = None if like is None else _twin(area, colour, like)
    if like is None or twin is None:
        return None
    tacks = tuple(_reflected(tack, like.matrix) for tack in twin.tacks)
    tapes = [patch(tack, board) for tack in tacks]
    if not shapely.contains_properly(area, tapes).all():
        return None
    if holes and shapely.intersects(shapely.union_all(list(holes)), tapes).any():
        return None
    return tacks if out_of_reach(area, tacks, board.reach) is None else None


def _twin(area: Polygon, colour: str, like: OppositeSide) -> Piece | None:
    there = [
        piece for piece in like.pieces if piece.colour == colour and len(piece.tacks) >= SEVERAL
    ]
    if not there:
        return None
    middles = shapely.get_coordinates(shapely.centroid([piece.area for piece in there]))
    moved = mapped(middles, like.matrix)
    apart = np.hypot(*(moved - shapely.get_coordinates(area.centroid)).T)
    nearest = int(np.argmin(comparable(apart)))
    return there[nearest] if apart[nearest] <= NEAR else None


def _reflected(tack: Tack, matrix: Array) -> Tack:
    x, y = product(matrix[:, :2], tack.centre) + matrix[:, 2]
    along = product(matrix[:, :2], (math.cos(tack.turn), math.sin(tack.turn)))
    return replace(tack, centre=(float(x), float(y)), turn=math.atan2(along[1], along[0]))
