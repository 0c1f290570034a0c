"""What must be cut out of a TOML text to remove a value.

Stands after splices. A table's headers, entries and the comments between them go; a comment above
its first header stays, since it may as well be the title of all that follows. An array of tables
whose last entry goes is gone, for an empty one can't be written as headers.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.bench.keeping.toml.splices import Splice, is_blank, with_columns_kept

if TYPE_CHECKING:
    from mateline.bench.keeping.toml.layout import Body, Entry, Layout, Node


def cut(layout: Layout, node: Node) -> list[Splice]:
    """The splices that remove a node, and keep its parent where nothing else would state it."""
    if node.parent is None:
        raise RuntimeError("the document itself can't be cut out")
    if node.parent.kind == "array":
        return with_columns_kept(layout, [_item_cut(layout, node)])
    braces = braces_of(node)
    if braces is not None:
        return with_columns_kept(layout, [_without(layout, braces, node)])
    if node.parent.kind == "tables" and len(node.parent.items) == 1:
        return cut(layout, node.parent)
    spans = spans_of(layout, node)
    splices: list[Splice] = []
    for span in spans:
        start, end = _with_blank_line(layout, *span)
        splices.append(Splice(max(start, splices[-1].end) if splices else start, end))
    kept = _kept_parent(layout, node)
    if kept:
        start, end = spans[0]
        splices[0] = Splice(start, end, kept)
    return splices


def braces_of(node: Node) -> Node | None:
    """The inline table that a node is in directly, or by a dotted key."""
    parent = node.parent
    while parent is not None and parent.is_dotted:
        parent = parent.home
    return parent if parent is not None and parent.kind == "inline" else None


def spans_of(layout: Layout, node: Node) -> list[tuple[int, int]]:
    """Where the lines of a node are, in order; comments between its bodies are among them."""
    bodies = [each.body for each in node.below() if each.body is not None]
    starts = {body.start for body in bodies}
    spans: list[tuple[int, int]] = []
    together = False
    for body in sorted(_bodies(layout), key=lambda each: each.start):
        ours = body.start in starts
        if ours and together:
            spans[-1] = spans[-1][0], body.end
        elif ours:
            spans.append((body.start, body.end))
        together = ours
    lines = {(entry.start, entry.end) for entry in line_entries(node)}
    outside = [span for span in lines if not any(a <= span[0] < b for a, b in spans)]
    return sorted((*spans, *outside))


def line_entries(node: Node) -> list[Entry]:
    """The entries on lines of their own that state a node: one, or those of a dotted table."""
    if node.entry is not None:
        return [node.entry]
    return [entry for each in node.below() if each.is_dotted for entry in each.entries]


def _bodies(layout: Layout) -> list[Body]:
    return [each.body for each in layout.root.below() if each.body is not None]


def _with_blank_line(layout: Layout, start: int, end: int) -> tuple[int, int]:
    """The span with the blank lines before it, or behind it at the start of the file, where two
    gaps would come together.
    """
    last = end >= len(layout.text)
    if start == 0:
        while is_blank(layout, end):
            end = layout.line_end(end)
    elif last or is_blank(layout, end):
        above = layout.line_start(start - 1)
        while start > 0 and is_blank(layout, above):
            start, above = above, layout.line_start(max(above - 1, 0))
    return start, end


def _kept_parent(layout: Layout, node: Node) -> str:
    """The line that states the parent still, where this node was all that did."""
    parent = node.parent
    if parent is None or parent.kind == "tables" or parent.body or len(parent.children) > 1:
        return ""
    if parent.is_dotted:
        parts = parent.entries[0].parts
        last = parts[_depth(parent, parent.home) - 1]
        return f"{layout.text[parent.entries[0].start : last.end]} = {{}}\n"
    bodies = [each.body for each in node.below() if each.body is not None]
    body = min(bodies, key=lambda each: each.start)
    depth = _depth(parent, None)
    return f"[{layout.text[body.parts[0].start : body.parts[depth - 1].end]}]\n"


def _depth(node: Node, home: Node | None) -> int:
    """How many keys lead from `home`, or the document, to a node."""
    depth = 0
    at: Node | None = node
    while at is not None and at is not home:
        depth += at.parent is not None and at.parent.kind not in {"tables", "array"}
        at = at.parent
    return depth


def _item_cut(layout: Layout, node: Node) -> Splice:
    """The splice that takes an element out of an array."""
    array = node.parent
    if array is None:
        raise RuntimeError("an element without its array")
    nth = array.items.index(node)
    if len(array.items) == 1 and not layout.text[array.start + 1 : node.start].strip():
        rest = layout.text[node.end : array.end - 1]
        if not rest.strip(" \t\r\n,"):
            return Splice(array.start, array.end, "[]")
    behind = _behind_comma(layout, node)
    line = layout.line_start(node.start)
    alone = not layout.text[line : node.start].strip() and line > array.start
    comment = layout.comment_after(behind)
    rest_of_line = layout.text[behind : comment or layout.line_end(behind)]
    if alone and not rest_of_line.strip() and layout.line_end(behind) < array.end:
        return Splice(line, layout.line_end(behind))
    if nth + 1 < len(array.items):
        following = array.items[nth + 1].start
        gap = layout.text[behind:following]
        return Splice(node.start, behind if "#" in gap else following)
    if nth and "#" not in layout.text[array.items[nth - 1].end : node.start]:
        return Splice(array.items[nth - 1].end, node.end)
    return Splice(node.start, behind)


def _behind_comma(layout: Layout, node: Node) -> int:
    """Behind an element and its comma, if it has one."""
    at = node.end
    while layout.text[at] not in ",]":
        at = layout.line_end(at) if layout.text[at] == "#" else at + 1
    return at + 1 if layout.text[at] == "," else node.end


def _without(layout: Layout, braces: Node, node: Node) -> Splice:
    """An inline table without one of its nodes."""
    gone = set(map(id, line_entries(node)))
    kept = [
        layout.text[each.parts[0].start : each.end].rstrip()
        for each in braces.entries
        if id(each) not in gone
    ]
    parent = node.parent
    if parent is not None and parent.is_dotted and len(parent.children) == 1:
        parts = parent.entries[0].parts[: _depth(parent, braces)]
        kept.append(f"{layout.text[parts[0].start : parts[-1].end]} = {{}}")
    return Splice(braces.start, braces.end, in_braces(layout, braces, kept))


def in_braces(layout: Layout, braces: Node, entries: list[str]) -> str:
    """The entries in braces that are spaced as they were."""
    space = "" if braces.entries and layout.text[braces.start + 1] != " " else " "
    return f"{{{space}{', '.join(entries)}{space}}}" if entries else "{}"
