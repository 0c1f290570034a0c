"""One open cabinet: its definition, edits of it and of its drawings, and its newest survey.

Stands after keeping and surveying, before what is told and served; knows no HTTP. All methods may
be called from any thread. Files of the folder are the truth: each edit is in the journal and in its
file before the call returns.

    version    12 hex digits of a file's bytes; "new" for a file that is not there
    stated     the definition as its file has it, whether or not it can be surveyed
"""

from __future__ import annotations

from dataclasses import dataclass
from threading import RLock
from typing import TYPE_CHECKING, Any

from mateline.bench.differences import Difference
from mateline.bench.events import Event, Subscriber, Subscribers
from mateline.bench.keeping.cabinet_file import edited
from mateline.bench.keeping.definition import definition_in, present_version
from mateline.bench.keeping.folder import NEW, FileEntry, version_of
from mateline.bench.keeping.history import OWN, History, OutsideError, text_of
from mateline.bench.keeping.journal import DAMAGED
from mateline.bench.surveying import Survey, Surveying, Wanted
from mateline.definition.schema import FILE, MOST_BYTES
from mateline.errors import InputError, InputFaultsError
from mateline.memory import Memory
from mateline.survey import measured

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    from mateline.bench.keeping.definition import Definition
    from mateline.bench.keeping.folder import Mark
    from mateline.memory import Stages
    from mateline.paint.plan import Plan
    from mateline.survey import Job
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline
    from mateline.tape.sureness import View

__all__ = [
    "NEW",
    "ConflictError",
    "Difference",
    "FileEntry",
    "Outlines",
    "Stated",
    "Steps",
    "Subscriber",
    "Survey",
    "Workbench",
]

MOST_WORDS = 200  # letters of what an edit says
READ_AGAIN = "It is read again. Look at what changed, and make your edit once more."


@dataclass(frozen=True, slots=True)
class Steps:
    """How many edits can be undone (or done again), and the words of the next one."""

    count: int
    next: str | None


@dataclass(frozen=True, slots=True)
class Stated:
    """The definition at one version.

    `table` is None where the text is no TOML; `faults` are what keeps it from being read and, once
    it was surveyed, from being surveyed.
    """

    version: str
    text: str
    table: Mapping[str, Any] | None
    faults: tuple[InputError, ...]
    undo: Steps
    redo: Steps


@dataclass(frozen=True, slots=True)
class Outlines:
    """Outlines as `mateline tape` solves them, each or why there is none, by carcase."""

    version: str
    outlines: Mapping[str, Outline | InputError]
    tape: Tape
    views: Mapping[str, View]


class ConflictError(Exception):
    """What was to be changed is no longer what it was when the page read it. Nothing was changed.

    `stated` is the definition as it is; `version` that of the file in question.
    """

    def __init__(self, what: str, remedy: str, stated: Stated, version: str) -> None:
        super().__init__(what, remedy, stated, version)
        self.what, self.remedy, self.stated, self.version = what, remedy, stated, version


class Workbench:
    """An open cabinet. Close it: it holds a lock and a thread.

    Raises InputError where the folder can't be looked into or another bench has it open. A folder
    that can't be written may be looked at; each edit is refused then.
    """

    def __init__(self, folder: Path) -> None:
        if not folder.is_dir():
            what = "There is no such folder."
            raise InputError(str(folder), "", what, "Name a cabinet's folder.")
        self.folder = folder
        self.subscribers = Subscribers()
        self._lock = RLock()  # of all that follows
        self._closed = False
        self._history = History(folder, FILE)
        self._marks: dict[str, Mark] = self._history.folder.marks()
        self._mark = self._history.folder.mark(FILE)
        self._now = definition_in(self._history.folder)
        self._solved = Memory()
        self._outlines: Outlines | InputError | InputFaultsError | None = None
        self._surveying = Surveying(folder, self.subscribers.tell)
        self._ask()

    def close(self) -> None:
        """End the survey thread and give the folder free. Does nothing the second time."""
        with self._lock:
            if self._closed:
                return
            self._closed = True
            self._surveying.end()
            self._history.close()

    @property
    def refusal(self) -> InputError | None:
        """Why no edit can be written to this folder; None where all can."""
        return self._history.refusal

    @property
    def notices(self) -> tuple[str, ...]:
        """What should be told once when the cabinet is opened, in sentences."""
        told = [str(self.refusal)] if self.refusal else []
        if self._history.is_damaged:
            told.append(
                "A part of the journal of edits could not be read any more, so older edits may not "
                f"be undone. A copy of it is kept in {OWN}/{DAMAGED}."
            )
        return tuple(told)

    # ---- the definition

    def stated(self) -> Stated:
        """The definition as it is."""
        with self._lock:
            now = self._now
            (undo, redo), words = self._history.counts, self._history.next_words
            return Stated(
                now.version,
                now.text,
                now.table,
                self._faults(),
                Steps(undo, words[0]),
                Steps(redo, words[1]),
            )

    def outlines(self) -> Outlines:
        """The outlines of the present definition, solved at once (kept by version).

        Raises InputError or InputFaultsError where the definition can't be read.
        """
        with self._lock:
            found = self._outlines_now()
        if isinstance(found, Exception):
            raise found
        return found

    def edit(self, base: str, says: str, patch: Sequence[Mapping[str, Any]]) -> Stated:
        """Change the definition by RFC 6902 operations on its table.

        Raises ConflictError where `base` is not its version, InputError where an operation can't be
        done or the file can't be written. A definition that can't be surveyed is written all the
        same: its faults are told.
        """
        with self._lock:
            self._agree(base)
            return self._change(says, edited(self._now.text, patch, str(self.folder / FILE)))

    def set_text(self, base: str, says: str, text: str) -> Stated:
        """The whole text anew. Raises as `edit`."""
        with self._lock:
            self._agree(base)
            return self._change(says, text)

    def undo(self, base: str) -> Stated:
        """Take the last edit back, of whichever file. Raises as `edit`; InputError if none is left.

        `base` is the version of the definition, as everywhere.
        """
        return self._step(base, self._history.undo, "Undone")

    def redo(self, base: str) -> Stated:
        """Do again what was undone last. Raises as `undo`."""
        return self._step(base, self._history.redo, "Done again")

    # ---- files

    def files(self) -> tuple[FileEntry, ...]:
        """The folder's files: `path` (with forward slashes), `size`, `kind`, `version`."""
        with self._lock:
            return self._history.folder.files()

    def file(self, path: str) -> bytes:
        """What a file of the folder holds. Raises InputError for none, or outside the folder."""
        content = self._history.folder.read(path)
        if content is None:
            raise InputError(path, "", "There is no such file.", "Look at the list of files.")
        return content

    def file_version(self, path: str) -> str:
        """The version of a file of the folder, NEW where there is none. Raises InputError."""
        with self._lock:
            return self._history.folder.version(path)

    def put_file(self, path: str, content: bytes, base: str, says: str | None = None) -> str:
        """Write a file whole and give its version. UTF-8 text below 2 MB can be undone.

        Raises ConflictError where `base` is not the file's version (NEW: there must be none),
        InputError as `file`.
        """
        if path == FILE:
            return self.set_text(base, says or f"Put {FILE} anew", _utf8(path, content)).version
        with self._lock:
            words = _said(says or f"Put {path} there")
            self._history.folder.place(path)
            try:
                self._history.change(path, words, content, base)
            except OutsideError:
                raise self._conflict(path) from None
            self._files_changed(path)
            return version_of(content)

    # ---- the survey

    def survey(self) -> Survey:
        """The newest survey; at once, never waits for one."""
        return self._surveying.newest()

    def surveyed(self, seconds: float) -> Survey:
        """The survey when it is no longer working, or what there is after `seconds`."""
        return self._surveying.when_done(seconds)

    def plan(self) -> tuple[Job, Plan] | None:
        """The last ready job with its plan, made when it is first asked for; None without a job."""
        return self._surveying.plan()

    def looked(self) -> bool:
        """Look whether a file was changed outside, take it in and tell; call it twice a second.

        Raises InputError where the folder is gone, or can't be looked into.
        """
        with self._lock:
            if self._closed:
                return False
            if not self.folder.is_dir():
                what = "The folder is not there any more."
                raise InputError(str(self.folder), "", what, "Put it back, or choose another one.")
            found = self._history.folder.mark(FILE) != self._mark and self._taken_in()
            marks = self._history.folder.marks()
            changed = [
                path
                for path in sorted({*marks, *self._marks})
                if marks.get(path) != self._marks.get(path) and path != FILE
            ]
            self._marks = marks
            for path in changed:
                self.subscribers.tell({"kind": "outside", "path": path})
            if changed:
                self.subscribers.tell({"kind": "files", "path": changed[0]})
                self._ask()
            return found or bool(changed)

    # ---- events

    def subscribe(self, wake: Callable[[], None] | None = None) -> Subscriber:
        """Hear of events: see Subscribers.subscribe. Kinds told from here:

        definition {"version", "says"}; survey {"version", "state", "count"}; files {"path"}, ask
        again for the list; outside {"path"}, a file was changed by something else and taken in.
        """
        return self.subscribers.subscribe(wake)

    def present(self) -> tuple[Event, ...]:
        """How things stand, as events: for who has just subscribed, and may have missed some."""
        with self._lock:
            definition = {"kind": "definition", "version": self._now.version, "says": ""}
        return definition, self.survey().told(), {"kind": "files", "path": ""}

    def leave(self, subscriber: Subscriber) -> None:
        """Tell `subscriber` nothing more."""
        self.subscribers.leave(subscriber)

    def tell(self, event: Mapping[str, Any]) -> None:
        """Tell an event of somebody else's kind ("run", "goodbye") to all subscribers."""
        self.subscribers.tell(event)

    # ---- within

    def _faults(self) -> tuple[InputError, ...]:
        """What is wrong with the definition, by what has looked at it yet."""
        survey, outlines = self._surveying.newest(), self._outlines
        if self._now.faults:
            return self._now.faults
        if survey.version == self._now.version and survey.state == "refused":
            return survey.faults
        return outlines.faults if isinstance(outlines, InputError | InputFaultsError) else ()

    def _agree(self, base: str) -> None:
        """Raise ConflictError unless `base` is what is on the disk at this moment."""
        self._taken_in()
        if base != self._now.version:
            raise self._conflict(FILE)

    def _conflict(self, path: str) -> ConflictError:
        self._taken_in()
        what = f"{path} is not what it was: another page, or another program, has changed it."
        version = version_of(self._history.folder.read(path))
        return ConflictError(what, READ_AGAIN, self.stated(), version)

    def _change(self, says: str, text: str) -> Stated:
        """Write another text of the definition."""
        if not self._now.is_text:
            raise self._now.faults[0]
        content = _bytes(text)
        if text == self._now.text and self._now.version != NEW:
            return self.stated()
        words = _said(says)
        try:
            self._history.change(FILE, words, content, self._now.version)
        except OutsideError:
            raise self._conflict(FILE) from None
        self._changed(words)
        return self.stated()

    def _step(self, base: str, step: Callable[[], Any], said: str) -> Stated:
        with self._lock:
            self._agree(base)
            try:
                entry = step()
            except OutsideError as outside:
                if outside.file != FILE:
                    self._files_changed(outside.file)
                raise self._conflict(outside.file) from None
            if entry.file == FILE:
                self._changed(f"{said}: {entry.says}")
            else:
                self._files_changed(entry.file)
            return self.stated()

    def _taken_in(self) -> bool:
        """Whether the definition's file is not what it was; it is read again then."""
        folder = self._history.folder
        self._mark = folder.mark(FILE)
        if present_version(folder) == self._now.version:
            return False
        self._history.take_in(FILE)
        self.subscribers.tell({"kind": "outside", "path": FILE})
        self._changed("Changed outside the bench")
        return True

    def _changed(self, says: str) -> None:
        """Follow the definition's file, which has changed."""
        self._mark = self._history.folder.mark(FILE)  # first: what is written meanwhile shows
        self._now = definition_in(self._history.folder)
        self._outlines = None
        version = self._now.version
        self.subscribers.tell({"kind": "definition", "version": version, "says": says})
        self._outlines_now()  # before the survey takes its share of the time
        self._ask()

    def _files_changed(self, path: str) -> None:
        """Follow a drawing that was changed from here."""
        mark = self._history.folder.mark(path)
        self._marks.pop(path, None)
        if mark is not None:
            self._marks[path] = mark
        self.subscribers.tell({"kind": "files", "path": path})
        self._ask()

    def _ask(self) -> None:
        self._surveying.ask(Wanted(self._now.version, self._now.read, self._now.faults))

    def _outlines_now(self) -> Outlines | InputError | InputFaultsError:
        if self._outlines is None:
            self._solved.begin_turn()
            self._outlines = _outlines_of(self._now, self.folder, self._solved)
        return self._outlines


def _outlines_of(
    now: Definition, folder: Path, stages: Stages
) -> Outlines | InputError | InputFaultsError:
    if now.read is None:
        return InputFaultsError(now.faults)
    try:
        return Outlines(now.version, *measured(folder, now.read, stages))
    except (InputError, InputFaultsError) as fault:
        return fault


def _said(says: str) -> str:
    """What an edit says, in one line."""
    return " ".join(says.split())[:MOST_WORDS]


def _bytes(text: str) -> bytes:
    """A text as its file has it. Raises InputError."""
    try:
        content = text.encode()
    except UnicodeEncodeError:
        what = "Half of a surrogate pair is no letter."
        raise InputError(FILE, "", what, "Write the whole letter.") from None
    if len(content) > MOST_BYTES:
        what = f"The definition would have more than {MOST_BYTES} bytes."
        raise InputError(FILE, "", what, "Keep the definition only, and art in drawings.")
    return content


def _utf8(path: str, content: bytes) -> str:
    text = text_of(content)
    if text is None:
        raise InputError(path, "", "It is no UTF-8 text.", "Save it as UTF-8 text.")
    return text
