"""Clip paths and masks as areas.

Stands before rendering, which draws their content. Source: CSS Masking 1, 6 (clip-path) and
7 (mask). A mask is taken as an area where it lets at least half of the light through.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from mateline.drawing.flattening import flattened
from mateline.drawing.svg.outlines import DRAWN, outline_of
from mateline.drawing.svg.paint import fragment, href_of, tag_of
from mateline.drawing.svg.place import cut, frame
from mateline.drawing.svg.values import length, luminance
from mateline.planar.affine import IDENTITY, after
from mateline.planar.unions import polygons, united

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from mateline.drawing.svg.place import Place, Renderer
    from mateline.drawing.svg.values import Scale
    from mateline.planar.affine import Affine

    Area = Polygon | MultiPolygon

LETS_THROUGH = 0.5  # share of the light from which on a mask counts as open
PER_PART = 10  # elements that one in a clip or mask counts for: all of them are united
CLEAR = 0.02  # share of the light: a mask nearer to shut or open than this is quite so


class Clips:
    """Areas of the clip paths and masks that elements refer to."""

    def __init__(self, renderer: Renderer) -> None:
        self._renderer = renderer
        self._known: dict[tuple[Any, Affine, Scale], Area] = {}
        self._masks: dict[tuple[Any, Affine, Scale], tuple[Area, bool]] = {}

    def area(self, element: Any, name: str, place: Place, value: str = "") -> Area | None:
        """Where the element may be seen by its property `name`; None where it may everywhere.

        `value` is that of a clip or mask which stands on the one that the element has.
        """
        value = value or place.style[name]
        target, _ = fragment(value)
        meant = self._renderer.ids.get(target)
        wanted = "clipPath" if name == "clip-path" else "mask"
        if meant is None or tag_of(meant) != wanted:
            self._renderer.note(element, f"Its {name} is {value[:60]!r}, which was left out.")
            return None
        if meant in place.via:
            raise self._renderer.fault(
                element, f"Its {name} #{target} refers to itself.", "Break the circle."
            )
        inner = self._place_inside(element, meant, place)
        if wanted == "mask":
            return self._mask(element, meant, inner, place)
        key = (meant, inner.matrix, inner.scale)
        if key not in self._known:
            self._refuse_many(element, meant)
            found = self._renderer.inside(self._clipping(meant), replace(inner, clipping=True))
            self._known[key] = united([one.area for one in found])
        return cut(self._known[key], self._outer(element, "clip-path", inner, place))

    def _refuse_many(self, element: Any, meant: Any) -> None:
        """Count what a clip or mask is made of, before any of it is drawn and united."""
        self._renderer.expect(element, PER_PART * self._renderer.census.elements(meant))

    def _outer(self, element: Any, name: str, inner: Place, place: Place) -> Area | None:
        """What a clip or mask is itself clipped or masked by, in units of the same element."""
        value = inner.style[name]
        if value == "none":
            return None
        return self.area(element, name, replace(place, via=inner.via, deep=inner.deep), value)

    def _place_inside(self, element: Any, meant: Any, place: Place) -> Place:
        style = self._renderer.sheet.resolved(meant)
        is_clip = tag_of(meant) == "clipPath"
        units = meant.get("clipPathUnits" if is_clip else "maskContentUnits", "userSpaceOnUse")
        # A clipPath may have a transform, around its units (6.2); a mask has none.
        matrix = self._renderer.matrix(style, place) if is_clip else place.matrix
        if units == "objectBoundingBox":
            x, y, wide, high = self.box(element, place)
            matrix = after(matrix, (wide, 0.0, 0.0, high, x, y))
        scale = place.scale._replace(font=length(style["font-size"], "", place.scale))
        return replace(
            place, style=style, scale=scale, matrix=matrix, seen=True, clip=None, clipping=False,
            via=(*place.via, meant), deep=place.deep + 1,
        )  # fmt: skip

    def _clipping(self, meant: Any) -> Iterator[Any]:
        """The children of a clip path that count: shapes, and copies of shapes (6.2)."""
        for child in meant:
            tag = tag_of(child)
            if tag == "use":
                copied = self._renderer.ids.get(href_of(child)[1:])
                tag = "" if copied is None else tag_of(copied)
            if tag in DRAWN or tag == "text":
                yield child

    def _mask(self, element: Any, meant: Any, inner: Place, place: Place) -> Area:
        key = (meant, inner.matrix, inner.scale)
        if key not in self._masks:
            self._refuse_many(element, meant)
            self._masks[key] = self._opening(meant, inner)
        area, between = self._masks[key]
        area = cut(area, self._outer(element, "mask", inner, place))
        if between:
            self._renderer.note(
                element, "Its mask is half-transparent; it was cut where half of the light passes."
            )
        return cut(area, self._mask_frame(element, meant, place))

    def _opening(self, meant: Any, inner: Place) -> tuple[Area, bool]:
        """Where a mask lets light through, and whether any of it is half-transparent."""
        by_alpha = inner.style["mask-type"] == "alpha"
        area: Area = Polygon()
        between = False
        runs: list[tuple[bool, list[Area]]] = []
        for one in self._renderer.inside(meant, inner):
            light = one.paint.alpha * (1.0 if by_alpha else luminance(one.paint.colour))
            between = between or CLEAR < light < 1 - CLEAR
            opens = light >= LETS_THROUGH
            if opens or (not by_alpha and one.paint.alpha >= LETS_THROUGH):
                if not runs or runs[-1][0] != opens:
                    runs.append((opens, []))
                runs[-1][1].append(one.area)
        for opens, areas in runs:
            self._renderer.spend(int(shapely.get_num_coordinates(area)))
            part = united(areas)
            area = polygons((shapely.union if opens else shapely.difference)(area, part))
        return area, between

    def _mask_frame(self, element: Any, meant: Any, place: Place) -> Polygon:
        """The mask's own x, y, width, height, 120 % of the box by default (7.3)."""
        given = [meant.get(name) for name in ("x", "y", "width", "height")]
        if meant.get("maskUnits", "objectBoundingBox") == "objectBoundingBox":
            x, y, wide, high = self.box(element, place)
            shares = [
                length(text, "x", place.scale._replace(width=1.0)) if text else default
                for text, default in zip(given, (-0.1, -0.1, 1.2, 1.2), strict=True)
            ]
            box = (x + shares[0] * wide, y + shares[1] * high, shares[2] * wide, shares[3] * high)
            return frame(box, place.matrix)
        texts = [
            text or other
            for text, other in zip(given, ("-10%", "-10%", "120%", "120%"), strict=True)
        ]
        sizes = [length(text, axis, place.scale) for text, axis in zip(texts, "xyxy", strict=True)]
        return frame((sizes[0], sizes[1], sizes[2], sizes[3]), place.matrix)

    def box(self, element: Any, place: Place) -> tuple[float, float, float, float]:
        """The element's box in its own units, strokes left aside (x, y, width, height)."""
        rings = list(self._rings(element, replace(place, matrix=IDENTITY)))
        if not rings:  # nothing is drawn, and so nothing is seen of it
            return 0.0, 0.0, 0.0, 0.0
        points = np.vstack(rings)
        low, high = points.min(axis=0), points.max(axis=0)
        return float(low[0]), float(low[1]), float(high[0] - low[0]), float(high[1] - low[1])

    def _rings(self, element: Any, place: Place) -> Iterator[NDArray[np.float64]]:
        tag = tag_of(element)
        if tag in DRAWN:
            for part in outline_of(element, tag, place.style, place.scale):
                yield flattened(part, place.matrix, self._renderer.deviation)
            return
        content = replace(place, clipping=True, clip=None, measuring=True)
        for one in self._renderer.content(element, content):
            yield shapely.get_coordinates(one.area)
