r"""The ends of a board in its skin: their parts beside grooves, and the holes into them.

Stands after flats and seams, before skin.

    part    an end between two depths at which it jumps, since a groove starts or ends there
    ledge   what lies along the board between two parts: a side of a groove
    mouth   the rim of a hole; along a curve it lies on several facets, and each has its share

Where a groove of the next edge runs out through a curve the last facets share out what is left of
the arc. So they have parts and ledges there too, the ledges as thin as facets are off the arc.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

from mateline.cabinet.edges.tools import bore_axes
from mateline.cabinet.faces import end_lift
from mateline.cabinet.panel import curved_run, level
from mateline.exports.solid.flats import Flat, lifted, ribbon, triangulated
from mateline.exports.solid.seams import SAME
from mateline.products import product

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray
    from shapely import Geometry

    from mateline.cabinet.panel import Bore
    from mateline.exports.solid.net import Board
    from mateline.exports.solid.seams import Seam

    Array = NDArray[np.float64]
    Ints = NDArray[np.int64]

BORE_FACETS = 32  # of a hole into an end: within 0.1 mm up to 40 mm
ON_SIDE = 1e-9  # no unit: share of a facet's width that is rounding
AHEAD = 0.5  # no unit: cosine of the angle between a hole's mouth and a facet that it lies on


@dataclass(frozen=True, slots=True)
class Mouth:
    """A hole into an end: its `rim` (k, 2), along and -down, the wood on its left, and where that
    lies on the end and at the hole's floor, (k, 3).

    `borders` are the places along the rim where the facets from edge `first` on start and end.
    """

    rim: Array
    above: Array
    below: Array
    first: int
    borders: Array


def parts_of(
    board: Board, edge: int, points: Array, around: tuple[Ints, Array, list[Seam]]
) -> Iterator[Flat]:
    """The board's end below the strips of one edge, (along the edge, -down), in its parts."""
    brink, spots, seams = around
    made = board.panel.edges[edge]
    depths = [made.section.points[-2][1], *board.jumps[edge], board.panel.thickness]
    for top, low in itertools.pairwise(depths):
        flat: list[Array] = []
        solid: list[Array] = []
        for end in (0, 1):
            seam = seams[(edge + end) % len(seams)]
            # Beside a hollow strip it begins with that.
            first = min(top, float(seam.stations[0])) if top == 0 else top
            part = seam.between(first, low)
            beside = product(seam.flat[part] - board.start[edge], board.along[edge])
            way = 1 if end == 0 else -1
            flat.append(np.column_stack((beside, -seam.depths[part]))[::way])
            solid.append(seam.spots[part][::way])
        if top == depths[0]:
            inner = brink[1:-1][::-1]
            beside = product(points[inner] - board.start[edge], board.along[edge])
            flat.append(np.column_stack((beside, np.full(len(inner), -top))))
            solid.append(spots[inner])
        ring = np.concatenate(flat)
        yield Flat(Polygon(ring), ring, np.concatenate(solid), end_lift(board.panel, edge))


def is_recessed(board: Board, edge: int, flat: Flat) -> bool:
    """Whether a part of an end is the floor of a groove."""
    groove = board.panel.edges[edge].groove
    return groove is not None and groove.holds(
        -float(flat.rim[:, 1].min() + flat.rim[:, 1].max()) / 2
    )


def ledges(board: Board, edge: int, seams: list[Seam]) -> Iterator[Array]:
    r"""The sides of grooves at an edge, which lie along the board.

    left   o-----------------o right   where the end of the board above the side is
            \               /
             o-------------o           where it goes on below it
    """
    groove = board.panel.edges[edge].groove
    for side in board.jumps[edge]:
        left, right = (seams[(edge + end) % len(seams)] for end in (0, 1))
        corners = []
        for seam, order in ((right, (0,)), (left, (0, 1)), (right, (1,))):
            first = int(np.searchsorted(seam.stations, side - SAME))
            corners += [(seam.flat[first + at], seam.spots[first + at]) for at in order]
        flat, solid = (np.array(each) for each in zip(*corners, strict=True))
        beside = product(flat - board.start[edge], board.along[edge])
        deep = product(flat - board.start[edge], board.inward[edge])
        sign = -1.0 if groove is not None and side == groove.top else 1.0
        ring = np.column_stack((beside, sign * deep))
        area = Polygon(ring)
        if area.is_valid and area.exterior.is_ccw:
            yield solid[triangulated(np.array([area]), ring)[0]]
        else:  # facets that only share out the arc anew: the two rows cross
            yield solid[[[0, 1, 2], [0, 2, 3]]]


def mouths_of(board: Board) -> dict[int, list[Mouth]]:
    """The holes into the ends of a board, by each edge that they lie on."""
    found: dict[int, list[Mouth]] = {}
    for edge, made in enumerate(board.panel.edges):
        for bore in made.bores:
            if board.panel.bend is not None:
                mouth = _on_ring(board, edge, bore)
            elif curved_run(board.panel, edge) is not None:
                mouth = _on_facets(board, edge, bore)
            else:
                mouth = _on_flat(board, edge, bore)
            for step in range(len(mouth.borders) - 1):
                found.setdefault(mouth.first + step, []).append(mouth)
    return found


def _circle(middle: tuple[float, float], bore: Bore) -> Array:
    turns = -math.tau * np.arange(BORE_FACETS) / BORE_FACETS
    reach = bore.diameter / 2
    ring: Array = np.array(middle) + reach * np.column_stack((np.cos(turns), np.sin(turns)))
    return ring


def _on_flat(board: Board, edge: int, bore: Bore) -> Mouth:
    frame = board.panel.frame
    inward = product(board.inward[edge], np.array([frame.along_x, frame.along_y]))
    rim = _circle((bore.at, -bore.down), bore)
    above = lifted(rim, end_lift(board.panel, edge))
    return Mouth(rim, above, above + bore.deep * inward, edge, np.array([-np.inf, np.inf]))


def _on_facets(board: Board, index: int, bore: Bore) -> Mouth:
    """A hole into the end along a curve, whose facets start at edge `index`.

    Along is that of the curve's tangent at the hole, from its middle.
    """
    panel, run = board.panel, curved_run(board.panel, index)
    if run is None:
        raise ValueError(f"edge {index} of {panel.name} is straight")
    spot, inward = bore_axes(panel, index, bore)
    along = np.array([inward[1], -inward[0]])
    numbers = np.arange(index, index + run.count + 1) % len(panel.edges)
    corners = level(panel, bore.down)[numbers]
    beside = product(corners - spot, along)
    reach = bore.diameter / 2
    steps = np.diff(beside)
    facing = steps > AHEAD * np.linalg.norm(np.diff(corners, axis=0), axis=1)
    under = np.flatnonzero(facing & (beside[:-1] < reach) & (beside[1:] > -reach))
    first, last = int(under[0]), int(under[-1]) + 1
    borders, chain = beside[first : last + 1], corners[first : last + 1]
    rim = _crossed(_circle((0.0, -bore.down), bore), borders[1:-1])
    down = -rim[:, 1]
    ends = np.column_stack([np.interp(rim[:, 0], borders, chain[:, axis]) for axis in (0, 1)])
    floor = spot + (panel.edges[index].section.points[-1][0] + bore.deep) * inward
    low = floor + np.multiply.outer(rim[:, 0], along)
    return Mouth(rim, board.raised(ends, down), board.raised(low, down), index + first, borders)


def _on_ring(board: Board, index: int, bore: Bore) -> Mouth:
    """A hole into the end along a curved edge of a bent board, whose facets start at edge `index`.

    The end is flat, a part of a ring, and the facets are cut apart along its radii.
    """
    panel, bend = board.panel, board.panel.bend
    if bend is None:
        raise ValueError(f"{panel.name} is not bent")
    count = next((run.count for run in panel.runs if run.first == index), 1)
    outside, sign = abs(bend.radius), math.copysign(1.0, bend.radius)
    aside, up = _circle((0.0, 0.0), bore).T
    away = outside - sign * (bore.down - up)
    reach = np.hypot(away, aside)
    places = bore.at + outside * np.arctan2(aside, away)
    # Counted in facets: their borders move with the depth, for the ends of the board slant.
    ends = _slanting(board, index, count)
    low, high = (start + sign * (outside - reach) * slope for start, slope in ends)
    ring = np.column_stack((count * (places - low) / (high - low), -sign * (outside - reach)))
    rim = _crossed(ring, np.arange(1.0, count))
    down = -rim[:, 1]
    low, high = (start + down * slope for start, slope in ends)
    flat = board.start[index] + np.multiply.outer(
        low + rim[:, 0] / count * (high - low), board.along[index]
    )
    end = panel.edges[index].section.points[-1][0]
    above, below = (
        board.raised(flat + deep * board.inward[index], down) for deep in (end, end + bore.deep)
    )
    first, last = math.floor(rim[:, 0].min()), math.ceil(rim[:, 0].max())
    return Mouth(rim, above, below, index + first, np.arange(first, last + 1))


def _slanting(board: Board, index: int, count: int) -> list[tuple[float, float]]:
    """Where the facets from an edge of a bent board on start and end on its outside, along the
    edge, and how much farther along for each mm of depth.
    """
    panel = board.panel
    plain = replace(panel, edges=tuple(replace(edge, groove=None) for edge in panel.edges))
    numbers = [index, (index + count) % len(panel.edges)]
    top, low = (
        product(level(plain, down)[numbers] - board.start[index], board.along[index]).tolist()
        for down in (0.0, panel.thickness)
    )
    return [(one, (two - one) / panel.thickness) for one, two in zip(top, low, strict=True)]


def _crossed(ring: Array, borders: Array) -> Array:
    """A ring with a vertex more at each place where it crosses one of the `borders` along."""
    found: list[tuple[float, float]] = []
    for (ax, ay), (bx, by) in zip(ring.tolist(), np.roll(ring, -1, axis=0).tolist(), strict=True):
        found.append((ax, ay))
        between = [x for x in borders.tolist() if min(ax, bx) < x < max(ax, bx)]
        found += [
            (x, ay + (by - ay) * (x - ax) / (bx - ax)) for x in sorted(between, reverse=bx < ax)
        ]
    return np.array(found)


def pierced(edge: int, flat: Flat, mouths: list[Mouth]) -> Iterator[Flat]:
    """A part of an end without the mouths of the holes in it."""
    low, high = flat.rim[:, 1].min(), flat.rim[:, 1].max()
    here = [mouth for mouth in mouths if low < mouth.rim[:, 1].mean() < high]
    if not here:
        yield flat
        return
    faceted = math.isfinite(here[0].borders[0])
    rims = [_in_shares(flat.rim) if faceted else flat.rim]
    spots = [flat.spots]
    area: Geometry = Polygon(rims[0])
    for mouth in here:
        left, right = mouth.borders[edge - mouth.first : edge - mouth.first + 2]
        own = (left <= mouth.rim[:, 0]) & (mouth.rim[:, 0] <= right)
        rim = mouth.rim[own]
        if faceted:
            rim = np.column_stack(((rim[:, 0] - left) / (right - left), rim[:, 1]))
        area = shapely.difference(area, Polygon(rim))
        rims.append(rim)
        spots.append(mouth.above[own])
    ring, solid = np.concatenate(rims), np.concatenate(spots)
    for part in shapely.get_parts(area).tolist():
        yield Flat(part, ring, solid, flat.lift)


def _in_shares(ring: Array) -> Array:
    """The ring of a facet with its two sides at 0 and 1, to the bit: they may slant."""
    top, low = ring[:, 1].max(), ring[:, 1].min()
    ends = [np.sort(ring[ring[:, 1] == depth, 0])[[0, -1]] for depth in (low, top)]
    share = (ring[:, 1] - low) / (top - low)
    left, right = (ends[0][at] + share * (ends[1][at] - ends[0][at]) for at in (0, 1))
    found = (ring[:, 0] - left) / (right - left)
    return np.column_stack(
        (np.where(np.abs(found - np.round(found)) < ON_SIDE, np.round(found), found), ring[:, 1])
    )


def bored(mouth: Mouth) -> Iterator[Array]:
    """The wall and the floor of a hole."""
    yield ribbon(mouth.above, mouth.below)
    numbers, _ = triangulated(np.array([Polygon(mouth.rim)]), mouth.rim)
    yield mouth.below[numbers]
