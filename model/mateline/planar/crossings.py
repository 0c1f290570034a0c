"""How many pieces of line meet, told from a sample: work that can't be done is refused first.

Stands before noding. Boxes alone don't tell: rings inside one another have boxes that meet by
the million, and never cross.
"""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

SAMPLE = 100  # boxes looked at; the step between them is even, so the answer is always the same
TRIED = 4_000  # pairs of these whose lines are looked at
FEW, MANY = 16, 8192  # boxes asked for at a time
TABLE = 1_000_000  # pairs that may come back at a time


def crossings(points: Floats, first: Ints, last: Ints, few: float) -> tuple[float, float]:
    """About how many pairs of the lines points[first[i]] .. points[last[i]] have boxes that
    meet, and about how often edges of two lines cross or touch, shared ends not counted.

    Where there can be no more than `few` crossings they are not looked for: both are 0.
    """
    edges = int((last - first).max(initial=0))
    if len(first) ** 2 / 2 * edges**2 <= few:
        return 0.0, 0.0
    one, other, pairs = _sampled(boxes_of(points, first, last))
    if pairs * edges**2 <= few:
        return 0.0, 0.0
    tried = np.linspace(0, len(one) - 1, min(TRIED, len(one))).astype(np.int64)
    one, other = one[tried], other[tried]
    crossed = 0
    for at, until in product(range(edges), repeat=2):
        a, b = first[one] + at, first[other] + until
        real = (a < last[one]) & (b < last[other])
        crossed += _crossed(points, a[real], b[real])
    return pairs, pairs * crossed / len(tried)


def boxes_of(points: Floats, first: Ints, last: Ints) -> Floats:
    """Boxes (n, 4) of the lines points[first[i]] .. points[last[i]]."""
    spans = np.column_stack([first, last + 1]).ravel()
    ends = np.vstack([points, points[-1:]])  # the last span may end behind the last point
    low = np.minimum.reduceat(ends, spans)[::2]
    high = np.maximum.reduceat(ends, spans)[::2]
    return np.hstack([low, high])


def lines_of(points: Floats, first: Ints, last: Ints) -> NDArray[np.object_]:
    """The lines points[first[i]] .. points[last[i]]."""
    line = np.repeat(np.arange(len(first)), last - first + 1)
    return np.asarray(shapely.linestrings(points[ranges(first, last + 1)], indices=line))


def ranges(low: Ints, high: Ints) -> Ints:
    """All of low[0] .. high[0] - 1, low[1] .. high[1] - 1 and so on, end to end."""
    count = high - low
    starts = np.cumsum(count) - count
    steps: Ints = np.arange(int(count.sum())) - np.repeat(starts - low, count)
    return steps


def diagonals(boxes: Floats) -> NDArray[np.object_]:
    """Lines with these boxes (n, 4), for trees: as good as the boxes, and smaller."""
    return np.asarray(shapely.linestrings(boxes.reshape(-1, 2, 2)))


def _crossed(points: Floats, a: Ints, b: Ints) -> int:
    """How many edges, from points a to a + 1, meet the edge from b to b + 1 but at shared ends."""
    p, q, r, s = points[a], points[a + 1], points[b], points[b + 1]
    across = (_side(p, q, r) * _side(p, q, s) <= 0) & (_side(r, s, p) * _side(r, s, q) <= 0)
    for one in (p, q):
        for other in (r, s):
            across &= (one != other).any(axis=1)
    return int(across.sum())


def _side(a: Floats, b: Floats, place: Floats) -> Floats:
    """-1, 0 or 1: on which side of the line from a to b each place lies."""
    along, off = b - a, place - a
    turn: Floats = np.sign(along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0])
    return turn


def _sampled(boxes: Floats) -> tuple[Ints, Ints, float]:
    """Some pairs of boxes that meet, and about how many there are in all.

    A pair is counted at its smaller box: few large boxes that meet all others would make the
    estimate jump with the sample.
    """
    count = len(boxes)
    low_x, low_y, high_x, high_y = np.ascontiguousarray(boxes.T)
    size = (high_x - low_x) + (high_y - low_y)
    some = np.arange(0, count, max(1, count // SAMPLE))
    others = []
    for at in some.tolist():  # no tree of them all: it would take more time and memory
        met = size > size[at]
        met[at + 1 :] |= size[at + 1 :] == size[at]
        met &= low_x <= high_x[at]
        met &= high_x >= low_x[at]
        met &= low_y <= high_y[at]
        met &= high_y >= low_y[at]
        others.append(np.flatnonzero(met))
    one, other = np.repeat(some, [len(met) for met in others]), np.concatenate(others)
    return one, other, len(one) / len(some) * count


def meet_more_than(boxes: NDArray[np.float64], most: int) -> bool:
    """Whether more than `most` pairs of `boxes` (n, 4: low x, low y, high x, high y) touch or
    overlap.
    """
    count = len(boxes)
    shapes = diagonals(boxes)
    tree = shapely.STRtree(shapes)
    found, at, step = 0, 0, FEW
    while at < count and found <= 2 * most:
        hits, _ = tree.query(shapes[at : at + step])
        found += len(hits) - len(shapes[at : at + step])  # each meets itself
        at += step
        step = int(min(2 * step, MANY, max(FEW, TABLE * at // (found + 1))))
    return found > 2 * most  # each pair is found twice
