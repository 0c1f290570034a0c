"""The cascade: which value of each property an SVG element has.

Stands between the XML tree and the walk. Sources: CSS Cascading 4, 6 (style attribute over
style sheet over presentation attribute; specificity; !important); SVG 2, 6.6 (attributes).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from mateline.artwork.svg_values import paint

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

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
    "transform-origin": "",
    "vector-effect": "none",
}
# Geometry that style sheets may set as well (SVG 2, 7 and 10).
GEOMETRY = ("x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "d")
_COLOURED = ("fill", "stroke", "color", "stop-color")
_KNOWN = frozenset([*INHERITED, *OWN, *GEOMETRY])


@dataclass(frozen=True, slots=True)
class Style:
    """Values of one element: `given` from its parent or its own, `own` never handed down."""

    given: dict[str, str]
    own: Mapping[str, str]

    def __getitem__(self, name: str) -> str:
        if name in self.given:
            return self.given[name]
        return self.own.get(name, OWN.get(name, ""))

    def geometry(self, name: str) -> str | None:
        """A geometry property that a style sheet or style attribute sets."""
        return self.own.get(name)


ROOT = Style(INHERITED, {})
_NOTHING: dict[str, str] = {}


class Sheet:
    """Rules of a drawing's style elements, matched to its elements."""

    def __init__(self, root: Any, note: Callable[[Any, str], None]) -> None:
        self._note = note
        self._matched: dict[Any, Declared] = {}
        styles = [element for element in root.iter("{*}style") if (element.text or "").strip()]
        if styles:
            self._match(root, styles)

    def style(self, element: Any, parent: Style) -> Style:
        """The element's values, given its parent's."""
        declared = dict(self._declared(element))
        if not declared:
            return Style(parent.given, _NOTHING)
        given, own = parent.given, {}
        for name, value in declared.items():
            if name in INHERITED:
                if given is parent.given:
                    given = dict(given)
                given[name] = parent.given[name] if value == "inherit" else value
            else:
                own[name] = parent[name] if value == "inherit" else value
        return Style(given, own)

    def resolved(self, element: Any) -> Style:
        """The element's values from the root of the drawing down."""
        style = ROOT
        for one in (*reversed([*element.iterancestors()]), element):
            style = self.style(one, style)
        return style

    def _declared(self, element: Any) -> Iterator[tuple[str, str]]:
        """Known properties in rising weight, so the last one of a name holds."""
        matched = self._matched.get(element, ())
        inline = _inline(element.get("style"))
        for name, value in element.attrib.items():
            if name in _KNOWN and name not in GEOMETRY:
                yield from self._valid(element, name, value)
        for important in (False, True):
            for name, value, weighty in (*matched, *inline):
                if weighty == important and name in _KNOWN:
                    yield from self._valid(element, name, value)

    def _valid(self, element: Any, name: str, value: str) -> Iterator[tuple[str, str]]:
        value = value.strip()
        if name in _COLOURED and not value.startswith("url(") and value != "inherit":
            try:
                paint(value)
            except ValueError as wrong:
                self._note(element, f"{wrong}; {name} was left as it is without it.")
                return
        if name == "marker":
            yield from ((f"marker-{end}", value) for end in ("start", "mid", "end"))
        yield name, value

    def _match(self, root: Any, styles: list[Any]) -> None:
        import cssselect2  # noqa: PLC0415  # most drawings have no style sheet
        import tinycss2  # noqa: PLC0415

        matcher = cssselect2.Matcher()
        for style in styles:
            for rule in tinycss2.parse_stylesheet(
                style.text, skip_comments=True, skip_whitespace=True
            ):
                self._add(matcher, style, rule)
        for wrapper in cssselect2.ElementWrapper.from_xml_root(root).iter_subtree():
            hits = matcher.match(wrapper)
            declared = [one for hit in sorted(hits, key=lambda hit: hit[:2]) for one in hit[3]]
            if declared:
                self._matched[wrapper.etree_element] = declared

    def _add(self, matcher: Any, style: Any, rule: Any) -> None:
        import cssselect2  # noqa: PLC0415  # as above
        import tinycss2  # noqa: PLC0415

        if rule.type != "qualified-rule":
            name = getattr(rule, "at_keyword", "")
            if name not in {"font-face", "charset"}:
                what = f"@{name}" if name else "a rule that is not CSS"
                self._note(style, f"{what} of the style sheet was left out.")
            return
        try:
            selectors = cssselect2.compile_selector_list(rule.prelude)
        except cssselect2.SelectorError as wrong:
            self._note(style, f"A rule of the style sheet was left out: {wrong}.")
            return
        declared = [
            (item.lower_name, tinycss2.serialize(item.value).strip(), item.important)
            for item in tinycss2.parse_blocks_contents(rule.content)
            if item.type == "declaration"
        ]
        for selector in selectors:
            matcher.add_selector(selector, declared)


def _inline(text: str | None) -> Declared:
    """Declarations of a style attribute."""
    if not text:
        return []
    if any(mark in text for mark in "\"'(\\!/"):
        import tinycss2  # noqa: PLC0415  # rare: a semicolon may stand inside brackets or quotes

        return [
            (item.lower_name, tinycss2.serialize(item.value).strip(), item.important)
            for item in tinycss2.parse_blocks_contents(text)
            if item.type == "declaration"
        ]
    pairs = (part.partition(":") for part in text.split(";"))
    return [(name.strip().lower(), value.strip(), False) for name, _, value in pairs if value]
