"""Where each thing of a TOML text stands, so that a change can be spliced in and all else stays.

Stands first in the room. A library that keeps comments makes its own text of a document again,
decides where comments belong, and needs 75 ms for a definition of 450 lines; spans need 10, and
what no splice touches can't change. The text must be valid TOML (tomllib has read it): nothing is
checked here. Source: TOML 1.0.0, https://toml.io/en/v1.0.0.

    node      a value: a leaf, an array, an inline table, a table, or tables (an array of tables)
    entry     key = value, on lines of its own or in an inline table
    body      what stands under one header, or above the first: entries up to the next header
    dotted    a table that only dotted keys state (a.b = 1), at home in the body that has them
    implied   a table without a header and without entries: [a.b] implies a
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

Kind = Literal["leaf", "array", "inline", "table", "tables"]
Path = tuple[str | int, ...]

_SPACE = re.compile(r"[ \t]*")
_GAP = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")  # between the elements of an array
_COMMENT = re.compile(r"#[^\n]*")
_KEY_PART = re.compile(r"""[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'""")
_LEAF = re.compile(
    r'"""(?:\\.|[^\\"]|"{1,2}(?!"))*"{3,5}'
    r"|'''(?:[^']|'{1,2}(?!'))*'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'"
    r"|\d{4}-\d\d-\d\d \d\d:[^\s,\]}#]*"
    r"|[^\s,\[\]{}#]+",
    re.DOTALL,
)


@dataclass(slots=True, eq=False)
class Part:
    """One part of a key: what it names and where it is spelled."""

    name: str
    start: int
    end: int


@dataclass(slots=True, eq=False)
class Entry:
    """key = value. `start` and `end` take in whole lines, or key and value in an inline table."""

    start: int
    parts: list[Part]
    value: Node
    end: int = 0


@dataclass(slots=True, eq=False)
class Body:
    """A header with what stands under it. `header_end` is behind its line; 0 above all headers."""

    start: int
    header_end: int
    parts: list[Part]
    entries: list[Entry] = field(default_factory=list)

    @property
    def end(self) -> int:
        """Behind its last line: comments and blank lines after that belong to what follows."""
        return self.entries[-1].end if self.entries else self.header_end


@dataclass(slots=True, eq=False)
class Node:
    """A value and where it is. `start` and `end` are of leaves, arrays and inline tables."""

    kind: Kind
    parent: Node | None = None
    start: int = -1
    end: int = -1
    items: list[Node] = field(default_factory=list)
    children: dict[str, Node] = field(default_factory=dict)
    body: Body | None = None  # of a table with a header, and of the document
    entry: Entry | None = None  # that has this value
    home: Node | None = None  # of a dotted table: the node whose body or braces have its entries
    entries: list[Entry] = field(default_factory=list)  # of an inline table, of a dotted one

    @property
    def is_dotted(self) -> bool:
        """Whether only dotted keys state this table."""
        return self.home is not None

    def at(self, step: str | int) -> Node | None:
        """What this node holds there."""
        if isinstance(step, int):
            return self.items[step] if 0 <= step < len(self.items) else None
        return self.children.get(step)

    def below(self) -> Iterator[Node]:
        """The node itself and all nodes in it."""
        yield self
        for each in (*self.items, *self.children.values()):
            yield from each.below()


class Layout:
    """A text with the places of all that it holds."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.root = Node("table", body=Body(0, 0, []))
        self.comments: list[int] = []  # where they start, in order
        self._at = 0
        self._scan()

    def node(self, path: Path) -> Node | None:
        """The node at a path of the table."""
        found: Node | None = self.root
        for step in path:
            if found is None:
                return None
            found = found.at(step)
        return found

    def line_start(self, at: int) -> int:
        """Where the line of a place begins."""
        return self.text.rfind("\n", 0, at) + 1

    def line_end(self, at: int) -> int:
        """Behind the line of a place, its newline included."""
        end = self.text.find("\n", at)
        return len(self.text) if end < 0 else end + 1

    def comment_after(self, at: int) -> int | None:
        """Where a comment starts behind `at` on its line."""
        nth = bisect_left(self.comments, at)
        if nth == len(self.comments) or self.comments[nth] >= self.line_end(at):
            return None
        return self.comments[nth]

    # ---- scanning

    def _scan(self) -> None:
        table = self.root
        while self._at < len(self.text):
            line = self._at
            self._skip(_SPACE)
            here = self.text[self._at : self._at + 1]
            if here == "[":
                table = self._header(line)
            elif here == "#":
                self._comment()
                self._at = self.line_end(self._at)
            elif here in {"", "\n", "\r"}:
                self._at = self.line_end(self._at)
            else:
                self._line_entry(table, line)

    def _header(self, line: int) -> Node:
        twice = self.text.startswith("[[", self._at)
        self._at += 1 + twice
        parts = self._key()
        self._at += 1 + twice  # the brackets that close
        self._end_line()
        table = self.root
        for part in parts[:-1]:
            table = self._stepped(table, part.name)
        name = parts[-1].name
        if twice:
            tables = table.children.setdefault(name, Node("tables", table))
            found = Node("table", tables)
            tables.items.append(found)
        else:
            found = table.children.setdefault(name, Node("table", table))
        found.body = Body(line, self._at, parts)
        return found

    @staticmethod
    def _stepped(table: Node, name: str) -> Node:
        """The table that a header goes through: the last one of an array of tables."""
        found = table.children.setdefault(name, Node("table", table))
        return found.items[-1] if found.kind == "tables" else found

    def _line_entry(self, table: Node, line: int) -> None:
        entry = self._entry(table, table, line)
        self._end_line()
        entry.end = self._at
        if table.body is None:
            raise RuntimeError("an entry stands under no header")
        table.body.entries.append(entry)

    def _entry(self, home: Node, table: Node, start: int) -> Entry:
        """Read key = value, and put the value where the key says."""
        parts = self._key()
        self._at += 1  # the sign
        self._skip(_SPACE)
        value = self._value()
        entry = Entry(start, parts, value, self._at)
        value.entry = entry
        for part in parts[:-1]:
            table = table.children.setdefault(part.name, Node("table", table, home=home))
            table.entries.append(entry)
        value.parent = table
        table.children[parts[-1].name] = value
        return entry

    def _key(self) -> list[Part]:
        """A key, dotted or not, and the space behind it."""
        parts: list[Part] = []
        while True:
            self._skip(_SPACE)
            found = _KEY_PART.match(self.text, self._at)
            if found is None:
                raise RuntimeError(f"no key at {self._at}")
            parts.append(Part(_named(found[0]), found.start(), found.end()))
            self._at = found.end()
            self._skip(_SPACE)
            if self.text[self._at] != ".":
                return parts
            self._at += 1

    def _value(self) -> Node:
        start = self._at
        if self.text[start] == "[":
            node = self._array()
        elif self.text[start] == "{":
            node = self._inline()
        else:
            found = _LEAF.match(self.text, start)
            if found is None:
                raise RuntimeError(f"no value at {start}")
            self._at = found.end()
            node = Node("leaf")
        node.start, node.end = start, self._at
        return node

    def _array(self) -> Node:
        node = Node("array")

        def item() -> None:
            found = self._value()
            found.parent = node
            node.items.append(found)

        self._listed("]", item)
        return node

    def _inline(self) -> Node:
        node = Node("inline")
        self._listed("}", lambda: node.entries.append(self._entry(node, node, self._at)))
        return node

    def _listed(self, end: str, take: Callable[[], None]) -> None:
        """Take what stands between brackets, one after another, and go behind the `end`."""
        self._at += 1
        self._gap()
        while self.text[self._at] != end:
            take()
            self._gap()
            if self.text[self._at] == ",":
                self._at += 1
                self._gap()
        self._at += 1

    def _gap(self) -> None:
        """Skip spaces, ends of lines and comments."""
        start = self._at
        self._skip(_GAP)
        if self._at > start and "#" in self.text[start : self._at]:
            self.comments.extend(
                start + found.start() for found in _COMMENT.finditer(self.text[start : self._at])
            )

    def _end_line(self) -> None:
        """Go behind the present line, which has nothing more but a comment."""
        self._skip(_SPACE)
        if self.text.startswith("#", self._at):
            self._comment()
        self._at = self.line_end(self._at)

    def _comment(self) -> None:
        self.comments.append(self._at)

    def _skip(self, pattern: re.Pattern[str]) -> None:
        found = pattern.match(self.text, self._at)
        if found is not None:
            self._at = found.end()


def _named(spelled: str) -> str:
    """What a part of a key names."""
    if spelled[0] == '"' and "\\" in spelled:
        return next(iter(tomllib.loads(f"{spelled} = 0")))
    return spelled[1:-1] if spelled[0] in {'"', "'"} else spelled
