"""A face's picture and labels traced: its borders as lines and arcs.

Stands last in tracing. The label map says which colours meet where; the picture says where the
borders are, between its pixels; what both give is one network, fitted at once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.fitting.courses import OUTSIDE, Network
from mateline.capture.fitting.network import fitted
from mateline.capture.traced import TracedRegion
from mateline.capture.tracing.cleaning import painted, tidied, without
from mateline.capture.tracing.cracks import crack_map
from mateline.capture.tracing.profiles import UNCLEAR, measured_courses
from mateline.curves import Chain, Segment

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.capture.face_picture import FacePicture
    from mateline.capture.fitting.courses import Course
    from mateline.capture.fitting.network import Fit
    from mateline.capture.labels import Labels
    from mateline.capture.traced import Traced
    from mateline.capture.tracing.cracks import CrackMap
    from mateline.curves import Point

DOUBTED = 100.0  # mm²: a region no larger has to show its border in the picture,
SHOWN = 0.1  # this share of it
ROUNDS = 3
MARGIN = 2  # pixels beside damage that it may have spoilt too


def traced(labels: Labels, picture: FacePicture, outline: Chain | Sequence[Point]) -> Traced:
    """The borders between the labels' colours inside the outline, mm of the face frame."""
    return fit(labels, picture, outline).traced


def fit(labels: Labels, picture: FacePicture, outline: Chain | Sequence[Point]) -> Fit:
    """The same, with which borders could not be drawn as lines and arcs.

    Raises ValueError if the picture and the labels don't lie on the same grid.
    """
    if labels.grid != picture.grid:
        raise ValueError(f"labels on {labels.grid}, the picture on {picture.grid}")
    sound = _sound(labels)
    paint = labels.sound & (labels.numbers >= 0)
    numbers = tidied(labels.numbers.astype(np.int64), sound, paint, labels.grid.pitch)
    for _ in range(ROUNDS):
        cracks = crack_map(numbers)
        courses = measured_courses(cracks, labels.grid, picture.light, sound)
        gone = _unseen(cracks, courses, paint, labels.grid.pitch)
        if not gone.any():
            break
        numbers = without(numbers, cracks.regions, gone)
    regions = tuple(
        TracedRegion(labels.colours[colour], loops)
        for colour, loops in zip(cracks.colours, cracks.loops, strict=True)
    )
    network = Network(labels.grid.places(cracks.nodes), courses, regions)
    return fitted(network, outline if isinstance(outline, Chain) else _polygon(outline))


def _unseen(
    cracks: CrackMap, courses: Sequence[Course], paint: NDArray[np.bool_], pitch: float
) -> NDArray[np.bool_]:
    """Small regions whose borders the picture doesn't show, nor their paint: labels were wrong."""
    count = len(cracks.colours)
    inside = cracks.regions[cracks.regions != OUTSIDE]
    size = np.bincount(inside, minlength=count) * pitch * pitch
    places, shown = np.zeros(count), np.zeros(count)
    for course in courses:
        for side in (course.left, course.right):
            if side != OUTSIDE:
                places[side] += len(course.places) + 1
                shown[side] += (course.errors < UNCLEAR).sum()
    found = (size < DOUBTED) & (shown < SHOWN * places)
    if found.any():
        found &= ~painted(cracks.regions, paint, count, pitch)
    return np.asarray(found & (size < size.max()), dtype=np.bool_)


def _sound(labels: Labels) -> NDArray[np.bool_]:
    """Where paint is sound, and all around it."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    found = ndimage.binary_erosion(
        labels.sound | (labels.numbers < 0), iterations=MARGIN, border_value=1
    )
    return np.asarray(found, dtype=np.bool_)


def _polygon(points: Sequence[Point]) -> Chain:
    """A closed chain through points."""
    corners = [(float(x), float(y)) for x, y in points]
    if corners[0] == corners[-1]:
        corners = corners[:-1]
    return Chain(corners[-1], tuple(Segment(corner) for corner in corners))
