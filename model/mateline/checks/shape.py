r"""Pieces that a cutter or the shop's air would spoil: no tack, a narrow place, a sharp tip, tiny.

Stands after hardware, which speaks of narrow places beside hardware; this check leaves them out.

Narrow is found by the offset method first and measured from the border after. A piece is sound
when, moved in by half the least width, it stays in one part with as many windows as before, and
no point of it is farther from that part than the point of the sharpest allowed tip is. Only
pieces that fail are looked at segment by segment (see necks), and only that gives the width.

    ____________        ______     moved in by half a width, the arm is lost: the depth of what
    |          |_______/           is lost tells a narrow arm or a needle from an honest corner
    |   body    _______  tip
    |__________|       \______
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.checks.findings import Finding
from mateline.checks.hardware import kept_areas, unpainted
from mateline.checks.places import area_size, size, spot
from mateline.stencil.necks import SAME, Neck, distinct, necks
from mateline.stencil.tacks import out_of_reach

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray
    from shapely import Polygon

    from mateline.checks.findings import Subject
    from mateline.curves import Point
    from mateline.stencil.board import Board
    from mateline.stencil.pieces import Piece, Stencil
    from mateline.tape.tolerance import Tape

    Areas = NDArray[np.object_]
    Floats = NDArray[np.float64]

CHORDS = 16  # facets of a quarter circle in offsets: they leave the arc by 0.12 % of its radius
DEEPER = 1.005  # no unit: a depth beyond this share of the allowed one is no fault of the facets


@dataclass(frozen=True, slots=True)
class Tip:
    """A corner of a piece: its angle inside the piece, radians, and where it is."""

    angle: float
    at: Point


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
        *_narrow(stencils, pieces, areas, tips, subject),
        *_sharp(pieces, tips, subject),
        *_tiny(pieces, areas, subject),
    )


def sharp_tips(areas: Areas, sharpest: float) -> dict[int, list[Tip]]:
    """Corners sharper than `sharpest` (radians) by position in `areas`, the sharpest first."""
    rings, ring_of = shapely.get_rings(shapely.orient_polygons(areas), return_index=True)
    points, point_of = shapely.get_coordinates(rings, return_index=True)
    last = np.append(np.flatnonzero(np.diff(point_of)), len(points) - 1)
    first = np.append(0, last[:-1] + 1)
    into = np.empty_like(points)
    into[1:] = points[1:] - points[:-1]
    into[first] = points[last] - points[last - 1]  # a ring ends where it starts
    out = np.roll(into, -1, axis=0)
    corners = np.ones(len(points), dtype=bool)
    corners[last] = False
    # The area is on the left of every ring, so a left turn by t leaves pi - t inside.
    cross = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]
    angle = math.pi - np.arctan2(cross, np.einsum("ij,ij->i", into, out))
    found: dict[int, list[Tip]] = {}
    for at in np.flatnonzero(corners & (angle < sharpest - 1e-9)).tolist():
        tip = Tip(float(angle[at]), (float(points[at, 0]), float(points[at, 1])))
        found.setdefault(int(ring_of[point_of[at]]), []).append(tip)
    return {at: sorted(tips, key=lambda tip: (tip.angle, tip.at)) for at, tips in found.items()}


def narrow_places(
    area: Polygon, least: float, sharpest: float, tips: Sequence[Tip] = ()
) -> tuple[Neck, ...]:
    """Where `area` is narrower than `least`: necks, and arms and wholes with no neck in them.

    For the latter the width is that of the widest place beyond the depth of an allowed tip; an
    arm that ends in one of `tips` is left out.
    """
    every = necks(area, least)
    core = shapely.buffer(area, SAME - least / 2, quad_segs=CHORDS)
    if core.is_empty:
        return distinct(every, area, least) or (_widest(area, area),)
    swept = shapely.buffer(core, least / 2 - SAME, quad_segs=CHORDS)
    lost = shapely.difference(area, swept)
    found = distinct(every, lost, least)
    slack = shapely.get_parts(lost)
    spans = shapely.multilinestrings([neck.ends for neck in found]) if found else None
    told = shapely.dwithin(slack, spans, SAME) if found else np.zeros(len(slack), dtype=bool)
    grown = shapely.buffer(core, _depth(least, sharpest) * DEEPER, quad_segs=CHORDS)
    ends = shapely.MultiPoint([tip.at for tip in tips])
    arms = []
    for part in shapely.get_parts(shapely.difference(area, grown)).tolist():
        if part.is_empty:  # what GEOS says where nothing is left
            continue
        known = (told & shapely.intersects(slack, part)).any()
        if not known and not shapely.dwithin(part, ends, SAME):
            arms.append(_widest(part, area))
    return (*found, *arms)


def _depth(least: float, sharpest: float) -> float:
    """How far the point of the sharpest allowed tip is from the area moved in by half `least`."""
    return least / 2 / math.sin(min(sharpest, math.pi) / 2)


def _widest(part: Polygon, area: Polygon) -> Neck:
    """The width of `area` at the middle of the largest circle in `part`."""
    middle = shapely.get_coordinates(shapely.maximum_inscribed_circle(part, tolerance=0.01))[0]
    line = shapely.get_coordinates(
        shapely.shortest_line(shapely.Point(middle), shapely.boundary(area))
    )
    reach = line[1] - middle
    first, last = middle - reach, middle + reach
    return Neck(
        2 * float(np.hypot(*reach)),
        ((float(first[0]), float(first[1])), (float(last[0]), float(last[1]))),
    )


def _suspects(areas: Areas, board: Board) -> list[int]:
    """Positions of the areas that the offset method does not find sound."""
    core = shapely.buffer(areas, SAME - board.least_width / 2, quad_segs=CHORDS)
    parts, part_of = shapely.get_parts(core, return_index=True)
    filled = ~shapely.is_empty(parts)
    count = np.bincount(part_of[filled], minlength=len(areas))
    windows = np.bincount(
        part_of[filled], shapely.get_num_interior_rings(parts[filled]), minlength=len(areas)
    )
    whole = (count == 1) & (windows == shapely.get_num_interior_rings(areas))
    reach = _depth(board.least_width, board.sharpest) * DEEPER
    grown = shapely.buffer(core[whole], reach)  # GEOS's own 8 chords are within what DEEPER allows
    shapely.prepare(grown)
    whole[whole] = shapely.covers(grown, areas[whole])
    return np.flatnonzero(~whole).tolist()


def _narrow(
    stencils: Sequence[Stencil],
    pieces: Sequence[Piece],
    areas: Areas,
    tips: dict[int, list[Tip]],
    subject: Subject,
) -> Iterator[Finding]:
    board, tape = subject.board, subject.tape
    edges = {stencil.face.name: _kept_edges(stencil) for stencil in stencils}
    for at in _suspects(areas, board):
        piece = pieces[at]
        found = narrow_places(piece.area, board.least_width, board.sharpest, tips.get(at, ()))
        for neck in found:
            ends = shapely.points(neck.ends)
            if shapely.dwithin(ends, edges[piece.face], 2 * SAME).any():
                continue  # told by the hardware check
            yield _narrow_finding(piece, neck, board, tape)


def _narrow_finding(piece: Piece, neck: Neck, board: Board, tape: Tape) -> Finding:
    return Finding(
        "piece-narrow",
        "warn",
        f"Piece {piece.id} ({piece.colour}) is only {size(neck.width, tape)} wide at "
        f"{spot(neck.at, tape)}; board narrower than {size(board.least_width, tape)} tears there "
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
            f"{spot(worst.at, tape)}. Tips sharper than {limit} curl and let spray under them.",
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
            f"Piece {piece.id} ({piece.colour}) at {spot(place, tape)} has an area of "
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
            f"Piece {piece.id} ({piece.colour}) at {spot(place, tape)} has no room for a tape "
            f"tack: even the smallest needs {long} by {wide} of board, clear of the piece's "
            "border and of open holes beneath. Nothing would hold the piece down.",
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
        f"{spot(at, tape)}, and a tack holds {size(board.reach, tape)}: the board flutters there.",
        "Widen the piece so that a tack fits nearer, or hold that end by a tab of tape.",
        face=piece.face,
        piece=piece.id,
        at=at,
    )


def _inside(area: Polygon) -> Point:
    point = area.point_on_surface()
    return float(point.x), float(point.y)
