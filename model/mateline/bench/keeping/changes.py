"""A change of a text: at one place something goes and something comes.

Stands first in the room. Of two texts it is what is left between their common beginning and their
common end, so one changed reading is a few letters, however long the text.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Change:
    """`removed` stands at `at`, in letters from the start, and `inserted` comes in its place."""

    at: int
    removed: str
    inserted: str

    def __bool__(self) -> bool:
        return self.removed != self.inserted


class NotItsTextError(Exception):
    """A change that is of another text than the one it was to be made in."""


def change_of(old: str, new: str) -> Change:
    """What makes `old` into `new`."""
    first = _shared(old, new)
    most = min(len(old), len(new)) - first
    last = _shared(old[len(old) - most :][::-1], new[len(new) - most :][::-1])
    return Change(first, old[first : len(old) - last], new[first : len(new) - last])


def applied(text: str, change: Change) -> str:
    """The text with the change made.

    Raises NotItsTextError where something else stands at its place.
    """
    end = change.at + len(change.removed)
    if text[change.at : end] != change.removed or change.at > len(text):
        raise NotItsTextError(change.at)
    return text[: change.at] + change.inserted + text[end:]


def inverse(change: Change) -> Change:
    """The change that takes this one back."""
    return Change(change.at, change.inserted, change.removed)


def _shared(one: str, other: str) -> int:
    """How many letters two texts begin with alike."""
    least = min(len(one), len(other))
    low, high = 0, least  # comparing slices is quick; letter by letter, 2 MB take a second
    while low < high:
        middle = (low + high + 1) // 2
        if one[low:middle] == other[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low
