"""A cabinet's folder: files inside it only, read and written whole.

Stands beside journal. A path has forward slashes; nothing hidden, nothing outside, no link that
leads out, no name that a system takes for a device. A file is written beside itself, made safe on
the disk and then put in its place: whoever reads it finds the old one or the new one. It keeps its
mode, and a link stays a link (its target is what is replaced); owners and times are not kept.

    version    12 hex digits of a file's bytes; "new" for a file that is not there
"""

from __future__ import annotations

import os
import re
import stat
from dataclasses import dataclass
from hashlib import blake2b
from typing import TYPE_CHECKING, Literal

from mateline.capture.photo_files import SUFFIXES
from mateline.definition.schema import FILE
from mateline.drawing.borders.writer import KIND
from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

Kind = Literal["drawing", "photo", "borders", "other"]
Mark = tuple[int, int, int]  # of a file: whoever writes it changes one of these

NEW = "new"  # the version of a file that is not there
MOST_BYTES = 60_000_000  # of a file
MOST_FILES = 2000  # that are listed
MOST_NAME = 100  # letters of a name
MOST_DEEP = 6  # names in a path
DRAWINGS = (".svg", ".dxf")
_HEAD = 4000  # bytes of a drawing in which its first element stands
_BORDERS = re.compile(rf"""<svg\b[^>]*\sdata-kind\s*=\s*["']{KIND}["']""".encode())
_FORBIDDEN = re.compile(r'[\x00-\x1f\x7f<>:"|?*\\]')
_DEVICE = re.compile(r"(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³])(\..*)?", re.IGNORECASE)
_REMEDY = "Name a file inside the cabinet's folder, such as art/side.svg."


def version_of(content: bytes | None) -> str:
    """The version of what a file holds; None for no file."""
    return NEW if content is None else blake2b(content, digest_size=6).hexdigest()


@dataclass(frozen=True, slots=True)
class FileEntry:
    """A file of the folder; `size` in bytes."""

    path: str
    size: int
    kind: Kind
    version: str


class Folder:
    """The files of the folder at `root`."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self._known: dict[str, tuple[Mark, str, Kind]] = {}  # versions, by what stat says

    def place(self, path: str) -> Path:
        """Where a file of the folder is, or would be.

        Raises InputError for a path that leads anywhere else.
        """
        names = path.split("/")
        wrong = next(filter(None, map(_fault_of_name, names)), None)
        if wrong is None and len(names) > MOST_DEEP:
            wrong = f"It goes {len(names)} folders deep."
        if wrong is not None:
            raise InputError(_shown(path), "", wrong, _REMEDY)
        place = self.root.joinpath(*names)
        try:
            inside = place.resolve().is_relative_to(self.root.resolve())
        except (OSError, RuntimeError, ValueError):  # a circle of links, a name too long
            inside = False
        if not inside:
            raise InputError(_shown(path), "", "It leads out of the cabinet's folder.", _REMEDY)
        return place

    def read(self, path: str, most: int = MOST_BYTES) -> bytes | None:
        """What a file holds; None where there is none. Raises InputError."""
        place = self.place(path)
        try:
            if not stat.S_ISREG(place.stat().st_mode):  # a pipe would be waited for, without end
                what = "It is a folder or a device, not a file."
                raise InputError(_shown(path), "", what, _REMEDY)
            with place.open("rb") as file:
                content = file.read(most + 1)
        except (FileNotFoundError, NotADirectoryError):
            return None
        except OSError as wrong:
            what = f"It can't be read: {wrong.strerror}."
            raise InputError(_shown(path), "", what, "Give yourself the right to.") from None
        if len(content) > most:
            what = f"It has more than {most / 1e6:.0f} MB."
            raise InputError(_shown(path), "", what, "Save it with less in it.")
        return content

    def write(self, path: str, content: bytes | None) -> None:
        """Write a file whole and safe on the disk; None takes it away. Raises InputError."""
        place = self.place(path)
        try:
            if content is None:
                place.unlink(missing_ok=True)
                _made_safe(place.parent)
                return
            if place.exists() and not place.is_file():
                what = "It is a folder or a device, not a file."
                raise InputError(_shown(path), "", what, _REMEDY)
            place.parent.mkdir(parents=True, exist_ok=True)
            write_whole(place.resolve(), content)
        except OSError as wrong:
            raise unwritable(_shown(path), wrong) from None

    def mark(self, path: str) -> Mark | None:
        """What changes when somebody writes the file; None where there is none."""
        try:
            return _mark(self.place(path).stat())
        except (OSError, InputError):
            return None

    def version(self, path: str) -> str:
        """The version of a file, read again only where its mark has changed. Raises InputError."""
        mark = self.mark(path)
        known = self._known.get(path)
        if mark is not None and known is not None and known[0] == mark:
            return known[1]
        if mark is not None and mark[1] > MOST_BYTES:  # too much to read; its mark will do
            return version_of(repr(mark).encode())
        content = self.read(path)
        version = version_of(content)
        if mark is not None and content is not None and self.mark(path) == mark:
            self._known[path] = mark, version, _kind(path, content[:_HEAD])
        return version

    def files(self) -> tuple[FileEntry, ...]:
        """The folder's files, sorted; those that may not be read are left out."""
        found = []
        for path, here in self._walked():
            try:
                version = self.version(path)
            except InputError:
                continue
            kind = self._known[path][2] if path in self._known else _kind(path, b"")
            found.append(FileEntry(path, here.st_size, kind, version))
        return tuple(found)

    def marks(self) -> dict[str, Mark]:
        """The marks of all files that are listed."""
        return {path: _mark(here) for path, here in self._walked()}

    def _walked(self) -> Iterator[tuple[str, os.stat_result]]:
        """Paths of all files of the folder, and what the system says of them; no links."""
        count = 0
        for where, folders, names in os.walk(self.root):
            above = os.path.relpath(where, self.root).replace(os.sep, "/")
            start = "" if above == "." else f"{above}/"
            deep = start.count("/") + 1 >= MOST_DEEP
            folders[:] = [] if deep else sorted(n for n in folders if not _fault_of_name(n))
            for name in sorted(names):
                here = None if _fault_of_name(name) else _regular(self.root / above / name)
                if here is not None:
                    count += 1
                    yield f"{start}{name}", here
                if count == MOST_FILES:
                    return


def write_whole(place: Path, content: bytes) -> None:
    """Put the content in the place of a file, or make it: whole, and safe when this returns.

    Raises OSError; the file is as it was then.
    """
    beside = place.with_name(f".{place.name[:MOST_NAME]}.bench")  # a killed write's is written over
    mode = stat.S_IMODE(place.stat().st_mode) if place.exists() else None
    beside.unlink(missing_ok=True)  # never through a link that somebody has put there
    try:
        with open(beside, "xb") as file:  # noqa: PTH123
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if mode is not None:
            beside.chmod(mode)
        beside.replace(place)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    _made_safe(place.parent)


def unwritable(file: str, wrong: OSError) -> InputError:
    """How it is told that a file of the folder can't be written."""
    what = f"It can't be written: {wrong.strerror}. Nothing was changed."
    return InputError(file, "", what, "Make room, or give yourself the right to write there.")


def _made_safe(folder: Path) -> None:
    """Have the disk keep the folder's names, where the system lets a folder be opened."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:  # Windows, which keeps names without it
        return
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _mark(found: os.stat_result) -> Mark:
    return found.st_mtime_ns, found.st_size, found.st_ino


def _regular(path: Path) -> os.stat_result | None:
    """What the system says of a file; None for what is no file, or a link to one."""
    try:
        found = path.lstat()
    except OSError:
        return None
    return found if stat.S_ISREG(found.st_mode) else None


def _fault_of_name(name: str) -> str | None:
    """What is wrong with one name of a path."""
    if not name or name.startswith("."):
        return "A name is empty or begins with a dot." if name != ".." else "It leads out by “..”."
    if len(name) > MOST_NAME:
        return f"A name has {len(name)} letters, more than {MOST_NAME}."
    odd = _FORBIDDEN.search(name) or re.search("[\ud800-\udfff]", name)
    if odd or name[-1] in ". ":
        return "A name has a letter that not every system can write."
    if _DEVICE.fullmatch(name):
        return f"“{name}” is the name of a device."
    if name.casefold() == FILE and name != FILE:
        return f"The definition is {FILE}, in small letters."
    return None


def _kind(path: str, head: bytes) -> Kind:
    small = path.lower()
    if small.endswith(".svg") and _BORDERS.search(head):
        return "borders"
    if small.endswith(DRAWINGS):
        return "drawing"
    return "photo" if small.endswith(SUFFIXES) else "other"


def _shown(path: str) -> str:
    """A path as messages name it: with nothing that could not be printed, and not for ever."""
    text = path.encode("unicode_escape").decode() if _FORBIDDEN.search(path) else path
    text = text.encode("utf-8", "replace").decode()
    return text if len(text) <= MOST_NAME else f"{text[:MOST_NAME]}..."
