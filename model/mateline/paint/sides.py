"""Turning the set over: one set of stencils for both sides, or a set for each.

Stands after days and turned_sets. The left face's set, turned over, paints the right face.

    one set     board of the left, and of what the right takes of its own; all of it is laid and
                taped twice, and the passes are gone through twice
    two sets    board of both; every pass does both sides at once

Taping counts each tack each time it is covered with tape: when its piece is laid, and when its
piece goes back. Sheets are a lower bound by area, since pieces are not nested here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.paint.days import last_day, rounds_of, steps_of
from mateline.paint.turned_sets import sets_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.checks.findings import Finding, MirrorPair
    from mateline.paint.passes import Pass
    from mateline.paint.shop import Shop
    from mateline.paint.turned_sets import Blocked, TurnedSet
    from mateline.stencil.board import Board
    from mateline.stencil.stencil import Stencil


@dataclass(frozen=True, slots=True)
class Way:
    """What one way of doing both sides takes. `board` in mm²; `days` are of the whole cabinet,
    with every pair done this way.

    `taped` counts tacks covered with tape, `retaped` those that had been covered before.
    `passes` are how often a colour is sprayed on this pair, both sides at once being one.
    """

    board: float
    sheets: int
    taped: int
    retaped: int
    passes: int
    days: int


@dataclass(frozen=True, slots=True)
class Sides:
    """One pair of faces, both ways, all other pairs being done the same way.

    `only_this_twice` are the days of the whole cabinet where this pair alone has a set for each
    side and every other set is turned over.
    """

    left: str
    right: str
    one_set: Way
    two_sets: Way
    only_this_twice: int
    turned: TurnedSet

    @property
    def blocked(self) -> tuple[Blocked, ...]:
        """The pieces of the left set that can't be turned over."""
        return self.turned.blocked


@dataclass(frozen=True, slots=True)
class Whole:
    """All pairs together: every set turned over, and a set for every side."""

    one_set: Way
    two_sets: Way


def sides_of(
    stencils: Sequence[Stencil],
    passes: Sequence[Pass],
    pairs: Sequence[MirrorPair],
    findings: Sequence[Finding],
    board: Board,
    shop: Shop,
) -> tuple[Sides, ...]:
    """Both ways for every pair that is meant to share one set. `passes` have each face's own ids.

    Whole plans are compared: one turned set keeps its second round in the plan, so that cutting
    another one twice saves no day.
    """
    sets = sets_of(stencils, pairs, findings)
    if not sets:
        return ()

    def days(turned: Sequence[TurnedSet]) -> int:
        names = [(each.left, each.right) for each in turned]
        return last_day(steps_of(passes, rounds_of(stencils, names), shop))

    faces = {stencil.face.name: stencil for stencil in stencils}
    every, none = days(sets), days(())
    found: list[Sides] = []
    for each in sets:
        left, right = faces[each.left], faces[each.right]
        others = [other for other in sets if other is not each]
        found.append(
            Sides(
                each.left,
                each.right,
                _one_set(left, _own(right, each), passes, board, every),
                _two_sets(left, right, passes, board, none),
                days(others) if others else none,
                each,
            )
        )
    return tuple(found)


def whole_of(sides: Sequence[Sides], stencils: Sequence[Stencil], board: Board) -> Whole | None:
    """What all pairs take together, either way; None where no set is turned over."""
    if not sides:
        return None
    names = {name for each in sides for name in (each.left, each.right)}
    here = [stencil for stencil in stencils if stencil.face.name in names]
    colours = len({colour for stencil in here for colour in _colours(stencil)})
    return Whole(
        _together([each.one_set for each in sides], 2 * colours, board),
        _together([each.two_sets for each in sides], colours, board),
    )


def _together(ways: Sequence[Way], passes: int, board: Board) -> Way:
    area = sum(way.board for way in ways)
    taped, again = sum(way.taped for way in ways), sum(way.retaped for way in ways)
    return Way(area, _sheets(area, board), taped, again, passes, ways[0].days)


def _own(right: Stencil, turned: TurnedSet) -> float:
    """mm² of the pieces that the right face takes of its own."""
    return sum(piece.size for piece in right.pieces if piece.id in turned.own)


def _one_set(left: Stencil, extra: float, passes: Sequence[Pass], board: Board, days: int) -> Way:
    tacks, back, colours = _tacks(left), _put_back(left, passes), len(_colours(left))
    area = _area(left) + extra
    return Way(area, _sheets(area, board), 2 * (tacks + back), tacks + 2 * back, 2 * colours, days)


def _two_sets(
    left: Stencil, right: Stencil, passes: Sequence[Pass], board: Board, days: int
) -> Way:
    tacks = _tacks(left) + _tacks(right)
    back = _put_back(left, passes) + _put_back(right, passes)
    area = _area(left) + _area(right)
    colours = len(_colours(left) | _colours(right))
    return Way(area, _sheets(area, board), tacks + back, back, colours, days)


def _area(stencil: Stencil) -> float:
    return sum(piece.size for piece in stencil.pieces)


def _tacks(stencil: Stencil) -> int:
    return sum(len(piece.tacks) for piece in stencil.pieces)


def _colours(stencil: Stencil) -> set[str]:
    return {piece.colour for piece in stencil.pieces} - {stencil.base}


def _put_back(stencil: Stencil, passes: Sequence[Pass]) -> int:
    """Tacks that are taped again because their pieces go back."""
    tacks = {piece.id: len(piece.tacks) for piece in stencil.pieces}
    return sum(
        tacks[piece]
        for each in passes
        for there in each.faces
        if there.face == stencil.face.name
        for piece in there.back
    )


def _sheets(area: float, board: Board) -> int:
    return math.ceil(area / (board.sheet[0] * board.sheet[1]) - 1e-9)
