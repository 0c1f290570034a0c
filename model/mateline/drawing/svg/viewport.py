"""Viewports: how a viewBox is fitted into the room that it is given.

Stands before rendering. Source: SVG 2, 8.6 (viewBox), 8.7 (preserveAspectRatio).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mateline.drawing.svg.values import Scale, length, numbers

if TYPE_CHECKING:
    from mateline.planar.affine import Affine

    Box = tuple[float, float, float, float]

LEAST, MOST = 1e-3, 1e9  # drawing units: a view outside these can't be reckoned with
_ALIGNED = {"min": 0.0, "mid": 0.5, "max": 1.0}


def view_box(element: Any) -> Box | None:
    """The element's viewBox. Raises ValueError for one that is no four numbers."""
    text = element.get("viewBox")
    if text is None:
        return None
    values = numbers(text)
    if len(values) != 4 or values[2] <= 0 or values[3] <= 0:
        raise ValueError(f"viewBox={text!r} is no x, y, width and height greater than 0")
    if min(values[2:]) < LEAST or max(map(abs, values)) > MOST:
        raise ValueError(f"viewBox={text!r} is not between {LEAST:g} and {MOST:g} in size")
    return values[0], values[1], values[2], values[3]


def size_of(element: Any, view: Box | None) -> tuple[float, float]:
    """Width and height of the outermost svg element, px. What is missing follows the viewBox.

    Raises ValueError for a size that is no length or not greater than 0.
    """
    whole = Scale(*(view[2:] if view else (300.0, 150.0)), 16.0)  # CSS 2, 10.3.2: 300 by 150
    wide, high = (element.get(name, "").strip() for name in ("width", "height"))
    wide, high = ("" if text == "auto" else text for text in (wide, high))
    width = length(wide, "x", whole) if wide else 0.0
    height = length(high, "y", whole) if high else 0.0
    if (wide and width <= 0) or (high and height <= 0):
        raise ValueError(f"width={wide!r} and height={high!r} must be greater than 0")
    ratio = whole.width / whole.height
    if not wide and not high:
        return whole.width, whole.height
    width, height = width or height * ratio, height or width / ratio
    if min(width, height) < LEAST or max(width, height) > MOST:
        raise ValueError(
            f"a size of {width:g} by {height:g} px is not within {LEAST:g} .. {MOST:g}"
        )
    return width, height


def fitted(view: Box, aspect: str, width: float, height: float) -> Affine:
    """The map that puts `view` into (0, 0, width, height) by a preserveAspectRatio value."""
    words = aspect.split() or ["xMidYMid"]
    x, y, w, h = view
    across, up = width / w, height / h
    align = words[0]
    if align == "none":
        return across, 0.0, 0.0, up, -x * across, -y * up
    size = max(across, up) if "slice" in words else min(across, up)
    try:
        left, top = _ALIGNED[align[1:4].lower()], _ALIGNED[align[5:8].lower()]
    except KeyError:
        raise ValueError(f"preserveAspectRatio={aspect!r} is not known") from None
    return (
        size, 0.0, 0.0, size,
        left * (width - w * size) - x * size,
        top * (height - h * size) - y * size,
    )  # fmt: skip
