"""Sets that are turned over: what of the left face's board lies on the right one, by which name.

Stands after passes, before sides. A piece of board has one name, the one that is printed on it: it
keeps it where it is laid on the right face, on its back. Papers about the right face say that name.

    blocked    a piece of the left set that can't be turned over, as a mirror finding says
    on board   the left piece that lies where a piece of the right face is, by the right one's id
    own        pieces of the right face that no left piece does for: board of their own is cut
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Point, Polygon

from mateline.cabinet.hole import kept_area
from mateline.products import mapped
from mateline.stencil.turned_over import turned_over

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from mateline.checks.findings import Finding, MirrorPair
    from mateline.paint.passes import FacePass, Pass
    from mateline.stencil.pieces import Piece
    from mateline.stencil.stencil import Stencil
    from mateline.stencil.turned_over import TurnedOver

MIRROR = "mirror-"  # every code about the two sides begins with it
NEAR = 0.5  # mm: a piece this near to a hole is the piece that lies round it
SAME = 1e-6  # mm: two places that are one
_ID = re.compile(r"[\w-]+ [A-Z]\d+\b")  # of a piece: its face, a letter, a number
FIT = 6.0  # mm: thickest place where a piece and its twin may differ; sides differ by their tape
SHARE = 0.05  # of a piece's area: less in common is no reason to cut it


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
class TurnedSet:
    """The left face's set on the right face. `turn` has the twins of the pieces that are used.

    `on_board` takes the id of a piece of the right face to that of the left piece that lies there;
    `own` are the ids of all its other pieces, `unused` those of the left set that stay off.
    """

    left: str
    right: str
    turn: TurnedOver
    on_board: Mapping[str, str]
    own: tuple[str, ...]
    unused: tuple[str, ...]
    blocked: tuple[Blocked, ...]


def sets_of(
    stencils: Sequence[Stencil], pairs: Sequence[MirrorPair], findings: Sequence[Finding]
) -> tuple[TurnedSet, ...]:
    """The sets that are meant to do both sides, where both sides have pieces to lift."""
    faces = {stencil.face.name: stencil for stencil in stencils if stencil.has_board}
    return tuple(
        _set(faces[pair.left], faces[pair.right], pair, findings)
        for pair in pairs
        if pair.shared and {pair.left, pair.right} <= faces.keys()
    )


def _set(left: Stencil, right: Stencil, pair: MirrorPair, findings: Sequence[Finding]) -> TurnedSet:
    turn = turned_over(left, right, pair.matrix)
    blocked = tuple(_blocked(left, right, pair, findings))
    stays_off = {each.piece for each in blocked}
    extra = {name for each in blocked for name in each.extra}
    count = Counter(twin.id for twin in turn.twins.values())
    twins = {
        name: twin
        for name, twin in turn.twins.items()
        # Two left pieces where the right face has one lie there as no single name says.
        if name not in stays_off and twin.id not in extra and count[twin.id] == 1
    }
    # Of letters that read one way the turned one covers most of the other, and is no letter.
    misfits = _misfits(left, twins, pair.matrix)
    twins = {name: twin for name, twin in twins.items() if name not in misfits}
    on_board = {twin.id: name for name, twin in twins.items()}
    return TurnedSet(
        pair.left,
        pair.right,
        replace(turn, twins=twins),
        on_board,
        tuple(piece.id for piece in right.pieces if piece.id not in on_board),
        tuple(piece.id for piece in left.pieces if piece.id not in twins),
        blocked,
    )


def _misfits(
    left: Stencil, twins: Mapping[str, Piece], matrix: NDArray[np.float64]
) -> frozenset[str]:
    """Pieces of the left set that, turned over, are somewhere farther off their twins' borders
    than `FIT`.
    """
    pieces = [piece for piece in left.pieces if piece.id in twins]
    if not pieces:
        return frozenset()
    areas = _turned_each([piece.area for piece in pieces], matrix)
    there = np.array([twins[piece.id].area for piece in pieces], dtype=object)
    unlike = np.flatnonzero(~shapely.equals_exact(areas, there, NEAR, normalize=True))
    off = shapely.symmetric_difference(areas[unlike], there[unlike])
    thick = ~shapely.is_empty(shapely.buffer(off, -FIT / 2, quad_segs=2))
    return frozenset(pieces[at].id for at in unlike[thick].tolist())


def as_laid(stencil: Stencil, turned: TurnedSet) -> Stencil:
    """The right face's stencil with the names of the board that lies there, for drawings.

    Pieces that lie there on board of their own keep their ids and are marked as `own`.
    """
    pieces = tuple(_laid(piece, turned.on_board.get(piece.id)) for piece in stencil.pieces)
    return replace(stencil, pieces=pieces)


def _laid(piece: Piece, name: str | None) -> Piece:
    if name is None:
        return replace(piece, own=True)
    number = int(name.rsplit(" ", 1)[1].removeprefix(piece.letter))
    return replace(piece, id=name, number=number)


def renamed(finding: Finding, names: Mapping[str, str]) -> Finding:
    """The finding with the names of the board in place of those that `names` takes to them."""
    if not names:
        return finding
    message = in_words(finding.message, names)
    piece = None if finding.piece is None else names.get(finding.piece, finding.piece)
    inner = tuple(renamed(each, names) for each in finding.consequences)
    return replace(finding, piece=piece, message=message, consequences=inner)


def in_words(text: str, names: Mapping[str, str]) -> str:
    """A text with the names of the board in place of those that `names` takes to them."""
    return _ID.sub(lambda found: names.get(found[0], found[0]), text)


def on_board(sets: Sequence[TurnedSet]) -> dict[str, str]:
    """The name on the board for each piece of a right face that another face's board does for."""
    return {own: name for each in sets for own, name in each.on_board.items()}


def as_on_board(passes: Sequence[Pass], sets: Sequence[TurnedSet]) -> tuple[Pass, ...]:
    """The passes with the names that are on the board, on the right faces too."""
    names = {each.right: each.on_board for each in sets}
    return tuple(
        replace(each, faces=tuple(_named(there, names.get(there.face, {})) for there in each.faces))
        for each in passes
    )


def _named(there: FacePass, names: Mapping[str, str]) -> FacePass:
    if not names:
        return there
    off, stays, back = (_in_order(ids, names) for ids in (there.off, there.stays, there.back))
    return replace(there, off=off, stays=stays, back=back, turned=True)


def _in_order(ids: Sequence[str], names: Mapping[str, str]) -> tuple[str, ...]:
    """The board's names by letter and number, as on the left face; then those cut extra."""
    board = sorted((names[piece] for piece in ids if piece in names), key=_letter_and_number)
    return (*board, *(piece for piece in ids if piece not in names))


def _letter_and_number(piece: str) -> tuple[str, int]:
    name = piece.rsplit(" ", 1)[1]
    return name[0], int(name[1:])


def _blocked(
    left: Stencil, right: Stencil, pair: MirrorPair, findings: Sequence[Finding]
) -> Iterator[Blocked]:
    """Each piece of the left set that a mirror finding speaks of, once for each finding.

    A note is left out: it says that a place differs and that no piece suffers by it.
    """
    ours = [
        finding
        for finding in findings
        if finding.code.startswith(MIRROR)
        and finding.level != "note"
        and finding.face in {pair.left, pair.right}
        and finding.at is not None
    ]
    if not ours:
        return
    turned = {piece.id: _turned(piece.area, pair.matrix) for piece in left.pieces}
    here = {piece.id: piece for piece in left.pieces}
    for finding in ours:
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


def _turned_each(areas: Sequence[Polygon], matrix: NDArray[np.float64]) -> NDArray[np.object_]:
    there: NDArray[np.object_] = shapely.transform(
        np.array(areas, dtype=object), lambda points: mapped(points, matrix)
    )
    return there
