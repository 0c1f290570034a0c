"""Outlines of SVG elements: their path data or basic shape, as subpaths.

Stands between values and rendering. Source: SVG 2, chapters 9 and 10.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mateline.drawing.path import MOST_STEPS, refuse_more
from mateline.drawing.svg.path_data import (
    ellipse,
    least_numbers,
    polyline,
    rectangle,
    subpaths,
)
from mateline.drawing.svg.values import length, numbers

if TYPE_CHECKING:
    from mateline.drawing.path import Subpath
    from mateline.drawing.svg.cascade import Style
    from mateline.drawing.svg.values import Scale

DRAWN = frozenset(["path", "rect", "circle", "ellipse", "line", "polyline", "polygon"])
_AXIS = {"x": "x", "cx": "x", "x1": "x", "x2": "x", "rx": "x", "width": "x",
         "y": "y", "cy": "y", "y1": "y", "y2": "y", "ry": "y", "height": "y"}  # fmt: skip


def outline_of(element: Any, tag: str, style: Style, scale: Scale) -> list[Subpath]:
    """Subpaths of one of the elements in DRAWN. Raises ValueError for what is malformed."""

    def measure(name: str) -> float:
        text = style.geometry(name) or element.get(name) or "0"
        return length(text, _AXIS.get(name, ""), scale)

    match tag:
        case "path":
            data = element.get("d", "")
            return [] if data.strip() == "none" else subpaths(data)
        case "rect":
            return _rectangle(element, style, scale)
        case "circle":
            reach = measure("r")
            return ellipse(measure("cx"), measure("cy"), reach, reach)
        case "ellipse":
            rx, ry = _radii(element, style, scale)
            return ellipse(measure("cx"), measure("cy"), rx, ry)
        case "line":
            return polyline([measure(name) for name in ("x1", "y1", "x2", "y2")], closed=False)
        case _:
            points = element.get("points", "")
            if len(points) > MOST_STEPS:  # each takes a letter at least
                refuse_more(least_numbers(points) // 2)
            return polyline(numbers(points), closed=tag == "polygon")


def _rectangle(element: Any, style: Style, scale: Scale) -> list[Subpath]:
    x, y, wide, high = (
        length(style.geometry(name) or element.get(name) or "0", _AXIS[name], scale)
        for name in ("x", "y", "width", "height")
    )
    return rectangle((x, y, wide, high), *_radii(element, style, scale))


def _radii(element: Any, style: Style, scale: Scale) -> tuple[float, float]:
    """The radii rx and ry; one that is missing or auto is as large as the other (10.2)."""
    texts = [style.geometry(name) or element.get(name) or "auto" for name in ("rx", "ry")]
    values = [
        None if text == "auto" else length(text, axis, scale)
        for text, axis in zip(texts, "xy", strict=True)
    ]
    values = [None if value is not None and value < 0 else value for value in values]
    rx, ry = values
    return (rx if rx is not None else ry or 0.0), (ry if ry is not None else rx or 0.0)
