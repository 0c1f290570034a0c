"""A face's picture and labels traced: its borders as lines and arcs.

Stands last in tracing. The label map says which colours meet where; the picture says where the
borders are, between its pixels; what both give is one network, fitted at once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.traced import TracedRegion
from mateline.capture.tracing.cleaning import tidied
from mateline.capture.tracing.courses import Network
from mateline.capture.tracing.cracks import crack_map
from mateline.capture.tracing.network import fitted
from mateline.capture.tracing.profiles import measured_courses
from mateline.curves import Chain, Segment

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.capture.face_picture import FacePicture
    from mateline.capture.labels import Labels
    from mateline.capture.traced import Traced
    from mateline.capture.tracing.network import Fit
    from mateline.curves import Point

MARGIN = 3  # pixels beside damage that it may have spoilt too


def traced(labels: Labels, picture: FacePicture, outline: Chain | Sequence[Point]) -> Traced:
    """The borders between the labels' colours inside the outline, mm of the face frame."""
    return fit(labels, picture, outline).traced


def fit(labels: Labels, picture: FacePicture, outline: Chain | Sequence[Point]) -> Fit:
    """The same, with which borders could not be drawn as lines and arcs.

    Raises ValueError if the picture and the labels don't lie on the same grid.
    """
    if labels.grid != picture.grid:
        raise ValueError(f"labels on {labels.grid}, the picture on {picture.grid}")
    numbers = tidied(labels.numbers.astype(np.int64), labels.sound, labels.grid.pitch)
    cracks = crack_map(numbers)
    sound = _sound(labels)
    courses = measured_courses(cracks, labels.grid, picture.light, sound)
    regions = tuple(
        TracedRegion(labels.colours[colour], loops)
        for colour, loops in zip(cracks.colours, cracks.loops, strict=True)
    )
    network = Network(labels.grid.places(cracks.nodes), courses, regions)
    return fitted(network, outline if isinstance(outline, Chain) else _polygon(outline))


def _sound(labels: Labels) -> NDArray[np.bool_]:
    """Where paint is sound, and all around it."""
    from scipy import ndimage

    found: NDArray[np.bool_] = ndimage.binary_erosion(
        labels.sound | (labels.numbers < 0), iterations=MARGIN, border_value=1
    )
    return found


def _polygon(points: Sequence[Point]) -> Chain:
    """A closed chain through points."""
    corners = [(float(x), float(y)) for x, y in points]
    if corners[0] == corners[-1]:
        corners = corners[:-1]
    return Chain(corners[-1], tuple(Segment(corner) for corner in corners))
