"""HTML by hand: elements whose attributes and texts are escaped, and links inside the book.

Stands first in jobbook.
"""

from __future__ import annotations

import json
import re
from html import escape
from typing import Any

from mateline.tape.quantities import unbroken

VOID = frozenset(
    {"br", "img", "input", "meta", "link", "option"}
)  # option: its end may be left out


# What a browser would part after its dash: C-D, 2027-04-05, R1 to R5.
_DASHED = re.compile(r"\b([A-Z]-)(?=[A-Z]\b)|(?<=\d)-(?=\d)|\u2013(?=\w)")
_JOINER = "\u2060"  # word joiner: no width, and no line ends there


def text(words: object) -> str:
    """`words` as a text node; no line ends within a quantity, a date or a range."""
    return escape(_DASHED.sub(rf"\g<0>{_JOINER}", unbroken(str(words))), quote=False)


def element(name: str, /, *inner: str, **attributes: object) -> str:
    """One element. `inner` is markup already; `class_` and `for_` lose their underscore, and
    `aria_label` becomes `aria-label`. An attribute that is None or False is left out.
    """
    written = "".join(_attribute(key, value) for key, value in attributes.items())
    if name in VOID:
        return f"<{name}{written}>"
    return f"<{name}{written}>{''.join(inner)}</{name}>"


def said(name: str, words: object, /, **attributes: object) -> str:
    """One element that holds a text and nothing else."""
    return element(name, text(words), **attributes)


def listed(items: list[str], **attributes: object) -> str:
    """An unordered list of markup."""
    return element("ul", *(element("li", item) for item in items), **attributes)


def tick_box(words: str, **attributes: object) -> str:
    """A box to tick; what is ticked is kept by its words, so that other words are not ticked."""
    return element("input", type="checkbox", data_tick=words, **attributes)


def table(caption: str, head: list[str], rows: list[list[str]], **attributes: object) -> str:
    """A table of markup; the first cell of each row is its heading.

    It stands in a box of its own that scrolls, and that the keyboard can reach, where the screen
    is narrower than the table. On a phone each row becomes a card, whose cells are headed by `--c1`
    and so on: the words of `head`.
    """
    lines = [
        element(
            "tr",
            element("th", row[0], scope="row"),
            *(element("td", cell) for cell in row[1:]),
        )
        for row in rows
    ]
    heads = ";".join(f"--c{at}:{_css(word)}" for at, word in enumerate(head) if at and word)
    whole = element(
        "table",
        said("caption", caption),
        element("thead", element("tr", *(said("th", word, scope="col") for word in head))),
        element("tbody", *lines),
        style=heads or None,
        **attributes,
    )
    return element("div", whole, class_="wide", tabindex="0", role="group", aria_label=caption)


def _css(words: str) -> str:
    """A heading as a string of CSS."""
    escaped = unbroken(words).replace("\\", "\\\\").replace("'", "\\'")
    return f"'{escaped}: '"


def data(identity: str, value: Any) -> str:
    """Plain data for the script, as JSON that no markup can break out of."""
    written = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return element("script", written.replace("<", "\\u003c"), type="application/json", id=identity)


def anchor(kind: str, name: str) -> str:
    """The id in the book of a face, piece or mark: "piece-body-left-B3"."""
    return f"{kind}-{name.replace(' ', '-')}"


def _attribute(key: str, value: object) -> str:
    if value is None or value is False:
        return ""
    name = key.rstrip("_").replace("_", "-")
    return f" {name}" if value is True else f' {name}="{escape(str(value))}"'
