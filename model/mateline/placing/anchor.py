"""A drawing put down by one point of its box.

Stands after similarity, before place. A drawing's y runs down, a face's up: `Drawing.to_mm` turns
it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from mateline.placing.similarity import composed
from mateline.products import mapped, product

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.drawing.shapes import Drawing
    from mateline.placing.art import Anchored

    Array = NDArray[np.float64]


def anchored(put: Anchored, drawing: Drawing, box: tuple[float, float, float, float]) -> Array:
    """The map (2, 3) from drawing units to the frame of `box` (x, y, x, y), mm."""
    a, b, c, d, e, f = drawing.to_mm
    to_mm = np.array([[a, c, e], [b, d, f]])
    x, y, width, height = drawing.view
    corners = mapped(np.array([(x, y), (x + width, y + height)]), to_mm)
    low, high = corners.min(axis=0), corners.max(axis=0)
    room = np.array([box[2] - box[0], box[3] - box[1]])
    shares = room / (high - low)
    fit = {
        "none": 1.0,
        "width": shares[0],
        "height": shares[1],
        "cover": shares.max(),
        "face": shares,  # each way by its own
    }[put.fit]
    scale = fit * put.scale
    anchor = low + _share(put.anchor) * (high - low)
    target = np.array(box[:2]) + _share(put.to) * room + put.offset
    cos, sin = math.cos(put.turn), math.sin(put.turn)
    turned = np.array([[cos, -sin], [sin, cos]]) * scale  # stretched first, then turned
    return composed(np.column_stack([turned, target - product(turned, anchor)]), to_mm)


def _share(spot: str) -> Array:
    across = {"left": 0.0, "right": 1.0}.get(spot.rsplit("-", maxsplit=1)[-1], 0.5)
    up = {"lower": 0.0, "upper": 1.0}.get(spot.split("-", maxsplit=1)[0], 0.5)
    return np.array([across, up])
