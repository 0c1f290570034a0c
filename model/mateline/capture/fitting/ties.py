"""What joints must hold where places say nothing against it: tangent, or one and the same curve.

Stands in fitting after adjustment, before network. A joint is tested by its own kink and step of
curvature over their errors (chi²), as the places give them before it is tied.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.fitting.frame import Joints, bend_steps, kinks

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.fitting.adjustment import Adjusted
    from mateline.capture.fitting.frame import Frame

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

TANGENT = 2e-6  # rad: how well a tied joint is tangent
SAME_BEND = 1e-8  # 1/mm: and of one curvature
LIKELY = 3.5  # sigma: a kink that places explain
WIDEST = 0.3  # rad: a kink no joint is tied over, whatever its error


@dataclass(frozen=True, slots=True, eq=False)
class Tangent:
    """A tie: no kink at these joints."""

    joints: Joints

    def rows(self, frame: Frame) -> tuple[Floats, Ints, Ints, Floats]:
        """Kinks over TANGENT."""
        return _rows(frame, self.joints, kinks(frame, self.joints), TANGENT)


@dataclass(frozen=True, slots=True, eq=False)
class SameBend:
    """A tie: the same curvature on both sides of these joints."""

    joints: Joints

    def rows(self, frame: Frame) -> tuple[Floats, Ints, Ints, Floats]:
        """Steps of curvature over SAME_BEND."""
        return _rows(frame, self.joints, bend_steps(frame, self.joints), SAME_BEND)


def columns_of(frame: Frame, joints: Joints) -> Ints:
    """The unknowns of both segments of each joint (n, 10)."""
    own = frame.columns()
    return np.hstack([own[joints.one], own[joints.other]])


def smooth(found: Adjusted, joints: Joints) -> tuple[Bools, Floats]:
    """Which joints may be tangent, and how many sigma their kinks are."""
    kink, rows = kinks(found.frame, joints)
    error = np.sqrt(found.variance(rows, columns_of(found.frame, joints)))
    sigma = np.round(np.abs(kink) / np.maximum(error, 1e-9), 6)
    return (sigma <= LIKELY) & (np.abs(kink) <= WIDEST), sigma


def alike(found: Adjusted, joints: Joints) -> Floats:
    """How many sigma the curvatures on both sides of each joint differ by."""
    step, rows = bend_steps(found.frame, joints)
    error = np.sqrt(found.variance(rows, columns_of(found.frame, joints)))
    sigma: Floats = np.round(np.abs(step) / np.maximum(error, 1e-12), 6)
    return sigma


def _rows(
    frame: Frame, joints: Joints, values: tuple[Floats, Floats], error: float
) -> tuple[Floats, Ints, Ints, Floats]:
    residual, slopes = values
    columns = columns_of(frame, joints)
    there = columns >= 0
    rows = np.broadcast_to(np.arange(len(residual))[:, None], columns.shape)
    return residual / error, rows[there], columns[there], slopes[there] / error
