"""The journal of a cabinet's edits: written ahead of each file, so that a killed bench loses none.

Stands after changes. One line an entry, with a checksum, in `.bench/journal` of the cabinet's
folder. An entry is on the disk before its file is touched; a second line says that the file is
written too. So whatever moment the bench is killed at, the file is what it was before the last
entry, or after it, and whoever opens the folder can tell which.

    edit      a file was changed here; `before` and `after` are its versions
    outside   it was changed by something else, and that is how it was found
    undo      the last edit (or outside change) that was not yet undone is taken back; redo, again
    text      what a file held when the journal began to know it
    forget    a file became what no journal keeps: its edits can be undone no more
    written   the entry before is in its file

What is done and undone is kept as places in the journal, not in memory.
"""

from __future__ import annotations

import json
import os
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal
from zlib import crc32

from mateline.bench.keeping.changes import Change, applied, inverse

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

Way = Literal["edit", "undo", "redo", "outside"]

NAME = "journal"
DAMAGED = "journal.damaged"  # a journal with a line that does not hold, kept for its owner
MOST_BYTES = 8_000_000  # of a journal, before the oldest edits go
KEPT = 4000  # edits that stay then, or fewer: they may take half of MOST_BYTES
KEPT_LEAST = 20  # edits that stay however long they are
_CHANGES = ("edit", "outside", "undo", "redo")


@dataclass(frozen=True, slots=True)
class Entry:
    """One change of a file. Versions are texts that nothing here reads."""

    way: Way
    file: str
    says: str
    before: str
    after: str
    change: Change


@dataclass(frozen=True, slots=True)
class _Place:
    """Where an edit is in the journal, and what is asked for most."""

    offset: int
    file: str
    says: str


class Journal:
    """The edits of one folder of files. `folder` is the journal's own; it must be there.

    What `main`, the most important file, holds is always known; what others held is forgotten with
    their last edit. Raises OSError. For one process and one thread at a time.
    """

    def __init__(self, folder: Path, main: str, most: int = MOST_BYTES) -> None:
        self._path = folder / NAME
        self._main = main
        self._most = self._room = most
        self._done: list[_Place] = []
        self._undone: list[_Place] = []
        self._versions: dict[str, str] = {}
        self._last: int | None = None  # where the last change is, if it is not known to be written
        self._file = os.open(self._path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o644)
        self.is_damaged = False  # whether lines were lost that had been whole once
        self._replay()

    def close(self) -> None:
        """Let the file go."""
        os.close(self._file)

    # ---- what there is

    @property
    def is_gone(self) -> bool:
        """Whether somebody has taken the journal's file away."""
        try:
            return not os.path.samestat(self._path.stat(), os.fstat(self._file))
        except FileNotFoundError:
            return True

    @property
    def counts(self) -> tuple[int, int]:
        """How many edits can be undone, and how many done again."""
        return len(self._done), len(self._undone)

    @property
    def next_words(self) -> tuple[str | None, str | None]:
        """The words of the edit that would be undone next, and of the one to be done again."""
        return (
            self._done[-1].says if self._done else None,
            self._undone[-1].says if self._undone else None,
        )

    def version(self, file: str) -> str | None:
        """The version that a file has by the journal; None where it knows nothing of it."""
        return self._versions.get(file)

    def pending(self) -> Entry | None:
        """The last change, where nothing says that it is in its file."""
        return None if self._last is None else _entry(self._line_at(self._last))

    def text(self, file: str) -> str:
        """What a file holds by the journal: read again from its beginning."""
        text = ""
        for _, line in self._lines():
            if line.get("file") != file:
                continue
            if line["kind"] == "text":
                text = line["text"]
            elif line["kind"] in _CHANGES:
                text = applied(text, _change(line))
        return text

    def next_undo(self) -> Entry | None:
        """The change that takes the last edit back."""
        return self._next(self._done, "undo")

    def next_redo(self) -> Entry | None:
        """The change that does again what was undone last."""
        return self._next(self._undone, "redo")

    def _next(self, places: list[_Place], way: Way) -> Entry | None:
        if not places:
            return None
        found = _entry(self._line_at(places[-1].offset))
        return replace(found, way="redo") if way == "redo" else _back(found)

    # ---- what happens

    def know(self, file: str, version: str, text: str) -> None:
        """Begin to know a file that holds `text`."""
        line = {"kind": "text", "file": file, "version": version, "text": text}
        self._append(line)
        self._take(line, 0)

    @contextmanager
    def writing(self, entry: Entry) -> Iterator[None]:
        """Keep a change; the block is to write its file. Where it fails, nothing happened.

        Raises OSError where it can't be kept: the block is not entered then.
        """
        start = os.fstat(self._file).st_size
        state = self._state()
        try:
            line = _line(entry)
            self._append(line)
            self._take(line, start)
            yield
        except BaseException:
            os.ftruncate(self._file, start)
            os.fsync(self._file)
            self._done, self._undone, self._versions, self._last = state
            raise
        self.mark_written()

    def mark_written(self) -> None:
        """Note that the last change is in its file."""
        start = os.fstat(self._file).st_size
        try:
            self._append({"kind": "written"}, safe=False)
        except OSError:  # a full disk: who opens the journal sees by the file that it is written
            os.ftruncate(self._file, start)
        self._last = None
        if start > self._room:
            self._compact()

    def note_outside(self, entry: Entry) -> None:
        """Keep a change that something else has made: it can be undone as an edit can."""
        start = os.fstat(self._file).st_size
        line = _line(entry)
        self._append(line)
        self._take(line, start)

    def forget(self, file: str) -> None:
        """Drop the edits of a file that holds now what no journal keeps."""
        line = {"kind": "forget", "file": file}
        self._append(line)
        self._take(line, 0)

    # ---- the lines

    def _state(self) -> tuple[list[_Place], list[_Place], dict[str, str], int | None]:
        return list(self._done), list(self._undone), dict(self._versions), self._last

    def _take(self, line: Mapping[str, Any], offset: int) -> None:
        """Have what is done and undone follow one line."""
        kind = line["kind"]
        if kind == "written":
            self._last = None
        elif kind == "text":
            self._versions[line["file"]] = line["version"]
        elif kind == "forget":
            self._versions.pop(line["file"], None)
            for places in (self._done, self._undone):
                places[:] = [each for each in places if each.file != line["file"]]
        elif kind == "undo":
            self._undone.append(self._done.pop())
        elif kind == "redo":
            self._done.append(self._undone.pop())
        else:
            self._done.append(_Place(offset, line["file"], line["says"]))
            self._undone.clear()
        if kind in _CHANGES:
            self._versions[line["file"]] = line["after"]
            self._last = None if kind == "outside" else offset

    def _replay(self) -> None:
        """Read what is there. The journal ends at the first line that does not hold."""
        end = 0
        for start, line in self._lines():
            self._take(line, start)
            end = start + len(_written(line))
        size = os.fstat(self._file).st_size
        if size == end:
            return
        rest = _read(self._file, end, size - end)
        if b"\n" in rest[:-1]:  # more than a line that was torn when the bench was killed
            self.is_damaged = True
            self._path.with_name(DAMAGED).write_bytes(_read(self._file, 0, size))
        os.ftruncate(self._file, end)
        os.fsync(self._file)

    def _lines(self) -> Iterator[tuple[int, dict[str, Any]]]:
        """The lines that hold, each with its place."""
        with open(self._path, "rb") as file:  # noqa: PTH123
            at = 0
            for raw in file:
                line = _held(raw)
                if line is None:
                    return
                yield at, line
                at += len(raw)

    def _line_at(self, offset: int) -> dict[str, Any]:
        with open(self._path, "rb") as file:  # noqa: PTH123
            file.seek(offset)
            line = _held(file.readline())
        if line is None:
            raise OSError(f"{self._path} was changed by something else")
        return line

    def _append(self, line: Mapping[str, Any], *, safe: bool = True) -> None:
        raw = _written(line)
        while raw:
            raw = raw[os.write(self._file, raw) :]
        if safe:
            os.fsync(self._file)

    def _compact(self) -> None:
        """Write the journal anew with the last edits only, and put it in its own place."""
        new = self._path.with_name(f"{NAME}.new")
        try:
            with open(new, "wb") as file:  # noqa: PTH123
                file.writelines(map(_written, self._compacted()))
                file.flush()
                os.fsync(file.fileno())
            new.replace(self._path)
        except OSError:  # no room, or not allowed: the journal as it is holds all the same
            with suppress(OSError):
                new.unlink()
            self._room *= 2
            return
        os.close(self._file)
        self._file = os.open(self._path, os.O_RDWR | os.O_APPEND)
        self._done, self._undone, self._versions, self._last = [], [], {}, None
        self._replay()
        self._room = max(self._most, 2 * os.fstat(self._file).st_size)

    def _compacted(self) -> Iterator[dict[str, Any]]:
        """Lines that come to the same: texts as they were before, what was done, and what was
        undone (done and undone again).
        """
        done, undone = self._kept(self._done), self._kept(self._undone)
        known = {each.file for each in (*done, *undone)} | {self._main} & self._versions.keys()
        texts = {file: self.text(file) for file in sorted(known)}
        versions = dict(self._versions)
        for each in reversed(done):
            texts[each.file] = applied(texts[each.file], inverse(each.change))
            versions[each.file] = each.before
        for file, text in texts.items():
            yield {"kind": "text", "file": file, "version": versions[file], "text": text}
        for each in (*done, *reversed(undone)):
            yield from (_line(each), {"kind": "written"})
        for each in undone:
            yield from (_line(_back(each)), {"kind": "written"})

    def _kept(self, places: list[_Place]) -> list[Entry]:
        """The newest edits of a list that there is room for, oldest first."""
        kept: list[Entry] = []
        room = self._most // 4
        for each in reversed(places[-KEPT:]):
            entry = _entry(self._line_at(each.offset))
            room -= len(_written(_line(entry)))
            if room < 0 and len(kept) >= KEPT_LEAST:
                break
            kept.append(entry)
        return kept[::-1]


def _back(entry: Entry) -> Entry:
    """The change that takes an entry back."""
    back = inverse(entry.change)
    return replace(entry, way="undo", before=entry.after, after=entry.before, change=back)


def _line(entry: Entry) -> dict[str, Any]:
    return {
        "kind": entry.way,
        "file": entry.file,
        "says": entry.says,
        "before": entry.before,
        "after": entry.after,
        "at": entry.change.at,
        "removed": entry.change.removed,
        "inserted": entry.change.inserted,
    }


def _entry(line: Mapping[str, Any]) -> Entry:
    way, file, says, before, after = (
        line[word] for word in ("kind", "file", "says", "before", "after")
    )
    return Entry(way, file, says, before, after, _change(line))


def _change(line: Mapping[str, Any]) -> Change:
    return Change(line["at"], line["removed"], line["inserted"])


def _written(line: Mapping[str, Any]) -> bytes:
    """A line as the file has it: eight hex digits of its CRC-32, a space, JSON, and its end."""
    said = json.dumps(line, sort_keys=True).encode()
    return b"%08x %s\n" % (crc32(said), said)


def _held(raw: bytes) -> dict[str, Any] | None:
    """What a line says; None for one that is torn or was changed."""
    if not raw.endswith(b"\n") or raw[:9] != b"%08x " % crc32(raw[9:-1]):
        return None
    found = json.loads(raw[9:-1])
    return found if isinstance(found, dict) else None


def _read(file: int, start: int, size: int) -> bytes:
    os.lseek(file, start, os.SEEK_SET)
    return os.read(file, size)
