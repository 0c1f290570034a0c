"""How a table that is new to a text is written: under a header of its own, or in braces.

Stands after literals, before insertions. As the file writes the same word elsewhere; else as it
writes the words beside it; else as the sort of file does (`Manner`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from mateline.bench.keeping.toml.literals import LITERAL

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mateline.bench.keeping.toml.layout import Layout, Node, Path

Style = Literal["header", "braces"]


@dataclass(frozen=True, slots=True)
class Manner:
    """What a sort of file does where a file gives no example.

    `headers` are words whose tables, or arrays of tables, get headers below the top, where all do.
    `maps` are tables with names of the user's own, so that all their tables are written alike;
    None where all are. `order` is that of the words at the top.
    """

    headers: frozenset[str] = frozenset()
    maps: frozenset[str] | None = None
    order: tuple[str, ...] = ()


def style_of(layout: Layout, path: Path, manner: Manner) -> Style:
    """How a table, or an array of tables, is to be written at a path where none is yet."""
    votes = _votes(_alike(layout.root, path))
    if not votes and (manner.maps is None or (len(path) > 1 and path[-2] in manner.maps)):
        beside = (node.children.values() for node in _alike(layout.root, path[:-1]))
        votes = _votes(each for children in beside for each in children)
    if votes:
        return "header" if sum(votes) * 2 > len(votes) else "braces"
    words = [step for step in path if isinstance(step, str)]
    return "header" if len(words) == 1 or words[-1] in manner.headers else "braces"


def _alike(root: Node, path: Path) -> Iterator[Node]:
    """The nodes at a path, in whichever elements of the arrays on its way."""
    if not path:
        yield root
    elif isinstance(path[0], int):
        for each in root.items:
            yield from _alike(each, path[1:])
    elif path[0] in root.children:
        yield from _alike(root.children[path[0]], path[1:])


def _votes(nodes: Iterator[Node]) -> list[bool]:
    """For each that is a table, or tables, whether it has headers."""
    return [
        each.kind in {"table", "tables"} and not each.is_dotted
        for each in nodes
        if each.kind in {"inline", "table", "tables"}
        or (each.kind == "array" and any(item.kind == "inline" for item in each.items))
    ]


def is_tables(value: Any) -> bool:
    """Whether a value can be an array of tables under headers."""
    return isinstance(value, list) and bool(value) and all(map(is_table, value))


def is_table(value: Any) -> bool:
    """Whether a value is a table, and not a literal in the clothes of one."""
    return isinstance(value, dict) and set(value) != {LITERAL}
