"""Whether what was fitted is a planar map: the check that is always on, and what is at fault.

Stands in fitting after frame, before network.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline import curves
from mateline.borders.arc_fitting import Bows
from mateline.borders.uncross import crossing
from mateline.capture.fitting.courses import OUTSIDE
from mateline.curves import Chain, flattened
from mateline.pattern.tiling import Tiling, tiling_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.capture.traced import TracedBorder, TracedRegion

    Ints = NDArray[np.int64]

TOUCHING = 0.02  # mm: borders may meet at a node only; a millionth of this is rounding
FACET = 0.002  # mm: how far facets that are checked may leave their arcs
FEWEST = 3  # places of a ring


def at_fault(borders: Sequence[TracedBorder]) -> Ints:
    """Borders that cross one another or themselves, in order."""
    return np.unique(segments_at_fault(borders)[:, 0])


def segments_at_fault(borders: Sequence[TracedBorder]) -> Ints:
    """Segments that cross one another (n, 2): which border, and which of its segments."""
    owner, rows = [], []
    for number, border in enumerate(borders):
        at = border.chain.start
        for step, segment in enumerate(border.chain.segments):
            half = curves.sweep(at, segment) / 2
            rows.append((*at, *segment.to, *_sides(half)))
            owner.append((number, step))
            at = segment.to
    if not rows:
        return np.zeros((0, 2), dtype=np.int64)
    table = np.array(rows)
    count = np.arange(len(rows))
    bows = Bows(
        count, count + 1, table[:, :2], table[:, 2:4], table[:, 4], table[:, 5],
        np.zeros(len(rows)),
    )  # fmt: skip
    return np.array(owner)[crossing(bows, count, TOUCHING)]


def crossing_places(
    borders: Sequence[TracedBorder], wrong: Mapping[int, Iterable[int] | None]
) -> dict[int, NDArray[np.float64]]:
    """Where segments at fault cross one another, (n, 2) for each border that does; where borders
    go on in one another does not count, unless they cross nowhere else.
    """
    owner: list[int] = []
    lines: list[shapely.LineString] = []
    for number, segments in wrong.items():
        chain = borders[number].chain
        starts = [chain.start, *(each.to for each in chain.segments)]
        for at in segments or ():
            owner.append(number)
            piece = Chain(starts[at], (chain.segments[at],))
            lines.append(shapely.LineString(flattened(piece, FACET)))
    found: dict[int, list[NDArray[np.float64]]] = {}
    one, other = shapely.STRtree(lines).query(lines) if lines else np.zeros((2, 0), dtype=int)
    for a, b in zip(one.tolist(), other.tolist(), strict=True):
        if a < b:
            spots = _crossings(lines[a], lines[b])
            found.setdefault(owner[a], []).append(spots)
            found.setdefault(owner[b], []).append(spots)
    return {at: spots for at, own in found.items() if len(spots := np.vstack(own))}


def _crossings(one: shapely.LineString, other: shapely.LineString) -> NDArray[np.float64]:
    """Where two lines meet, but for the ends that they share if they meet elsewhere too."""
    spots: NDArray[np.float64] = shapely.get_coordinates(shapely.intersection(one, other))
    ends = shapely.multipoints(shapely.get_coordinates(shapely.boundary([one, other])))
    inner = np.round(shapely.distance(shapely.points(spots), ends), 6) > TOUCHING
    return spots[inner] if inner.any() else spots


def _sides(half: float) -> tuple[float, float]:
    return (0.0, 1.0) if half == 0.0 else (float(np.sin(half)), float(np.cos(half)))


def tiled(borders: Sequence[TracedBorder], regions: Sequence[TracedRegion]) -> tuple[Tiling, Ints]:
    """How the faceted regions tile what the rims go around, and regions that are no valid areas:
    between two lines that share their ends there is none either.
    """
    facets = [flattened(border.chain, FACET) for border in borders]
    rings = [[_ring(facets, loop) for loop in region.loops] for region in regions]
    flat = [at for at, own in enumerate(rings) if min(map(len, own)) < FEWEST]
    if flat:
        return Tiling(0.0, 0.0, 0), np.array(flat, dtype=np.int64)
    areas = [shapely.Polygon(own[0], own[1:]) for own in rings]
    wrong = np.flatnonzero(~shapely.is_valid(np.array(areas, dtype=object)))
    if len(wrong):
        return Tiling(0.0, 0.0, 0), wrong
    return tiling_of(areas, shapely.Polygon(_around(borders, facets))), wrong


def _around(
    borders: Sequence[TracedBorder], facets: Sequence[NDArray[np.float64]]
) -> NDArray[np.float64]:
    """The facets of the rims end to end, counter-clockwise."""
    rims = {}
    for border, own in zip(borders, facets, strict=True):
        if border.right == OUTSIDE:
            rims[border.start] = (border.end, own)
        elif border.left == OUTSIDE:
            rims[border.end] = (border.start, own[::-1])
    first = at = min(rims)
    parts = []
    for _ in range(len(rims)):
        at, own = rims[at]
        parts.append(own[:-1])
    if at != first:
        raise RuntimeError("the rims do not go round the outline once")
    return np.vstack(parts)


def _ring(facets: Sequence[NDArray[np.float64]], loop: Sequence[int]) -> NDArray[np.float64]:
    parts = [facets[at] if at >= 0 else facets[~at][::-1] for at in loop]
    return np.vstack([part[:-1] for part in parts])
