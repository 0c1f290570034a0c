r"""What must keep its form in a drawing: its straight borders and its circles, each once.

Stands after arcs, before kept_forms. A border that goes on in one line, or on one circle, behind
what crosses it is one carrier, though other shapes cut it into pieces:

    ------+        +------      one line, of two pieces; the corners where it meets the sign
          |  sign  |            are vertices on it
    ------+        +------

Curves that are neither are carried vertex by vertex.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.placing.warping.arcs import arc_runs

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from mateline.placing.warping.arcs import ArcRun

    Array = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Objects = NDArray[np.object_]

ON = 0.002  # mm: how far a vertex may lie off a line or circle that it is on, as files round
SHORTEST = 1.0  # mm: a shorter edge is no straight border of its own
SAME_CIRCLE = 0.01  # mm: centres and radii of one circle agree to this
AT_END = 0.01  # mm: a vertex nearer to the end of a line than this is not between its ends
HALF = np.pi - 1e-6  # radians: an arc that turns more keeps its circle whole
ROUND = 2 * np.pi


@dataclass(frozen=True, slots=True)
class Carrier:
    """A line or an arc from vertex `first` to vertex `last`, with the vertices `between` them in
    their order; of a circle all are between. `reach` is its length, mm.

    `centre` and `radius`, mm, are those of a circle or an arc; None and 0 for a line.
    """

    first: int
    last: int
    between: tuple[int, ...]
    reach: float
    centre: tuple[float, float] | None = None
    radius: float = 0.0

    @property
    def whole(self) -> bool:
        """Whether it is a circle, or so much of one that it is carried whole."""
        return self.first < 0


@dataclass(frozen=True, slots=True)
class Forms:
    """The distinct `vertices` (n, 2) of a drawing's shapes, mm, and what keeps its form.

    `places` are the vertex of each coordinate, in the order of shapely.get_coordinates.
    """

    vertices: Array
    places: Ints
    carriers: tuple[Carrier, ...]


def forms_of(areas: Objects) -> Forms:
    """What must keep its form in `areas`, mm."""
    # -0.0 and 0.0 are one place.
    points = shapely.get_coordinates(areas) + 0.0
    vertices, places = np.unique(points, axis=0, return_inverse=True)
    places = places.ravel()
    runs, edges = _runs_and_edges(areas, vertices, places)
    circles = tuple(_circles(vertices, runs))
    return Forms(vertices, places, (*circles, *_lines(vertices, edges)))


def as_points(places: Array) -> Objects:
    """Places (n, 2) as points that can be looked up."""
    return np.asarray(shapely.points(places), dtype=object)


def _runs_and_edges(
    areas: Objects, vertices: Array, places: Ints
) -> tuple[list[tuple[ArcRun, Ints]], Ints]:
    """Arcs with the vertices that they run through, and the edges (k, 2) that belong to none."""
    rings = shapely.get_rings(shapely.get_parts(areas))
    counts = shapely.get_num_coordinates(rings)
    runs: list[tuple[ArcRun, Ints]] = []
    edges = []
    start = 0
    for count in counts.tolist():
        ids = places[start : start + count]
        start += count
        own = ids[:-1][ids[:-1] != ids[1:]]
        if len(own) < 3:
            continue
        straight = np.ones(len(own), dtype=bool)
        for run in arc_runs(vertices[own]):
            straight[run.vertices[:-1]] = False
            runs.append((run, own[run.vertices]))
        pairs = np.column_stack([own, np.roll(own, -1)])[straight]
        edges.append(np.sort(pairs, axis=1))
    if not edges:
        return runs, np.empty((0, 2), dtype=np.int64)
    return runs, np.unique(np.concatenate(edges), axis=0)


def _circles(vertices: Array, runs: Sequence[tuple[ArcRun, Ints]]) -> Iterator[Carrier]:
    """A carrier for each circle that arcs lie on."""
    table = np.array([(*run.centre, run.radius) for run, _ in runs]).reshape(-1, 3)
    free = np.ones(len(runs), dtype=bool)
    for at in range(len(runs)):
        if not free[at]:
            continue
        alike = free & (np.abs(table - table[at]) <= SAME_CIRCLE).all(axis=1)
        free &= ~alike
        ids = np.concatenate([runs[each][1] for each in np.flatnonzero(alike).tolist()])
        yield _circle(vertices, np.unique(ids), runs[at][0], ids)


def _circle(vertices: Array, ids: Ints, run: ArcRun, along: Ints) -> Carrier:
    """One circle with all the vertices on it, or the arc of it that they take up."""
    away = vertices[ids] - np.array(run.centre)
    angle = np.round(np.arctan2(away[:, 1], away[:, 0]), 9)
    order = np.lexsort((ids, angle))
    ids, angle = ids[order], angle[order]
    gaps = np.append(angle[1:], angle[0] + ROUND) - angle
    widest = int(np.argmax(np.round(gaps, 9)))
    turn = ROUND - float(gaps[widest])
    if turn > HALF or len(np.unique(along)) < 3:
        members = tuple(ids.tolist())
        return Carrier(-1, -1, members, turn * run.radius, run.centre, run.radius)
    ids = np.roll(ids, -widest - 1)
    first, *between, last = ids.tolist()
    return Carrier(first, last, tuple(between), turn * run.radius, run.centre, run.radius)


def _lines(vertices: Array, edges: Ints) -> Iterator[Carrier]:
    """A carrier for each line that edges lie on, the longest edges first."""
    way = vertices[edges[:, 1]] - vertices[edges[:, 0]]
    reach = np.hypot(way[:, 0], way[:, 1])
    straight = np.asarray(shapely.linestrings(vertices[edges]), dtype=object)
    tree = shapely.STRtree(straight)
    points = shapely.STRtree(as_points(vertices))
    far = float(np.ptp(vertices, axis=0).sum()) if len(vertices) else 0.0
    free = np.ones(len(edges), dtype=bool)
    for at in np.argsort(-np.round(reach, 9), kind="stable").tolist():
        if not free[at] or reach[at] < SHORTEST:
            continue
        start, along = vertices[edges[at, 0]], way[at] / reach[at]
        axis = shapely.linestrings([start - far * along, start + far * along])
        near = np.sort(tree.query(axis, predicate="dwithin", distance=ON))
        near = near[free[near]]
        off = _off(vertices[edges[near]], start, along)
        near = near[(off <= ON).all(axis=1)]
        free[near] = False
        pieces = shapely.multilinestrings(straight[near])
        ids = np.sort(points.query(pieces, predicate="dwithin", distance=ON))
        yield _line(vertices, ids, edges[near], (start, along))


def _line(vertices: Array, ids: Ints, edges: Ints, axis: tuple[Array, Array]) -> Carrier:
    start, along = axis
    away = vertices - start
    at = away[:, 0] * along[0] + away[:, 1] * along[1]
    ends = np.unique(edges)
    first = int(ends[np.argmin(at[ends])])
    last = int(ends[np.argmax(at[ends])])
    inner = ids[(at[ids] > at[first] + AT_END) & (at[ids] < at[last] - AT_END)]
    inner = inner[np.lexsort((inner, np.round(at[inner], 9)))]
    return Carrier(first, last, tuple(inner.tolist()), float(at[last] - at[first]))


def _off(points: Array, start: Array, along: Array) -> Array:
    """How far points (..., 2) lie off a line."""
    away = points - start
    found: Array = np.abs(away[..., 0] * along[1] - away[..., 1] * along[0])
    return found
