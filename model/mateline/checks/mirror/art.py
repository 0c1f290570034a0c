r"""Left against right as art: sides that were each drawn for themselves.

Stands after mirror. Both designs are laid over each other in the right face's frame, the left one
reflected across the cabinet's middle plane, and cut to what the two outlines share. What differs
is measured in areas and distances of areas, never of vertices.

    own        art that an entry puts on this side only, and not by mirroring
    aside      lettering, which can't be a mirror image, what a mirrored entry leaves out, and what
               one entry puts on both sides: a band that runs round the cabinet
    limit      how far a border may be off without a word: what the tape explains of the outlines
    told       what a finding has spoken of: a border that moved is told of one side of it only,
               the smaller region's

Regions that moved together are told together, and faces with different art in one note.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from mateline.checks.findings import Finding
from mateline.checks.hardware import piece_at
from mateline.checks.mirror.regions_matched import NOTHING, Sides, matched
from mateline.checks.mirror.sides import OUTLINE_STEP, outline_doubt, reflected, shift_words
from mateline.checks.places import size, spot

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from mateline.checks.findings import MirrorPair, PlacedArt, Subject
    from mateline.checks.mirror.regions_matched import Matches
    from mateline.curves import Point
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape

    Areas = NDArray[np.object_]


ALIKE = 0.5  # share of the regions: if fewer have a counterpart, the two are different art
TOGETHER = 3  # regions that moved alike are told together from this number on
GROUPS = 4  # ways in which regions may have moved together
TOLD = 12  # findings of one code for one pair of faces
STEP = 4.0  # mm: borders are looked at for their worst place this closely
REMEDY = (
    "Draw one side and mirror it onto the other, or mend the side that is wrong; name lettering in "
    "reads_one_way, and it is left aside."
)


@dataclass(frozen=True, slots=True)
class _Faces:
    """The two faces of a pair, and how far their borders may be off, mm."""

    left: Stencil
    right: Stencil
    limit: float
    tape: Tape


@dataclass(frozen=True, slots=True)
class _Moved:
    """A pair of regions (None for a part that has split off) and where it is off most, by what."""

    left: int | None
    right: int | None
    by: float
    at: Point


def check(subject: Subject) -> tuple[Finding, ...]:
    """Every pair of faces that both have art of their own."""
    stencils = {stencil.face.name: stencil for stencil in subject.stencils}
    found: list[Finding] = []
    for pair in subject.pairs:
        if pair.by_hardware or not all(
            _own(subject.art, name, pair) for name in (pair.left, pair.right)
        ):
            continue
        left, right = stencils[pair.left], stencils[pair.right]
        limit = max(OUTLINE_STEP, outline_doubt(left, right, subject.outlines))
        faces = _Faces(left, right, limit, subject.tape)
        found += _compared(faces, _sides(faces, pair, subject))
    return tuple(found)


def _on_both(arts: Sequence[PlacedArt], pair: MirrorPair) -> set[int]:
    """The placements that reach both faces."""
    left, right = (
        {art.placement for art in arts if art.face == name} for name in (pair.left, pair.right)
    )
    return left & right


def _own(arts: Sequence[PlacedArt], name: str, pair: MirrorPair) -> bool:
    both = _on_both(arts, pair)
    return any(art.face == name and not art.mirrored and art.placement not in both for art in arts)


def _sides(faces: _Faces, pair: MirrorPair, subject: Subject) -> Sides:
    """The regions of both faces in the right one's frame, as far as they are to be compared."""

    def across(shapes: Any) -> Any:
        return shapely.transform(shapes, lambda points: reflected(points, pair.matrix))

    common: BaseGeometry = across(faces.left.face.outline)
    common = shapely.intersection(common, faces.right.face.outline)
    for name, other in ((pair.left, pair.right), (pair.right, pair.left)):
        aside: list[BaseGeometry | None] = [
            each.area for each in subject.letterings if each.face == name
        ]
        aside += _left_out([art for art in subject.art if art.face in {name, other}], name)
        both = _on_both(subject.art, pair)
        aside += [
            shape.area
            for art in subject.art
            if art.face == name and art.placement in both
            for shape in art.shapes
        ]
        gone = shapely.union_all(aside)  # passes over None
        common = shapely.difference(common, across(gone) if name == pair.left else gone)
    regions = faces.left.design, faces.right.design
    here, there = (np.array([each.area for each in some], dtype=object) for some in regions)
    return Sides(
        tuple(each.colour for each in regions[0]),
        tuple(each.colour for each in regions[1]),
        _clipped(across(here), common),
        _clipped(there, common),
        common,
    )


def _clipped(areas: Areas, common: BaseGeometry) -> Areas:
    """What of `areas` lies in `common`; most of them do."""
    shapely.prepare(common)
    clipped = areas.copy()
    rim = ~shapely.covers(common, areas)
    clipped[rim] = shapely.intersection(areas[rim], common)
    return clipped


def _left_out(arts: Sequence[PlacedArt], name: str) -> Iterator[BaseGeometry]:
    """Shapes on the face `name` that the mirrored copy on the other one leaves out."""
    kept: dict[str, set[int]] = {}
    for art in arts:
        if art.face != name and art.mirrored:
            kept.setdefault(art.drawing, set()).update(art.positions)
    for art in arts:
        if art.face == name and not art.mirrored and art.drawing in kept:
            for position, shape in zip(art.positions, art.shapes, strict=True):
                if position not in kept[art.drawing]:
                    yield shape.area


def _compared(faces: _Faces, sides: Sides) -> Iterator[Finding]:
    found = matched(sides)
    if found.share < ALIKE:
        yield _different(faces, found)
        return
    told: list[BaseGeometry] = []
    yield from _some(_odd(faces, sides, found, told))
    moved = list(_moved(faces, sides, found, told))
    single: list[_Moved] = moved
    for _ in range(GROUPS):
        together, step = _together(single, sides, faces.limit)
        if len(together) < TOGETHER:
            break
        yield _all_moved(faces, together, step)
        single = [each for each in single if each not in together]
    yield from _some(_one_moved(faces, sides, each) for each in single)


def _some(findings: Iterator[Finding]) -> Iterator[Finding]:
    """As many of each code as anybody reads, and the number of the rest."""
    count: dict[str, int] = {}
    last: dict[str, Finding] = {}
    for each in findings:
        count[each.code] = count.get(each.code, 0) + 1
        if count[each.code] <= TOLD:
            yield each
        else:
            last[each.code] = each
    for code, each in last.items():
        yield Finding(
            code,
            each.level,
            f"The art of {each.face} differs in {count[code] - TOLD} more places of this kind.",
            REMEDY,
            face=each.face,
            at=each.at,
        )


def _odd(
    faces: _Faces, sides: Sides, found: Matches, told: list[BaseGeometry]
) -> Iterator[Finding]:
    """Regions that one side lacks, or has in another colour."""
    for i, j in found.recoloured:
        told += [sides.left[i], sides.right[j]]
        yield _recoloured(faces, sides, i, j)
    for positions, areas, tell in (
        (found.missing, sides.left, _missing),
        (found.extra, sides.right, _extra),
    ):
        for at in positions:
            told.append(areas[at])
            if not shapely.buffer(areas[at], -faces.limit / 2).is_empty:
                yield tell(faces, sides, at)


def _moved(
    faces: _Faces, sides: Sides, found: Matches, told: list[BaseGeometry]
) -> Iterator[_Moved]:
    """Matched regions whose border is off by more than the limit; small ones first."""
    all_left, all_right = cache(sides.all_left), cache(sides.all_right)
    order = sorted(found.pairs, key=lambda pair: (_least(sides, *pair), str(pair)))
    for i, j in order:
        rests = []  # what one side has of the region and the other has not in that colour
        if i is not None:
            there = all_right(sides.left_colours[i])
            rests.append((shapely.difference(sides.left[i], there), there))
        if j is not None:
            here = all_left(sides.right_colours[j])
            rests.append((shapely.difference(sides.right[j], here), here))
        if max(rest.area for rest, _ in rests) <= NOTHING:
            continue
        gone = shapely.union_all(told)
        worst = max(
            farthest(shapely.difference(rest, gone), other, faces.limit) for rest, other in rests
        )
        if worst[0] > 0:
            told += [rest for rest, _ in rests]
            yield _Moved(i, j, *worst)


def farthest(rest: BaseGeometry, other: BaseGeometry, limit: float) -> tuple[float, Point]:
    """How far the outline of `rest` gets from `other` at most, mm, and where.

    0 where that is within `limit`.
    """
    if rest.area <= NOTHING or other.is_empty:
        return 0.0, (0.0, 0.0)
    points = shapely.get_coordinates(shapely.segmentize(rest.boundary, STEP))
    shapely.prepare(other)
    points = points[~shapely.dwithin(other, shapely.points(points), limit)]
    if len(points) == 0:
        return 0.0, (0.0, 0.0)
    gaps = np.round(shapely.distance(shapely.points(points), other), 6)
    worst = int(np.argmax(gaps))
    x, y = points[worst].tolist()
    return float(gaps[worst]), (x, y)


def _least(sides: Sides, i: int | None, j: int | None) -> float:
    areas = [sides.left[i].area] if i is not None else []
    areas += [sides.right[j].area] if j is not None else []
    return float(round(min(areas), 3))


def _together(
    moved: Sequence[_Moved], sides: Sides, limit: float
) -> tuple[list[_Moved], tuple[float, float]]:
    """Those that one shift explains, and the shift: the middle one of all."""
    steps = [step for each in moved if (step := _step(each, sides)) is not None]
    if len(steps) < TOGETHER:
        return [], (0.0, 0.0)
    across, up = (sorted(step[axis] for step in steps)[len(steps) // 2] for axis in (0, 1))
    if math.hypot(across, up) <= limit:
        return [], (0.0, 0.0)
    found = [each for each in moved if _explained(each, sides, (across, up), limit)]
    return found, (across, up)


def _step(moved: _Moved, sides: Sides) -> tuple[float, float] | None:
    """The shift of a region that is whole on both sides; None where it is not."""
    if moved.left is None or moved.right is None:
        return None
    left, right = sides.left[moved.left], sides.right[moved.right]
    if abs(left.area - right.area) > 0.02 * max(left.area, right.area):
        return None
    one, other = left.centroid, right.centroid
    return round(other.x - one.x, 3), round(other.y - one.y, 3)


def _explained(moved: _Moved, sides: Sides, step: tuple[float, float], limit: float) -> bool:
    """Whether the region's border is within the limit once the left side is shifted."""
    if moved.left is None or moved.right is None:
        return False

    def shifted(area: BaseGeometry) -> BaseGeometry:
        return shapely.transform(area, lambda points: points + step)

    both = shapely.intersection(sides.common, shifted(sides.common))
    left = shapely.intersection(shifted(sides.left[moved.left]), both)
    right = shapely.intersection(sides.right[moved.right], both)
    gaps = (
        farthest(shapely.difference(one, other), other, limit)[0]
        for one, other in ((left, right), (right, left))
    )
    return not any(gaps)


def _different(faces: _Faces, found: Matches) -> Finding:
    left, right = faces.left.face.name, faces.right.face.name
    return Finding(
        "mirror-art-other",
        "note",
        f"{right} has other art than {left}: only {found.share:.0%} of their regions have a "
        "counterpart on the other side. Nothing else was compared.",
        "Nothing is needed if that is meant; else mirror one side's art onto the other.",
        face=right,
    )


def _recoloured(faces: _Faces, sides: Sides, i: int, j: int) -> Finding:
    at = inner(sides.right[j])
    return Finding(
        "mirror-art-colour",
        "warn",
        f"{_called(faces.right, j)} is {sides.right_colours[j]}, and {_called(faces.left, i)}, "
        f"which lies there on {faces.left.face.name}, is {sides.left_colours[i]}; it is at "
        f"{spot(at, faces.tape, faces.right.face)}.",
        REMEDY,
        face=faces.right.face.name,
        piece=piece_at(faces.right, faces.right.design[j].area),
        at=at,
    )


def _missing(faces: _Faces, sides: Sides, i: int) -> Finding:
    at = inner(sides.left[i])
    return Finding(
        "mirror-art-missing",
        "warn",
        f"{faces.left.face.name} has {_called(faces.left, i)} in {sides.left_colours[i]}, and "
        f"{faces.right.face.name} has nothing like it at its mirror place, "
        f"{spot(at, faces.tape, faces.right.face)}.",
        REMEDY,
        face=faces.right.face.name,
        at=at,
    )


def _extra(faces: _Faces, sides: Sides, j: int) -> Finding:
    at = inner(sides.right[j])
    return Finding(
        "mirror-art-extra",
        "warn",
        f"{faces.right.face.name} has {_called(faces.right, j)} in {sides.right_colours[j]} at "
        f"{spot(at, faces.tape, faces.right.face)}, "
        f"and {faces.left.face.name} has nothing like it at its mirror "
        "place.",
        REMEDY,
        face=faces.right.face.name,
        piece=piece_at(faces.right, faces.right.design[j].area),
        at=at,
    )


def _all_moved(faces: _Faces, moved: Sequence[_Moved], step: tuple[float, float]) -> Finding:
    worst = max(moved, key=lambda each: (each.by, each.at))
    return Finding(
        "mirror-art-moved",
        "warn",
        f"{len(moved)} shapes of {faces.right.face.name} sit "
        f"{shift_words(np.array(step), faces.tape)} of where {faces.left.face.name} says; the tape "
        f"explains up to {size(faces.limit, faces.tape)}. One is at "
        f"{spot(worst.at, faces.tape, faces.right.face)}.",
        REMEDY,
        face=faces.right.face.name,
        at=worst.at,
    )


def _one_moved(faces: _Faces, sides: Sides, moved: _Moved) -> Finding:
    name = faces.right.face.name
    step = _step(moved, sides)
    names = [_called(faces.left, moved.left)] if moved.left is not None else []
    names += [_called(faces.right, moved.right)] if moved.right is not None else []
    if step is not None and _explained(moved, sides, step, faces.limit):
        what = (
            f"{names[-1]} sits {shift_words(np.array(step), faces.tape)} of where {names[0]} on "
            f"{faces.left.face.name} says"
        )
    else:
        what = (
            f"The border of {' and '.join(dict.fromkeys(names))} differs between {name} and "
            f"{faces.left.face.name} by up to {size(moved.by, faces.tape)}"
        )
    return Finding(
        "mirror-art-moved",
        "warn",
        f"{what}; the tape explains up to {size(faces.limit, faces.tape)}. The worst place is "
        f"{spot(moved.at, faces.tape, faces.right.face)}.",
        REMEDY,
        face=name,
        piece=None
        if moved.right is None
        else piece_at(faces.right, faces.right.design[moved.right].area),
        at=moved.at,
    )


def inner(area: BaseGeometry) -> Point:
    """A point in the largest part of an area."""
    point = max(shapely.get_parts(area).tolist(), key=shapely.area).point_on_surface()
    return float(point.x), float(point.y)


def _called(stencil: Stencil, at: int) -> str:
    """What a region of the design is called: its piece, or its colour where that was cut away."""
    region = stencil.design[at]
    return f"piece {piece}" if (piece := piece_at(stencil, region.area)) else region.colour
