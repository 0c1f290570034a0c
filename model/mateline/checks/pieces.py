r"""Pieces that a cutter or the shop's air would spoil: no tack, a narrow place, a sharp tip, tiny.

Stands after hardware, which speaks of narrow places beside hardware; this check leaves them out.

What is narrow or sharp is found in stencil (see narrow_places), before the tacks, which keep off
it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.checks.findings import Finding
from mateline.checks.hardware import kept_areas, unpainted
from mateline.checks.places import area_size, face_of, size, spot
from mateline.stencil.narrow_places import sharp_tips
from mateline.stencil.necks import SAME
from mateline.stencil.tacks.tape_tacks import out_of_reach

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray
    from shapely import Polygon

    from mateline.checks.findings import Subject
    from mateline.curves import Point
    from mateline.stencil.narrow_places import Tip
    from mateline.stencil.necks import Neck
    from mateline.stencil.pieces import Piece
    from mateline.stencil.stencil import Stencil

    Areas = NDArray[np.object_]
    Floats = NDArray[np.float64]


def check(subject: Subject) -> tuple[Finding, ...]:
    """Every piece of every face that is painted."""
    stencils = [stencil for stencil in subject.stencils if not unpainted(stencil)]
    pieces = [piece for stencil in stencils for piece in stencil.pieces]
    if not pieces:
        return ()
    areas = np.array([piece.area for piece in pieces], dtype=object)
    tips = sharp_tips(areas, subject.board.sharpest)
    return (
        *_unheld(pieces, subject),
        *_narrow(stencils, pieces, subject),
        *_sharp(pieces, tips, subject),
        *_tiny(pieces, areas, subject),
    )


def _narrow(
    stencils: Sequence[Stencil],
    pieces: Sequence[Piece],
    subject: Subject,
) -> Iterator[Finding]:
    edges = {stencil.face.name: _kept_edges(stencil) for stencil in stencils}
    for piece in pieces:
        for neck in piece.necks:
            ends = shapely.points(neck.ends)
            if shapely.dwithin(ends, edges[piece.face], 2 * SAME).any():
                continue  # told by the hardware check
            yield _narrow_finding(piece, neck, subject)


def _narrow_finding(piece: Piece, neck: Neck, subject: Subject) -> Finding:
    board, tape = subject.board, subject.tape
    return Finding(
        "piece-narrow",
        "warn",
        f"Piece {piece.id} ({piece.colour}) is only {size(neck.width, tape)} wide at "
        f"{spot(neck.at, tape, face_of(piece.face, subject.stencils))}; "
        f"board narrower than {size(board.least_width, tape)} tears there "
        "when it is cut or lifted.",
        f"Widen it by {size(board.least_width - neck.width, tape)}, end the piece there, or give "
        "the narrow part to a neighbouring colour.",
        face=piece.face,
        piece=piece.id,
        at=neck.at,
    )


def _kept_edges(stencil: Stencil) -> shapely.Geometry:
    holes = [hole for hole in stencil.face.holes if hole.stays]
    return shapely.union_all(shapely.boundary(kept_areas(holes)))


def _sharp(
    pieces: Sequence[Piece], tips: dict[int, list[Tip]], subject: Subject
) -> Iterator[Finding]:
    board, tape = subject.board, subject.tape
    limit = f"{math.degrees(board.sharpest):.0f}°"
    blunt = size(board.least_width, tape)
    for at, found in tips.items():
        piece, worst = pieces[at], found[0]
        angle = f"{math.degrees(worst.angle):.1f}°"
        many = f" the sharpest of {len(found)} tips under {limit}," if len(found) > 1 else ""
        yield Finding(
            "tip-sharp",
            "warn",
            f"Piece {piece.id} ({piece.colour}) has a tip of {angle},{many} at "
            f"{spot(worst.at, tape, face_of(piece.face, subject.stencils))}. "
            f"Tips sharper than {limit} curl and let spray under them.",
            f"Open the angle to at least {limit}, or cut the tip off where it is {blunt} wide.",
            face=piece.face,
            piece=piece.id,
            at=worst.at,
        )


def _tiny(pieces: Sequence[Piece], areas: Areas, subject: Subject) -> Iterator[Finding]:
    board, tape = subject.board, subject.tape
    for at in np.flatnonzero(shapely.area(areas) < board.least_area * (1 - 1e-9)).tolist():
        piece = pieces[at]
        place = _inside(piece.area)
        yield Finding(
            "piece-tiny",
            "warn",
            f"Piece {piece.id} ({piece.colour}) at "
            f"{spot(place, tape, face_of(piece.face, subject.stencils))} has an area of "
            f"{area_size(piece.area.area, tape)}; less than {area_size(board.least_area, tape)} "
            "is lost on the floor or blown off by the spray.",
            "Enlarge it, or give it to a neighbouring colour and paint it by hand afterwards.",
            face=piece.face,
            piece=piece.id,
            at=place,
        )


def _unheld(pieces: Sequence[Piece], subject: Subject) -> Iterator[Finding]:
    board, tape = subject.board, subject.tape
    smallest = board.punches[-1]
    long, wide = (
        size(side + 2 * board.tape_margin, tape) for side in (smallest.length, smallest.width)
    )
    held = _held_by_one(pieces, board.reach)
    for piece in pieces:
        if piece.id in held:
            continue
        if piece.tacks:
            far = out_of_reach(piece.area, piece.tacks, board.reach)
            if far is not None:
                yield _far_finding(piece, *far, subject)
            continue
        place = _inside(piece.area)
        yield Finding(
            "piece-without-tack",
            "stop",
            f"Piece {piece.id} ({piece.colour}) at "
            f"{spot(place, tape, face_of(piece.face, subject.stencils))} has no room for a tape "
            f"tack: even the smallest needs {long} by {wide} of board, clear of the piece's "
            "border and narrow places, of folds, of tape over joins and of open holes beneath, on "
            "both sides where the set is turned over. Nothing would hold the piece down.",
            "Join it with the neighbour that is painted last, widen it, plug the open hole under "
            "it, or hold it by a tab of tape over its edge and touch up by hand.",
            face=piece.face,
            piece=piece.id,
            at=place,
        )


def _held_by_one(pieces: Sequence[Piece], reach: float) -> set[str]:
    """Ids of pieces whose only tack reaches every corner, and so every point."""
    single = [piece for piece in pieces if len(piece.tacks) == 1]
    if not single:
        return set()
    corners, of = shapely.get_coordinates([piece.area for piece in single], return_index=True)
    centres = np.array([piece.tacks[0].centre for piece in single])
    lost = np.unique(of[np.hypot(*(corners - centres[of]).T) > reach])
    return {piece.id for piece in single} - {single[at].id for at in lost.tolist()}


def _far_finding(piece: Piece, at: Point, gap: float, subject: Subject) -> Finding:
    board, tape = subject.board, subject.tape
    return Finding(
        "tack-out-of-reach",
        "warn",
        f"Piece {piece.id} ({piece.colour}) is {size(gap, tape)} from its nearest tack at "
        f"{spot(at, tape, face_of(piece.face, subject.stencils))}, "
        f"and a tack holds {size(board.reach, tape)}: the board flutters there.",
        "Widen the piece so that a tack fits nearer, or hold that end by a tab of tape.",
        face=piece.face,
        piece=piece.id,
        at=at,
    )


def _inside(area: Polygon) -> Point:
    point = area.point_on_surface()
    return float(point.x), float(point.y)
