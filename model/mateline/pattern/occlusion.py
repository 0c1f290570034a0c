"""Stretches of rings that a higher shape covers, left out before anything is noded.

Stands between shapes and the arrangement. Crossings under other paint are never seen, and in a
deep drawing they are most of the work. What is left may end in the open, well inside the shape
that hides the rest: such an end has one layer on both its sides and parts nothing.
"""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.errors import InputError
from mateline.planar.chains import spanned
from mateline.planar.crossings import (
    boxes_of,
    crossings,
    diagonals,
    lines_of,
)
from mateline.planar.point_location import stretches

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from mateline.planar.chains import Chains

    Objects = NDArray[np.object_]
    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

FEW = 64  # shapes: with fewer there is little to hide
LARGE = 0.02  # share of the outline's area: a shape this large is tried on everything below it
TRIED = 64  # such shapes, from the top down
WORTH = 8  # trials for each stretch, on average
NEIGHBOURS = 6  # shapes near a stretch that are tried on it, from the top down
SAMPLE = 500  # stretches or points looked at to tell how crowded it is
CROWD = 64  # shapes near a stretch, on average: with more, only large ones are tried
CHUNK = 20_000  # stretches at a time: bounds the memory
POINTS = 4096  # at a time, for the same reason
PAIRS = 1_000_000  # of points and shapes at a time, as well
MOST_MEETINGS = 3e7  # such pairs: looking at more takes many seconds
MOST_CROSSINGS = 2e5  # of edges: more take many seconds and GB
PER_STRETCH = 3  # crossings of edges: a large drawing may have that many


def without_occluded(rings: Chains, layer: Ints, layers: Objects) -> tuple[Chains, Ints]:
    """The parts of `rings` that may be seen, as lines, and the layer of each.

    `layer` is that of each ring, `layers` the areas back to front and the outline last.
    """
    if len(layers) <= FEW:
        return rings, layer
    points = rings.points
    first, last, ring = stretches(rings.offsets)
    owner = layer[ring]
    boxes = boxes_of(points, first, last)
    seen = owner == len(layers)  # the outline's own rings are always seen
    hidden = _under_large(points, (first, last), boxes, owner, layers) & ~seen
    left = np.flatnonzero(~hidden & ~seen)
    hidden[left] = _under_near(points, (first[left], last[left]), boxes[left], owner[left], layers)
    left = np.flatnonzero(~hidden)
    joined = np.append(True, (left[1:] != left[:-1] + 1) | (first[left[1:]] != last[left[:-1]]))
    starts = np.flatnonzero(joined)
    stops = np.append(starts[1:], len(left)) - 1
    spans = spanned(points, first[left[starts]], last[left[stops]])
    return spans, owner[left[starts]]


def refuse_many_crossings(lines: Chains, shapes: int) -> None:
    """Raise InputError when `lines`, of so many `shapes`, cross too often to be noded."""
    first, last, _ = stretches(lines.offsets)
    most = max(MOST_CROSSINGS, PER_STRETCH * len(first))
    meetings, crossed = crossings(lines.points, first, last, most)
    if meetings <= MOST_MEETINGS and crossed <= most:
        return
    raise InputError(
        "", "",
        f"Too many of its {shapes} shapes lie across each other for a pattern.",
        "Merge shapes of one colour, or leave out the hidden ones.",
    )  # fmt: skip


def topmost_large(points: Objects, layers: Objects, own: tuple[Ints, Ints]) -> Ints:
    """For each of `points` the highest of the topmost large shapes that has it inside, or 0.

    `own` are pairs of a point and the layer of a ring that it is on: they don't count.
    """
    top = np.zeros(len(points), dtype=np.int64)
    for shape in _large(layers).tolist():
        tried = np.flatnonzero(top == 0)
        tried = tried[~np.isin(tried, own[0][own[1] == shape + 1])]
        top[tried[shapely.contains(layers[shape], points[tried])]] = shape + 1
    return top


def above(points: Objects, floor: Ints, shapes: Objects) -> tuple[Ints, Ints]:
    """Pairs (point, layer) of each of `points` and the layers above its floor that have it inside;
    `shapes` are the layers from 1 on.
    """
    tree = shapely.STRtree(shapes)
    sample = points[:: max(1, len(points) // SAMPLE)]
    crowd = max(1, len(tree.query(sample)[0]) // len(sample))
    chunk = max(1, min(POINTS, PAIRS // crowd))
    found = []
    for start in range(0, len(points), chunk):
        some = points[start : start + chunk]
        point, shape = tree.query(some)
        higher = shape + 1 > floor[start:][point]
        point, shape = point[higher], shape[higher]
        with prepared(shapes[np.unique(shape)]):
            inside = shapely.contains(shapes[shape], some[point])
        found.append((point[inside] + start, shape[inside] + 1))
    point, layer = (np.concatenate(part) for part in zip(*found, strict=True))
    return point, layer


def _large(layers: Objects) -> Ints:
    """The topmost of the large shapes, from the top down; none in a drawing of a few shapes."""
    if len(layers) <= FEW:
        return np.empty(0, dtype=np.int64)
    found: Ints = np.flatnonzero(shapely.area(layers[:-1]) >= LARGE * layers[-1].area)
    return found[::-1][:TRIED]


def _under_large(
    points: Floats, spans: tuple[Ints, Ints], boxes: Floats, owner: Ints, layers: Objects
) -> Bools:
    first, last = spans
    hidden = np.zeros(len(first), dtype=bool)
    trials = WORTH * len(first)
    for shape in _large(layers).tolist():
        cover = layers[shape]
        tried = np.flatnonzero(~hidden & (owner < shape + 1) & _within(boxes, cover.bounds))
        trials -= len(tried)
        if trials < 0:
            break
        shapely.prepare(cover)
        for at in range(0, len(tried), CHUNK):
            some = tried[at : at + CHUNK]
            lines = lines_of(points, first[some], last[some])
            hidden[some[shapely.contains_properly(cover, lines)]] = True
    return hidden


def _under_near(
    points: Floats, spans: tuple[Ints, Ints], boxes: Floats, owner: Ints, layers: Objects
) -> Bools:
    hidden = np.zeros(len(boxes), dtype=bool)
    shapes = layers[:-1]
    tree, bounds = shapely.STRtree(shapes), shapely.bounds(shapes)
    sample = diagonals(boxes[:: max(1, len(boxes) // SAMPLE)])
    if len(tree.query(sample)[0]) > CROWD * len(sample):
        return hidden
    for start in range(0, len(boxes), CHUNK):
        some = slice(start, start + CHUNK)
        lines = lines_of(points, spans[0][some], spans[1][some])
        line, shape = tree.query(lines)
        higher = shape + 1 > owner[some][line]
        line, shape = line[higher], shape[higher]
        around = _within(boxes[some][line], bounds[shape].T)
        hidden[some] = _hidden(lines, line[around], shape[around], shapes)
    return hidden


def _hidden(lines: Objects, line: Ints, shape: Ints, shapes: Objects) -> Bools:
    """Which lines are inside one of the shapes paired with them."""
    hidden = np.zeros(len(lines), dtype=bool)
    order = np.lexsort((-shape, line))
    line, shape = line[order], shape[order]
    rank = np.arange(len(line)) - np.searchsorted(line, line)
    line, shape, rank = line[rank < NEIGHBOURS], shape[rank < NEIGHBOURS], rank[rank < NEIGHBOURS]
    with prepared(shapes[np.unique(shape)]):
        for turn in range(NEIGHBOURS):
            tried = np.flatnonzero((rank == turn) & ~hidden[line])
            under = shapely.contains_properly(shapes[shape[tried]], lines[line[tried]])
            hidden[line[tried[under]]] = True
    return hidden


@contextmanager
def prepared(areas: Objects) -> Iterator[None]:
    """Prepare `areas` for many questions; what that takes, tens of MB, is given back."""
    shapely.prepare(areas)
    try:
        yield
    finally:
        shapely.destroy_prepared(areas)


def _within(boxes: Floats, bounds: Floats) -> Bools:
    low_x, low_y, high_x, high_y = bounds
    inside: Bools = (
        (boxes[:, 0] > low_x) & (boxes[:, 1] > low_y)
        & (boxes[:, 2] < high_x) & (boxes[:, 3] < high_y)
    )  # fmt: skip
    return inside
