r"""Seams: where two edges of a board meet, from the outside face down to the inside one.

Stands after cells, before skin. In the net a seam is the ends of two strips, lying apart; rolled
up they meet, and must have the same vertices there.

    flat corner o-------------o      side   from the flat edge to the brink, at one end of a strip
                 \  strip    /       brink  where the strips end and the end of the board starts
           side   o--brink--o  side

At a hollow strip a seam goes up along it and down again along the end cut: its stations are depths
on the way down, and on the way up what is as far before the turn.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from shapely import Polygon

from mateline.cabinet.panel import level
from mateline.exports.solid.cells import Cells

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.exports.solid.cells import Rings
    from mateline.exports.solid.net import Board

    Array = NDArray[np.float64]
    Ints = NDArray[np.int64]

SAME = 1e-3  # mm: seam vertices nearer in depth than this are one
ON_CORNER = 1e-3  # mm: how far the paint's corners may be from the net's


@dataclass(frozen=True, slots=True)
class Seam:
    """One corner's stations from the outside to the inside face, (k,), and their spots (k, 3)."""

    stations: Array
    depths: Array
    spots: Array
    flat: Array  # (k, 2): the corner at these depths, face frame

    def between(self, top: float, bottom: float) -> slice:
        """What of the seam lies between two stations, from below the one to above the other.

        The side of a groove is in the seam twice, where it starts and where it ends.
        """
        first = int(np.searchsorted(self.stations, top + SAME)) - 1
        last = int(np.searchsorted(self.stations, bottom - SAME))
        return slice(first, last + 1)


@dataclass(frozen=True, slots=True)
class Sewn:
    """The net's vertices after its seams were matched: all `points` and `spots`, and those
    `added` between the two ends of an edge of the net.
    """

    points: Array
    spots: Array
    added: dict[tuple[int, int], list[int]]


def outer_parts(
    board: Board, points: Array, outer: Ints
) -> tuple[list[tuple[Ints, Ints]], list[Ints]]:
    """By edge: the two sides of its strips, each from the flat edge to the brink, and the brink."""
    marks = []
    for edge, profile in enumerate(board.profiles):
        for end, reach in ((0, 0.0), (0, profile.brink), (1, profile.brink), (1, 0.0)):
            apart = np.linalg.norm(points[outer] - board.laid(edge, end, reach), axis=1)
            if apart.min() > ON_CORNER:
                raise ValueError(
                    f"{board.panel.name}: the paint ends {apart.min():.3f} mm from its net's corner"
                )
            marks.append(int(apart.argmin()))
    walk = np.roll(outer, -marks[0])
    steps = [(mark - marks[0]) % len(outer) for mark in marks]
    steps[-2:] = [step or len(outer) for step in steps[-2:]]  # the walk ends where it starts
    walk = np.append(walk, walk[0])
    if steps != sorted(steps):
        raise ValueError(f"{board.panel.name}: the paint's rim does not follow its net")
    sides, brinks = [], []
    for edge in range(len(board.profiles)):
        flat, low, high, back = steps[4 * edge : 4 * edge + 4]
        sides.append((walk[flat : low + 1], walk[high : back + 1][::-1]))
        brinks.append(walk[low : high + 1])
    return sides, brinks


def straightened(cells: Cells, rings: Rings, sides: list[tuple[Ints, Ints]]) -> Cells:
    """The cells with straight seams between their corners.

    Left in, three vertices of a seam could be a triangle on both its sides: a flap that no
    reader takes for closed.
    """
    pairs = np.unique(np.column_stack((rings.a, rings.cell[rings.ring])), axis=0)
    alone = np.bincount(pairs[:, 0], minlength=len(rings.points)) == 1
    dropped = np.zeros(len(rings.points), dtype=bool)
    for side in itertools.chain.from_iterable(sides):
        dropped[side[1:-1]] = alone[side[1:-1]]
    areas = cells.areas.copy()
    for cell in np.unique(rings.cell[rings.ring[dropped[rings.a]]]).tolist():
        rest = [
            rings.points[rings.a[(rings.ring == ring) & ~dropped[rings.a]]]
            for ring in np.flatnonzero(rings.cell == cell)
        ]
        straight = Polygon(rest[0], rest[1:])
        # A border that hugs the bow of a seam keeps it: the cell would cross it, or turn over.
        if straight.is_valid and straight.exterior.is_ccw:
            areas[cell] = straight
    return Cells(areas, cells.colours, cells.places)


def seams_of(board: Board, points: Array, sides: list[tuple[Ints, Ints]]) -> list[Seam]:
    """The seam at each corner, with the depths of all vertices on either side of it."""
    found = []
    corners_at = cache(lambda depth, below: level(board.panel, depth, below=below))
    for corner in range(len(sides)):
        turn, beside = _turn(board, corner), ((corner - 1) % len(sides), corner)
        jogs = sorted({jump for edge in beside for jump in board.jumps[edge]})
        exact = [*jogs, 2 * turn, board.panel.thickness]
        wanted: list[float] = []
        for edge, end in ((corner - 1, 1), (corner, 0)):
            exact.append(_station(board.panel.edges[edge].section.points[-2][1], turn))
            wanted.extend(_stations(board, edge, points[sides[edge][end]], turn))
        stations: list[float] = []
        for station in (*exact, *wanted):
            if all(abs(station - known) > SAME for known in stations):
                stations.append(station)
        stations = sorted((*stations, *jogs))
        twice = [at > 0 and stations[at - 1] == each for at, each in enumerate(stations)]
        depths = [2 * turn - each if each < turn else each for each in stations]
        flat = np.array(
            [corners_at(depth, below)[corner] for depth, below in zip(depths, twice, strict=True)]
        )
        solid = board.raised(flat, np.array(depths))
        found.append(Seam(np.array(stations), np.array(depths), solid, flat))
    return found


def _turn(board: Board, corner: int) -> float:
    """The depth at which a corner's seam turns down: less than 0 at a hollow strip."""
    edges = board.panel.edges
    return 0.0 - max(edges[corner - 1].rise, edges[corner].rise)


def _station(depth: float, turn: float) -> float:
    """The station of a depth on the strips, which rounding may have left a hair below the face."""
    return 2 * turn - min(depth, 0.0) if turn < min(depth, 0.0) else depth


def sewn_up(
    board: Board,
    points: Array,
    spots: Array,
    seaming: tuple[list[tuple[Ints, Ints]], list[Seam]],
) -> Sewn:
    """Give both sides of each seam the same vertices, at the same spots."""
    sides, seams = seaming
    spots = spots.copy()
    new_points: list[Array] = []
    new_spots: list[Array] = []
    added: dict[tuple[int, int], list[int]] = {}
    for edge, end in itertools.product(range(len(sides)), (0, 1)):
        seam = seams[(edge + end) % len(seams)]
        side = sides[edge][end]
        turn = _turn(board, (edge + end) % len(seams))
        stations = np.array(_stations(board, edge, points[side], turn))
        nearest = np.abs(seam.stations[:, None] - stations).argmin(axis=0)
        spots[side] = seam.spots[nearest]
        for upper, (first, last) in enumerate(itertools.pairwise(nearest.tolist())):
            between = list(range(first + 1, last))
            if not between:
                continue
            a, b = int(side[upper]), int(side[upper + 1])
            numbers = [len(points) + len(new_points) + step for step in range(len(between))]
            share = (seam.stations[between] - seam.stations[first]) / (
                seam.stations[last] - seam.stations[first]
            )
            new_points.extend(points[a] + share[:, None] * (points[b] - points[a]))
            new_spots.extend(seam.spots[between])
            if end == 0:
                added[a, b] = numbers
            else:
                added[b, a] = numbers[::-1]
    if not added:
        return Sewn(points, spots, {})
    return Sewn(np.vstack([points, *new_points]), np.vstack([spots, *new_spots]), added)


def _stations(board: Board, edge: int, spots: Array, turn: float) -> list[float]:
    depths: list[float] = board.profiles[edge].at(board.reach(edge, spots))[1].tolist()
    return [_station(depth, turn) for depth in depths]
