"""RFC 6902 operations on the table of a TOML text: what they change is spelled anew, nothing else.

Stands after toml. A patch is done whole or not at all; in the end the new text is read again and
must say what the patch says. Sources: RFC 6902 (JSON Patch), RFC 6901 (JSON Pointer).

Where TOML is not JSON: `add` makes the tables on its way (and arrays, for "-" or "0"); an array of
tables whose last entry is removed is gone; null can't be written; {"$toml": "2027-04-05"} is a
literal; the whole document can't be moved.
"""

from __future__ import annotations

import re
from copy import deepcopy
from typing import TYPE_CHECKING, Any

from mateline.bench.keeping.toml.cuts import cut
from mateline.bench.keeping.toml.insertions import inserted
from mateline.bench.keeping.toml.layout import Layout
from mateline.bench.keeping.toml.literals import LITERAL, NotTomlError, plain
from mateline.bench.keeping.toml.moved import moved_element, renamed
from mateline.bench.keeping.toml.reading import table_of
from mateline.bench.keeping.toml.replaced import Step, replaced, same
from mateline.bench.keeping.toml.splices import spliced
from mateline.bench.keeping.toml.styles import Manner, is_table, style_of
from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from mateline.bench.keeping.toml.layout import Node, Path

NO_MANNER = Manner()
MOST = 1000  # operations of one patch
_INDEX = re.compile(r"0|[1-9][0-9]*")  # RFC 6901, 4
_NEEDS = {
    "add": ("path", "value"),
    "remove": ("path",),
    "replace": ("path", "value"),
    "move": ("from", "path"),
    "copy": ("from", "path"),
    "test": ("path", "value"),
}  # RFC 6902, 4


def patched(
    text: str,
    operations: Sequence[Mapping[str, Any]],
    file: str = "",
    manner: Manner = NO_MANNER,
) -> str:
    """The text after all operations, which are RFC 6902's.

    `file` is for messages, `manner` for what the text gives no example of. Raises InputError, its
    place the pointer, where an operation can't be done or the text is no TOML.
    """
    windows = "\r\n" in text and text.count("\n") == text.count("\r\n")
    patching = _Patching(text.replace("\r\n", "\n") if windows else text, file, manner)
    if len(operations) > MOST:
        what = f"An edit has {len(operations)} operations, more than {MOST}."
        raise InputError(file, "", what, "Make it in several edits.")
    try:
        for nth, operation in enumerate(operations, start=1):
            patching.do(operation, nth)
        new = patching.checked()
    except RecursionError:
        what = "Brackets would stand too deep in one another."
        raise InputError(file, "", what, "Take some of them away.") from None
    return new.replace("\n", "\r\n") if windows else new


class _Patching:
    """A text while a patch is done on it, with the table that it must say."""

    def __init__(self, text: str, file: str, manner: Manner) -> None:
        self._text, self._file, self._manner = text, file, manner
        try:
            self._table: Any = plain(dict(table_of(text)))  # its own: it is changed
        except (ValueError, RecursionError) as error:
            what = f"This is no valid TOML: {error}."
            raise InputError(file, "", what, "Mend it as a text first.") from None
        self._layout: Layout | None = None
        self._at = ""  # the pointer that messages name

    def checked(self) -> str:
        """The text that came of it.

        Raises RuntimeError where it does not say what the patch says: nothing may be written then.
        """
        if self._layout is not None and not same(table_of(self._text), self._table):
            raise RuntimeError("a patched definition would say something else than its patch")
        return self._text

    def do(self, operation: Mapping[str, Any], nth: int) -> None:
        """Do one operation. Raises InputError."""
        name = operation.get("op")
        self._at = str(operation.get("path", f"operation {nth}"))
        if name not in _NEEDS:
            raise self._fault(
                f"There is no operation “{name}”.", f"There are: {', '.join(_NEEDS)}."
            )
        for word in _NEEDS[name]:
            if word not in operation:
                raise self._fault(f"The operation “{name}” has no “{word}”.", "Add it.")
        does: dict[str, Callable[[Mapping[str, Any]], None]] = {
            "add": lambda given: self._add(self._path(given["path"]), given["value"]),
            "remove": lambda given: self._remove(self._found(given["path"])),
            "replace": lambda given: self._replace(self._found(given["path"]), given["value"]),
            "move": self._move,
            "copy": self._copy,
            "test": self._test,
        }
        try:
            does[name](operation)
        except NotTomlError as fault:
            raise self._fault(fault.what, fault.remedy) from None

    # ---- the operations

    def _add(self, path: list[str], value: Any) -> None:
        if not path:
            self._replace((), value)
            return
        steps, missing = self._reached(path)
        if missing:  # make what is on the way
            for step in reversed(missing[1:]):
                value = [value] if step in {"-", "0"} else {step: value}
            step = missing[0]
            holder = self._value(steps)
            if isinstance(holder, dict):
                self._insert((*steps, step), value)
            else:
                self._insert((*steps, self._place_in(holder, step, len(missing))), value)
        elif isinstance(steps[-1], int):
            self._insert(steps, value)
        else:
            self._replace(steps, value)

    def _remove(self, path: Path) -> None:
        if not path:
            raise self._fault("The whole document can't be removed.", "Remove what is in it.")
        layout = self._laid_out()
        node = layout.node(path)
        if node is None:
            raise RuntimeError(f"{path} is in the table and not in the text")
        alone = node.parent is not None and node.parent.kind == "tables"
        alone = alone and len(self._value(path[:-1])) == 1
        self._spliced(spliced(layout.text, cut(layout, node)))
        _taken(self._table, path[:-1] if alone else path)

    def _replace(self, path: Path, value: Any) -> None:
        if not path and not is_table(value):
            raise self._fault("A definition is a table.", "Give an object.")
        layout = self._laid_out()
        read = plain(value)
        differences = replaced(layout, path, self._value(path), value, self._manner)
        if differences.splices:
            self._spliced(spliced(layout.text, differences.splices))
        target = deepcopy(read)
        self._table_spliced(path, target, differences.steps)

    def _table_spliced(self, path: Path, target: Any, steps: Sequence[Step]) -> None:
        """Do the steps on the text, and let the table have `target` at `path`."""
        for step in steps:
            layout = self._laid_out()
            if step.op == "add":
                splices = inserted(layout, step.path, step.value, self._manner)
            else:
                node = layout.node(step.path)
                if node is None:
                    raise RuntimeError(f"{step.path} is not in the text")
                splices = cut(layout, node)
            self._spliced(spliced(layout.text, splices))
        if path:
            self._value(path[:-1])[path[-1]] = target
        else:
            self._table = target

    def _insert(self, path: Path, value: Any) -> None:
        """Add where nothing is, or before an element."""
        layout = self._laid_out()
        read = plain(value)
        holder, step = self._value(path[:-1]), path[-1]
        parent = layout.node(path[:-1])
        if parent is not None and self._gets_headers(parent, path, value):
            self._spliced(spliced(layout.text, cut(layout, parent)))
            path, value, layout = path[:-1], [value], self._laid_out()
        splices = inserted(layout, path, value, self._manner)
        self._spliced(spliced(layout.text, splices))
        if isinstance(step, int):
            holder.insert(step, read)
        else:
            holder[step] = read

    def _gets_headers(self, parent: Node, path: Path, value: Any) -> bool:
        """Whether an array that is empty becomes an array of tables under headers."""
        if parent.kind != "array" or parent.items or not is_table(value):
            return False
        above = parent.parent
        on_line = above is not None and above.kind == "table" and not above.is_dotted
        return on_line and style_of(self._laid_out(), path[:-1], self._manner) == "header"

    def _move(self, operation: Mapping[str, Any]) -> None:
        source = self._found(operation["from"])
        to = self._path(operation["path"])
        words = self._path(operation["from"])
        if to == words:
            return
        if not source or to[: len(words)] == words:
            what = "A value can't be moved into itself."
            raise self._fault(what, "Move it to a place that stays.")
        if self._moved_as_text(source, to):
            return
        value, spelled = self._value(source), self._spelled(source)
        self._remove(source)
        self._add(to, value if spelled is None else {LITERAL: spelled})

    def _moved_as_text(self, source: Path, to: list[str]) -> bool:
        """Rename a key or move an element, where that is all; False where it is not."""
        layout = self._laid_out()
        last, holder = source[-1], self._value(source[:-1])
        steps = [str(step) for step in source[:-1]]
        if to[:-1] != steps:
            return False
        if isinstance(last, str):
            if to[-1] in holder:
                return False
            self._spliced(spliced(layout.text, renamed(layout, source, to[-1])))
            holder[to[-1]] = holder.pop(last)
            return True
        nth = len(holder) - 1 if to[-1] == "-" else self._index(to[-1], len(holder) - 1)
        text = moved_element(layout, source, nth)
        if text is not None:
            self._spliced(text)
            holder.insert(nth, holder.pop(last))
        return text is not None

    def _copy(self, operation: Mapping[str, Any]) -> None:
        source = self._found(operation["from"])
        spelled = self._spelled(source)
        value = deepcopy(self._value(source)) if spelled is None else {LITERAL: spelled}
        self._add(self._path(operation["path"]), value)

    def _test(self, operation: Mapping[str, Any]) -> None:
        found = self._value(self._found(operation["path"]))
        if not same(found, plain(operation["value"])):
            what = f"This is {found!r}, not {operation['value']!r}."
            raise self._fault(what, "Read the definition again.")

    def _spelled(self, path: Path) -> str | None:
        """How a leaf is spelled; None for all else, or over several lines."""
        node = self._laid_out().node(path)
        if node is None or node.kind != "leaf":
            return None
        spelled = self._text[node.start : node.end]
        return None if "\n" in spelled else spelled

    # ---- pointers

    def _path(self, pointer: Any) -> list[str]:
        """The words of a pointer. RFC 6901, 3 and 4."""
        if not isinstance(pointer, str) or (pointer and not pointer.startswith("/")):
            raise self._fault(f"{pointer!r} is no JSON pointer.", "It begins with a slash.")
        if re.search("~(?![01])", pointer):
            raise self._fault(f"“{pointer}” has a ~ that means nothing.", "Write it as ~0.")
        words = pointer.split("/")[1:]
        return [word.replace("~1", "/").replace("~0", "~") for word in words]

    def _reached(self, path: list[str]) -> tuple[Path, list[str]]:
        """How far a path goes into the table, and the words that are not there."""
        steps: Path = ()
        at = self._table
        for nth, word in enumerate(path):
            if isinstance(at, list):
                if word == "-" or not _INDEX.fullmatch(word) or int(word) >= len(at):
                    return steps, path[nth:]
                step: str | int = int(word)
            elif isinstance(at, dict) and word in at:
                step = word
            else:
                return steps, path[nth:]
            steps, at = (*steps, step), at[step]
        return steps, []

    def _found(self, pointer: Any) -> Path:
        """The place of a value that must be there."""
        steps, missing = self._reached(self._path(pointer))
        if missing:
            what = f"There is no “{missing[0]}” here."
            raise self._fault(what, "Read the definition again.")
        return steps

    def _place_in(self, holder: Any, word: str, missing: int) -> int:
        """The index at which a new element goes."""
        if not isinstance(holder, list):
            what = f"“{word}” can't be in a value that is no table."
            raise self._fault(what, "Replace the value by a table first.")
        index = len(holder) if word == "-" else self._index(word, len(holder))
        if missing > 1 and word != "-" and index < len(holder):
            raise RuntimeError("an element that is there was not found")
        return index

    def _index(self, word: str, most: int) -> int:
        if not _INDEX.fullmatch(word) or int(word) > most:
            raise self._fault(f"“{word}” is no place from 0 to {most}.", "Count from 0.")
        return int(word)

    # ---- the text and the table

    def _laid_out(self) -> Layout:
        if self._layout is None or self._layout.text is not self._text:
            self._layout = Layout(self._text)
        return self._layout

    def _spliced(self, text: str) -> None:
        self._text = text

    def _value(self, path: Path) -> Any:
        found = self._table
        for step in path:
            found = found[step]
        return found

    def _fault(self, what: str, remedy: str) -> InputError:
        return InputError(self._file, self._at, what, remedy)


def _taken(table: Any, path: Path) -> None:
    """Remove what is at a path of a table."""
    for step in path[:-1]:
        table = table[step]
    del table[path[-1]]
