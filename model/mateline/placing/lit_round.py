r"""The part of a round that looks towards a viewer, and how what he sees lies on it.

Stands after similarity, before placed. The viewer is far away: his view is a parallel projection.

           view                     A round of radius R in section, with the viewer above it.
     ---h----------->               What he sees at h from its axis lies at the angle psi from
           |   |                    the place that faces him:
        .--o-. |                        h = R sin psi,   so true width along the round = R psi
      /    |psi\v                   and nothing beyond 90° is seen. Where the edge leans by a
     |     c----|                   share k towards the viewer, a place also shows
                                    k R cos psi further along the edge (elementary).

Straight lines of the view become curves on the round. They are broken at levels of psi that are
close enough for chords of any direction: over a step d a chord leaves its curve by less than
R d^2 / (8 S cos psi), with S = sqrt(1 - k^2).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon, box

from mateline.cabinet.panel import edge_axes
from mateline.curves import FACET, radius
from mateline.planar.unions import polygons
from mateline.products import product

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face, Strip

    Area = Polygon | shapely.MultiPolygon
    Array = NDArray[np.float64]

GRAZING = 0.1  # no unit: cosine; a flat part nearer to edge-on than 84° is not painted from there
LEAST = 1e-6  # mm: a lit part of a round that is no wider is rounding
BEYOND = 0.01  # mm: so far a view is carried past the ends of a round, to be cut there
ON_LEVEL = 1e-9  # mm: a corner this near to a level is on it
QUARTER = math.pi / 2


@dataclass(frozen=True, slots=True)
class LitRound:
    """What takes a view (x, y), mm, to the net of a face, over one of its rounds.

    In the view, `along` and `across` are unit vectors along the edge and across it; `centre` is
    the round's axis there: along at the edge's start, and across. `lean` is the cosine between the
    edge and the way to the viewer. In the net a place is `foot` + q `edge` + s `outward`, with q
    along the edge and s the true width down from where psi is 0. `first` and `last` bound what
    is lit: psi, radians.
    """

    radius: float
    along: tuple[float, float]
    across: tuple[float, float]
    centre: tuple[float, float]
    lean: float
    foot: tuple[float, float]
    edge: tuple[float, float]
    outward: tuple[float, float]
    first: float
    last: float
    side: float = 1.0  # -1 where it is hollow: seen from within, its middle is the farthest

    @property
    def share(self) -> float:
        """By how much the edge is seen shortened."""
        return math.sqrt((1 - self.lean) * (1 + self.lean))

    @property
    def stretch(self) -> float:
        """By how much lengths of the view grow at most, where more than a smear is seen."""
        least = min(math.cos(self.first), math.cos(self.last))
        return 1 / max(GRAZING, self.share * least)

    def laid(self, areas: NDArray[np.object_]) -> NDArray[np.object_]:
        """Areas of the view as they lie in the net; what the round does not show is cut off."""
        spread = BEYOND / self.radius
        levels = self._levels(max(self.first - spread, -QUARTER), min(self.last + spread, QUARTER))
        heights = [self.centre[1] + self.radius * math.sin(psi) for psi in levels]
        turned = shapely.transform(areas, lambda at: _turned(at, (self.along, self.across)))
        left, _, right, _ = shapely.total_bounds(turned)
        seen = np.full(len(areas), Polygon(), dtype=object)
        if not math.isnan(left):
            band = box(left - 1, heights[0], right + 1, heights[-1])
            near = np.flatnonzero(shapely.intersects(turned, band))
            cut = shapely.intersection(turned[near], band)
            seen[near] = [self._bent(each, levels, np.array(heights)) for each in cut]
        return seen

    def seen(self, points: Array) -> Array:
        """Where places of the net, (n, 2), are seen in the view, mm: the other way round."""
        beside = points - self.foot
        q = beside[:, 0] * self.edge[0] + beside[:, 1] * self.edge[1]
        psi = (beside[:, 0] * self.outward[0] + beside[:, 1] * self.outward[1]) / self.radius
        t = self.centre[0] + q * self.share - self.side * self.lean * self.radius * np.cos(psi)
        h = self.centre[1] + self.radius * np.sin(psi)
        return np.outer(t, self.along) + np.outer(h, self.across)

    def lit(self, area: Polygon) -> Area:
        """What of an area of the net is seen."""
        reach = 2 * float(np.abs(shapely.get_coordinates(area) - self.foot).max())
        foot, edge, out = (np.array(each) for each in (self.foot, self.edge, self.outward))
        low, high = self.radius * self.first, self.radius * self.last
        ends = ((-reach, low), (reach, low), (reach, high), (-reach, high))
        return polygons(area.intersection(Polygon([foot + q * edge + s * out for q, s in ends])))

    def _levels(self, first: float, last: float) -> list[float]:
        """The psi at which lines are broken, from `first` to `last`, in ascending order."""
        inner = FACET / self.radius  # from edge-on: all in there is within a facet's deviation
        steps = [0.0]
        while steps[-1] < QUARTER:
            at = steps[-1]
            wide = inner if at == 0 else math.sqrt(8 * inner * self.share * math.sin(at))
            steps.append(min(at + wide, QUARTER))
        graded = {side * (QUARTER - step) for step in steps for side in (-1, 1)}
        ends = {first, last, self.first, self.last}
        apart = ON_LEVEL / self.radius
        inside = {psi for psi in graded if all(abs(psi - end) > apart for end in ends)}
        return sorted(psi for psi in ends | inside if first <= psi <= last)

    def _bent(self, area: shapely.Geometry, levels: list[float], heights: Array) -> Area:
        """An area of the view, turned along and across, in the net."""
        made = []
        for part in shapely.get_parts(polygons(area)).tolist():
            shell, *holes = (
                self._ring(shapely.get_coordinates(ring), levels, heights)
                for ring in (part.exterior, *part.interiors)
            )
            bent = Polygon(shell, holes)
            # Parts closer to each other than chords leave their curves may cross.
            made.append(bent if bent.is_valid else shapely.make_valid(bent, method="structure"))
        return polygons(made[0] if len(made) == 1 else shapely.union_all(made))

    def _ring(self, ring: Array, levels: list[float], heights: Array) -> Array:
        """A ring (n, 2) of the view, along and across, in the net with its lines broken."""
        t, h, level = _broken(ring, heights)
        psi = [
            levels[at] if at >= 0 else math.asin(max(-1.0, min(1.0, sine)))
            for at, sine in zip(level, ((h - self.centre[1]) / self.radius).tolist(), strict=True)
        ]
        cosine = np.array([math.cos(each) for each in psi])
        q = (t - self.centre[0] + self.side * self.lean * self.radius * cosine) / self.share
        s = self.radius * np.array(psi)
        return np.column_stack(
            [self.foot[axis] + q * self.edge[axis] + s * self.outward[axis] for axis in (0, 1)]
        )


def lit_round(face: Face, strip: Strip, axes: Array) -> LitRound | None:
    """A round strip as the viewer sees it who has `axes` (2, 3) to the right and up.

    None where he sees nothing of it, or its edge runs towards him.
    """
    panel, edge = face.panel, face.panel.edges[strip.edge]
    segment = edge.section.segments[strip.segment]
    if segment.centre is None:
        raise ValueError(f"strip {strip.edge} of {face.name} is no round")
    top = edge.section.points[strip.segment]
    (inset, deep), reach = segment.centre, radius(segment)
    start, along, inward = edge_axes(panel, strip.edge)
    flat = np.column_stack([panel.frame.along_x, panel.frame.along_y])
    along3, beyond3, out3 = (
        product(flat, along),
        product(flat, -inward),
        np.array(panel.frame.outward),
    )
    towards = np.cross(axes[0], axes[1])
    lean, facing = (
        float(product(along3, towards)),
        (
            float(product(out3, towards)),
            float(product(beyond3, towards)),
        ),
    )
    if math.hypot(*facing) <= GRAZING:
        return None
    # The angle round the axis: 0 straight out of the face, a quarter turn beyond its edge. In a
    # hollow strip it is that of its normals, and falls from the fold on: there psi runs against it.
    side = 1.0 if segment.to[1] > top[1] else -1.0
    zero = math.atan2(facing[1], facing[0])
    begin = math.atan2(side * (inset - top[0]), side * (deep - top[1]))
    end = math.atan2(side * (inset - segment.to[0]), side * (deep - segment.to[1]))
    first = math.remainder(side * (begin - zero), math.tau)
    if first > QUARTER:
        first -= math.tau
    last = first + side * (end - begin)
    low, high = max(first, -QUARTER), min(last, QUARTER)
    if reach * (high - low) <= LEAST:
        return None
    axis = np.array(panel.frame.corner) + product(flat, start) - inset * beyond3 - deep * out3
    across3 = -math.sin(zero) * out3 + math.cos(zero) * beyond3
    along_seen = (along3 - lean * towards) / math.hypot(*facing)
    fold = shapely.get_coordinates(strip.score)[0]
    # s is 0 where psi is: from the fold by the round's turn up to there, along the strip.
    past = float(product(fold - start, -inward)) - reach * first
    foot = start - past * inward
    return LitRound(
        reach,
        _pair(product(axes, along_seen)),
        _pair(product(axes, across3)),
        (float(product(along_seen, axis)), float(product(across3, axis))),
        lean,
        _pair(foot),
        _pair(along),
        _pair(-inward),
        low,
        high,
        side,
    )


def lit_board(face: Face, axes: Array) -> LitRound | None:
    """A bent board as the viewer sees it, as `lit_round`."""
    panel, bend = face.panel, face.panel.bend
    if bend is None:
        raise ValueError(f"{face.name} is not bent")
    ways = [np.array(panel.frame.along_x), np.array(panel.frame.along_y)]
    around3, along3 = ways[::-1] if bend.upright else ways
    out3, towards = np.array(panel.frame.outward), np.cross(axes[0], axes[1])
    lean = float(product(along3, towards))
    facing = float(product(out3, towards)), float(product(around3, towards))
    if math.hypot(*facing) <= GRAZING:
        return None
    reach, zero = abs(bend.radius), math.atan2(facing[1], facing[0])
    side = math.copysign(1.0, bend.radius)
    bounds = face.flat.bounds
    ends = (bounds[1], bounds[3]) if bend.upright else (bounds[0], bounds[2])
    # Along the outside, psi is 0 at radius times zero, and again a turn further.
    begins = [ends[0] / reach - side * (zero + turn) for turn in (-math.tau, 0.0, math.tau)]
    long = (ends[1] - ends[0]) / reach
    first = max(begins, key=lambda at: min(at + long, QUARTER) - max(at, -QUARTER))
    low, high = max(first, -QUARTER), min(first + long, QUARTER)
    if reach * (high - low) <= LEAST:
        return None
    across3 = math.cos(zero) * around3 - math.sin(zero) * out3
    along_seen = (along3 - lean * towards) / math.hypot(*facing)
    axis = np.array(panel.frame.corner) - bend.radius * out3
    foot, edge, outward = (ends[0] - reach * first, (1.0, 0.0), (0.0, 1.0))
    return LitRound(
        reach,
        _pair(product(axes, along_seen)),
        _pair(product(axes, across3)),
        (float(product(along_seen, axis)), float(product(across3, axis))),
        lean,
        (0.0, foot) if bend.upright else (foot, 0.0),
        edge if bend.upright else outward,
        outward if bend.upright else edge,
        low,
        high,
        side,
    )


def _broken(ring: Array, heights: Array) -> tuple[Array, Array, list[int]]:
    """A ring's corners with those that it has at `heights`: t, h, and which height or -1.

    Both ways along a line give the same corners, to the bit.
    """
    t, h = ring[:-1].T.copy()
    at = np.clip(np.searchsorted(heights, h), 1, len(heights) - 1)
    at -= h - heights[at - 1] < heights[at] - h
    level = np.where(np.abs(heights[at] - h) <= ON_LEVEL, at, -1)
    h = np.where(level >= 0, heights[at], h)
    rows: list[tuple[float, float, int]] = []
    count = len(h)
    for index in range(count):
        after = (index + 1) % count
        rows.append((float(t[index]), float(h[index]), int(level[index])))
        low, high = (index, after) if h[index] < h[after] else (after, index)
        first = int(np.searchsorted(heights, h[low], side="right"))
        last = int(np.searchsorted(heights, h[high], side="left"))
        if first < last:
            slope = (t[high] - t[low]) / (h[high] - h[low])
            between = range(first, last) if low == index else range(last - 1, first - 1, -1)
            rows.extend(
                (float(t[low] + (heights[k] - h[low]) * slope), float(heights[k]), k)
                for k in between
            )
    ts, hs, levels = zip(*rows, strict=True)
    return np.array(ts), np.array(hs), list(levels)


def _turned(points: Array, axes: tuple[tuple[float, float], tuple[float, float]]) -> Array:
    return np.column_stack([points[:, 0] * x + points[:, 1] * y for x, y in axes])


def _pair(numbers: Array) -> tuple[float, float]:
    x, y = numbers.tolist()
    return x, y
