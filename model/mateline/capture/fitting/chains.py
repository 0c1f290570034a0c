"""Chains of borders: of what was fitted, of a course's own places, and of the outline.

Stands in fitting after layout and rim, before network.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline import curves
from mateline.capture.fitting.adjustment import DECIMALS
from mateline.capture.fitting.courses import OUTSIDE
from mateline.curves import Chain, Segment

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from mateline.capture.fitting.adjustment import Adjusted
    from mateline.capture.fitting.courses import Course
    from mateline.capture.fitting.layout import Layout
    from mateline.capture.fitting.rim import Rim
    from mateline.capture.fitting.steps import Spans
    from mateline.curves import Point

    Floats = NDArray[np.float64]

FLATTEST = 1 / 1900  # half the turn of the flattest arc, as in borders
SIMPLER = 0.2  # mm: how far the places of a rough course may be from it
APART = 0.3  # of the shortest step of a raw path: those of two courses are farther apart than twice
CLEAR = 0.05  # mm: how far inside the outline a raw path keeps


def rim_chain(course: Course, rim: Rim, feet: Mapping[int, tuple[int, float]]) -> Chain:
    """The outline between the feet of a rim's nodes: segment, and how far along it, a share."""
    if course.ring:
        chain = rim.chain
    elif course.right == OUTSIDE:
        chain = rim.between(feet[course.start], feet[course.end])
    else:
        chain = rim.between(feet[course.end], feet[course.start])
    return chain if course.right == OUTSIDE else curves.backwards(chain)


def kept_chain(course: Course, nodes: Floats, rim: Rim, *, raw: bool) -> Chain:
    """A course as its places or its path are, from where they are inside the outline: pixels at
    its rim lie over it.
    """
    places, simpler = course.places, SIMPLER
    if raw and course.path is not None:
        places, simpler = course.path, APART * _shortest(course.path)
    if simpler > 0 and len(places) > 2:
        places = shapely.get_coordinates(shapely.simplify(shapely.linestrings(places), simpler))
    places = np.round(places, DECIMALS)
    if not course.ring:
        ends = nodes[[course.start, course.end]]
        off = [np.hypot(*(places - end).T) > CLEAR for end in ends]
        places = _inside(places[off[0] & off[1]], rim)
        places = np.vstack([ends[:1], places, ends[1:]])
    elif (places[0] != places[-1]).any():
        places = np.vstack([places, places[:1]])
    fresh = np.append(True, (places[1:] != places[:-1]).any(axis=1))
    points = [(x, y) for x, y in places[fresh].tolist()]
    return Chain(points[0], tuple(Segment(point) for point in points[1:]))


def _inside(places: Floats, rim: Rim) -> Floats:
    """Places from the first to the last that is inside the outline by CLEAR."""
    there = np.flatnonzero(shapely.contains_xy(_within(rim), places[:, 0], places[:, 1]))
    return places[there[0] : there[-1] + 1] if len(there) else places[:0]


@lru_cache(maxsize=2)
def _within(rim: Rim) -> shapely.Geometry:
    """What is inside an outline by CLEAR."""
    area = shapely.Polygon(curves.flattened(rim.chain, CLEAR / 10)).buffer(-CLEAR)
    shapely.prepare(area)
    return area


def _shortest(path: Floats) -> float:
    """The shortest step of a path, mm, its ends left aside; 0 for a path that has no other."""
    steps = np.hypot(*np.diff(path, axis=0)[1:-1].T)
    return float(steps.min()) if len(steps) else 0.0


def fitted_chain(layout: Layout, found: Adjusted, at: Floats, number: int) -> tuple[Chain, Spans]:
    """The chain of a course, and which places each of its segments stands for."""
    frame = found.frame
    spans = [(each.first, each.last) for each in layout.stretches[number]]
    if number in layout.circles:
        chain = _circle(layout, found, number)
        return chain, [(spans[0][0], spans[-1][1])] * len(chain.segments)
    segments, stood = [], []
    own = layout.segments[number]
    first = at[frame.tail[own[0]]].tolist()
    before = (first[0], first[1])
    start = before
    for segment, span in zip(own, spans, strict=True):
        x, y = at[frame.head[segment]].tolist()
        if (x, y) == before:
            continue
        turn = float(frame.turn[segment])
        if not frame.round[segment] or abs(turn) < FLATTEST:
            segments.append(Segment((x, y)))
        else:
            segments.append(Segment((x, y), _centre(before, (x, y), turn), turn > 0))
        stood.append(span)
        before = (x, y)
    return Chain(start, tuple(segments)), stood


def _circle(layout: Layout, found: Adjusted, number: int) -> Chain:
    frame = found.frame
    one, _ = layout.segments[number]
    (ax, ay), (bx, by) = frame.at[[frame.tail[one], frame.head[one]]].tolist()
    turn = float(frame.turn[one])
    cx, cy = _centre((ax, ay), (bx, by), turn)
    reach = round(float(np.hypot(ax - cx, ay - cy)), DECIMALS)
    chain = curves.circle((round(cx, DECIMALS), round(cy, DECIMALS)), reach)
    return chain if turn > 0 else curves.backwards(chain)


def _centre(a: Point, b: Point, turn: float) -> Point:
    """The centre of an arc that turns by twice `turn`: half the chord over tan t to its left."""
    x, y = (b[0] - a[0]) / 2, (b[1] - a[1]) / 2
    share = float(np.cos(turn) / np.sin(turn))
    return a[0] + x - share * y, a[1] + y + share * x
