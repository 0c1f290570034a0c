r"""Left against right: hardware, outlines and lettering, and a stencil that is turned over.

Stands after hardware. The left face is reflected onto the right one across the cabinet's middle
plane; hardware is matched by kind and place with the least total distance over all pairings, so
that a row of bolts moved together does not shift by one.

Levels: a difference warns where the hardware stays on either side, and is a note where it is
removed on both, since an open hole spoils no piece by being elsewhere (what it does to a border
or a tack has findings of its own). Outlines and lettering warn. A piece that the other side's
hardware would break stops, and only pairs that share one stencil are asked for it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

from mateline.checks.findings import Finding
from mateline.checks.hardware import SLIVER, cut, kept_areas, piece_at, unpainted
from mateline.checks.places import face_of, listed, size, spot
from mateline.placing.similarity import inverse
from mateline.planar.farthest import farthest
from mateline.products import comparable, mapped, product

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face
    from mateline.cabinet.hole import Hole
    from mateline.checks.findings import LetterRow, Level, MirrorPair, Subject
    from mateline.curves import Point
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline

    Floats = NDArray[np.float64]

CHI_SQUARE = 5.991  # 95 % point of chi-square with 2 degrees of freedom: -2 ln 0.05
TWINS = 75.0  # mm: holes farther apart than this are two different holes, not one moved
OTHER_KIND = 50.0  # mm: what a pairing of two kinds costs beside its distance
STEADY = 0.05  # mm: the least deviation of a centre, as nothing is drilled better
SAME_SIZE = 0.05  # mm: sizes that differ by less are equal
SAME_TURN = math.radians(1.0)  # turns that differ by less are equal
NAMED = 6  # elements named in one message
OUTLINE_STEP = 1.0  # mm: outlines that differ by less are equal however well they were measured
GAP_STEP = 1e-6  # mm: how far the largest difference of two outlines may be from the true one


def check(subject: Subject) -> tuple[Finding, ...]:
    """Every pair of faces, and every lettering."""
    stencils = {stencil.face.name: stencil for stencil in subject.stencils}
    found: list[Finding] = []
    for pair in subject.pairs:
        left, right = stencils[pair.left], stencils[pair.right]
        found += _hardware(left, right, pair, subject.tape)
        if not pair.by_hardware:
            found += _outlines(left, right, pair, subject)
        if pair.shared and not unpainted(left):
            found += _broken(left, right, pair, subject.tape)
    return tuple(found)


def lettering(subject: Subject) -> tuple[Finding, ...]:
    """Lettering that was placed mirrored, and what looks like it."""
    return (*_backwards(subject), *_unmarked(subject))


def reflected(points: Floats, matrix: Floats) -> Floats:
    """`points` (n, 2) in the left face's frame, in the right one's. `matrix` (2, 3)."""
    return mapped(points, matrix)


def twins(left: Sequence[Hole], right: Sequence[Hole], matrix: Floats) -> list[tuple[int, int]]:
    """Pairs of positions (left, right) of holes that are each other's mirror image.

    The pairing with the least total cost of all; a hole may stay alone at the cost of half of
    `TWINS`. Names do not count.
    """
    if not left or not right:
        return []
    here = reflected(np.array([hole.centre for hole in left]), matrix)
    there = np.array([hole.centre for hole in right])
    cost = np.hypot(*np.moveaxis(here[:, None] - there, -1, 0))
    kinds = np.array([hole.kind for hole in left])[:, None] != [hole.kind for hole in right]
    cost = cost + OTHER_KIND * kinds
    found = _nearest(cost)
    return _assigned(cost) if found is None else found


def _nearest(cost: Floats) -> list[tuple[int, int]] | None:
    """The pairs where each left hole has its own nearest right one; None where two want the same.

    No pairing costs less than one in which every hole has the partner that it would choose.
    """
    able = np.where(cost < TWINS, cost, np.inf)
    near = np.sort(np.column_stack([able, np.full(len(able), np.inf)]), axis=1)
    rows = np.flatnonzero(near[:, 0] < np.inf)
    columns = able[rows].argmin(axis=1)
    torn = near[rows, 1] - near[rows, 0] < STEADY
    if torn.any() or len(np.unique(columns)) < len(columns):
        return None
    return [(int(i), int(j)) for i, j in zip(rows, columns, strict=True)]


def _assigned(cost: Floats) -> list[tuple[int, int]]:
    """The pairs of the least total cost."""
    from scipy.optimize import linear_sum_assignment  # noqa: PLC0415  slow to import, seldom needed

    # A row and a column for each hole that stays alone make any number of pairs a full matching.
    here, there = cost.shape
    full = np.full((here + there,) * 2, TWINS / 2)
    full[:here, :there] = np.where(cost < TWINS, cost, 1e6 * TWINS)
    full[here:, there:] = 0.0
    rows, columns = linear_sum_assignment(full)
    return [(int(i), int(j)) for i, j in zip(rows, columns, strict=True) if i < here and j < there]


def _hardware(left: Stencil, right: Stencil, pair: MirrorPair, tape: Tape) -> Iterator[Finding]:
    here, there = left.face.holes, right.face.holes
    pairs = twins(here, there, pair.matrix)
    for i in sorted(set(range(len(here))) - {i for i, _ in pairs}):
        yield _missing(here[i], (left.face, right.face), pair, tape)
    for j in sorted(set(range(len(there))) - {j for _, j in pairs}):
        yield _extra(there[j], right.face, pair, tape)
    for i, j in pairs:
        yield from _moved((here[i], there[j]), right.face, pair, tape)
        yield from _resized((here[i], there[j]), right.face, pair, tape)


def _level(*holes: Hole) -> Level:
    return "warn" if any(hole.stays for hole in holes) else "note"


def _missing(hole: Hole, faces: tuple[Face, Face], pair: MirrorPair, tape: Tape) -> Finding:
    left, right = faces
    at = _carried(hole.centre, pair.matrix)
    return Finding(
        "mirror-missing",
        _level(hole),
        f"{pair.left} has “{hole.name}” at {spot(hole.centre, tape, left, hole)}; {pair.right} "
        "has nothing at its mirror place, "
        f"{spot(at, tape, right)}. A stencil turned over leaves a bare patch there.",
        f"Look whether {pair.right} really lacks it; if so, cut this region of the right side on "
        "its own, or plug the hole in the stencil with tape.",
        face=pair.right,
        hardware=hole.name,
        at=at,
    )


def _extra(hole: Hole, face: Face, pair: MirrorPair, tape: Tape) -> Finding:
    return Finding(
        "mirror-extra",
        _level(hole),
        f"{pair.right} has “{hole.name}” at {spot(hole.centre, tape, face, hole)}; {pair.left} has "
        "nothing at its mirror place. A stencil made for the left side does not lie flat over it.",
        f"Look whether {pair.left} really lacks it; if so, cut the hole into the right side's "
        "board only, or remove the hardware while painting.",
        face=pair.right,
        hardware=hole.name,
        at=hole.centre,
    )


def _moved(holes: tuple[Hole, Hole], face: Face, pair: MirrorPair, tape: Tape) -> Iterator[Finding]:
    left, right = holes
    step = np.array(right.centre) - reflected(np.array([left.centre]), pair.matrix)[0]
    squares = product(pair.matrix[:, :2] ** 2, np.square(left.deviation)) + np.square(
        right.deviation
    )
    squares = np.maximum(squares, STEADY**2)
    if np.sum(step**2 / squares) <= CHI_SQUARE:
        return
    sure = math.sqrt(CHI_SQUARE * float(squares.max()))
    yield Finding(
        "mirror-moved",
        _level(left, right),
        f"“{right.name}” on {pair.right} sits {shift_words(step, tape)} of where “{left.name}” on "
        f"{pair.left} says; the tape explains up to {size(sure, tape)}. Its place is "
        f"{spot(right.centre, tape, face, right)}.",
        "Measure both again; if they do differ, cut the hole for each side at its own place, or "
        f"give it {size(float(np.hypot(*step)), tape)} more margin, so that one does for both.",
        face=pair.right,
        hardware=right.name,
        at=right.centre,
    )


def shift_words(step: Floats, tape: Tape) -> str:
    """`5 mm to the right and 2 mm above`, without a part too small to print."""
    across, up = step.tolist()
    words = [
        f"{size(abs(part), tape)} {way}"
        for part, way in (
            (across, "to the right" if across > 0 else "to the left"),
            (up, "above" if up > 0 else "below"),
        )
        if abs(part) >= STEADY
    ]
    return " and ".join(words)


def _resized(
    holes: tuple[Hole, Hole], face: Face, pair: MirrorPair, tape: Tape
) -> Iterator[Finding]:
    left, right = holes
    mirrored = _turn(left, pair.matrix)
    told = []
    if left.kind != right.kind:
        told.append(f"is {right.kind}, not {left.kind}")
    for word in ("length", "width", "corner", "head"):
        here, there = getattr(left, word), getattr(right, word)
        if abs(here - there) > SAME_SIZE and not (word == "length" and _is_round(left, right)):
            noun = "diameter" if word == "width" and _is_round(left, right) else word
            told.append(f"has a {noun} of {size(there, tape)}, not {size(here, tape)}")
    if not _is_round(left, right) and not told and _turned(mirrored, right):
        told.append("is turned another way")
    if not told:
        return
    yield Finding(
        "mirror-size",
        _level(left, right),
        f"“{right.name}” on {pair.right}, at "
        f"{spot(right.centre, tape, face, right)}, {', '.join(told)} as "
        f"“{left.name}” on {pair.left} is. One of the two stencils would be cut for a wrong size.",
        "Measure both again; if they do differ, cut the stencil for the larger one on both sides.",
        face=pair.right,
        hardware=right.name,
        at=right.centre,
    )


def _is_round(left: Hole, right: Hole) -> bool:
    return {left.kind, right.kind} <= {"round", "countersunk"}


def _turn(hole: Hole, matrix: Floats) -> float:
    x, y = product(matrix[:, :2], (math.cos(hole.turn), math.sin(hole.turn)))
    return math.atan2(y, x)


def _turned(turn: float, hole: Hole) -> bool:
    """Whether `hole` looks different at `turn`: half a turn never shows, a quarter on a square."""
    period = math.pi / 2 if abs(hole.length - hole.width) <= SAME_SIZE else math.pi
    off = (turn - hole.turn) % period
    return min(off, period - off) > SAME_TURN


def _outlines(
    left: Stencil, right: Stencil, pair: MirrorPair, subject: Subject
) -> Iterator[Finding]:
    mirrored = shapely.transform(left.face.outline, lambda points: reflected(points, pair.matrix))
    outlines = _both_open(left, right, mirrored, pair)
    if outlines is None:  # nothing of one is open on the other
        return
    at, gap = _largest_gap(*outlines)
    limit = max(OUTLINE_STEP, outline_doubt(left, right, subject.outlines))
    if gap <= limit:
        return
    tape = subject.tape
    yield Finding(
        "mirror-outline",
        "warn",
        f"The outline of {pair.right} differs from the mirrored {pair.left} by up to "
        f"{size(gap, tape)}, at "
        f"{spot(at, tape, right.face)}; the tape explains {size(limit, tape)}. A stencil "
        "turned over would stand off the edge there or leave it bare.",
        "Measure both sides again; if they do differ, lay the art on each side by its own edges "
        "and let it run past them, or trim the turned stencil there.",
        face=pair.right,
        at=at,
    )


def _both_open(
    left: Stencil, right: Stencil, mirrored: Polygon, pair: MirrorPair
) -> tuple[Polygon, Polygon] | None:
    """Both outlines, the left one mirrored, without what is covered on either side."""
    own = right.face.outline
    if not left.face.covered and not right.face.covered:
        return mirrored, own
    beyond = shapely.union_all(left.face.covered)
    beyond = shapely.transform(beyond, lambda points: reflected(points, pair.matrix))
    here = mirrored.difference(shapely.union_all(right.face.covered))
    there = own.difference(beyond)
    if isinstance(here, Polygon) and isinstance(there, Polygon) and here.area and there.area:
        return here, there
    return None


def _largest_gap(one: Polygon, other: Polygon) -> tuple[Point, float]:
    """The place on either outline farthest from the other outline, and how far."""
    gaps = (
        farthest(one.exterior, other.exterior, GAP_STEP),
        farthest(other.exterior, one.exterior, GAP_STEP),
    )
    return max(gaps, key=lambda gap: float(comparable(np.array(gap[1]))))


def outline_doubt(left: Stencil, right: Stencil, outlines: Mapping[str, Outline]) -> float:
    """How far a corner of two outlines measured on their own may differ by the tape alone, 95 %.

    0 where both faces stand on one outline, as then nothing was measured twice. mm.
    """
    names = (f"{left.face.panel.carcase} left", f"{right.face.panel.carcase} right")
    if not all(name in outlines for name in names):
        return 0.0
    squares = sum(float(np.square(outlines[name].deviations).max()) for name in names)
    # A curve's rise comes on top of where its ends are.
    squares += sum(max((arc.deviation for arc in outlines[name].arcs), default=0.0) ** 2
                   for name in names)  # fmt: skip
    return math.sqrt(CHI_SQUARE * squares)


def _broken(left: Stencil, right: Stencil, pair: MirrorPair, tape: Tape) -> Iterator[Finding]:
    """What the right side's hardware does to pieces of the left stencil laid on it."""
    holes = [hole for hole in right.face.holes if hole.stays]
    own = kept_areas([hole for hole in left.face.holes if hole.stays])
    back = inverse(pair.matrix)
    kept = shapely.transform(kept_areas(holes), lambda points: reflected(points, back))
    for region in left.design:
        near = np.flatnonzero(shapely.intersects(own, region.area)).tolist()
        parts = cut(region.area, own, near).parts if near else (region.area,)
        for part in parts:
            for at in np.flatnonzero(shapely.intersects(kept, part)).tolist():
                if shapely.intersection(kept[at], part).area <= SLIVER:
                    continue
                after = cut(part, kept, (at,)).parts
                if len(after) != 1:
                    piece = piece_at(left, part)
                    yield _breaking(
                        holes[at], right.face, piece or region.colour, len(after), pair, tape
                    )


def _breaking(
    hole: Hole, face: Face, piece: str, parts: int, pair: MirrorPair, tape: Tape
) -> Finding:
    harm = f"cuts piece {piece} into {parts} parts" if parts else f"leaves nothing of piece {piece}"
    return Finding(
        "mirror-breaks-piece",
        "stop",
        f"Turned over onto {pair.right}, the stencil of {pair.left} meets “{hole.name}” at "
        f"{spot(hole.centre, tape, face, hole)}, which {harm}; {pair.left} has nothing there.",
        f"Cut a stencil of its own for {pair.right}, remove the hardware while painting, or move "
        "the border so that the piece passes beside it on both sides.",
        face=pair.right,
        piece=piece,
        hardware=hole.name,
        at=hole.centre,
    )


def _carried(point: Point, matrix: Floats) -> Point:
    x, y = reflected(np.array([point]), matrix)[0].tolist()
    return x, y


def _unmarked(subject: Subject) -> Iterator[Finding]:
    """One question for each drawing on each face."""
    together: dict[tuple[str, str], list[LetterRow]] = {}
    for row in subject.rows:
        together.setdefault((row.face, row.drawing), []).append(row)
    for (face, drawing), rows in together.items():
        names = [*rows[0].elements[:NAMED]]
        names += [f"{len(rows[0].elements) - NAMED} more"] * (len(rows[0].elements) > NAMED)
        more = f" There are {len(rows)} such rows." if len(rows) > 1 else ""
        yield Finding(
            "lettering-unmarked",
            "note",
            f"{listed(names)} of {drawing}, "
            f"{spot(rows[0].at, subject.tape, face_of(face, subject.stencils))} "
            f"on {face}, stand in a "
            f"row as letters do, and were mirrored.{more}",
            "If it is lettering, it reads backwards: place it on this face by an entry of its own "
            "that is not mirrored, and name it in reads_one_way; else nothing is needed.",
            face=face,
            at=rows[0].at,
        )


def _backwards(subject: Subject) -> Iterator[Finding]:
    for lettering in subject.letterings:
        if lettering.backwards:
            yield Finding(
                "mirror-lettering",
                "warn",
                f"“{lettering.element}” on {lettering.face}, "
                f"{spot(lettering.at, subject.tape, face_of(lettering.face, subject.stencils))}, "
                "was placed mirrored and reads backwards.",
                "Place the lettering on this face by an entry of its own that is not mirrored; "
                "the rest of the drawing may stay mirrored.",
                face=lettering.face,
                at=lettering.at,
            )
