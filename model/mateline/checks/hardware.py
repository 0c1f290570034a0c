r"""What each hole does to the pieces of its face.

Stands after necks. Looks at the design, the regions as if nothing stuck out of the face.

    hardware that stays: the board is cut round it        hardware that is removed: an open hole

      +-----------+   +-------+     +-----------+          +-----------+
      |     A     |   |  ( )  |     |           |          |  red  _   |
      +--.     .--+   |       |     | (   )     |          |------( )--|  a border runs across:
         (     )      +-------+     +-+---+-----+          |  blue `   |  the board lies over air
      +--'     '--+   swallowed       thinned              +-----------+
      |     B     |   when nothing
      +-----------+   is left
        split in two

Exact for facetted arcs (within `curves.FACET`). A narrow place is blamed on a hole only where one
side of it is the hole's own edge; a piece that is left nowhere as wide as the board's least width
is blamed on the holes that touch it, unless it was so without them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.cabinet.hole import kept_area, open_area
from mateline.checks.findings import Finding
from mateline.checks.places import listed, size, spot
from mateline.stencil.necks import SAME, Neck, necks

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray
    from shapely import Polygon

    from mateline.cabinet.hole import Hole
    from mateline.checks.findings import Subject
    from mateline.curves import Point
    from mateline.pattern.pattern import Region
    from mateline.stencil.stencil import Stencil

SLIVER = 1e-6  # mm²: what is smaller came from rounding


@dataclass(frozen=True, slots=True)
class Cut:
    """A region and the hardware that sticks out of it: what is left, and which hole did what.

    `near` are positions of holes that overlap the region; `splitting` groups those that together
    lie between two or more parts.
    """

    parts: tuple[Polygon, ...]
    near: tuple[int, ...]
    splitting: tuple[tuple[int, ...], ...]


def check(subject: Subject) -> tuple[Finding, ...]:
    """Every hole against every region of its face."""
    return tuple(
        finding
        for stencil in subject.stencils
        if not unpainted(stencil)
        for finding in (*_kept(stencil, subject), *_open(stencil, subject))
    )


def unpainted(stencil: Stencil) -> bool:
    """Whether the face is nothing but base coat, so that it needs no stencil."""
    return all(region.colour == stencil.base for region in stencil.design)


def kept_areas(holes: Sequence[Hole]) -> NDArray[np.object_]:
    """What the board is cut away for round each hole, polygons, face frame."""
    return _array([kept_area(hole) for hole in holes])


def open_areas(holes: Sequence[Hole]) -> NDArray[np.object_]:
    """The openings of holes at the outside face, polygons, face frame."""
    return _array([open_area(hole) for hole in holes])


def cut(area: Polygon, kept: NDArray[np.object_], near: Sequence[int]) -> Cut:
    """`area` without the `kept` areas at the positions `near`, which overlap it."""
    rest = shapely.difference(area, shapely.union_all(kept[list(near)]))
    parts = tuple(part for part in shapely.get_parts(rest).tolist() if part.area > SLIVER)
    splitting = []
    if len(parts) > 1:
        for group in _touching(kept, near):
            joined = shapely.union_all(kept[list(group)])
            if int(shapely.dwithin(joined, list(parts), SAME).sum()) > 1:
                splitting.append(group)
    return Cut(parts, tuple(near), tuple(splitting))


def piece_at(stencil: Stencil, part: Polygon) -> str | None:
    """The id of the piece that `part` of the design became; None where there is none."""
    at = part.point_on_surface()
    for piece in stencil.pieces:
        if shapely.contains_xy(piece.area, at.x, at.y):
            return piece.id
    return None


def _array(polygons: list[Polygon]) -> NDArray[np.object_]:
    areas = np.empty(len(polygons), dtype=object)
    areas[:] = polygons
    return areas


def _touching(kept: NDArray[np.object_], near: Sequence[int]) -> list[tuple[int, ...]]:
    """The holes `near` in groups whose kept areas run into one another."""
    groups: list[set[int]] = []
    for hole in near:
        met = [group for group in groups if shapely.intersects(kept[hole], kept[list(group)]).any()]
        groups = [group for group in groups if group not in met] + [{hole}.union(*met)]
    return [tuple(sorted(group)) for group in groups]


def _kept(stencil: Stencil, subject: Subject) -> Iterator[Finding]:
    holes = [hole for hole in stencil.face.holes if hole.stays]
    if not holes:
        return
    kept = kept_areas(holes)
    areas = np.array([region.area for region in stencil.design], dtype=object)
    hole_of, region_of = shapely.STRtree(areas).query(kept, predicate="intersects")
    for at in np.unique(region_of).tolist():
        near = [
            int(hole)
            for hole in np.sort(hole_of[region_of == at])
            if shapely.intersection(kept[hole], areas[at]).area > SLIVER
        ]
        if near:
            region = stencil.design[at]
            made = cut(region.area, kept, near)
            clash = _Clash(stencil, subject, region, holes, kept, made)
            yield from _swallowed(clash)
            yield from _split(clash)
            yield from _thinned(clash)


@dataclass(frozen=True, slots=True)
class _Clash:
    """One region met by hardware, and all that a message about it needs."""

    stencil: Stencil
    subject: Subject
    region: Region
    holes: Sequence[Hole]
    kept: NDArray[np.object_]
    cut: Cut

    def finding(
        self, code: str, hole: int, piece: str | None, at: Point, message: str, remedy: str
    ) -> Finding:
        return Finding(
            code,
            "warn" if code == "hole-thins-piece" else "stop",
            message,
            remedy,
            face=self.stencil.face.name,
            piece=piece,
            hardware=self.holes[hole].name,
            at=at,
        )

    def names(self, holes: Sequence[int]) -> str:
        return listed([f"“{self.holes[hole].name}”" for hole in holes])


def _swallowed(clash: _Clash) -> Iterator[Finding]:
    if clash.cut.parts:
        return
    area, tape = clash.region.area, clash.subject.tape
    at = _point(area.point_on_surface())
    overlap = shapely.area(shapely.intersection(clash.kept[list(clash.cut.near)], area))
    yield clash.finding(
        "hole-swallows-piece",
        clash.cut.near[int(np.argmax(overlap))],
        None,
        at,
        f"Nothing of the {clash.region.colour} region at "
        f"{spot(at, tape, clash.stencil.face)} is left beside "
        f"{clash.names(clash.cut.near)}, which stays in place: this colour cannot be painted here.",
        "Enlarge the region or move it clear of the hardware, give its place to a neighbouring "
        "colour, or remove the hardware while painting.",
    )


def _split(clash: _Clash) -> Iterator[Finding]:
    tape, least = clash.subject.tape, clash.subject.board.least_width
    for group in clash.cut.splitting:
        joined = shapely.union_all(clash.kept[list(group)])
        at = _point(shapely.intersection(joined, clash.region.area).point_on_surface())
        parts = [part for part in clash.cut.parts if shapely.dwithin(joined, part, SAME)]
        smallest = min(parts, key=lambda part: part.area)
        low, high = np.reshape(smallest.bounds, (2, 2))
        across, up = (high - low).tolist()
        yield clash.finding(
            "hole-splits-piece",
            max(group, key=lambda hole: float(shapely.area(clash.kept[hole]))),
            piece_at(clash.stencil, max(parts, key=lambda part: part.area)),
            at,
            f"{clash.names(group)} in place {'cuts' if len(group) == 1 else 'cut'} "
            f"the {clash.region.colour} region at "
            f"{spot(at, tape, clash.stencil.face)} into {len(parts)} loose parts; "
            f"the smallest is {size(across, tape)} by {size(up, tape)}. Each has to be laid and "
            "taped on its own, and nothing keeps them in line.",
            f"Move the region's border or the hardware so that at least {size(least, tape)} of "
            "board passes beside the hole, end the region at the hole, or remove the hardware "
            "while painting.",
        )


def _thinned(clash: _Clash) -> Iterator[Finding]:
    least, tape = clash.subject.board.least_width, clash.subject.tape
    for part in clash.cut.parts:
        narrowest = _narrowest(clash, part, least)
        alone = _left_thin(clash, part, least) if not narrowest else None
        if alone is not None:
            narrowest = {(min(clash.cut.near),): alone}
        for holes, neck in narrowest.items():
            beside = f"between {clash.names(holes)}" + (
                " and its border" if len(holes) == 1 else ""
            )
            yield clash.finding(
                "hole-thins-piece",
                holes[0],
                piece_at(clash.stencil, part),
                neck.at,
                f"The {clash.region.colour} piece is only {size(neck.width, tape)} wide "
                f"{beside}, at "
                f"{spot(neck.at, tape, clash.stencil.face)}; "
                f"board narrower than {size(least, tape)} "
                "tears or lifts when it is handled.",
                f"Move the border or the hardware {size(least - neck.width, tape)} farther apart, "
                "let the border run into the hole, or remove the hardware while painting.",
            )


def _narrowest(clash: _Clash, part: Polygon, least: float) -> dict[tuple[int, ...], Neck]:
    """The narrowest neck of `part` for each hole, or pair of holes, that makes one."""
    found: dict[tuple[int, ...], Neck] = {}
    rings = shapely.boundary(clash.kept)
    rim = clash.region.area.boundary
    for hole in clash.cut.near:
        others = [other for other in clash.cut.near if other != hole]
        around = shapely.dwithin(clash.kept[hole], [rim, *clash.kept[others]], least)
        if not around.any():
            continue
        left, low, right, high = clash.kept[hole].bounds
        box = (left - least, low - least, right + least, high + least)
        for neck in necks(part, least, box):
            on = [shapely.dwithin(rings, shapely.Point(end), SAME) for end in neck.ends]
            if not (on[0][hole] or on[1][hole]):
                continue
            both = sorted({int(k) for k in np.flatnonzero(on[0] | on[1])})
            key = tuple(both)
            if key not in found or neck.width < found[key].width:
                found[key] = neck
    return found


def _left_thin(clash: _Clash, part: Polygon, least: float) -> Neck | None:
    """The widest place of a part that the holes leave nowhere as wide as `least`."""
    if len(clash.cut.parts) > 1 or not shapely.buffer(part, SAME - least / 2).is_empty:
        return None
    if shapely.buffer(clash.region.area, SAME - least / 2).is_empty:
        return None
    spoke = shapely.get_coordinates(shapely.maximum_inscribed_circle(part, tolerance=0.01))
    reach = spoke[1] - spoke[0]
    first, last = spoke[0] - reach, spoke[0] + reach
    return Neck(
        2 * float(np.hypot(*reach)),
        ((float(first[0]), float(first[1])), (float(last[0]), float(last[1]))),
    )


def _open(stencil: Stencil, subject: Subject) -> Iterator[Finding]:
    holes = [hole for hole in stencil.face.holes if not hole.stays]
    if not holes:
        return
    openings = open_areas(holes)
    areas = np.array([region.area for region in stencil.design], dtype=object)
    hole_of, region_of = shapely.STRtree(areas).query(openings, predicate="intersects")
    for at in np.unique(hole_of).tolist():
        over = region_of[hole_of == at]
        shared = shapely.intersection(areas[over], openings[at])
        share = shapely.area(shared)
        over, shared, share = over[share > SLIVER], shared[share > SLIVER], share[share > SLIVER]
        if len(over) > 1:
            order = np.lexsort((over, -share))
            regions = [stencil.design[k] for k in over[order]]
            yield _bordered(stencil, subject, holes[at], regions, shared[order])


def _bordered(
    stencil: Stencil,
    subject: Subject,
    hole: Hole,
    regions: Sequence[Region],
    shared: NDArray[np.object_],
) -> Finding:
    """`regions` meet over the open `hole`; `shared` is what each covers of it, largest first."""
    tape = subject.tape
    border = shapely.intersection(
        shapely.boundary(shapely.union_all(shared[1:])), shapely.boundary(shared[0])
    )
    lines = [line for line in shapely.get_parts(border).tolist() if line.length > 0]
    longest = max(lines, key=lambda line: line.length) if lines else shared[1].point_on_surface()
    at = _point(shapely.line_interpolate_point(longest, 0.5, normalized=True) if lines else longest)
    corners = shapely.points(shapely.get_coordinates(shared[1:]))
    move = float(shapely.distance(corners, regions[0].area).max())
    colours = listed(list(dict.fromkeys(region.colour for region in regions)))
    return Finding(
        "border-over-hole",
        "warn",
        f"The border between {colours} runs across the open hole “{hole.name}” at "
        f"{spot(at, tape, stencil.face)}. "
        "Nothing carries the board there: its edge sags, spray creeps under it "
        "into the hole, and tape holds on nothing.",
        "Plug the hole flush before painting, or leave the hardware in place; or move the border "
        f"by {size(move, tape)} so that {regions[0].colour} alone covers the hole.",
        face=stencil.face.name,
        hardware=hole.name,
        at=at,
    )


def _point(point: shapely.Point) -> Point:
    return float(point.x), float(point.y)
