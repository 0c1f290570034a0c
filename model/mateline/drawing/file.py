"""The bytes of a drawing's file, which lies in the cabinet's folder and is small enough.

Stands before the readers. What is no file is never opened: a pipe would be waited for, without
end. Each fault of the file itself is told here, once for all kinds of drawings.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.errors import InputError

if TYPE_CHECKING:
    from pathlib import Path

MOST = 12  # drawings named in a message
MOST_NAME = 80  # letters of a name in a message
KINDS = frozenset([".svg", ".dxf"])


def content(path: Path, *, root: Path, most: int) -> bytes:
    """What is in a file inside the folder `root`, of `most` bytes at the most.

    Raises InputError for one that is missing, outside `root`, too large or not to be read.
    """
    located(path, root=root)
    try:
        size = path.stat().st_size
        if size > most:
            raise InputError(
                path.name, "",
                f"The drawing has {size / 1e6:.0f} MB, more than {most / 1e6:.0f} MB.",
                "Save it with fewer points.",
            )  # fmt: skip
        return path.read_bytes()
    except OSError as wrong:
        raise _unreadable(path, wrong) from wrong


def located(path: Path, *, root: Path) -> None:
    """Raise InputError for what is no file inside the folder `root`."""
    try:
        inside = path.resolve(strict=False).is_relative_to(root.resolve())
        is_file, is_there = path.is_file(), path.exists()
        path.stat()
    except FileNotFoundError:
        inside, is_file, is_there = _inside(path, root), False, False
    except (OSError, RuntimeError, ValueError) as wrong:  # a loop of links, a name too long, a \0
        raise _unreadable(path, wrong) from wrong
    if not inside:
        raise InputError(
            _named(path), "", f"This drawing lies outside the cabinet's folder, {root}.",
            "Copy it into the cabinet's folder and name it without “..”.",
        )  # fmt: skip
    if is_there and not is_file:
        raise InputError(
            _named(path), "", "It is a folder or a device, not a drawing.", "Name a file."
        )
    if not is_file:
        raise InputError(
            _named(path), "", "There is no such drawing, so it can't be read.",
            f"Its folder has: {', '.join(_beside(path)[:MOST]) or 'no drawing'}.",
        )  # fmt: skip


def _inside(path: Path, root: Path) -> bool:
    return path.resolve().is_relative_to(root.resolve())


def _beside(path: Path) -> list[str]:
    try:
        return sorted(one.name for one in path.parent.iterdir() if one.suffix.lower() in KINDS)
    except OSError:  # a folder that is missing, or may not be looked into
        return []


def _unreadable(path: Path, wrong: Exception) -> InputError:
    what = (wrong.strerror if isinstance(wrong, OSError) else "") or str(wrong).lower()
    return InputError(
        _named(path), "", f"The drawing can't be read: {what}.",
        "Check its name and its place, and that you may read it.",
    )  # fmt: skip


def _named(path: Path) -> str:
    """How messages call the file: a name of a thousand letters would hide what is said of it."""
    text = str(path)
    return (
        text
        if len(path.name) <= MOST_NAME
        else f"{text[: -len(path.name)]}{path.name[:MOST_NAME]}..."
    )
