"""Rendering: what each element draws, in the outermost svg's units.

Stands between the readers of single things and `read_svg`. What can't be flat geometry
leaves a note with the element that it came from. Source: SVG 2, chapters 3, 5, 7 and 13.
"""

from __future__ import annotations

import math
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote

import shapely

from mateline.drawing.fill_rule import enclosed
from mateline.drawing.flattening import LARGEST, flattened
from mateline.drawing.shapes import Note
from mateline.drawing.svg.cascade import CONTEXT, Sheet, Style
from mateline.drawing.svg.census import (
    MOST_DEEP,
    MOST_ELEMENTS,
    MOST_POINTS,
    Census,
    TooMuchError,
    is_choice,
    is_drawn,
)
from mateline.drawing.svg.clipping import Clips
from mateline.drawing.svg.markers import draw_markers
from mateline.drawing.svg.outlines import DRAWN, outline_of
from mateline.drawing.svg.paint import Paints, href_of, tag_of
from mateline.drawing.svg.place import Painted, Place, cut, frame
from mateline.drawing.svg.stroking import Pen, path_unit, stroked
from mateline.drawing.svg.values import Paint, Scale, about, length, number, share, transform
from mateline.drawing.svg.viewport import fitted, view_box
from mateline.errors import InputError
from mateline.planar.affine import IDENTITY, after, carried_all, determinant, stretch
from mateline.planar.unions import polygons

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from mateline.drawing.path import Subpath
    from mateline.drawing.shapes import NoteKind
    from mateline.drawing.svg.place import Area
    from mateline.planar.affine import Affine

NOWHERE = shapely.Polygon()  # made once: it takes as long as a small shape
SILHOUETTE = Paint("#000000", 1.0)  # of what has an area only
FULL = 1 - 1 / 512  # share: paint that covers more than this is opaque
PAINT_ORDER = ("fill", "stroke", "markers")  # what is not named comes last, in this order (13.8)
OWN_BOX = frozenset(["fill-box", "content-box", "stroke-box", "border-box"])  # strokes left aside
LEFT_OUT = {
    "image": "A raster image was left out: only flat shapes can be cut.",
    "text": "Text was left out: turn it into paths in the program that drew it.",
    "flowRoot": "Text was left out: turn it into paths in the program that drew it.",
    "foreignObject": "Foreign content was left out: only flat shapes can be cut.",
    "video": "A video was left out.",
}
WORDS = frozenset(["text", "flowRoot", "foreignObject"])  # of these, what holds words is lettering
EMPTY = frozenset(["text", "flowRoot"])  # without words they show nothing


class Rendering:
    """One drawing being read: what has been painted so far, back to front, and notes on it.

    Raises TooMuchStyleError for style sheets that would take for ever.
    """

    def __init__(self, file: str, root: Any, deviation: float) -> None:
        self.file, self.deviation = file, deviation
        self.painted: list[Painted] = []
        self.notes: dict[Note, None] = {}
        self.elements: dict[str, list[int]] = {}
        self.boxes: dict[str, list[tuple[float, float, float, float]]] = {}
        self.open: list[str] = []  # ids of the elements that are being drawn
        self.count = self.points = 0  # elements and points so far
        self.ids: dict[str, Any] = {}
        for element in root.iter():
            if element.get("id") if isinstance(element.tag, str) else None:
                self.ids.setdefault(element.get("id"), element)
        self.census = Census(self.ids)
        try:
            self.census.refuse_too_much(root)
        except TooMuchError as wrong:
            raise self.fault(
                wrong.element, f"It {wrong.what}.", "Leave some out, or merge shapes of one colour."
            ) from wrong
        self.sheet = Sheet(root, self.note)
        self.paints = Paints(self.ids, self.sheet, self.note)
        self.clips = Clips(self)

    def note(self, element: Any, message: str, kind: NoteKind = "left-out") -> None:
        """Keep a note; the same one on the same element is kept once."""
        within = None if tag_of(element) == "style" else self._within(element)
        self.notes[Note(label(element), message, kind, within)] = None

    def _within(self, element: Any) -> tuple[str, ...]:
        """Ids that an element has or stands in, those of the `use` that draws it counted."""
        above = (one.get("id") for one in (element, *element.iterancestors()))
        return tuple(dict.fromkeys([*self.open, *(name for name in above if name)]))

    def fault(self, element: Any, what: str, remedy: str) -> InputError:
        """The error that ends the reading at `element`."""
        return InputError(self.file, _where(element), what, remedy)

    def visit(self, element: Any, place: Place) -> None:
        """Draw an element and all that is in it."""
        if not is_drawn(element):
            return
        if place.deep > MOST_DEEP:
            raise self.fault(
                element,
                f"Elements stand more than {MOST_DEEP} deep in one another.",
                "Ungroup them.",
            )
        self.expect(element, 1)
        self.count += 1
        with self._named(element):
            try:
                self._drawn(element, tag_of(element), place)
            except ValueError as wrong:
                text = str(wrong)
                raise self.fault(
                    element, f"{text[:1].upper()}{text[1:]}.", "Mend it, or draw the shape again."
                ) from wrong

    def inside(self, children: Iterable[Any], place: Place) -> list[Painted]:
        """What children would paint, kept apart from the picture (for clips and masks)."""
        kept = self.painted, self.elements, self.boxes
        self.painted, self.elements, self.boxes = [], {}, {}
        try:
            for child in children:
                self.visit(child, place)
            return self.painted
        finally:
            self.painted, self.elements, self.boxes = kept

    def expect(self, element: Any, elements: int) -> None:
        """Refuse to draw so many elements more, for the sake of `element`."""
        if self.count + elements > MOST_ELEMENTS:
            raise self.fault(
                element,
                f"With it the drawing draws more than {MOST_ELEMENTS} elements, "
                f"{self.count + elements} with those that `use`, clips, masks and markers repeat.",
                "Leave some out, or merge shapes of one colour.",
            )

    def spend(self, points: int) -> None:
        """Count points that are drawn. Raises ValueError when there are too many."""
        self.points += points
        if self.points > MOST_POINTS:
            raise ValueError(f"the drawing has more than {MOST_POINTS} points, copies counted")

    def content(self, element: Any, place: Place) -> list[Painted]:
        """What a container draws, kept apart, its own transform and clips left aside."""
        if tag_of(element) != "use":
            return self.inside(element, place)
        meant = self.ids.get(href_of(element)[1:])
        return self.inside([] if meant is None else [meant], place)

    @contextmanager
    def _named(self, element: Any) -> Iterator[None]:
        name = element.get("id")
        if not name:
            yield
            return
        first = len(self.painted)
        self.open.append(name)
        yield
        self.open.pop()
        self.elements.setdefault(name, []).extend(range(first, len(self.painted)))

    def _drawn(self, element: Any, tag: str, place: Place, by: Any = None) -> None:
        """Draw an element; `by` is the `use` that draws and may size it, where one does."""
        style = self.sheet.style(element, place.style)
        opacity, first = share(style["opacity"]), len(self.painted)
        here = replace(
            place,
            style=style,
            scale=_scaled(style, place),
            deep=place.deep + 1,
            hidden=place.hidden or style["display"] == "none",
            seen=place.seen and opacity > 0,
            matrix=self._moved(element, style, place),
        )
        if determinant(here.matrix) == 0:
            return
        if tag in LEFT_OUT:
            self._left_out(element, tag, here)
            return
        if not (here.hidden or here.measuring):
            here = self.limited(element, here)
        if tag in DRAWN:
            self._shape(element, tag, here)
        elif tag in {"g", "a"}:
            self._children(element, here)
        elif tag in {"svg", "symbol"}:
            self._nested(element, element if by is None else by, here)
        elif tag == "use":
            self._use(element, here)
        elif tag == "switch":
            self._children([child for child in element if is_choice(child)][:1], here)
        else:
            self.note(element, f"<{tag}> is not known and was left out.")
        if opacity < 1:
            self.fade(first, opacity)

    def fade(self, first: int, opacity: float) -> None:
        """Let all that was painted from number `first` on cover less, as one picture.

        Of what lies on one another in it only the uppermost shows through (CSS Color 4, 3.4).
        """
        group = self.painted[first:]
        cover: Area = NOWHERE
        for at, one in reversed(list(enumerate(group))):
            area = one.area
            if not cover.is_empty:
                self.spend(int(shapely.get_num_coordinates(cover)))
                area = polygons(shapely.difference(area, cover))
            paint = one.paint._replace(alpha=one.paint.alpha * opacity)
            group[at] = replace(one, area=area, paint=paint)
            if at and one.paint.alpha >= FULL:
                cover = polygons(shapely.union(cover, one.area))
        self.painted[first:] = group

    def matrix(self, style: Style, place: Place, element: Any = None) -> Affine:
        """The map from the units of an element of that style to the drawing's.

        It may be about the element's own box, where there is an element (CSS Transforms 1, 11).
        """
        text = style["transform"]
        if not text or text == "none":
            return place.matrix
        x, y, scale, origin = 0.0, 0.0, place.scale, style["transform-origin"]
        if element is not None and style["transform-box"] in OWN_BOX:
            scale = _scaled(style, place)
            x, y, wide, high = self.clips.box(element, replace(place, style=style, scale=scale))
            scale, origin = scale._replace(width=wide, height=high), origin or "0 0"
        matrix = transform(text, scale)
        if origin:
            right, down = _origin(origin, scale)
            matrix = about(matrix, x + right, y + down)
        return after(place.matrix, matrix)

    def _moved(self, element: Any, style: Style, place: Place) -> Affine:
        """The same; the place of a `use` is the last part of its transform (SVG 1.1, 5.6)."""
        matrix = self.matrix(style, place, element)
        if tag_of(element) != "use":
            return matrix
        scale = _scaled(style, place)
        x, y = (length(element.get(name, "0"), name, scale) for name in "xy")
        return after(matrix, (1.0, 0.0, 0.0, 1.0, x, y))

    def _left_out(self, element: Any, tag: str, place: Place) -> None:
        target = href_of(element)
        if tag == "image" and not _beside(target):
            self._outside(element, target)
        reads = tag in WORDS and bool("".join(element.itertext()).strip())
        shown = not place.hidden and place.seen and place.style["visibility"] == "visible"
        if shown and (reads or tag not in EMPTY):
            self.note(element, LEFT_OUT[tag], "lettering" if reads else "left-out")

    def _outside(self, element: Any, target: str) -> None:
        raise self.fault(
            element,
            f"It refers to another file, {target[:80]!r}, and other files are never opened.",
            "Copy what is needed into the drawing.",
        )

    def limited(self, element: Any, place: Place) -> Place:
        """The place as it is inside the element's own clip and mask."""
        style = place.style
        for name, what in (("filter", "A filter"), ("mix-blend-mode", "A blend mode")):
            if style[name] not in {"none", "normal"}:
                self.note(element, f"{what} was left out; the shape was painted flat.")
        for name in ("clip-path", "mask"):
            if style[name] != "none":
                found = self.clips.area(element, name, place)
                if found is not None:
                    place = replace(place, clip=cut(found, place.clip))
        return place

    def in_context(self, style: Style, element: Any, of: Style) -> Style:
        """The style inside a marker of an element whose style is `of` (SVG 2, 13.2)."""
        colours = {}
        for name in ("fill", "stroke"):
            found = None if of[name] in CONTEXT else self.paints.flat(element, of, name)
            colours[f"context-{name}"] = "none" if found is None else found.colour
        return replace(style, context=colours)

    def _children(self, children: Iterable[Any], place: Place) -> None:
        for child in children:
            self.visit(child, place)

    def _nested(self, element: Any, sized: Any, place: Place) -> None:
        """An svg or symbol in its own viewport; a `use` that draws it may size it (5.6)."""
        scale = place.scale

        def measure(name: str) -> float:
            own = element.get(name) if tag_of(element) == "svg" else None  # a symbol has none
            text = (sized.get(name) if sized is not element else None) or own or "100%"
            return length(text, "xy"[name == "height"], scale)

        wide, high = measure("width"), measure("height")
        x, y = 0.0, 0.0
        if tag_of(element) == "svg":
            x, y = (length(element.get(name, "0"), name, scale) for name in "xy")
        if wide <= 0 or high <= 0:
            return
        matrix = after(place.matrix, (1.0, 0.0, 0.0, 1.0, x, y))
        if place.style["overflow"] not in {"visible", "auto"}:
            place = replace(place, clip=cut(frame((0.0, 0.0, wide, high), matrix), place.clip))
        view = view_box(element)
        if view:
            fit = fitted(view, element.get("preserveAspectRatio", ""), wide, high)
            matrix, wide, high = after(matrix, fit), view[2], view[3]
        inner = replace(place, matrix=matrix, scale=scale._replace(width=wide, height=high))
        self._children(element, inner)

    def _use(self, element: Any, place: Place) -> None:
        target = href_of(element)
        if target and not target.startswith("#"):
            self._outside(element, target)
        meant = self.ids.get(target[1:])
        if meant is None:
            self.note(element, f"It repeats {target!r}, which is not in the drawing.")
            return
        if meant in place.via:
            raise self.fault(
                element,
                f"It repeats {target!r}, which it is itself a part of.",
                "Break the circle.",
            )
        there = replace(place, via=(*place.via, meant))
        tag = tag_of(meant)
        if tag not in {"symbol", "svg"}:
            self.visit(meant, there)
            return
        with self._named(meant):
            self._drawn(meant, tag, there, by=element)

    def _shape(self, element: Any, tag: str, place: Place) -> None:
        style = place.style
        outline = outline_of(element, tag, style, place.scale)
        if not outline:
            return
        rings = [flattened(part, place.matrix, self.deviation) for part in outline]
        self.spend(sum(map(len, rings)))
        box = _around(rings)
        for name in set(self.open):
            self.boxes.setdefault(name, []).append(box)
        if place.measuring:  # what is invisible, and what has no area, counts as well (8.10)
            self.painted.append(Painted(shapely.box(*box), SILHOUETTE, element))
            return
        unseen = place.hidden or style["visibility"] != "visible"
        if (
            unseen
            or not (place.seen or place.clipping)
            or (place.clip is not None and place.clip.is_empty)
        ):
            return
        if place.clipping:
            area = enclosed(rings, evenodd=style["clip-rule"] == "evenodd", spend=self.spend)
            self._paint(element, area, SILHOUETTE, place)
            return
        self._filled_and_stroked(element, outline, rings, place)

    def _filled_and_stroked(
        self, element: Any, outline: list[Subpath], rings: list[Any], place: Place
    ) -> None:
        style = place.style
        order = [word for word in style["paint-order"].split() if word in PAINT_ORDER]
        for kind in dict.fromkeys((*order, *PAINT_ORDER)):
            if kind == "markers":
                draw_markers(self, element, outline, place)
                continue
            paint = self.paints.flat(element, style, kind)
            if paint is None:
                continue
            if kind == "fill":
                area = enclosed(rings, evenodd=style["fill-rule"] == "evenodd", spend=self.spend)
            else:
                area = self._stroke(element, outline, place)
            self._paint(element, area, paint, place)

    def _stroke(self, element: Any, outline: list[Subpath], place: Place) -> Area:
        style, scale = place.style, place.scale
        width = length(style["stroke-width"], "", scale)
        if width <= 0:
            return NOWHERE
        if width > LARGEST:
            raise ValueError(f"a stroke {width:g} wide is too large to reckon with")
        if style["vector-effect"] == "non-scaling-stroke":
            self.note(element, "Its stroke was scaled with the shape, though it asks not to be.")
        dashes = _dashes(style["stroke-dasharray"], scale)
        unit = path_unit(element.get("pathLength"), outline, self.deviation) if dashes else 1.0
        if unit == math.inf:  # dashes without end
            dashes, unit = (), 1.0
        pen = Pen(
            width,
            style["stroke-linecap"],
            style["stroke-linejoin"],
            number(style["stroke-miterlimit"]),
            tuple(unit * dash for dash in dashes),
            unit * length(style["stroke-dashoffset"], "", scale) if dashes else 0.0,
        )
        area = stroked(outline, pen, self.deviation / stretch(place.matrix), self.spend)
        if place.matrix == IDENTITY:
            return area
        return shapely.transform(area, lambda points: carried_all(place.matrix, points))

    def _paint(self, element: Any, area: Area, paint: Paint, place: Place) -> None:
        if place.clip is not None:
            self.spend(int(shapely.get_num_coordinates(place.clip)))
        area = cut(area, place.clip)
        if not area.is_empty:
            self.spend(int(shapely.get_num_coordinates(area)))
            self.painted.append(Painted(area, paint, element))


def label(element: Any) -> str:
    """How messages call an element: by its id, or its tag and line."""
    name = element.get("id")
    return f"#{name}" if name else f"<{tag_of(element)}> in line {element.sourceline}"


def _around(rings: list[Any]) -> tuple[float, float, float, float]:
    """The box of rings: low x, low y, high x, high y."""
    low = [min(float(ring[:, axis].min()) for ring in rings) for axis in (0, 1)]
    high = [max(float(ring[:, axis].max()) for ring in rings) for axis in (0, 1)]
    return low[0], low[1], high[0], high[1]


def _beside(target: str) -> bool:
    """Whether a picture is in this file, or in one of the drawing's own folder or below it."""
    if not target or target.startswith(("data:", "#")):
        return True
    path = unquote(target).replace("\\", "/")
    return not path.startswith("/") and ":" not in path and ".." not in path.split("/")


def _where(element: Any) -> str:
    name = element.get("id")
    return f"#{name} in line {element.sourceline}" if name else label(element)


def _scaled(style: Style, place: Place) -> Scale:
    """What lengths are measured by inside an element of that style."""
    if style["font-size"] == place.style["font-size"]:
        return place.scale
    return place.scale._replace(font=length(style["font-size"], "", place.scale))


def _dashes(text: str, scale: Scale) -> tuple[float, ...]:
    """On and off lengths; none at all for a solid line (13.5.6)."""
    if text == "none":
        return ()
    values = tuple(length(part, "", scale) for part in text.replace(",", " ").split())
    if any(value < 0 for value in values):
        raise ValueError(f"stroke-dasharray={text[:40]!r} has a negative length")
    return values if sum(values) > 0 else ()


def _origin(text: str, scale: Scale) -> tuple[float, float]:
    words = {"left": "0", "top": "0", "center": "50%", "right": "100%", "bottom": "100%"}
    parts = text.split()[:2]
    if parts[0] in {"top", "bottom"} or (len(parts) == 2 and parts[1] in {"left", "right"}):
        parts.reverse()
    parts = [words.get(part, part) for part in parts]
    if len(parts) == 1:
        parts = [parts[0], "50%"] if text.strip() not in {"top", "bottom"} else ["50%", parts[0]]
    return length(parts[0], "x", scale), length(parts[1], "y", scale)
