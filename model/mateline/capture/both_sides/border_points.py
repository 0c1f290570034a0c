"""Places on borders between two colours, with the direction across: what both sides share.

Stands first in both sides. The places are those that tracing measures between pixels, where paint
is sound.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.fitting.courses import OUTSIDE, RING
from mateline.capture.tracing.cleaning import tidied
from mateline.capture.tracing.cracks import crack_map
from mateline.capture.tracing.profiles import measured_courses

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.face_picture import FacePicture
    from mateline.capture.labels import Labels

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

BESIDE = 2  # pixels beside damage that are not trusted
SPAN = 4  # places on either side that tell the direction of a border


@dataclass(frozen=True, slots=True, eq=False)
class BorderPoints:
    """`at` (n, 2), mm; `across` (n, 2), unit vectors from colour `low` to colour `high` (numbers,
    low < high); `pair` (n,): low * 1000 + high; `border` (n,): which border each is of.
    """

    at: Floats
    across: Floats
    pair: Ints
    border: Ints

    def where(self, kept: NDArray[np.bool_]) -> BorderPoints:
        """Some of them."""
        return BorderPoints(self.at[kept], self.across[kept], self.pair[kept], self.border[kept])

    def every(self, step: int) -> BorderPoints:
        """Each `step`th of them."""
        return self.where(np.arange(len(self.at)) % step == 0)

    def mirrored(self, axis: float) -> BorderPoints:
        """The same seen from behind: x becomes 2 axis - x, mm."""
        at = np.column_stack([2 * axis - self.at[:, 0], self.at[:, 1]])
        across = np.column_stack([-self.across[:, 0], self.across[:, 1]])
        return replace(self, at=at, across=across)


def border_points(picture: FacePicture, labels: Labels) -> BorderPoints:
    """Measured places of all sound borders."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    numbers = tidied(labels.numbers.astype(np.int64), labels.sound, labels.sound, labels.grid.pitch)
    cracks = crack_map(numbers)
    sound = ndimage.binary_erosion(
        labels.sound | (labels.numbers < 0), iterations=BESIDE, border_value=1
    )
    nothing = np.zeros(0, dtype=np.int64)
    at, across, pair, border = [np.zeros((0, 2))], [np.zeros((0, 2))], [nothing], [nothing]
    courses = measured_courses(cracks, labels.grid, picture.light, sound)
    for number, course in enumerate(courses):
        if OUTSIDE in {course.left, course.right} or len(course.places) < 3:
            continue
        left, right = cracks.colours[course.left], cracks.colours[course.right]
        to_left = _to_left(course.places, ring=course.start == RING)
        normal = to_left if left > right else -to_left
        kept = course.sound & (np.abs(normal).sum(axis=1) > 0)
        at.append(course.places[kept])
        across.append(normal[kept])
        code = min(left, right) * 1000 + max(left, right)
        pair.append(np.full(int(kept.sum()), code, dtype=np.int64))
        border.append(np.full(int(kept.sum()), number, dtype=np.int64))
    return BorderPoints(
        np.concatenate(at), np.concatenate(across), np.concatenate(pair), np.concatenate(border)
    )


def _to_left(places: Floats, *, ring: bool) -> Floats:
    """Unit vectors to the left of the travel, y up; nothing where the border turns."""
    index = np.arange(len(places))
    if ring:
        ahead, behind = (index + SPAN) % len(places), (index - SPAN) % len(places)
    else:
        ahead, behind = np.minimum(index + SPAN, len(places) - 1), np.maximum(index - SPAN, 0)
    before, after = places - places[behind], places[ahead] - places
    way = places[ahead] - places[behind]
    size = np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)
    bent = np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])
    corner = np.round(bent / size**2, 6) > 0.1
    found = np.column_stack([-way[:, 1], way[:, 0]]) / size[:, None]
    found[corner] = 0
    return found
