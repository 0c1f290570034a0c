r"""Narrow places and sharp tips of pieces: where board tears, curls and holds no tape.

Stands after necks, before the tacks, which keep off narrow places.

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

from mateline.products import dots
from mateline.stencil.necks import SAME, Neck, distinct, necks

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon, Polygon

    from mateline.curves import Point
    from mateline.stencil.board import Board

    Area = Polygon | MultiPolygon
    Areas = NDArray[np.object_]
    Floats = NDArray[np.float64]

CHORDS = 16  # facets of a quarter circle in offsets: they leave the arc by 0.12 % of its radius
LINE = 0.5  # mm: how near to the narrowest place of a neck tape may come
WINDOW = 4.0  # no unit: how many least widths round a neck are looked at
DEEPER = 1.005  # no unit: a depth beyond this share of the allowed one is no fault of the facets


@dataclass(frozen=True, slots=True)
class Tip:
    """A corner of a piece: its angle inside the piece, radians, and where it is."""

    angle: float
    at: Point


def necks_of(areas: Areas, board: Board) -> dict[int, tuple[Neck, ...]]:
    """The narrow places of `areas` by position, of those that have any."""
    suspects = _suspects(areas, board)
    if not suspects:
        return {}
    tips = sharp_tips(areas[suspects], board.sharpest)
    found = {
        at: narrow_places(areas[at], board.least_width, board.sharpest, tips.get(k, ()))
        for k, at in enumerate(suspects)
    }
    return {at: places for at, places in found.items() if places}


def waist(neck: Neck, area: Polygon, least: float) -> Area:
    """What of `area` round `neck` no disc `least` across can sweep, and where it is narrowest.

    Tape belongs on neither. Where no such disc fits at all only the neck's own line counts.
    """
    line = shapely.LineString(neck.ends).buffer(LINE)
    left, low, right, high = line.bounds
    by = WINDOW * least
    near = area.intersection(shapely.box(left - by, low - by, right + by, high + by))
    swept = shapely.buffer(shapely.buffer(near, SAME - least / 2), least / 2 - SAME)
    if shapely.is_empty(swept):
        return line
    lost = shapely.get_parts(shapely.difference(near, swept))
    told = lost[shapely.intersects(lost, line)]
    grown: Area = shapely.union_all([line, *told])  # type: ignore[assignment] # stubs say any geometry; a union of areas is one
    return grown


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
    angle = math.pi - np.arctan2(cross, dots(into, out))
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
        # GEOS says so where nothing is left, and leaves a line where rims touch.
        if part.is_empty or shapely.get_dimensions(part) < 2:
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
