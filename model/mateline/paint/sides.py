"""Turning the set over: one set of stencils for both sides, or a set for each.

Stands after days. The left face's set, turned over, paints the right face.

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

import numpy as np
import shapely
from shapely import Point, Polygon

from mateline.cabinet.hole import kept_area
from mateline.paint.days import last_day, rounds_of, steps_of
from mateline.products import mapped

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from mateline.checks.findings import Finding, MirrorPair
    from mateline.paint.passes import Pass
    from mateline.paint.shop import Shop
    from mateline.stencil.board import Board
    from mateline.stencil.pieces import Piece
    from mateline.stencil.stencil import Stencil

MIRROR = "mirror-"  # every code about the two sides begins with it
NEAR = 0.5  # mm: a piece this near to a hole is the piece that lies round it
SAME = 1e-6  # mm: two places that are one
SHARE = 0.05  # of a piece's area: less in common is no reason to cut it


@dataclass(frozen=True, slots=True)
class Way:
    """What one way of doing both sides takes. `board` in mm²; `days` are of the whole cabinet.

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
class Blocked:
    """A piece of the left set that can't be turned over as it is, and what to cut extra.

    `extra` are ids of pieces of the right face to cut from board of their own; `why` is the
    finding that says so.
    """

    piece: str
    extra: tuple[str, ...]
    why: Finding


@dataclass(frozen=True, slots=True)
class Sides:
    """One pair of faces, both ways."""

    left: str
    right: str
    one_set: Way
    two_sets: Way
    blocked: tuple[Blocked, ...]


def sides_of(
    stencils: Sequence[Stencil],
    passes: Sequence[Pass],
    pairs: Sequence[MirrorPair],
    findings: Sequence[Finding],
    board: Board,
    shop: Shop,
) -> tuple[Sides, ...]:
    """Both ways for every pair that is meant to share one set and has pieces to lift."""
    faces = {stencil.face.name: stencil for stencil in stencils}
    shared = [(pair.left, pair.right) for pair in pairs if pair.shared]
    found: list[Sides] = []
    for pair in pairs:
        names = (pair.left, pair.right)
        if not pair.shared or not _lifted(faces[pair.left]) or not _lifted(faces[pair.right]):
            continue
        others = [each for each in shared if each != names]
        days = [
            last_day(steps_of(passes, rounds_of(stencils, turned), shop))
            for turned in ([*others, names], others)
        ]
        left, right = faces[pair.left], faces[pair.right]
        blocked = tuple(_blocked(left, right, pair, findings))
        found.append(
            Sides(
                pair.left,
                pair.right,
                _one_set(left, _extra(right, blocked), passes, board, days[0]),
                _two_sets(left, right, passes, board, days[1]),
                blocked,
            )
        )
    return tuple(found)


def _lifted(stencil: Stencil) -> bool:
    return any(piece.colour != stencil.base for piece in stencil.pieces)


def _extra(right: Stencil, blocked: Sequence[Blocked]) -> float:
    """mm² of the pieces that the right face takes of its own."""
    ids = {name for each in blocked for name in each.extra}
    return sum(piece.size for piece in right.pieces if piece.id in ids)


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


def _blocked(
    left: Stencil, right: Stencil, pair: MirrorPair, findings: Sequence[Finding]
) -> Iterator[Blocked]:
    """Each piece of the left set that a mirror finding speaks of, once for each finding.

    A note is left out: it says that a place differs and that no piece suffers by it.
    """
    turned = {piece.id: _turned(piece.area, pair.matrix) for piece in left.pieces}
    here = {piece.id: piece for piece in left.pieces}
    for finding in findings:
        if not finding.code.startswith(MIRROR) or finding.level == "note":
            continue
        if finding.face not in {pair.left, pair.right} or finding.at is None:
            continue
        spot = _spot(finding, left, right, pair)
        named = finding.piece is not None and finding.piece in here
        ids = [finding.piece] if named and finding.piece else _at(turned, spot)
        for piece in ids:
            yield Blocked(piece, _instead(here[piece], turned[piece], spot, right), finding)


def _spot(finding: Finding, left: Stencil, right: Stencil, pair: MirrorPair) -> BaseGeometry:
    """What the finding is about, in the right face's frame: its hardware, or its point."""
    point = np.array([finding.at])
    if finding.face == pair.left:
        point = mapped(point, pair.matrix)
    areas = [kept_area(hole) for hole in right.face.holes if _is_at(point, hole.centre)]
    areas += [
        _turned(kept_area(hole), pair.matrix)
        for hole in left.face.holes
        if _is_at(point, mapped(np.array([hole.centre]), pair.matrix)[0])
    ]
    spot: BaseGeometry = shapely.union_all(areas) if areas else Point(point[0])
    return spot


def _at(turned: Mapping[str, Polygon], spot: BaseGeometry) -> list[str]:
    near = [name for name, area in turned.items() if area.distance(spot) <= NEAR]
    return near or [min(turned, key=lambda name: turned[name].distance(spot))]


def _instead(piece: Piece, turned: Polygon, spot: BaseGeometry, right: Stencil) -> tuple[str, ...]:
    """Pieces of the right face to cut in place of one that can't be turned over.

    Those of its colour that cover a share of it; where the right face has the colour nowhere
    there, whatever lies at the spot.
    """
    least = SHARE * turned.area
    mates = [
        each.id
        for each in right.pieces
        if each.colour == piece.colour
        and (
            (common := shapely.intersection(each.area, turned).area) > least
            or common > SHARE * each.area.area
        )
    ]
    return tuple(mates or _at({each.id: each.area for each in right.pieces}, spot))


def _is_at(point: NDArray[np.float64], centre: Sequence[float] | NDArray[np.float64]) -> bool:
    return bool(np.hypot(*(point[0] - centre)) <= SAME)


def _turned(area: Polygon, matrix: NDArray[np.float64]) -> Polygon:
    there: Polygon = shapely.transform(area, lambda points: mapped(points, matrix))
    return there
