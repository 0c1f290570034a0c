"""Stretches of rings that a higher shape covers, left out before anything is noded.

Stands between shapes and the arrangement. Crossings under other paint are never seen, and in a
deep drawing they are most of the work. What is left may end in the open, well inside the shape
that hides the rest: such an end has one layer on both its sides and parts nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.artwork.crossings import meeting_pairs
from mateline.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Objects = NDArray[np.object_]
    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

FEW = 64  # shapes: with fewer there is little to hide
STRETCH = 8  # edges that are looked at together
LARGE = 0.02  # share of the outline's area: a shape this large is tried on everything below it
TRIED = 64  # such shapes, from the top down
WORTH = 8  # trials for each stretch, on average
NEIGHBOURS = 6  # shapes near a stretch that are tried on it, from the top down
SAMPLE = 500  # stretches looked at to tell how crowded it is
CROWD = 64  # shapes near a stretch, on average: with more, only large ones are tried
CHUNK = 20_000  # stretches at a time: bounds the memory
MOST_MEETINGS = 2e6  # pairs of stretches whose boxes meet: noding more would take minutes
TANGLE = 64  # such pairs for each stretch: where there are more, most of them are true crossings,
MOST_TANGLED = 2e5  # and this many take seconds


def uncovered(rings: Objects, layer: Ints, layers: Objects) -> tuple[Objects, Ints]:
    """The parts of `rings` that may be seen, as lines, and the layer of each.

    `layer` is that of each ring, `layers` the areas back to front and the outline last. Raises
    InputError when too many of them cross.
    """
    if len(layers) <= FEW:
        return rings, layer
    points, ring = shapely.get_coordinates(rings, return_index=True)
    first, last = _stretches(ring)
    owner = layer[ring[first]]
    lines = _lines(points, first, last)
    boxes = shapely.bounds(lines)
    seen = owner == len(layers)  # the outline's own rings are always seen
    hidden = _under_large(lines, boxes, owner, layers) & ~seen
    left = np.flatnonzero(~hidden & ~seen)
    hidden[left] = _under_near(lines[left], boxes[left], owner[left], layers)
    left = np.flatnonzero(~hidden)
    meetings = meeting_pairs(boxes[left])
    if meetings > (MOST_MEETINGS if meetings <= TANGLE * len(left) else MOST_TANGLED):
        raise InputError(
            "", "",
            f"Too many of its {len(layers) - 1} shapes lie across each other for a pattern.",
            "Merge shapes of one colour, or leave out the hidden ones.",
        )  # fmt: skip
    joined = np.append(True, (left[1:] != left[:-1] + 1) | (first[left[1:]] != last[left[:-1]]))
    starts = np.flatnonzero(joined)
    stops = np.append(starts[1:], len(left)) - 1
    return _lines(points, first[left[starts]], last[left[stops]]), owner[left[starts]]


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


def _large(layers: Objects) -> Ints:
    """The topmost of the large shapes, from the top down; none in a drawing of a few shapes."""
    if len(layers) <= FEW:
        return np.empty(0, dtype=np.int64)
    found: Ints = np.flatnonzero(shapely.area(layers[:-1]) >= LARGE * layers[-1].area)
    return found[::-1][:TRIED]


def _stretches(ring: Ints) -> tuple[Ints, Ints]:
    """First and last vertex of each stretch of the rings."""
    begin = np.flatnonzero(np.append(True, ring[1:] != ring[:-1]))
    end = np.append(begin[1:], len(ring)) - 1
    count = -(-(end - begin) // STRETCH)
    number = np.arange(int(count.sum())) - np.repeat(np.cumsum(count) - count, count)
    first = np.repeat(begin, count) + STRETCH * number
    return first, np.minimum(first + STRETCH, np.repeat(end, count))


def _lines(points: Floats, first: Ints, last: Ints) -> Objects:
    count = last - first + 1
    start = np.cumsum(count) - count
    index = np.arange(int(count.sum())) + np.repeat(first - start, count)
    return np.asarray(
        shapely.linestrings(points[index], indices=np.repeat(np.arange(len(first)), count))
    )


def _under_large(lines: Objects, boxes: Floats, owner: Ints, layers: Objects) -> Bools:
    hidden = np.zeros(len(lines), dtype=bool)
    trials = WORTH * len(lines)
    for shape in _large(layers).tolist():
        cover = layers[shape]
        tried = np.flatnonzero(~hidden & (owner < shape + 1) & _within(boxes, cover.bounds))
        trials -= len(tried)
        if trials < 0:
            break
        shapely.prepare(cover)
        hidden[tried[shapely.contains_properly(cover, lines[tried])]] = True
    return hidden


def _under_near(lines: Objects, boxes: Floats, owner: Ints, layers: Objects) -> Bools:
    hidden = np.zeros(len(lines), dtype=bool)
    shapes = layers[:-1]
    tree, bounds = shapely.STRtree(shapes), shapely.bounds(shapes)
    sample = lines[:: max(1, len(lines) // SAMPLE)]
    if len(tree.query(sample)[0]) > CROWD * len(sample):
        return hidden
    shapely.prepare(shapes)
    for start in range(0, len(lines), CHUNK):
        some = slice(start, start + CHUNK)
        line, shape = tree.query(lines[some])
        higher = shape + 1 > owner[some][line]
        line, shape = line[higher], shape[higher]
        around = _within(boxes[some][line], bounds[shape].T)
        hidden[some] = _hidden(lines[some], line[around], shape[around], shapes)
    shapely.destroy_prepared(shapes)  # tens of MB that noding needs
    return hidden


def _hidden(lines: Objects, line: Ints, shape: Ints, shapes: Objects) -> Bools:
    """Which lines are inside one of the shapes paired with them."""
    hidden = np.zeros(len(lines), dtype=bool)
    order = np.lexsort((-shape, line))
    line, shape = line[order], shape[order]
    rank = np.arange(len(line)) - np.searchsorted(line, line)
    for turn in range(NEIGHBOURS):
        tried = np.flatnonzero((rank == turn) & ~hidden[line])
        under = shapely.contains_properly(shapes[shape[tried]], lines[line[tried]])
        hidden[line[tried[under]]] = True
    return hidden


def _within(boxes: Floats, bounds: Floats) -> Bools:
    low_x, low_y, high_x, high_y = bounds
    inside: Bools = (
        (boxes[:, 0] > low_x) & (boxes[:, 1] > low_y)
        & (boxes[:, 2] < high_x) & (boxes[:, 3] < high_y)
    )  # fmt: skip
    return inside
