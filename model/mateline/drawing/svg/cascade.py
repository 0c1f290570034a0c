"""The cascade: which value of each property an SVG element has.

Stands between the XML tree and rendering. Sources: CSS Cascading 4, 6 (style attribute over
style sheet over presentation attribute; specificity; !important); SVG 2, 6.6 (attributes).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from mateline.drawing.svg.selectors import Selectors, TooMuchStyleError
from mateline.drawing.svg.values import Scale, length, number, paint, share

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from mateline.drawing.shapes import TakesNotes

    Declared = list[tuple[str, str, bool]]  # property, value, !important

# What is handed down to children, with the value at the root.
INHERITED: dict[str, str] = {
    "clip-rule": "nonzero",
    "color": "#000000",
    "fill": "#000000",
    "fill-opacity": "1",
    "fill-rule": "nonzero",
    "font-size": "16px",
    "marker": "none",
    "marker-end": "none",
    "marker-mid": "none",
    "marker-start": "none",
    "paint-order": "normal",
    "stroke": "none",
    "stroke-dasharray": "none",
    "stroke-dashoffset": "0",
    "stroke-linecap": "butt",
    "stroke-linejoin": "miter",
    "stroke-miterlimit": "4",
    "stroke-opacity": "1",
    "stroke-width": "1",
    "visibility": "visible",
}
# What is each element's own, with the value where it is not set.
OWN: dict[str, str] = {
    "clip-path": "none",
    "display": "inline",
    "filter": "none",
    "isolation": "auto",
    "mask": "none",
    "mask-type": "luminance",
    "mix-blend-mode": "normal",
    "opacity": "1",
    "overflow": "",
    "stop-color": "#000000",
    "stop-opacity": "1",
    "transform": "",
    "transform-box": "view-box",
    "transform-origin": "",
    "vector-effect": "none",
}
# Geometry that style sheets may set as well (SVG 2, 7 and 10).
GEOMETRY = ("x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "d")
UNWRITTEN = frozenset([*GEOMETRY, "marker"])  # as attributes these are no properties (SVG 2, 6.6)
CSS = frozenset(["", "text/css"])
_KNOWN = frozenset([*INHERITED, *OWN, *GEOMETRY])
MOST_STYLE = 2_000_000  # characters of style that need a CSS parser
MOST_ATTRIBUTES = 500  # of one element: finding one takes as long as there are others
MOST_BRACKETS = 40  # inside one another
RESET = frozenset(["initial", "unset", "revert"])
CONTEXT = frozenset(["context-fill", "context-stroke"])
FONT_WORDS = {  # px (CSS Fonts 4, 2.5, at 16 px for medium)
    "xx-small": 9.6, "x-small": 12.0, "small": 128 / 9, "medium": 16.0, "large": 19.2,
    "x-large": 24.0, "xx-large": 32.0,
}  # fmt: skip
_ANY = Scale(100.0, 100.0, 16.0)  # to tell whether a length is one
_BRACKET = re.compile(r"[(\[{)\]}]")


@dataclass(frozen=True, slots=True)
class Style:
    """Values of one element: `given` from its parent or its own, `own` never handed down."""

    given: dict[str, str]
    own: Mapping[str, str]
    context: Mapping[str, str] | None = None  # what context-fill and context-stroke stand for

    def __getitem__(self, name: str) -> str:
        if name in self.given:
            value = self.given[name]
            return self.context.get(value, value) if self.context else value
        return self.own.get(name, OWN.get(name, ""))

    def geometry(self, name: str) -> str | None:
        """A geometry property that a style sheet or style attribute sets."""
        return self.own.get(name)


ROOT = Style(INHERITED, {})
_NOTHING: dict[str, str] = {}


class Sheet:
    """Rules of a drawing's style elements, matched to its elements."""

    def __init__(self, root: Any, note: TakesNotes) -> None:
        """Raises TooMuchStyleError for a sheet that would take for ever."""
        self._note = note
        self._parsed = 0  # characters
        self._matched: dict[Any, Declared] = {}
        styles = [
            element
            for element in root.iter("{*}style")
            if (element.text or "").strip() and element.get("type", "text/css") in CSS
        ]
        if styles:
            self._match(root, styles)

    def style(self, element: Any, parent: Style) -> Style:
        """The element's values, given its parent's."""
        declared = dict(self._declared(element))
        if not declared:
            return Style(parent.given, _NOTHING, parent.context)
        given, own = parent.given, {}
        for name, value in declared.items():
            if name in INHERITED:
                if given is parent.given:
                    given = dict(given)
                given[name] = _handed_down(name, value, parent.given[name])
            elif value == "inherit":
                own[name] = parent[name]
            elif value not in RESET:
                own[name] = value
        return Style(given, own, parent.context)

    def resolved(self, element: Any) -> Style:
        """The element's values from the root of the drawing down."""
        style = ROOT
        for one in (*reversed([*element.iterancestors()]), element):
            style = self.style(one, style)
        return style

    def _declared(self, element: Any) -> Iterator[tuple[str, str]]:
        """Known properties in rising weight, so the last one of a name holds."""
        matched = self._matched.get(element, ())
        inline = self._inline(element.get("style"))
        if len(element.attrib) > MOST_ATTRIBUTES:
            raise ValueError(f"the element has more than {MOST_ATTRIBUTES} attributes")
        for name, value in element.attrib.items():
            if name in _KNOWN and name not in UNWRITTEN:
                yield from self._valid(element, name, value)
        for important in (False, True):
            for name, value, weighty in (*matched, *inline):
                if weighty == important and name in _KNOWN:
                    yield from self._valid(element, name, value)

    def _valid(self, element: Any, name: str, value: str) -> Iterator[tuple[str, str]]:
        value = value.strip()
        wrong = _wrong(name, value)
        if wrong:
            self._note(element, f"{wrong}; {name} was left as it is without it.")
            return
        if name == "marker":
            yield from ((f"marker-{end}", value) for end in ("start", "mid", "end"))
        yield name, value

    def _match(self, root: Any, styles: list[Any]) -> None:
        import tinycss2  # noqa: PLC0415  # most drawings have no style sheet

        for style in styles:
            self._count(style.text)
        selectors = Selectors(root)
        sheets = [
            tinycss2.parse_stylesheet(style.text, skip_comments=True, skip_whitespace=True)
            for style in styles
        ]
        for rules in sheets:  # all are counted before any is looked up
            for rule in rules:
                if rule.type == "qualified-rule":
                    selectors.expect(rule.prelude)
        hits: dict[Any, list[tuple[tuple[int, int, int], int, Declared]]] = {}
        order = 0
        for style, rules in zip(styles, sheets, strict=True):
            for rule in rules:
                meant = self._meant(selectors, style, rule)
                declared = _declarations(rule) if meant else []
                order += 1
                for element, weight in meant:
                    hits.setdefault(element, []).append((weight, order, declared))
        for element, found in hits.items():
            found.sort(key=lambda hit: hit[:2])
            self._matched[element] = [one for hit in found for one in hit[2]]

    def _meant(
        self, selectors: Selectors, style: Any, rule: Any
    ) -> list[tuple[Any, tuple[int, int, int]]]:
        """The elements that a rule means; a rule that can't be read leaves a note."""
        if rule.type != "qualified-rule":
            name = getattr(rule, "at_keyword", "")
            if name not in {"font-face", "charset"}:
                what = f"@{name}" if name else "a rule that is not CSS"
                self._note(style, f"{what} of the style sheet was left out.")
            return []
        try:
            return list(selectors.found(rule.prelude))
        except TooMuchStyleError:
            raise
        except ValueError as wrong:
            self._note(style, f"A rule of the style sheet was left out: {wrong}.")
            return []

    def _inline(self, text: str | None) -> Declared:
        """Declarations of a style attribute."""
        if not text:
            return []
        if any(mark in text for mark in "\"'(\\!/"):
            import tinycss2  # noqa: PLC0415  # rare: a semicolon may be inside brackets or quotes

            self._count(text)
            return _listed(tinycss2.parse_blocks_contents(text))
        parts = dict.fromkeys(reversed(text.split(";")))  # of what is said again the last counts
        pairs = (part.partition(":") for part in reversed(parts))
        return [(name.strip().lower(), value.strip(), False) for name, _, value in pairs if value]

    def _count(self, text: str) -> None:
        self._parsed += len(text)
        if self._parsed > MOST_STYLE:
            raise TooMuchStyleError(f"there are more than {MOST_STYLE} characters of style")
        deep = 0
        for bracket in _BRACKET.findall(text):
            deep += 1 if bracket in "([{" else -1
            if deep > MOST_BRACKETS:
                raise TooMuchStyleError(
                    f"brackets of the style stand more than {MOST_BRACKETS} deep in one another"
                )


def _declarations(rule: Any) -> Declared:
    import tinycss2  # noqa: PLC0415  # as above

    return _listed(tinycss2.parse_blocks_contents(rule.content))


def _listed(items: list[Any]) -> Declared:
    import tinycss2  # noqa: PLC0415  # as above

    return [
        (item.lower_name, tinycss2.serialize(item.value).strip(), item.important)
        for item in items
        if item.type == "declaration"
    ]


def _handed_down(name: str, value: str, above: str) -> str:
    """The value that an inherited property has, given its parent's."""
    if value in {"inherit", "unset", "revert"}:
        return above
    if value == "initial":
        return INHERITED[name]
    if name == "font-size":
        return f"{font_size(value, length(above, '', _ANY))}px"
    return value


def font_size(text: str, above: float) -> float:
    """A font size in px, given the one it is relative to."""
    word = text.lower()
    if word in FONT_WORDS:
        return FONT_WORDS[word]
    if word in {"larger", "smaller"}:
        return above * (1.2 if word == "larger" else 1 / 1.2)
    # A percentage is of the font size above, so that is both sides of the viewport here.
    return length(text, "x", Scale(above, above, above))


@lru_cache(maxsize=4096)
def _wrong(name: str, value: str) -> str:
    """What is wrong with the value of a property; "" when it is one."""
    check = _CHECKS.get(name)
    if check and value != "inherit" and value not in RESET:
        try:
            check(value)
        except ValueError as wrong:
            return str(wrong)
    return ""


def _colour(text: str) -> None:
    if not text.startswith("url(") and text not in CONTEXT:
        paint(text)


def _dashes(text: str) -> None:
    parts = [] if text == "none" else text.replace(",", " ").split()
    if any(length(part, "", _ANY) < 0 for part in parts):
        raise ValueError(f"{text[:40]!r} has a negative length")


def _one_of(*words: str) -> Callable[[str], None]:
    def check(text: str) -> None:
        if text not in words:
            raise ValueError(f"{text[:24]!r} is none of {', '.join(words)}")

    return check


def _length(text: str) -> None:
    length(text, "", _ANY)


_CHECKS: Mapping[str, Callable[[str], object]] = MappingProxyType({
    **dict.fromkeys(["fill", "stroke", "color", "stop-color"], _colour),
    **dict.fromkeys(["opacity", "fill-opacity", "stroke-opacity", "stop-opacity"], share),
    **dict.fromkeys(["stroke-width", "stroke-dashoffset"], _length),
    "font-size": lambda text: font_size(text, 16.0),
    "stroke-dasharray": _dashes,
    "stroke-miterlimit": number,
    **dict.fromkeys(["fill-rule", "clip-rule"], _one_of("nonzero", "evenodd")),
    "stroke-linecap": _one_of("butt", "round", "square"),
    "stroke-linejoin": _one_of("miter", "miter-clip", "round", "bevel", "arcs"),
    "visibility": _one_of("visible", "hidden", "collapse"),
})  # fmt: skip
