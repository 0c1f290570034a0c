"""Markers: little drawings set on the vertices of a path.

Stands before rendering, which draws their content. Source: SVG 2, 11.6 (and 13.7 in its
earlier drafts): start on the first vertex, end on the last, mid on all between.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from mateline.drawing.svg.paint import fragment, tag_of
from mateline.drawing.svg.place import cut, frame
from mateline.drawing.svg.stroking import directions
from mateline.drawing.svg.values import Scale, angle, length
from mateline.drawing.svg.viewport import fitted, view_box
from mateline.planar.affine import after, carried

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mateline.drawing.path import Subpath
    from mateline.drawing.svg.place import Place, Renderer
    from mateline.planar.affine import Affine

    Point = tuple[float, float]
    Vertex = tuple[Point, Point, Point]  # where, direction in, direction out

NOWHERE = (0.0, 0.0)


def draw_markers(
    renderer: Renderer, element: Any, outline: Sequence[Subpath], place: Place
) -> None:
    """Draw what the element's marker properties ask for, on its vertices."""
    wanted = {
        end: renderer.ids.get(fragment(place.style[f"marker-{end}"])[0])
        for end in ("start", "mid", "end")
    }
    if all(marker is None or tag_of(marker) != "marker" for marker in wanted.values()):
        return
    _refuse_many(renderer, element, [len(part.steps) + 1 for part in outline], wanted)
    vertices = _vertices(outline)
    for at, vertex in enumerate(vertices):
        kinds = ["start"] if at == 0 else []
        kinds += ["end"] if at == len(vertices) - 1 else []
        for kind in kinds or ["mid"]:
            marker = wanted[kind]
            if marker is not None and tag_of(marker) == "marker":
                _draw(renderer, element, (marker, kind), vertex, place)


def _refuse_many(
    renderer: Renderer, element: Any, vertices: Sequence[int], wanted: Mapping[str, Any]
) -> None:
    """Count what markers on so many vertices of each part would draw, before they are drawn."""
    count = sum(vertices)
    times = {"start": 1, "end": 1, "mid": max(0, count - 2)}
    renderer.expect(
        element,
        sum(
            times[kind] * renderer.census.elements(marker)
            for kind, marker in wanted.items()
            if marker is not None and tag_of(marker) == "marker"
        ),
    )


def _vertices(outline: Sequence[Subpath]) -> list[Vertex]:
    found: list[Vertex] = []
    for part in outline:
        here, before = (part.x, part.y), NOWHERE
        first = len(found)
        for step in part.steps:
            start, end = directions(here, step)
            found.append((here, before, start))
            here, before = (step.x, step.y), end
        found.append((here, before, NOWHERE))
        if part.closed and len(found) - first > 1:  # both ends of a closed part see one another
            last = (found[-1][0], found[-1][1], found[first][2])
            found[first] = (found[first][0], found[-1][1], found[first][2])
            found[-1] = last
    return found


def _draw(
    renderer: Renderer, element: Any, wanted: tuple[Any, str], vertex: Vertex, place: Place
) -> None:
    marker, kind = wanted
    if marker in place.via:  # a style for all paths is one for those of the marker as well
        renderer.note(
            element, "Its marker was left out, since that is what the element is a part of."
        )
        return
    scale = place.scale
    wide, high = (
        length(marker.get(name, "3"), axis, scale)
        for name, axis in (("markerWidth", "x"), ("markerHeight", "y"))
    )
    if wide <= 0 or high <= 0:
        return
    size = 1.0
    if marker.get("markerUnits", "strokeWidth") == "strokeWidth":
        size = length(place.style["stroke-width"], "", scale)
    turn = _angle(marker.get("orient", "0"), kind, vertex)
    cos, sin = size * math.cos(turn), size * math.sin(turn)
    matrix = after(place.matrix, (cos, sin, -sin, cos, *vertex[0]))
    view = view_box(marker)
    fit: Affine = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    if view:
        fit = fitted(view, marker.get("preserveAspectRatio", ""), wide, high)
    inner = Scale(view[2], view[3], scale.font) if view else scale
    ref = carried(fit, *(_reference(marker, name, inner) for name in ("refX", "refY")))
    matrix = after(matrix, (1.0, 0.0, 0.0, 1.0, -ref[0], -ref[1]))
    style = renderer.sheet.resolved(marker)
    clip = place.clip
    if style["overflow"] not in {"visible", "auto"}:
        clip = cut(frame((0.0, 0.0, wide, high), matrix), clip)
    style = renderer.in_context(style, element, place.style)
    inner = inner._replace(font=length(style["font-size"], "", scale))
    there = replace(
        place, style=style, matrix=after(matrix, fit), scale=inner, clip=clip,
        via=(*place.via, marker), deep=place.deep + 1,
    )  # fmt: skip
    for child in marker:
        renderer.visit(child, there)


def _reference(marker: Any, name: str, scale: Scale) -> float:
    axis = name[-1].lower()
    words = {"left": "0", "top": "0", "center": "50%", "right": "100%", "bottom": "100%"}
    text = marker.get(name, "0")
    return length(words.get(text, text), axis, scale)


def _angle(orient: str, kind: str, vertex: Vertex) -> float:
    """The turn of the marker, radians: given, or halfway between the ways in and out."""
    if not orient.startswith("auto"):
        return math.radians(angle(orient))
    _, before, past = vertex
    if kind == "start" or before == NOWHERE:
        before = past
    if kind == "end" or past == NOWHERE:
        past = before
    turns = [math.atan2(way[1], way[0]) for way in (before, past)]
    half = math.atan2(
        math.sin(turns[0]) + math.sin(turns[1]), math.cos(turns[0]) + math.cos(turns[1])
    )
    return half + math.pi if kind == "start" and orient == "auto-start-reverse" else half
