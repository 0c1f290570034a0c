"""Which pieces of a face lie against each other, and against which of its sides.

Stands after sides. Neighbours share borders of one pattern; corners that only meet don't touch.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.pattern.dissolve import OUTSIDE
from mateline.stencil.cutting.cut_path import trims
from mateline.stencil.laying.sides import side_at

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mateline.stencil.laying.sides import Side
    from mateline.stencil.stencil import Stencil

LEAST = 0.5  # mm of shared border: what is less holds nothing in place


@dataclass(frozen=True, slots=True)
class Touching:
    """By the place of each piece: the length of border that it shares with others, and with sides
    of the face, mm.
    """

    pieces: tuple[Mapping[int, float], ...]
    sides: tuple[Mapping[int, float], ...]


def touching(stencil: Stencil, sides: Sequence[Side]) -> Touching:
    """What touches what. The rim of hardware that stays on is no side."""
    place = {piece.region: at for at, piece in enumerate(stencil.pieces)}
    beside: list[dict[int, float]] = [defaultdict(float) for _ in stencil.pieces]
    along: list[dict[int, float]] = [defaultdict(float) for _ in stencil.pieces]
    rim = {border if border >= 0 else ~border for loop in trims(stencil.pattern) for border in loop}
    for index, border in enumerate(stencil.pattern.borders):
        steps = np.diff(border.points, axis=0)
        lengths = np.hypot(steps[:, 0], steps[:, 1])
        if OUTSIDE not in (border.left, border.right):
            one, other = place[border.left], place[border.right]
            if one != other:
                total = float(lengths.sum())
                beside[one][other] += total
                beside[other][one] += total
        elif index in rim:
            inner = place[border.left if border.right == OUTSIDE else border.right]
            middles = border.points[:-1] + steps / 2
            nearest = side_at(stencil.face, sides, middles)
            for side, long in zip(nearest, lengths.tolist(), strict=True):
                along[inner][side] += long
    return Touching(_real(beside), _real(along))


def _real(found: Sequence[Mapping[int, float]]) -> tuple[Mapping[int, float], ...]:
    return tuple({key: here[key] for key in sorted(here) if here[key] >= LEAST} for here in found)
