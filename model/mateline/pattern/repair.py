"""What people draw amiss, mended where it is too small to mean anything, and listed.

Stands after the pattern, before refit.

    gap       bare between two shapes, or between a shape and the outline, nowhere wider than
              the tolerance: it goes to the colour that shares most of its border
    sliver    the same of a drawn colour, such as what peeps out between two curves drawn twice
    doubled   a shape that lies under another one of its own form: dropped

An overlap needs no mending: the upper shape is the one seen. Borders that are farther apart
than the tolerance stay where they are, to the bit. Each repair names a length (a doubled shape
the rim of its box), and changes no more area than the tolerance along it: what would is not done.
"""

from __future__ import annotations

from collections import defaultdict
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.drawing.duplicates import buried_duplicates
from mateline.drawing.shapes import Shape
from mateline.pattern.changed_area import changed_area
from mateline.pattern.cross_cuts import chains_of, cut, cuts_across
from mateline.pattern.dissolve import OUTSIDE, dissolved, face_map
from mateline.pattern.pattern import ROUNDING, Tiling, areas_of, assembled, pattern_of, tiling
from mateline.pattern.tiling import CLOSING
from mateline.planar.half_edges import TangledError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon, Polygon

    from mateline.pattern.dissolve import Map
    from mateline.pattern.pattern import Pattern

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

MENDED = 0.02  # mm: no knife cuts, and no eye sees, what is narrower
ROUNDS = 4  # times; closing a strip may leave a speck at its corner that is one of its own then
LONG = 4.0  # times the tolerance: a stretch between two borders shorter than this is a corner
WIDER = 1 + 1e-9  # no unit: what is as wide as the tolerance is mended, whatever the rounding


@dataclass(frozen=True, slots=True)
class Repair:
    """One repair: "gap", "sliver" or "doubled", a point in it, and its length and mean width (of
    a doubled shape its box) in the unit of the pattern.

    Two curves that cross many times leave many slivers between the same two regions. They are
    one repair in as many `places`: the point is in the longest, the length is that of all.
    """

    kind: str
    at: tuple[float, float]
    size: tuple[float, float]
    places: int = 1


def repaired(
    shapes: Sequence[Shape],
    outline: Polygon | MultiPolygon,
    tolerance: float,
    *,
    base: str | None,
) -> tuple[Pattern, tuple[Repair, ...]]:
    """`pattern_of` these shapes, mended, and what was mended.

    `tolerance` is in the unit of the shapes. Sources are positions in `shapes`. Raises
    ValueError for an outline that is no valid polygon.
    """
    hidden = buried_duplicates(shapes, tolerance)
    kept = [at for at in range(len(shapes)) if at not in hidden]
    pattern = pattern_of([shapes[at] for at in kept], outline, base=base)
    if hidden:
        regions = tuple(
            replace(region, sources=frozenset(kept[at] for at in region.sources))
            for region in pattern.regions
        )
        pattern = replace(pattern, regions=regions)
    mended, closings = closed_up(pattern, outline, tolerance)
    return mended, (*(_doubling(shapes[at]) for at in sorted(hidden)), *closings)


def _doubling(shape: Shape) -> Repair:
    point = shape.area.representative_point()
    low_x, low_y, high_x, high_y = shape.area.bounds
    sides = sorted((high_x - low_x, high_y - low_y), reverse=True)
    return Repair("doubled", (point.x, point.y), (sides[0], sides[1]))


def closed_up(
    pattern: Pattern, outline: Polygon | MultiPolygon, tolerance: float
) -> tuple[Pattern, tuple[Repair, ...]]:
    """The pattern without gaps and slivers that are nowhere wider than `tolerance`.

    The same object where there are none. Hairs that only rounding made are closed too, but no
    one drew them: they are not listed.
    """
    repairs: list[Repair] = []
    rounding = ROUNDING * max(abs(bound) for bound in outline.bounds)
    for _ in range(ROUNDS):
        mended, found = _closed_once(pattern, outline, tolerance)
        if not found:
            break
        pattern = mended
        repairs += [repair for repair in found if repair.size[1] > rounding]
    return pattern, tuple(repairs)


def _closed_once(
    pattern: Pattern, outline: Polygon | MultiPolygon, tolerance: float
) -> tuple[Pattern, list[Repair]]:
    cuts = cuts_across(pattern, tolerance)
    hairs = _slim(np.array([region.area for region in pattern.regions], dtype=object), tolerance)
    if not len(cuts) and not hairs.any():
        return pattern, []
    chains, sides = cut(*chains_of(pattern), cuts)
    try:
        made = face_map(chains, sides)
    except TangledError:  # borders so close that rounding leaves no room for a cut
        chains, sides = chains_of(pattern)
        made = face_map(chains, sides)
    faces = areas_of(made)
    thin = _slim(faces, tolerance)
    thin &= hairs[made.colour] | (made.length > 2 * LONG * tolerance)
    names = list(dict.fromkeys(region.colour for region in pattern.regions))
    before = np.array([names.index(region.colour) for region in pattern.regions])[made.colour]
    after = _given(made, before, thin)
    changed = np.flatnonzero(before != after)
    if len(changed) == 0:
        return pattern, []
    goal = dict.fromkeys(names, 0.0)
    for region in pattern.regions:
        goal[region.colour] += region.area.area
    for face in changed.tolist():
        goal[names[before[face]]] -= made.area[face]
        goal[names[after[face]]] += made.area[face]
    found = _listed(made, faces, changed, pattern)
    for mended in _mended(pattern, outline, made, _Paint(faces, after, before, names)):
        if _sound(mended, outline, goal) and _kept_to(found, pattern, mended, tolerance):
            return mended, found
    return pattern, []


@dataclass(frozen=True, slots=True)
class _Paint:
    """The faces of the cut map, their colours after and before, as numbers of `names`."""

    faces: NDArray[np.object_]
    after: Ints
    before: Ints
    names: list[str]


def _mended(
    pattern: Pattern, outline: Polygon | MultiPolygon, made: Map, paint: _Paint
) -> Iterator[Pattern]:
    """The pattern in its new colours, made in two ways.

    First from the cut map as it stands. Where a cut touches an edge by rounding only, that map
    is none; then its faces are noded again. Not the regions with patches on them: a cut bends
    the edge that it ends on by the last bit, and hairs would be left beside the patch. The
    regions lie under them, for what rounding leaves between faces.
    """
    half = np.append(paint.after, OUTSIDE)[made.face]
    borders, colours, _ = dissolved(made.borders, half[0::2], half[1::2])
    with suppress(TangledError):
        fresh = face_map(borders, colours)
        areas = areas_of(fresh)
        names = [paint.names[colour] for colour in fresh.colour.tolist()]
        yield assembled(fresh, areas, names, _sources(pattern, made, paint, areas))
    after = paint.after.tolist()
    regions = [Shape(region.area, region.colour, "region") for region in pattern.regions]
    faces = [Shape(area, paint.names[after[at]], "face") for at, area in enumerate(paint.faces)]
    again = pattern_of([*regions, *faces], outline, base=None)
    kept = (paint.before == paint.after).tolist()
    own = [frozenset[int]()] * len(regions) + [
        pattern.regions[region].sources if kept[at] else frozenset[int]()
        for at, region in enumerate(made.colour.tolist())
    ]
    yield replace(
        again,
        regions=tuple(
            replace(region, sources=frozenset[int]().union(*(own[at] for at in region.sources)))
            for region in again.regions
        ),
    )


def _sources(
    pattern: Pattern, made: Map, paint: _Paint, areas: NDArray[np.object_]
) -> list[frozenset[int]]:
    """Sources of faces that keep their colour go to the regions that they are now part of."""
    sources: list[set[int]] = [set() for _ in areas]
    kept = np.flatnonzero(paint.before == paint.after)
    points = shapely.point_on_surface(paint.faces[kept])
    point, region = shapely.STRtree(areas).query(points, predicate="within")
    for face, at in zip(kept[point].tolist(), region.tolist(), strict=True):
        sources[at] |= pattern.regions[made.colour[face]].sources
    return [frozenset(each) for each in sources]


def _sound(mended: Pattern, outline: Polygon | MultiPolygon, goal: dict[str, float]) -> bool:
    """Whether the pattern tiles the outline and every colour has the area it should have."""
    areas = dict.fromkeys(goal, 0.0)
    for region in mended.regions:
        areas[region.colour] += region.area.area
    close = CLOSING * outline.area
    even = all(abs(areas[name] - area) <= close for name, area in goal.items())
    return even and tiling(mended, outline) == Tiling(0.0, 0.0, 0)


def _kept_to(repairs: list[Repair], before: Pattern, after: Pattern, tolerance: float) -> bool:
    """Whether no more has another colour than the repairs say, and none is wider than it may be."""
    rounding = (
        ROUNDING
        * float(np.abs(before.nodes).max())
        * sum(region.area.length for region in before.regions)
    )
    named = sum(repair.size[0] * repair.size[1] for repair in repairs)
    slim = all(repair.size[1] <= WIDER * tolerance for repair in repairs)
    return slim and changed_area(before, after) <= named + rounding


def _slim(areas: NDArray[np.object_], tolerance: float) -> Bools:
    """Which areas are nowhere wider than the tolerance."""
    slim: Bools = 2 * shapely.area(areas) <= WIDER * tolerance * shapely.length(areas)
    at = np.flatnonzero(slim)
    slim[at] = shapely.is_empty(shapely.buffer(areas[at], -WIDER * tolerance / 2))
    return slim


def _given(made: Map, colour: Ints, thin: Bools) -> Ints:
    """The colour of each face, thin ones given to the one they share most of their border with.

    A face that has only thin neighbours waits until one of them has its colour.
    """
    after = colour.copy()
    first, last = made.borders.offsets[:-1], made.borders.offsets[1:] - 1
    step = np.hypot(*np.diff(made.borders.points, axis=0).T)
    run = np.append(0.0, np.cumsum(step))
    length = run[last] - run[first]
    half = np.flatnonzero((made.face != OUTSIDE) & thin[made.face])
    beside = made.face[half ^ 1]
    useful = (beside != OUTSIDE) & (colour[beside] != colour[made.face[half]])
    half, beside = half[useful], beside[useful]
    waiting = thin.copy()
    while True:
        ready = waiting[made.face[half]] & ~waiting[beside]
        shares: dict[tuple[int, int], float] = {}
        for face, tint, part in zip(
            made.face[half[ready]].tolist(),
            after[beside[ready]].tolist(),
            length[half[ready] >> 1].tolist(),
            strict=True,
        ):
            shares[face, tint] = shares.get((face, tint), 0.0) + part
        if not shares:
            return after
        for (face, tint), _ in sorted(shares.items(), key=lambda item: (item[1], item[0])):
            after[face] = tint  # of each face the longest comes last
            waiting[face] = False


def _listed(made: Map, faces: NDArray[np.object_], changed: Ints, pattern: Pattern) -> list[Repair]:
    """One repair for all changed faces of one kind between the same regions.

    Faces that a cut parts are one strip, in one place.
    """
    groups: dict[tuple[str, frozenset[int]], list[list[int]]] = defaultdict(list)
    left = set(changed.tolist())
    for first in changed.tolist():
        if first not in left:
            continue
        left.remove(first)
        strip, beside = [first], set[int]()
        for face in strip:
            twins = {int(made.face[half ^ 1]) for loop in made.loops[face] for half in loop}
            parts = {each for each in twins & left if made.colour[each] == made.colour[first]}
            strip += sorted(parts)
            left -= parts
            beside |= twins
        beside -= {OUTSIDE, *changed.tolist()}
        kind = "sliver" if pattern.regions[made.colour[first]].sources else "gap"
        groups[kind, frozenset(int(made.colour[other]) for other in beside)].append(strip)
    repairs = []
    for (kind, _), strips in groups.items():
        group = [face for strip in strips for face in strip]
        length = made.length[group] / 2
        longest = faces[group[int(np.argmax(length))]].representative_point()
        whole = float(length.sum())
        size = (whole, float(made.area[group].sum()) / whole)
        repairs.append(Repair(kind, (longest.x, longest.y), size, len(strips)))
    return repairs
