"""What a drawing will draw, counted before any of it is drawn.

Stands between outlines and rendering. A drawing of a kilobyte may ask for thousands of millions of
copies, so work is refused by counting it first. Counts follow what `use` and `switch` draw. They
are never above what drawing would come to, but where a transform leaves nothing of a shape.

    own      what an element counts for by itself
    total    that and what all it draws counts for, copies of copies included
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mateline.drawing.path import MOST_CURVES, MOST_STEPS
from mateline.drawing.svg.outlines import DRAWN
from mateline.drawing.svg.paint import href_of, tag_of
from mateline.drawing.svg.path_data import least_curves, least_numbers, least_segments

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

MOST_ELEMENTS = 30_000  # drawn, copies counted: more is a drawing made to hang its reader
MOST_POINTS = 750_000  # of all that is drawn, for the same reason
PER_CURVE = 10  # points that a curve counts for at least: reading and facetting one takes so long
MOST_DEEP = 100  # elements inside one another
UNDRAWN = frozenset(
    ["defs", "symbol", "clipPath", "mask", "marker", "pattern", "linearGradient", "filter",
     "radialGradient", "style", "title", "desc", "metadata", "script", "view", "stop", "font",
     "animate", "animateTransform", "animateMotion", "set", "animateColor", "cursor"]
)  # fmt: skip
HOLDERS = frozenset(["g", "a", "svg", "symbol"])  # what draws its children
CORNERS = 4  # segments of a rectangle or an ellipse


class TooMuchError(ValueError):
    """More than can be drawn; `element` is what asks for it."""

    def __init__(self, element: Any, what: str) -> None:
        super().__init__(element, what)
        self.element, self.what = element, what


class Census:
    """Counts for one drawing; `ids` are its elements by id."""

    def __init__(self, ids: Mapping[str, Any]) -> None:
        self._ids = ids
        self._elements: dict[Any, int] = {}
        self._known_parts: dict[Any, list[Any]] = {}

    def refuse_too_much(self, root: Any) -> None:
        """Raises TooMuchError for more elements or points than a drawing may have."""
        # Three characters or more say what counts for ten, so most drawings need no closer look.
        if PER_CURVE / 3 * self._total(root, {}, _characters) > MOST_POINTS:
            self._refuse(root, {}, _segments, (MOST_POINTS, "points"))
        self._refuse(root, self._elements, _one, (MOST_ELEMENTS, "elements"))

    def elements(self, some: Iterable[Any]) -> int:
        """How many elements are drawn with some of them."""
        return sum(self._total(one, self._elements, _one) for one in some if is_drawn(one))

    def _refuse(
        self, root: Any, known: dict[Any, int], own: Callable[[Any], int], limit: tuple[int, str]
    ) -> None:
        most, words = limit
        total = self._total(root, known, own)
        if total <= most:
            return
        element = root
        for _ in range(MOST_DEEP):  # to the innermost that alone has too many
            inner = [one for one in self._parts(element) if known.get(one, 0) > most]
            if not inner:
                break
            element = inner[0]
        what = f"draws more than {most} {words}, {total} with those that `use` repeats"
        raise TooMuchError(element, what)

    def _total(
        self, element: Any, known: dict[Any, int], own: Callable[[Any], int], deep: int = 0
    ) -> int:
        if element in known:
            return known[element]
        if deep > MOST_DEEP:  # drawing refuses that
            return 0
        known[element] = 0  # for a part of itself, which drawing refuses
        count = own(element)
        for one in self._parts(element):
            count += self._total(one, known, own, deep + 1)
        known[element] = count
        return count

    def _parts(self, element: Any) -> list[Any]:
        """The elements that an element draws."""
        if element not in self._known_parts:
            self._known_parts[element] = self._found_parts(element)
        return self._known_parts[element]

    def _found_parts(self, element: Any) -> list[Any]:
        tag = tag_of(element)
        if tag == "use":
            meant = self._ids.get(href_of(element)[1:])
            return [] if meant is None else [meant]
        if tag == "switch":
            return [child for child in element if is_choice(child)][:1]
        return [child for child in element if is_drawn(child)] if tag in HOLDERS else []


def is_drawn(element: Any) -> bool:
    """Whether an element is one that is drawn where it stands (SVG 2, 5.2 and 5.9)."""
    tag = tag_of(element)
    return bool(tag) and tag not in UNDRAWN and _suits(element)


def is_choice(child: Any) -> bool:
    """Whether a child of `switch` may be chosen; what would be left out leaves it to the next."""
    known = tag_of(child) in DRAWN or tag_of(child) in {"g", "a", "svg", "use", "switch", "text"}
    return known and _suits(child)


def _suits(child: Any) -> bool:
    """Whether an element may be drawn (SVG 2, 5.9): nothing that we lack is asked."""
    if child.get("requiredExtensions") is not None:
        return False
    languages = child.get("systemLanguage")
    return languages is None or any(
        word.strip().lower().split("-")[0] == "en" for word in languages.split(",")
    )


def _one(element: Any) -> int:
    return 0 if tag_of(element) == "symbol" else 1  # the `use` that draws it is counted


def _characters(element: Any) -> int:
    return len(element.get("d") or "") + len(element.get("points") or "")


def _segments(element: Any) -> int:
    moves = curves = 0
    match tag_of(element):
        case "path":
            data = element.get("d") or ""
            (segments, moves), curves = least_segments(data), least_curves(data)
        case "polyline" | "polygon":
            segments = least_numbers(element.get("points") or "") // 2
        case "rect" | "circle" | "ellipse":
            segments = CORNERS
        case _:
            segments = 0
    if segments > MOST_STEPS:
        what = f"has more than {MOST_STEPS} segments, {segments} at least"
        raise TooMuchError(element, what)
    if curves > MOST_CURVES:
        what = f"has more than {MOST_CURVES} curves, {curves} at least"
        raise TooMuchError(element, what)
    return segments - moves + (PER_CURVE - 1) * curves
