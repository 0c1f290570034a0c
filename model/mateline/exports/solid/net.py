"""A board's net for pictures: where it folds, and how its spots lie on the board.

Stands before skin. Rounds are facets here, coarser than those of the faces; every spot is rolled
up onto the true round.

    reach   how far a spot of the net lies beyond the flat edge, on the strips, mm
    fold    a reach where a strip starts or ends, or one facet of a round meets the next
    brink   the last fold: there the end of the board starts
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import LineString

from mateline.cabinet.bent.rings import in_facets
from mateline.cabinet.edges.tools import groove_depths
from mateline.cabinet.faces import bent_at
from mateline.cabinet.panel import level, raised
from mateline.curves import facet_count, radius, sweep
from mateline.products import product

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray
    from shapely import Geometry

    from mateline.cabinet.panel import Edge, Panel
    from mateline.curves import Point, Segment

    Array = NDArray[np.float64]

SEEN = 0.1  # mm: how far a facet may leave what it stands for in a picture
INSIDE = -1  # in place of an edge's number: the inside of the board
OVERSHOOT = 0.02  # mm: folds are drawn this much too long first, for the net's sides are chords


@dataclass(frozen=True, slots=True)
class Profile:
    """The strips of one edge of a board, by reach."""

    edge: Edge
    ends: tuple[float, ...]  # reach at which each strip ends, after a 0
    folds: tuple[float, ...]

    @property
    def brink(self) -> float:
        """Reach at which the strips end."""
        return self.ends[-1]

    def at(self, reach: Array) -> tuple[Array, Array]:
        """(in, down) of spots on the strips. Reaches before or beyond them count as at their ends.

        The brink is given to the bit.
        """
        across = np.full(reach.shape, self.edge.section.start[0])
        down = np.zeros(reach.shape)
        for index, segment in enumerate(self.edge.section.segments[:-1]):
            before, after = self.ends[index], self.ends[index + 1]
            here = reach > before
            share = np.clip((reach[here] - before) / (after - before), 0.0, 1.0)
            across[here], down[here] = _between(self.edge.section.points[index], segment, share)
        return across, down


@dataclass(frozen=True, slots=True)
class Board:
    """A panel with what its net needs worked out once; arrays by edge, (n, 2), face frame."""

    panel: Panel
    start: Array
    along: Array
    inward: Array
    profiles: tuple[Profile, ...]
    flat: Array  # where the flat part has its corners
    # By edge, the depths at which its end jumps: the sides of its groove and, on a facet of a run,
    # those of other grooves at which one of its corners moves.
    jumps: tuple[tuple[float, ...], ...]

    def raised(self, spots: Array, down: Array | float) -> Array:
        """Spots (k, 2) of the face frame at a depth, in the cabinet frame (k, 3)."""
        return raised(self.panel, spots, down)

    def reach(self, edge: int, spots: Array) -> Array:
        """Reach of spots (k, 2) of the net beyond an edge."""
        inside = product(spots - self.start[edge], self.inward[edge])
        beyond: Array = self.panel.edges[edge].section.start[0] - inside
        return beyond

    def rolled(self, edge: int, spots: Array) -> Array:
        """Spots (k, 2) of the net on the strips of an edge, rolled up, cabinet frame (k, 3)."""
        across, down = self.profiles[edge].at(self.reach(edge, spots))
        beside = product(spots - self.start[edge], self.along[edge])
        flat = (
            self.start[edge]
            + np.multiply.outer(beside, self.along[edge])
            + np.multiply.outer(across, self.inward[edge])
        )
        return self.raised(flat, down)

    def laid(self, edge: int, end: int, reach: float) -> Array:
        """Where the first (0) or second (1) end of an edge's strips is in the net, (2,)."""
        if reach == 0:
            flat: Array = self.flat[(edge + end) % len(self.profiles)]
            return flat
        _, down = self.profiles[edge].at(np.array([reach]))
        corner = level(self.panel, float(down[0]))[(edge + end) % len(self.profiles)]
        beside = float(product(corner - self.start[edge], self.along[edge]))
        out = self.panel.edges[edge].section.start[0] - reach
        spot: Array = self.start[edge] + beside * self.along[edge] + out * self.inward[edge]
        return spot

    def fold_lines(self, strips: Sequence[Geometry]) -> list[Geometry]:
        """The lines along which the net is folded or faceted; `strips` are its parts by edge.

        Where two rounds meet at a blunt corner their strips part by less than any line may be
        too long: a fold that reached its neighbour would close the net there.
        """
        lines: list[Geometry] = []
        if self.panel.bend is not None:
            for step in range(1, self.panel.runs[0].count):  # the curved edges run opposite ways
                ends = self.flat[[step, len(self.flat) - 1 - step]]
                over = OVERSHOOT * (ends[1] - ends[0]) / math.dist(*ends)
                lines.append(LineString([ends[0] - over, ends[1] + over]))
        for edge, profile in enumerate(self.profiles):
            for fold in profile.folds[:-1]:
                ends = np.array([self.laid(edge, end, fold) for end in (0, 1)])
                if fold == 0:
                    lines.append(LineString(ends))
                    continue
                ends += np.array([[-OVERSHOOT], [OVERSHOOT]]) * self.along[edge]
                lines.append(shapely.intersection(LineString(ends), strips[edge]))
        return lines


def board_of(panel: Panel) -> Board:
    """The board of `panel`; a bent one has the facets of its curved edges."""
    if panel.bend is not None:
        panel = in_facets(panel, len(bent_at(panel, SEEN)) - 1)
    start = np.array(panel.outline)
    along = np.roll(start, -1, axis=0) - start
    along /= np.linalg.norm(along, axis=1)[:, None]
    inward = np.column_stack((-along[:, 1], along[:, 0]))
    profiles = tuple(_profile(edge) for edge in panel.edges)
    return Board(panel, start, along, inward, profiles, level(panel, 0.0), tuple(_jumps(panel)))


def _jumps(panel: Panel) -> Iterator[tuple[float, ...]]:
    sides = groove_depths(panel)[1:-1]
    moved = {
        side: (level(panel, side) != level(panel, side, below=True)).any(axis=1) for side in sides
    }
    facets = {at for run in panel.runs for at in range(run.first, run.first + run.count)}
    for at, edge in enumerate(panel.edges):
        groove, then = edge.groove, (at + 1) % len(panel.edges)
        own = () if groove is None else (groove.top, groove.bottom)
        yield tuple(
            side
            for side in sides
            if side in own or (at in facets and (moved[side][at] or moved[side][then]))
        )


def _profile(edge: Edge) -> Profile:
    ends, folds = [0.0], [0.0]
    for at, segment in zip(edge.section.points, edge.section.segments[:-1], strict=False):
        if segment.centre is None:
            wide, count = math.dist(at, segment.to), 1
        else:
            turn = abs(sweep(at, segment))
            wide = radius(segment) * turn
            count = facet_count(radius(segment), turn, SEEN)
        folds.extend(ends[-1] + wide * step / count for step in range(1, count + 1))
        ends.append(folds[-1])
    return Profile(edge, tuple(ends), tuple(folds))


def _between(start: Point, segment: Segment, share: Array) -> tuple[Array, Array]:
    if segment.centre is None:
        across = start[0] + share * (segment.to[0] - start[0])
        down = start[1] + share * (segment.to[1] - start[1])
    else:
        (cx, cy), reach = segment.centre, radius(segment)
        angle = math.atan2(start[1] - cy, start[0] - cx) + share * sweep(start, segment)
        across, down = cx + reach * np.cos(angle), cy + reach * np.sin(angle)
    last = share >= 1.0
    return np.where(last, segment.to[0], across), np.where(last, segment.to[1], down)
