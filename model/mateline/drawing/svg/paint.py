"""What an SVG element is painted with: a flat colour, or the nearest thing to one.

Stands between the cascade and rendering. Sources: SVG 2, 13.2 (paint), 14.2 (gradients).
"""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from mateline.drawing.svg.cascade import CONTEXT
from mateline.drawing.svg.values import Paint, Scale, length, paint, share

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mateline.drawing.shapes import TakesNotes
    from mateline.drawing.svg.cascade import Sheet, Style

HREF = ("href", "{http://www.w3.org/1999/xlink}href")
_ANY = Scale(1.0, 1.0, 16.0)  # a percentage is a share of the box
MOST_LINKS = 32  # gradients that refer to gradients


def tag_of(element: Any) -> str:
    """Local name of an SVG element; "" for comments, entities and other namespaces."""
    tag = element.tag
    return _local(tag) if isinstance(tag, str) else ""


@lru_cache(maxsize=1024)
def _local(tag: str) -> str:
    space, _, name = tag.rpartition("}")
    return name if space in {"", "{http://www.w3.org/2000/svg"} else ""


def href_of(element: Any) -> str:
    """What the element refers to; "" when it refers to nothing."""
    return next((element.get(name).strip() for name in HREF if element.get(name)), "")


def fragment(text: str) -> tuple[str, str]:
    """The id in `url(#id)` and what follows it; "" when it is no reference to this file."""
    inside, _, rest = text.strip().removeprefix("url(").partition(")")
    name = inside.strip().strip("'\"")
    return (name[1:] if name.startswith("#") else ""), rest.strip()


class Paints:
    """Turns values of fill and stroke into flat colours."""

    def __init__(self, ids: Mapping[str, Any], sheet: Sheet, note: TakesNotes) -> None:
        self._ids, self._sheet, self._note = ids, sheet, note

    def flat(self, element: Any, style: Style, name: str) -> Paint | None:
        """The paint of property `name`, its opacity included; None when nothing is painted."""
        value = style[name]
        current = paint(style["color"])
        colour = current.colour if current else "#000000"
        if value in CONTEXT:
            self._note(element, f"Its {name} is {value!r} outside a marker and was left out.")
            return None
        if value.startswith("url("):
            found = self._served(element, value, name, colour)
        else:
            found = paint(value, colour)
        if found is None:
            return None
        alpha = found.alpha * share(style[f"{name}-opacity"])
        return Paint(found.colour, alpha) if alpha > 0 else None

    def _served(self, element: Any, value: str, name: str, current: str) -> Paint | None:
        target, fallback = fragment(value)
        server = self._ids.get(target)
        kind = "" if server is None else tag_of(server)
        if kind in {"linearGradient", "radialGradient"}:
            return self._mean(element, server, name)
        if kind == "pattern":
            self._note(element, f"Its {name} is a pattern of tiles (#{target}) and was left out.")
            return None
        self._note(element, f"Its {name} refers to {value!r}, which is not in the drawing.")
        return paint(fallback, current) if fallback else None

    def _mean(self, element: Any, gradient: Any, name: str) -> Paint | None:
        stops = self._stops(gradient)
        if not stops:
            return None  # as if none were given (14.2.4.1)
        if self._has_no_length(gradient):
            return stops[-1][1]
        mean = _average(stops)
        if len({stop for _, stop in stops}) > 1:
            self._note(
                element,
                f"Its {name} is a gradient (#{gradient.get('id')}) and was painted in its mean "
                f"colour, {mean.colour}.",
            )
        return mean

    def _has_no_length(self, gradient: Any) -> bool:
        """Whether all is beyond the last stop (14.2.2.2 and 14.2.3.2)."""
        if tag_of(gradient) == "radialGradient":
            return _alike(self._given(gradient, "r", "50%"), "0")
        given = (("x1", "0%"), ("x2", "100%"), ("y1", "0%"), ("y2", "0%"))
        ends = [self._given(gradient, name, own) for name, own in given]
        return _alike(ends[0], ends[1]) and _alike(ends[2], ends[3])

    def _given(self, gradient: Any, name: str, own: str) -> str:
        """An attribute of a gradient or of those that it refers to."""
        for _ in range(MOST_LINKS):
            if gradient is None:
                break
            if gradient.get(name) is not None:
                return str(gradient.get(name))
            gradient = self._ids.get(href_of(gradient).removeprefix("#"))
        return own

    def _stops(self, gradient: Any) -> list[tuple[float, Paint]]:
        for _ in range(MOST_LINKS):
            found = [child for child in gradient if tag_of(child) == "stop"]
            if found:
                return self._read(found)
            gradient = self._ids.get(href_of(gradient).removeprefix("#"))
            if gradient is None:
                break
        return []

    def _read(self, stops: list[Any]) -> list[tuple[float, Paint]]:
        made: list[tuple[float, Paint]] = []
        for stop in stops:
            style = self._sheet.resolved(stop)
            current = paint(style["color"])
            found = paint(style["stop-color"], current.colour if current else "#000000")
            at = max(share(stop.get("offset", "0")), made[-1][0] if made else 0.0)
            alpha = share(style["stop-opacity"])
            if found:
                made.append((at, Paint(found.colour, found.alpha * alpha)))
        return made


def _alike(one: str, other: str) -> bool:
    return length(one, "x", _ANY) == length(other, "x", _ANY)


def _average(stops: list[tuple[float, Paint]]) -> Paint:
    """Mean over the gradient's length; colours count by how much they cover."""
    whole = [(0.0, stops[0][1]), *stops, (1.0, stops[-1][1])]
    total = [0.0, 0.0, 0.0, 0.0]
    for (a, one), (b, other) in pairwise(whole):
        for end in (one, other):
            half = (b - a) / 2
            for index in range(3):
                channel = int(end.colour[1 + 2 * index : 3 + 2 * index], 16)
                total[index] += half * end.alpha * channel
            total[3] += half * end.alpha
    if total[3] == 0:
        return Paint(stops[0][1].colour, 0.0)
    red, green, blue = (math.floor(part / total[3] + 0.5) for part in total[:3])
    return Paint(f"#{red:02x}{green:02x}{blue:02x}", total[3])
