"""What in a TOML text must change for a value to become another: only what differs is spelled anew.

Stands after insertions. Leaves are spliced, all at once; what is more or less in an array or a
table is told as steps, to be done one after the other.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from math import isnan
from typing import TYPE_CHECKING, Any, Literal

from mateline.bench.keeping.toml import literals
from mateline.bench.keeping.toml.literals import NotTomlError, plain
from mateline.bench.keeping.toml.splices import Splice, with_columns_kept
from mateline.bench.keeping.toml.styles import is_table, is_tables, style_of

if TYPE_CHECKING:
    from mateline.bench.keeping.toml.layout import Layout, Node, Path
    from mateline.bench.keeping.toml.styles import Manner


@dataclass(frozen=True, slots=True)
class Step:
    """Add a value where none is (or before an element), or remove what is there."""

    op: Literal["add", "remove"]
    path: Path
    value: Any = None


@dataclass(slots=True)
class Differences:
    """Splices that can be made at once, and the steps after them, in order."""

    splices: list[Splice] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)


def same(one: Any, other: Any) -> bool:
    """Whether two values are one to TOML and to JSON, which knows no difference of 3 and 3.0."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    if isinstance(one, float) and isinstance(other, float) and isnan(one) and isnan(other):
        return True
    if isinstance(one, datetime) != isinstance(other, datetime):
        return False
    return bool(one == other)


def replaced(layout: Layout, path: Path, old: Any, new: Any, manner: Manner) -> Differences:
    """What makes the value `old`, which is at `path`, into `new`.

    Raises NotTomlError for what is no table, among tables.
    """
    found = Differences()
    _compare(layout, path, old, new, manner, found)
    found.splices = with_columns_kept(layout, found.splices)
    return found


def _compare(
    layout: Layout, path: Path, old: Any, new: Any, manner: Manner, found: Differences
) -> None:
    if same(old, plain(new)):
        return
    node = layout.node(path)
    if node is None:
        raise RuntimeError(f"{path} is not in the text")
    if node.parent is not None and node.parent.kind == "tables" and not is_table(new):
        raise NotTomlError("What stands here are tables.", "Give an object.")
    if isinstance(old, dict) and is_table(new):
        _compare_tables(layout, path, old, new, manner, found)
    elif isinstance(old, list) and _goes_on(node, new):
        _compare_lists(layout, path, old, new, manner, found)
    elif node.kind in {"leaf", "array", "inline"} and _stays_in_line(layout, path, new, manner):
        spelled = literals.value_like(layout.text[node.start : node.end], new)
        found.splices.append(Splice(node.start, node.end, spelled))
    else:
        found.steps += (Step("remove", path), Step("add", path, new))


def _goes_on(node: Node, new: Any) -> bool:
    """Whether a list can become the new value element by element."""
    if not isinstance(new, list):
        return False
    return node.kind == "array" or is_tables(new)


def _stays_in_line(layout: Layout, path: Path, new: Any, manner: Manner) -> bool:
    """Whether the new value can be written where the old one is, behind its key."""
    if not (is_table(new) or is_tables(new)):
        return True
    node = layout.node(path)
    above = None if node is None else node.parent
    on_line = above is not None and above.kind == "table" and not above.is_dotted
    return not on_line or style_of(layout, path, manner) == "braces"


def _compare_tables(
    layout: Layout,
    path: Path,
    old: dict[str, Any],
    new: dict[str, Any],
    manner: Manner,
    found: Differences,
) -> None:
    # What is new comes first: a table that lost all it had might be stated by nothing any more.
    for key, value in new.items():
        if key in old:
            _compare(layout, (*path, key), old[key], value, manner, found)
        else:
            found.steps.append(Step("add", (*path, key), value))
    found.steps.extend(Step("remove", (*path, key)) for key in old if key not in new)


def _compare_lists(
    layout: Layout,
    path: Path,
    old: list[Any],
    new: list[Any],
    manner: Manner,
    found: Differences,
) -> None:
    """Equal ends stay; what is between is compared one by one, the rest is more or less."""
    read = plain(new)
    least = min(len(old), len(new))
    first = next((n for n in range(least) if not same(old[n], read[n])), least)
    last = next(
        (n for n in range(least - first) if not same(old[-1 - n], read[-1 - n])), least - first
    )
    for nth in range(first, least - last):
        _compare(layout, (*path, nth), old[nth], new[nth], manner, found)
    for nth in range(least - last, len(new) - last):
        found.steps.append(Step("add", (*path, nth), new[nth]))
    for nth in reversed(range(least - last, len(old) - last)):
        found.steps.append(Step("remove", (*path, nth)))
