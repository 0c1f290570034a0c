"""The survey of an open cabinet, made anew in a thread of its own after each change.

Stands after events and differences. Only the newest state is surveyed: what changes while a survey
is made is surveyed after it, once. A surveyor remembers its stages, so only what a change reaches
is done again.

    working    a survey is being made, or will be
    ready      the newest state has been surveyed
    refused    it can't be: its faults say why. Our own faults are told too, and it goes on
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from threading import Condition, Thread
from typing import TYPE_CHECKING, Literal

from mateline.bench.differences import Difference, difference
from mateline.errors import InputError, InputFaultsError, place_of
from mateline.placed_art import UntracedError
from mateline.survey import Surveyor, planned

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from mateline.bench.events import Event
    from mateline.definition.schema import DefinitionTable
    from mateline.paint.plan import Plan
    from mateline.survey import Job


@dataclass(frozen=True, slots=True)
class Survey:
    """The newest survey.

    `version` is that of the definition which is surveyed, `job` the last that was ready, of the
    definition `job_version`; both are None before the first. Where drawings are to be traced yet,
    the job is the one without them. `ours` says that the fault is Mateline's own. `since` is what
    became of the job before this one, None for nothing. `count` rises with each that is told, so
    that a page knows whether it has this one.
    """

    version: str
    state: Literal["working", "ready", "refused"]
    faults: tuple[InputError, ...] = ()
    ours: bool = False
    job: Job | None = None
    job_version: str | None = None
    since: Difference | None = None
    count: int = 0

    def told(self) -> Event:
        """That there is this one."""
        return {
            "kind": "survey",
            "version": self.version,
            "state": self.state,
            "count": self.count,
        }


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be surveyed: a definition that has been read, or why it can't be."""

    version: str
    table: DefinitionTable | None
    faults: tuple[InputError, ...] = ()


class _EndedError(Exception):
    """The cabinet was closed while it was surveyed."""


class Surveying:
    """Surveys what is asked for last. End it."""

    def __init__(self, folder: Path, tell: Callable[[Event], None]) -> None:
        self._folder, self._tell = folder, tell
        self._surveyor = Surveyor()
        self._wanted: Wanted | None = None
        self._ended = False
        self._changed = Condition()
        self._newest = Survey("", "working")
        self._plan: tuple[Job, Plan] | None = None
        self._planning = Condition()
        self._thread = Thread(target=self._run, name=f"survey of {folder.name}", daemon=True)
        self._thread.start()

    def ask(self, wanted: Wanted) -> None:
        """Survey this, when the survey that is being made is done, and nothing asked for before."""
        with self._changed:
            self._wanted = wanted
            self._become(replace(self._newest, version=wanted.version, state="working"))
        self._tell(self._newest.told())

    def newest(self) -> Survey:
        """The newest survey, as far as it is."""
        return self._newest

    def when_done(self, seconds: float) -> Survey:
        """The survey when it is no longer working, or what there is after `seconds`."""
        with self._changed:
            self._changed.wait_for(lambda: self._newest.state != "working", seconds)
            return self._newest

    def plan(self) -> tuple[Job, Plan] | None:
        """The last ready job with its plan, made when it is first asked for; None without a job."""
        with self._planning:
            job = self._newest.job
            if job is None:
                return None
            if self._plan is None or self._plan[0] is not job:
                self._plan = job, planned(job)
            return self._plan

    def end(self) -> None:
        """Stop surveying, at the end of the stage that is at work."""
        with self._changed:
            self._ended = True
            self._changed.notify_all()
        self._thread.join()

    # ---- in the thread

    def _run(self) -> None:
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._wanted is not None or self._ended)
                wanted, self._wanted = self._wanted, None
                if self._ended or wanted is None:
                    return
            found = self._found(wanted)
            with self._changed:
                if self._ended:
                    return
                if self._wanted is None:
                    self._become(found)
                else:  # something newer waits: what is ready may be shown, but it is not the end
                    self._become(replace(found, version=self._newest.version, state="working"))
            self._tell(self._newest.told())

    def _become(self, newest: Survey) -> None:
        """Let this be the newest, and wake who waits for it."""
        newest = replace(newest, count=self._newest.count + 1)
        if newest.state == "working":
            newest = replace(newest, faults=(), ours=False)
        self._newest = newest
        self._changed.notify_all()

    def _found(self, wanted: Wanted) -> Survey:
        last = replace(self._newest, version=wanted.version, since=None)
        if wanted.table is None:
            return replace(last, state="refused", faults=wanted.faults)
        try:
            return self._prepared(wanted.table, last)
        except (InputError, InputFaultsError) as fault:
            return replace(last, state="refused", faults=fault.faults)
        except _EndedError:
            return last
        except Exception as wrong:  # noqa: BLE001  our own fault: told, and the page lives on
            self._surveyor = Surveyor()
            return replace(last, state="refused", faults=(_own_fault(wrong),), ours=True)

    def _prepared(self, table: DefinitionTable, last: Survey) -> Survey:
        """The survey with its job; without the art that is to be traced yet, whose faces are there
        to trace on all the same.
        """
        try:
            job = self._surveyor.surveyed(self._folder, self._say, table)
        except UntracedError as fault:
            there = tuple(each for each in table.art if self._is_there(each.drawing))
            rest = table.model_copy(update={"art": there})
            job = self._surveyor.surveyed(self._folder, self._say, rest)
            return replace(
                last, state="refused", faults=(fault,), job=job, job_version=last.version
            )
        since = None if last.job is None else difference(last.job, job)
        return replace(last, state="ready", job=job, job_version=last.version, since=since)

    def _is_there(self, drawing: str | None) -> bool:
        return drawing is None or (self._folder / drawing).exists()

    def _say(self, _: str) -> None:
        if self._ended:
            raise _EndedError


def _own_fault(wrong: Exception) -> InputError:
    """A fault of Mateline's, with the place in it."""
    what = f"This is Mateline's own fault, not yours: {type(wrong).__name__}: {wrong}."
    remedy = "Undo the last edit, and report this with the cabinet's folder."
    return InputError("", place_of(wrong), what, remedy)
