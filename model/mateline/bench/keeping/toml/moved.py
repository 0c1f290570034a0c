"""A key that gets another name, and an entry of an array of tables that gets another place.

Stands after insertions. Both keep the text of what they move, comments included.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.bench.keeping.toml import literals
from mateline.bench.keeping.toml.cuts import cut, spans_of
from mateline.bench.keeping.toml.insertions import element_splice
from mateline.bench.keeping.toml.layout import Layout
from mateline.bench.keeping.toml.splices import Splice, spliced

if TYPE_CHECKING:
    from mateline.bench.keeping.toml.layout import Node, Path


def renamed(layout: Layout, path: Path, name: str) -> list[Splice]:
    """The splices that call what is at `path` by another name, wherever its key is spelled."""
    node = layout.node(path)
    if node is None:
        raise RuntimeError(f"{path} is not in the text")
    depth = sum(isinstance(step, str) for step in path)
    places = {
        (each.body.parts[depth - 1].start, each.body.parts[depth - 1].end)
        for each in node.below()
        if each.body is not None
    }
    if node.entry is not None:
        places.add((node.entry.parts[-1].start, node.entry.parts[-1].end))
    elif node.is_dotted:
        nth = _below_home(node) - 1
        places |= {(entry.parts[nth].start, entry.parts[nth].end) for entry in node.entries}
    return [Splice(start, end, literals.key(name)) for start, end in places]


def _below_home(node: Node) -> int:
    """How many keys lead from its home to a dotted table."""
    count = 1
    while node.parent is not None and node.parent is not node.home:
        count, node = count + 1, node.parent
    return count


def moved_element(layout: Layout, path: Path, to: int) -> str | None:
    """The text with an element of an array of tables before the one that has the index `to` when
    it is gone; None where its lines are not together, so that it can't be moved as it is.
    """
    node = layout.node(path)
    if node is None or node.parent is None or node.parent.kind != "tables":
        return None
    spans = spans_of(layout, node)
    if len(spans) != 1 or len(node.parent.items) == 1:
        return None
    lines = layout.text[slice(*spans[0])]
    rest = Layout(spliced(layout.text, cut(layout, node)))
    tables = rest.node(path[:-1])
    if tables is None:
        raise RuntimeError(f"{path} has lost its neighbours")
    lines = lines if lines.endswith("\n") else f"{lines}\n"
    return spliced(rest.text, [element_splice(rest, tables, to, lines)])
