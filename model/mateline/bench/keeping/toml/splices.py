"""Splices: what stands between two places of a text, put anew.

Stands after layout. Cuts, insertions and new values all come to these.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mateline.bench.keeping.toml.layout import Layout


@dataclass(frozen=True, slots=True, order=True)
class Splice:
    """Put `text` in the place of what is from `start` to `end`."""

    start: int
    end: int
    text: str = ""


def spliced(text: str, splices: Iterable[Splice]) -> str:
    """The text with all splices made at once; none may overlap another."""
    done: list[str] = []
    at = 0
    for each in sorted(splices):
        if each.start < at:
            raise RuntimeError("two splices overlap")
        done += (text[at : each.start], each.text)
        at = each.end
    return "".join((*done, text[at:]))


def with_columns_kept(layout: Layout, splices: list[Splice]) -> list[Splice]:
    """The splices, and those that keep the columns of comments behind them on their lines.

    Only a comment that stands off by more than a space has a column to keep.
    """
    grown: dict[int, int] = {}
    for each in splices:
        comment = layout.comment_after(each.end)
        if comment is not None and "\n" not in layout.text[each.start : each.end] + each.text:
            grown.setdefault(comment, 0)
            grown[comment] += len(each.text) - (each.end - each.start)
    kept = []
    for comment, more in grown.items():
        before = layout.text[:comment]
        room = len(before) - len(before.rstrip(" "))
        if room > 1 and more:
            kept.append(Splice(comment - room, comment, " " * max(1, room - more)))
    return [*splices, *kept]


def is_blank(layout: Layout, line: int) -> bool:
    """Whether the line that starts at `line` has nothing on it; not behind the last one."""
    return line < len(layout.text) and not layout.text[line : layout.line_end(line)].strip()
