"""One open cabinet: its definition, edits of it and of its drawings, and its newest survey.

Stands after keeping and surveying, before what is told and served; knows no HTTP. All methods may
be called from any thread. Files of the folder are the truth: each edit is in the journal and in its
file before the call returns.

    version    12 hex digits of a file's bytes; "new" for a file that is not there
    stated     the definition as its file has it, whether or not it can be surveyed
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from mateline.bench.events import Subscriber, Subscribers

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    from mateline.checks.findings import Finding
    from mateline.errors import InputError
    from mateline.paint.plan import Plan
    from mateline.survey import Job
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline
    from mateline.tape.sureness import View

NEW = "new"  # the version of a file that is not there


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


@dataclass(frozen=True, slots=True)
class Difference:
    """What became of the findings and pieces of the last ready survey, in words too."""

    appeared: tuple[Finding, ...]
    gone: tuple[Finding, ...]
    pieces: int  # more, or less below 0
    said: str  # "3 findings less, 2 pieces more"


@dataclass(frozen=True, slots=True)
class Survey:
    """The newest survey.

    `version` is that of the definition which is surveyed, `job` the last that was ready, of the
    definition `job_version`; both are None before the first. `ours` says that the fault is
    Mateline's own.
    """

    version: str
    state: Literal["working", "ready", "refused"]
    faults: tuple[InputError, ...] = ()
    ours: bool = False
    job: Job | None = None
    job_version: str | None = None
    since: Difference | None = None


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
        self.folder = folder
        self.subscribers = Subscribers()

    def close(self) -> None:
        """End the survey thread and give the folder free. Does nothing the second time."""
        raise NotImplementedError

    # ---- the definition

    def stated(self) -> Stated:
        """The definition as it is."""
        raise NotImplementedError

    def outlines(self) -> Outlines:
        """The outlines of the present definition, solved at once (kept by version).

        Raises InputError or InputFaultsError where the definition can't be read.
        """
        raise NotImplementedError

    def edit(self, base: str, says: str, patch: Sequence[Mapping[str, Any]]) -> Stated:
        """Change the definition by RFC 6902 operations on its table.

        Raises ConflictError where `base` is not its version, InputError where an operation can't be
        done or the file can't be written. A definition that can't be surveyed is written all the
        same: its faults are told.
        """
        raise NotImplementedError

    def set_text(self, base: str, says: str, text: str) -> Stated:
        """The whole text anew. Raises as `edit`."""
        raise NotImplementedError

    def undo(self, base: str) -> Stated:
        """Take the last edit back, of whichever file. Raises as `edit`; InputError if none is left.

        `base` is the version of the definition, as everywhere.
        """
        raise NotImplementedError

    def redo(self, base: str) -> Stated:
        """Do again what was undone last. Raises as `undo`."""
        raise NotImplementedError

    # ---- files

    def files(self) -> tuple[Any, ...]:
        """The folder's files: `path` (with forward slashes), `size`, `kind`, `version`."""
        raise NotImplementedError

    def file(self, path: str) -> bytes:
        """What a file of the folder holds. Raises InputError for none, or outside the folder."""
        raise NotImplementedError

    def file_version(self, path: str) -> str:
        """The version of a file of the folder, NEW where there is none. Raises InputError."""
        raise NotImplementedError

    def put_file(self, path: str, content: bytes, base: str, says: str | None = None) -> str:
        """Write a file whole and give its version. UTF-8 text below 2 MB can be undone.

        Raises ConflictError where `base` is not the file's version (NEW: there must be none),
        InputError as `file`.
        """
        raise NotImplementedError

    # ---- the survey

    def survey(self) -> Survey:
        """The newest survey; at once, never waits for one."""
        raise NotImplementedError

    def surveyed(self, seconds: float) -> Survey:
        """The survey when it is no longer working, or what there is after `seconds`."""
        raise NotImplementedError

    def plan(self) -> Plan | None:
        """The plan of the last ready job, made when it is first asked for; None without a job."""
        raise NotImplementedError

    def looked(self) -> bool:
        """Look whether a file was changed outside, take it in and tell; call it twice a second."""
        raise NotImplementedError

    # ---- events

    def subscribe(self, wake: Callable[[], None] | None = None) -> Subscriber:
        """Hear of events: see Subscribers.subscribe. Kinds told from here:

        definition {"version", "says"}; survey {"version", "state"}; files {"path"}, ask again for
        the list; outside {"path"}, a file was changed by something else and taken in.
        """
        return self.subscribers.subscribe(wake)

    def leave(self, subscriber: Subscriber) -> None:
        """Tell `subscriber` nothing more."""
        self.subscribers.leave(subscriber)

    def tell(self, event: Mapping[str, Any]) -> None:
        """Tell an event of somebody else's kind ("run", "goodbye") to all subscribers."""
        self.subscribers.tell(event)
