"""What must be put into a TOML text to add a value, in the style of the text.

Stands after cuts and styles. A new entry stands under the last one of its table, a new header under
the last line of what belongs before it, and so above the comments that belong to what follows.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mateline.bench.keeping.toml import literals
from mateline.bench.keeping.toml.cuts import spans_of
from mateline.bench.keeping.toml.splices import Splice, is_blank, with_columns_kept
from mateline.bench.keeping.toml.styles import is_table, is_tables, style_of

if TYPE_CHECKING:
    from mateline.bench.keeping.toml.layout import Body, Layout, Node, Path
    from mateline.bench.keeping.toml.styles import Manner

MOST_COLUMNS = 100  # of a line of an array, before its next element gets a line of its own


def inserted(layout: Layout, path: Path, value: Any, manner: Manner) -> list[Splice]:
    """The splices that add a value where none is; in an array, before the element at its index.

    The node above must be there. Raises NotTomlError for what is no table, among tables.
    """
    parent = layout.node(path[:-1])
    step = path[-1]
    if parent is None:
        raise RuntimeError(f"{path} has nothing to stand in")
    if isinstance(step, int):
        if parent.kind == "array":
            return _in_array(layout, parent, step, literals.value(value))
        if not is_table(value):
            raise literals.NotTomlError("What stands here are tables.", "Give an object.")
        text = _section(layout, path, value, manner, tables=True)
        return [element_splice(layout, parent, step, text)]
    if parent.kind == "inline":
        return _in_braces(layout, parent, f"{literals.key(step)} = {literals.value(value)}")
    if parent.is_dotted:
        return [_dotted(layout, parent, step, value)]
    if _gets_header(layout, path, value, manner):
        text = _section(layout, path, value, manner, tables=isinstance(value, list))
        return [_block(layout, _place_below(layout, parent, step, manner), text)]
    return [_entry(layout, path, step, value)]


def _gets_header(layout: Layout, path: Path, value: Any, manner: Manner) -> bool:
    return (is_table(value) or is_tables(value)) and style_of(layout, path, manner) == "header"


# ---- in brackets and braces


def _in_array(layout: Layout, array: Node, nth: int, spelled: str) -> list[Splice]:
    text = layout.text
    if not array.items:
        return with_columns_kept(layout, [Splice(array.end - 1, array.end - 1, spelled)])
    if nth < len(array.items):
        before = array.items[nth].start
        line = layout.line_start(before)
        alone = line > array.start and not text[line:before].strip()
        gap = f",\n{text[line:before]}" if alone and _one_a_line(layout, array) else ", "
        return with_columns_kept(layout, [Splice(before, before, spelled + gap)])
    last = array.items[-1]
    comma = text.find(",", last.end, array.end)
    behind = comma + 1 if comma >= 0 and not text[last.end : comma].strip() else last.end
    line = layout.line_start(last.start)
    alone = line > array.start and not text[line : last.start].strip()
    first_comma = "," if behind == last.end else ""
    last_comma = "" if first_comma else ","
    long = behind - line + len(spelled) > MOST_COLUMNS
    if line > array.start and ((alone and _one_a_line(layout, array)) or long):
        indent = text[line:][: len(text[line:]) - len(text[line:].lstrip())]
        end = layout.line_end(behind)
        if end < array.end:  # behind the line, and so behind its comment
            new = Splice(end, end, f"{indent}{spelled}{last_comma}\n")
            return [Splice(behind, behind, ","), new] if first_comma else [new]
        return [Splice(behind, behind, f"{first_comma}\n{indent}{spelled}{last_comma}")]
    return with_columns_kept(
        layout, [Splice(behind, behind, f"{first_comma} {spelled}{last_comma}")]
    )


def _one_a_line(layout: Layout, array: Node) -> bool:
    """Whether each element has a line of its own."""
    lines = {layout.line_start(item.start) for item in array.items}
    return len(lines) == len(array.items)


def _in_braces(layout: Layout, braces: Node, spelled: str) -> list[Splice]:
    if not braces.entries:
        new = Splice(braces.start, braces.end, f"{{ {spelled} }}")
    else:
        last = braces.entries[-1].end
        new = Splice(last, last, f", {spelled}")
    return with_columns_kept(layout, [new])


def _dotted(layout: Layout, table: Node, name: str, value: Any) -> Splice:
    """An entry in a table that only dotted keys state: one more of them."""
    last = table.entries[-1]
    depth = 1
    at = table
    while at.parent is not None and at.parent is not table.home:
        depth, at = depth + 1, at.parent
    above = layout.text[last.parts[0].start : last.parts[depth - 1].end]
    spelled = f"{above}.{literals.key(name)} = {literals.value(value)}"
    if table.home is not None and table.home.kind == "inline":
        return Splice(last.end, last.end, f", {spelled}")
    return _line(layout, last.end, _indent(layout, last.start) + spelled)


# ---- on lines


def _entry(layout: Layout, path: Path, name: str, value: Any) -> Splice:
    """An entry under the last entry of its table; a table without a header gets one."""
    parent = layout.node(path[:-1])
    spelled = literals.value(value)
    if parent is None:
        raise RuntimeError(f"{path} has nothing to stand in")
    if parent.body is None:  # implied: its header goes above its first part
        spans = spans_of(layout, parent)
        header = f"[{header_key(path[:-1])}]\n{literals.key(name)} = {spelled}\n\n"
        return Splice(spans[0][0], spans[0][0], header)
    if not parent.body.entries and parent is layout.root:
        return _first_entry(layout, f"{literals.key(name)} = {spelled}")
    key = _padded(layout, parent.body, literals.key(name))
    indent = _indent(layout, parent.body.entries[-1].start) if parent.body.entries else ""
    return _line(layout, parent.body.end, f"{indent}{key} = {spelled}")


def _first_entry(layout: Layout, line: str) -> Splice:
    """The first entry above all headers: under the comment that opens the file."""
    at = _behind_opening(layout)
    if at:
        return _line(layout, at, line)
    return Splice(0, 0, f"{line}\n" + ("\n" if layout.text else ""))


def _behind_opening(layout: Layout) -> int:
    """Behind the comment that opens the file, if one does that belongs to nothing else."""
    at = 0
    while layout.text.startswith("#", at):
        at = layout.line_end(at)
    return at if at >= len(layout.text) or is_blank(layout, at) else 0


def _padded(layout: Layout, body: Body, key: str) -> str:
    """The key with spaces behind it, where the signs of its neighbours stand in one column."""
    text = layout.text
    columns = set()
    aligned = False
    for entry in body.entries:
        sign = text.index("=", entry.parts[-1].end)
        columns.add(sign - entry.parts[0].start)
        aligned |= sign - entry.parts[-1].end > 1
    return key.ljust(columns.pop() - 1) if aligned and len(columns) == 1 else key


def _indent(layout: Layout, line: int) -> str:
    text = layout.text[line : layout.line_end(line)]
    return text[: len(text) - len(text.lstrip())]


def _line(layout: Layout, at: int, line: str) -> Splice:
    """A line put in at the start of a line, or behind a last one that has no end."""
    broken = at > 0 and layout.text[at - 1] != "\n"
    return Splice(at, at, f"\n{line}" if broken else f"{line}\n")


# ---- with headers


def element_splice(layout: Layout, tables: Node, nth: int, text: str) -> Splice:
    """The splice that puts the text of an element into an array of tables."""
    if nth:
        return _block(layout, _end_of(layout, tables.items[nth - 1]), text)
    first = spans_of(layout, tables.items[0])[0][0]
    above = layout.line_start(first - 1) if first else 0
    while first and layout.text[above:first].lstrip().startswith("#"):  # its comment stays its own
        first, above = above, layout.line_start(max(above - 1, 0))
    return Splice(first, first, f"{text}\n")


def _place_below(layout: Layout, parent: Node, name: str, manner: Manner) -> int:
    """Where a header that is new in a table goes."""
    if parent is not layout.root or name not in manner.order:
        return _end_of(layout, parent) or _behind_opening(layout)
    earlier = manner.order[: manner.order.index(name)]
    ends = (_end_of(layout, each) for word, each in parent.children.items() if word in earlier)
    body = 0 if layout.root.body is None else layout.root.body.end
    return max((body, *ends)) or _behind_opening(layout)


def _end_of(layout: Layout, node: Node) -> int:
    """Behind the last line of a node."""
    return max((end for _, end in spans_of(layout, node)), default=0)


def _block(layout: Layout, at: int, text: str) -> Splice:
    """Lines under a header, with a blank line on either side."""
    before = "" if at == 0 else "\n" if layout.text[at - 1] == "\n" else "\n\n"
    bare = at >= len(layout.text) or is_blank(layout, at)
    return Splice(at, at, f"{before}{text}" + ("" if bare else "\n"))


def header_key(path: Path) -> str:
    """A path as a header spells it."""
    return ".".join(literals.key(step) for step in path if isinstance(step, str))


def _section(layout: Layout, path: Path, value: Any, manner: Manner, *, tables: bool) -> str:
    """A table under its header, or an array of them, with its tables under theirs."""
    if isinstance(value, list):
        return "\n".join(
            _section(layout, (*path, nth), each, manner, tables=True)
            for nth, each in enumerate(value)
        )
    lines: list[str] = []
    below: list[str] = []
    for name, inner in value.items():
        under = (*path, name)
        if _gets_header(layout, under, inner, manner):
            below.append(_section(layout, under, inner, manner, tables=isinstance(inner, list)))
        else:
            lines.append(f"{literals.key(name)} = {literals.value(inner)}\n")
    name = header_key(path)
    implied = not lines and bool(below) and not tables
    header = "" if implied else f"[[{name}]]\n" if tables else f"[{name}]\n"
    return "\n".join((*([header + "".join(lines)] if not implied else []), *below))
