"""A hidden folder to write in, beside the one that it is for: held while its build lives.

Stands before `folder`. A build that is killed can't clean up, so the next one does: it removes
every hidden folder of its own parent that no live build holds. A build holds its folder by a lock
on a file in it, which the system takes from a process that ends, however it ends.

    parent/.name.mateline-1/building    the locked file: the first to be made, the last to go
    parent/.name.mateline-1/...         what is being written
"""

from __future__ import annotations

import os
import shutil
import sys
from itertools import count
from typing import TYPE_CHECKING

from mateline.interrupts import kept_waiting

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

LOCK = "building"
OLD = "old"  # in the hidden folder: what was at `target`, where a swap takes two renames

if sys.platform == "win32":
    import msvcrt

    def locked(file: int) -> bool:
        """Lock an open file; False where somebody else has. Raises OSError without locks."""
        try:
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        except PermissionError:
            return False
        return True

else:
    import fcntl

    def locked(file: int) -> bool:
        """Lock an open file; False where somebody else has. Raises OSError without locks."""
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True


class HiddenFolder:
    """A hidden folder beside `target`: none yet, held from `make` until `clear`.

    Folders above it are made too, and go again if they are empty at the end.
    """

    def __init__(self, target: Path) -> None:
        self._target = target
        self.path = target  # known when it is made
        self._file: int | None = None
        self._cleared = False
        self._above = tuple(each for each in target.parents if not os.path.lexists(each))

    def make(self) -> None:
        """Make the folder and hold it, after those that killed builds have left are cleared.

        Raises OSError where none can be made.
        """
        clear_killed(self._target)
        numbers = count(1)
        with kept_waiting():
            while not self._made(next(numbers)):
                pass

    def clear(self) -> None:
        """Remove the folder and all that is in it."""
        if self._cleared:
            return
        with kept_waiting():
            if self._file is not None:
                _removed(self.path, self._file)
            for folder in self._above:
                _empty_removed(folder)
            self._cleared = True

    def _made(self, number: int) -> bool:
        """Make the folder of this number and hold it; False where others have it or clear it."""
        self._target.parent.mkdir(parents=True, exist_ok=True)
        self.path = self._target.with_name(f"{_prefix(self._target)}{number}")
        try:
            self.path.mkdir()
            file = os.open(self.path / LOCK, os.O_RDWR | os.O_CREAT | os.O_EXCL)
        except (FileExistsError, FileNotFoundError):
            return False  # another build's, or another build has removed it while it was empty
        except OSError:
            _empty_removed(self.path)  # made, and then the disk was full
            raise
        try:
            ours = locked(file) and _is_still(self.path / LOCK, file)
        except OSError:  # a disk without locks: no other build can lock it, and so clear it, either
            ours = True
        if ours:
            self._file = file
        else:
            os.close(file)
        return ours


def write_whole(texts: Mapping[Path, str | bytes]) -> None:
    """Write some texts, as UTF-8, or bytes to files of one folder: each is whole, or as it was.

    What is there and is no file, such as a pipe, is written to as it is. A folder that is not there
    is made. Raises OSError.
    """
    files = {path: text for path, text in texts.items() if path.is_file() or not path.exists()}
    for path in texts.keys() - files.keys():
        path.write_bytes(_bytes(texts[path]))
    if not files:
        return
    hidden = HiddenFolder(next(iter(files)).resolve())
    try:
        hidden.make()
        for number, text in enumerate(files.values()):
            (hidden.path / f"{number}").write_bytes(_bytes(text))
        with kept_waiting(for_good=True):
            for number, path in enumerate(files):
                (hidden.path / f"{number}").replace(path.resolve())  # a link stays a link
    finally:
        hidden.clear()


def _bytes(text: str | bytes) -> bytes:
    return text.encode("utf-8") if isinstance(text, str) else text


def clear_killed(target: Path) -> None:
    """Remove the hidden folders that were for `target` and that no live build holds.

    One whose build was killed between two renames still has the exports that it had moved out of
    the way: they go back to their place. Only folders with a build's lock in them are touched, or
    empty ones. What can't be removed is left for the next build.
    """
    try:
        names = sorted(path.name for path in target.parent.iterdir())
    except OSError:
        return  # there is no such folder yet, or it can't be looked into
    prefix = _prefix(target)
    for name in names:
        if name.startswith(prefix) and name.removeprefix(prefix).isdecimal():
            _clear_if_killed(target.with_name(name), target)


def _prefix(target: Path) -> str:
    return f".{target.name}.mateline-"


def _clear_if_killed(folder: Path, target: Path) -> None:
    try:
        file = os.open(folder / LOCK, os.O_RDWR)
    except FileNotFoundError:
        _empty_removed(folder)  # killed before it had a lock, or when it had none any more
        return
    except OSError:
        return
    try:
        killed = locked(file)
    except OSError:  # a disk without locks
        killed = False
    if not killed:
        os.close(file)
        return
    if (folder / OLD).is_dir() and not os.path.lexists(target):
        (folder / OLD).rename(target)
    _removed(folder, file)


def _removed(folder: Path, file: int) -> None:
    """Remove a held folder, its lock last, so that whatever is left has a lock or is empty."""
    for path in _entries(folder):
        if path.is_dir() and not path.is_symlink():
            # A process of a killed build may still write in it: what stays is for the next build.
            shutil.rmtree(path, ignore_errors=True)
        elif path.name != LOCK:
            path.unlink(missing_ok=True)
    if sys.platform == "win32":  # which removes no open file
        os.close(file)
    if [path.name for path in _entries(folder)] == [LOCK]:
        (folder / LOCK).unlink(missing_ok=True)
        _empty_removed(folder)
    if sys.platform != "win32":  # held to the end: the folder can't be taken for a killed build's
        os.close(file)


def _entries(folder: Path) -> list[Path]:
    return list(folder.iterdir()) if folder.is_dir() else []


def _empty_removed(folder: Path) -> None:
    try:
        folder.rmdir()
    except OSError:
        return  # not empty, or gone: not ours to remove


def _is_still(path: Path, file: int) -> bool:
    """Whether `path` is the open file."""
    try:
        return os.path.samestat(path.stat(), os.fstat(file))
    except FileNotFoundError:
        return False
