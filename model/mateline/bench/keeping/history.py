"""Files of a folder with their edits: each is in the journal, then in its file, and can be undone.

Last of the room but for the cabinet's own words. One bench holds a folder at a time, by a lock that
the system takes from a process that ends, however it ends. On opening, an edit that a killed bench
began is finished, and what changed a file meanwhile becomes an edit of its own.

    folder/.bench/journal      the edits
    folder/.bench/open         the locked file
    folder/.bench/.gitignore   so that none of this gets among the files that a person keeps
"""

from __future__ import annotations

import os
from contextlib import contextmanager
from typing import TYPE_CHECKING

from mateline.bench.keeping.changes import applied, change_of
from mateline.bench.keeping.folder import NEW, Folder, unwritable, version_of
from mateline.bench.keeping.journal import Entry, Journal
from mateline.errors import InputError
from mateline.exports.hidden_folder import locked

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from mateline.bench.keeping.journal import Way

OWN = ".bench"
LOCK = "open"
IGNORED = "*\n"  # by git
MOST_TEXT = 2_000_000  # bytes of a file whose edits are kept
OUTSIDE = "Changed outside the bench"


class OutsideError(Exception):
    """A file that something else has changed meanwhile. That is taken in; nothing else was done."""

    def __init__(self, file: str) -> None:
        super().__init__(file)
        self.file = file


class History:
    """The edits of the files at `root`, `main` first of all. Close it.

    `refusal` says why nothing can be written; None where all can. Raises InputError where another
    bench has the folder open.
    """

    def __init__(self, root: Path, main: str) -> None:
        self.folder = Folder(root)
        self.refusal: InputError | None = None
        self._main = main
        self._own = root / OWN
        self._lock: int | None = None
        self._journal: Journal | None = None
        try:
            self._own.mkdir(exist_ok=True)
            self._hold()
            self._journal = self._opened()
        except OSError as wrong:
            self.close()
            self.refusal = unwritable(str(self._own), wrong)
        except BaseException:
            self.close()
            raise

    def close(self) -> None:
        """Give the folder free."""
        if self._journal is not None:
            self._journal.close()
        if self._lock is not None:
            os.close(self._lock)
        self._journal = self._lock = None

    @property
    def is_damaged(self) -> bool:
        """Whether a part of the journal could not be read any more; a copy of it is kept."""
        return self._journal is not None and self._journal.is_damaged

    @property
    def counts(self) -> tuple[int, int]:
        """How many edits can be undone, and how many done again."""
        return (0, 0) if self._journal is None else self._journal.counts

    @property
    def next_words(self) -> tuple[str | None, str | None]:
        """The words of the edit that would be undone next, and of the one to be done again."""
        return (None, None) if self._journal is None else self._journal.next_words

    def take_in(self, file: str) -> bool:
        """Keep what something else has made of a file as a change that can be undone.

        False where it is as the journal has it. What is no text can't be kept: the edits of such a
        file are forgotten, but for the main one's, which wait until it is a text again.
        """
        if self._journal is None:
            return False
        with self._told():
            return self._taken_in(self._journal, file)

    def change(self, file: str, says: str, content: bytes, base: str) -> None:
        """Write a file whose version is `base`. Text can be undone; of all else the last is kept.

        Raises OutsideError where it has another one, InputError; nothing is changed then.
        """
        journal = self._writable()
        present = self.folder.read(file)
        if version_of(present) != base:
            self.take_in(file)
            raise OutsideError(file)
        old, new = text_of(present), text_of(content)
        if old is None or new is None:
            self.folder.write(file, content)
            with self._told():
                if journal.version(file) is not None:
                    journal.forget(file)
            return
        with self._told():
            if not self._taken_in(journal, file) and journal.version(file) is None:
                journal.know(file, version_of(present), old)
            before, after = version_of(present), version_of(content)
            entry = Entry("edit", file, says, before, after, change_of(old, new))
            with journal.writing(entry):
                self.folder.write(file, content)

    def undo(self) -> Entry:
        """Take the last edit back and give the change that did it.

        Raises OutsideError, or InputError where none is left or the file can't be written.
        """
        return self._again("undo")

    def redo(self) -> Entry:
        """Do again what was undone last. Raises as `undo`."""
        return self._again("redo")

    def _again(self, way: Way) -> Entry:
        journal = self._writable()
        with self._told():
            entry = journal.next_undo() if way == "undo" else journal.next_redo()
            if entry is None:
                what = f"There is nothing left to {way}."
                raise InputError("", "", what, "Go on from here.")
            if self._taken_in(journal, entry.file):
                raise OutsideError(entry.file)
            with journal.writing(entry):
                self._write(entry)
            return entry

    def _write(self, entry: Entry) -> None:
        old = text_of(self.folder.read(entry.file)) or ""
        new = applied(old, entry.change).encode()
        self.folder.write(entry.file, None if entry.after == NEW else new)

    def _taken_in(self, journal: Journal, file: str) -> bool:
        known = journal.version(file)
        content = self.folder.read(file)
        version, text = version_of(content), text_of(content)
        if known == version or (known is None and file != self._main):
            return False
        if text is None:
            if file != self._main:
                journal.forget(file)
            return True
        if known is None:
            journal.know(file, version, text)
            return False
        change = change_of(journal.text(file), text)
        journal.note_outside(Entry("outside", file, OUTSIDE, known, version, change))
        return True

    # ---- opening

    def _hold(self) -> None:
        """Lock the folder. Raises InputError where another bench has."""
        self._lock = os.open(self._own / LOCK, os.O_RDWR | os.O_CREAT, 0o644)
        try:
            ours = locked(self._lock)
        except OSError:  # a disk without locks: no other bench can have one either
            ours = True
        if not ours:
            what = "Another bench has this cabinet open."
            raise InputError(
                str(self.folder.root), "", what, "Go on there, or stop that one first."
            )

    def _opened(self) -> Journal:
        """The journal, with what a killed bench began brought to its end."""
        ignoring = self._own / ".gitignore"
        if not ignoring.exists():
            ignoring.write_text(IGNORED, encoding="utf-8")
        journal = Journal(self._own, self._main)
        try:
            entry = journal.pending()
            if entry is not None:
                if version_of(self.folder.read(entry.file)) == entry.before:
                    self._write(entry)
                journal.mark_written()
                self._taken_in(journal, entry.file)
            self._taken_in(journal, self._main)
        except BaseException:
            journal.close()
            raise
        return journal

    def _writable(self) -> Journal:
        """The journal, where there is one. Raises InputError."""
        if self._journal is None:
            raise self.refusal or RuntimeError("a history was used after it was closed")
        with self._told():
            if self._journal.is_gone:  # somebody removed the folder's .bench
                self.close()
                self._own.mkdir(exist_ok=True)
                self._hold()
                self._journal = self._opened()
        return self._journal

    @contextmanager
    def _told(self) -> Iterator[None]:
        """Tell what the disk refuses as something that a person can mend."""
        try:
            yield
        except OSError as wrong:
            raise unwritable(str(self._own), wrong) from None


def text_of(content: bytes | None) -> str | None:
    """What a file says, "" for no file; None for what is no text, or too long to keep edits of."""
    if content is None:
        return ""
    if len(content) > MOST_TEXT:
        return None
    try:
        return content.decode()
    except UnicodeDecodeError:
        return None
