"""Chains between equal colours dropped, the rest joined into borders and nested into faces.

Stands between the arrangement and the pattern. Colours are numbers here; OUTSIDE is the
colour of everything beyond the outline.

    loop    half-edges around a face; counter-clockwise ones bound it, clockwise ones are holes
    face    one counter-clockwise loop and the holes in it: a connected area of one colour
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.planar.chains import Chains, spanned, summed, walked
from mateline.planar.crossings import boxes_of
from mateline.planar.half_edges import (
    TangledError,
    degrees,
    graph_of,
    listed,
    loop_sums,
    parents_of,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.planar.half_edges import Graph

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

OUTSIDE = -1
DIGITS = 9  # of places that decide an order


@dataclass(frozen=True, slots=True)
class Map:
    """Borders between faces. `face` is the face left of each half-edge, -1 the outside.

    `colour` is that of each face; `loops` are the half-edges of each face's simple loops, the
    outer one first. `area` and `length` are those of each face and of its whole boundary.
    """

    borders: Chains
    graph: Graph
    face: Ints
    colour: Ints
    loops: tuple[tuple[tuple[int, ...], ...], ...]
    area: Floats
    length: Floats


def dissolved(chains: Chains, left: Ints, right: Ints) -> tuple[Chains, Ints, Ints]:
    """Borders: chains between two colours, joined end to end wherever just two meet.

    Ordered by place. With them the colour left of each of their half-edges, and for each
    half-edge of `chains` the one of a border that it became part of, or -1.
    """
    between = np.flatnonzero(left != right)
    home = np.full(2 * len(chains), -1)
    halves = np.column_stack([2 * between, 2 * between + 1]).ravel()
    chains, sides = kept(chains, between), np.column_stack([left, right])[between].ravel()
    graph = graph_of(chains)
    following, node = graph.following.tolist(), graph.node.tolist()
    through = (degrees(graph) == 2).tolist()
    used = bytearray(len(following))
    by_place = np.argsort(graph.node, kind="stable").tolist()
    paths = _paths([h for h in by_place if not through[node[h]]], following, node, through, used)
    free = len(paths)
    paths += _paths(by_place, following, node, through, used)  # closed ones that pass no node
    points, offsets = walked(chains, paths)
    borders = Chains(points, offsets)
    first = np.array([path[0] for path in paths])
    colours = sides[np.column_stack([first, first ^ 1])]
    borders = _closed_at_lowest(borders, free)
    order = np.lexsort(_start_and_next(borders))
    rank = np.empty(len(paths), dtype=np.int64)
    rank[order] = np.arange(len(paths))
    steps = np.array([h for path in paths for h in path], dtype=np.int64)
    border = 2 * np.repeat(rank, [len(path) for path in paths])
    home[halves[steps]], home[halves[steps ^ 1]] = border, border + 1
    return kept(borders, order), colours[order].ravel(), home


def face_map(borders: Chains, sides: Ints) -> Map:
    """Faces of the map that `borders` make; `sides` is the colour left of each half-edge.

    Raises TangledError when a hole lies in a face of another colour.
    """
    graph = graph_of(borders)
    length, area = loop_sums(borders, graph)
    own = np.flatnonzero(graph.loop == np.arange(len(graph.loop)))
    loops = listed(graph, own)
    outer, holes = own[area[own] >= 0], own[area[own] < 0]
    parent = parents_of(borders, graph, loops, outer, holes)
    colour = np.append(sides, OUTSIDE)  # parent -1 reads the last one
    if (colour[parent] != sides[holes]).any():
        raise TangledError("a hole lies in a face of another colour")

    faces = outer[sides[outer] != OUTSIDE]
    faces = faces[_ranked(borders, [loops[loop] for loop in faces.tolist()])]
    number = np.full(len(graph.loop) + 1, OUTSIDE)
    number[faces] = np.arange(len(faces))
    number[holes] = number[parent]
    members: list[list[int]] = [[loop] for loop in faces.tolist()]
    for hole in holes[number[holes] != OUTSIDE].tolist():
        members[number[hole]].append(hole)
    real = own[number[own] != OUTSIDE]
    node = graph.node.tolist()
    boxes = boxes_of(borders.points, borders.offsets[:-1], borders.offsets[1:] - 1)
    return Map(
        borders,
        graph,
        number[graph.loop],
        sides[faces],
        tuple(_simple_loops([loops[loop] for loop in group], node, boxes) for group in members),
        summed(number[real], area[real], len(faces)),
        summed(number[real], length[real], len(faces)),
    )


def kept(chains: Chains, which: Ints) -> Chains:
    """The chains `which`, in that order."""
    return spanned(chains.points, chains.offsets[which], chains.offsets[which + 1] - 1)


def _paths(
    starts: list[int], following: list[int], node: list[int], through: list[bool], used: bytearray
) -> list[list[int]]:
    """Half-edges from each start until a node that is not `through`, or round to the start."""
    paths = []
    for start in starts:
        if used[start]:
            continue
        path, step = [], start
        while True:
            path.append(step)
            used[step] = used[step ^ 1] = 1
            step = following[step]
            if step == start or not through[node[step]]:
                break
        paths.append(path)
    return paths


def _closed_at_lowest(borders: Chains, free: int) -> Chains:
    """Borders from number `free` on, all closed, turned to start at the lowest of their points."""
    points = borders.points.copy()
    for a, b in zip(
        borders.offsets[free:-1].tolist(), borders.offsets[free + 1 :].tolist(), strict=True
    ):
        ring = points[a : b - 1]
        low = np.lexsort(_rounded(ring).T[::-1])[0]
        points[a : b - 1] = np.roll(ring, -low, axis=0)
        points[b - 1] = points[a]
    return Chains(points, borders.offsets)


def _ranked(borders: Chains, loops: list[list[int]]) -> Ints:
    """Order of loops by their lowest points, x before y, then by the points that follow."""
    if not loops:
        return np.empty(0, dtype=np.int64)
    points, offsets = walked(borders, loops)
    points = _rounded(points)
    loop = np.repeat(np.arange(len(loops)), np.diff(offsets))
    order = np.lexsort((points[:, 1], points[:, 0], loop))
    lowest = points[order[offsets[:-1]]]
    middle = _rounded(np.add.reduceat(points, offsets[:-1]) / np.diff(offsets)[:, None])
    ranks: Ints = np.lexsort((middle[:, 1], middle[:, 0], lowest[:, 1], lowest[:, 0]))
    return ranks


def _simple_loops(
    loops: list[list[int]], node: list[int], boxes: Floats
) -> tuple[tuple[int, ...], ...]:
    """Loops cut where they pass a node twice, the outer one first."""
    parts = [part for loop in loops for part in _cut_at_pinches(loop, node)]
    if len(parts) > 1:
        parts.sort(key=lambda part: _box_area(boxes[np.array(part) >> 1]), reverse=True)
    return tuple(tuple(part) for part in parts)


def _cut_at_pinches(loop: list[int], node: list[int]) -> list[list[int]]:
    nodes = [node[step] for step in loop]
    if len(set(nodes)) == len(nodes):
        return [loop]
    parts: list[list[int]] = []
    path: list[int] = []
    at: dict[int, int] = {}
    for step, here in zip(loop, nodes, strict=True):
        if here in at:
            cut = at[here]
            parts.append(path[cut:])
            for gone in path[cut:]:
                del at[node[gone]]
            del path[cut:]
        at[here] = len(path)
        path.append(step)
    return [*parts, path]


def _box_area(boxes: Floats) -> float:
    # The outer loop holds the others, so its box is the largest, whichever way areas round.
    return float(np.prod(boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)))


def _start_and_next(borders: Chains) -> tuple[Floats, ...]:
    first = borders.offsets[:-1]
    a, b = _rounded(borders.points[first]), _rounded(borders.points[first + 1])
    return b[:, 1], b[:, 0], a[:, 1], a[:, 0]


def _rounded(points: Floats) -> Floats:
    """Places to order by: points on one upright line are so whatever their last bits say."""
    found: Floats = np.round(points, DIGITS)
    return found
