"""A command of the bench as a process of its own: its progress, its end, and how to stop it.

Stands after events; knows no cabinet. A build takes many seconds and all cores, so it is the very
command that a terminal runs: what it writes is whole or not there, whatever happens to it.

    run      one command at work, or the last one that was
    stage    what the command says on stderr that it begins now
    share    of the work that is done when a stage begins, 0 to 1: each command says its stages in
             an order that is known, and `STAGES` has how the time of a build goes among them

A run is told by events of the kind "run". Each has all there is to know, so that only the newest
counts. `state` is running, stopping, and then done (with its answer), stopped, refused (the input
can't be used) or failed.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections import deque
from threading import Lock, Thread
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal, get_args

from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path
    from typing import IO

    Heard = Callable[[dict[str, Any]], None]
    Command = Callable[["What", str | None], Sequence[str]]

What = Literal["build", "check", "square", "trace"]
RUNS: tuple[str, ...] = get_args(What)

# How a stage begins, and the share of all the time that has gone by then: of a build of
# cabinets/harbour-lights on two cores. A check has the same stages but the last.
BUILD = (
    ("reading the definition", 0.04),
    ("solving the outlines", 0.06),
    ("reading the drawings", 0.09),
    ("cutting the stencils", 0.12),
    ("checking", 0.28),
    ("fitting lines and arcs", 0.30),
    ("writing", 0.37),
)
CHECK = (
    ("reading the definition", 0.10),
    ("solving the outlines", 0.15),
    ("reading the drawings", 0.24),
    ("cutting the stencils", 0.32),
    ("checking", 0.76),
    ("fitting lines and arcs", 0.81),
)
STAGES = MappingProxyType({"build": BUILD, "check": CHECK})  # how often others say theirs varies
CALLED = "mateline: "  # before each line of talk
MOST_LINES = 40  # of talk that is no stage, kept for whoever asks why a run has failed
PATIENCE = 10.0  # s: how long a run that was asked to stop may take to tidy up
DONE, STOPS, UNUSABLE = 0, 1, 2  # exit codes
FULL = frozenset(["square", "trace"])  # whose answers are short enough to be told whole


def command(folder: Path, out: Path, what: What, face: str | None) -> tuple[str, ...]:
    """What is typed for a run, for this very Python.

    -P: a module in the folder that we start in is none of ours.
    """
    words = [sys.executable, "-P", "-m", "mateline", what, str(folder)]
    words += [face] if face is not None else []
    words += ["--out", str(out)] if what == "build" else []
    return (*words, "--json")


class Runner:
    """Runs commands on one cabinet's `folder`, one at a time, a build's files to `out`.

    `heard` is called with each event, from any thread. Close it: then no process is left.
    """

    def __init__(
        self,
        folder: Path,
        out: Path,
        heard: Heard,
        *,
        called: Command | None = None,
        patience: float = PATIENCE,
    ) -> None:
        self._heard = heard
        self._called = called or (lambda what, face: command(folder, out, what, face))
        self._folder = folder
        self._patience = patience
        self._lock = Lock()
        self._run: _Run | None = None
        self._count = 0

    def start(self, what: What, face: str | None = None) -> int:
        """Begin a run; its number. Raises InputError while there is one, or where none can be."""
        with self._lock:
            if self._run is not None and not self._run.ended:
                doing = self._run.said()["what"]
                raise InputError(
                    str(self._folder), "", f"A {doing} is at work.", "Wait for it, or stop it."
                )
            self._count += 1
            self._run = _Run(self._count, what, self._called(what, face), self._heard)
        return self._count

    def last(self) -> dict[str, Any] | None:
        """The newest event of the newest run; None before the first."""
        run = self._run
        return None if run is None else run.said()

    def stop(self) -> bool:
        """Ask the run to stop, as Ctrl-C does; whether there was one. Returns at once.

        One that has not ended after a while is killed.
        """
        run = self._run
        if run is None or run.ended:
            return False
        run.stop(self._patience)
        return True

    def wait(self) -> None:
        """Return when no run is at work and its last event was told."""
        run = self._run
        if run is not None:
            run.wait()

    def close(self) -> None:
        """Kill the run, if there is one, and wait for its end."""
        run = self._run
        if run is not None:
            run.kill()
            run.wait()


class _Run:
    """One process, a thread that hears its talk, and one that hears its answer."""

    def __init__(self, number: int, what: What, words: Sequence[str], heard: Heard) -> None:
        self._heard = heard
        self._stages = STAGES.get(what, ())
        self._talk: deque[str] = deque(maxlen=MOST_LINES)
        self._changing = Lock()
        self._asked = False
        self.ended = False
        self._now: dict[str, Any] = {
            "kind": "run",
            "id": number,
            "what": what,
            "state": "running",
            "stage": "starting",
            "number": 0,
            "of": len(self._stages) or None,
            "share": 0.0 if self._stages else None,
        }
        self._process = _started(words)
        self._thread = Thread(target=self._listen, daemon=True, name=f"run {number}")
        heard(self.said())
        self._thread.start()

    def said(self) -> dict[str, Any]:
        """All there is to know of it."""
        with self._changing:
            return dict(self._now)

    def stop(self, patience: float) -> None:
        """Ask it to stop; whoever hears it kills it when `patience` is over."""
        with self._changing:
            if self._asked or self.ended:
                return
            self._asked = True
            self._now["state"] = "stopping"
        self._heard(self.said())
        _interrupted(self._process)
        Thread(target=self._waited_for, args=(patience,), daemon=True).start()

    def kill(self) -> None:
        """End it at once."""
        with self._changing:
            self._asked = True
        self._process.kill()

    def wait(self) -> None:
        """Return when its end was told."""
        self._thread.join()

    def _waited_for(self, patience: float) -> None:
        try:
            self._process.wait(patience)
        except subprocess.TimeoutExpired:
            self._process.kill()

    def _listen(self) -> None:
        """Tell each stage, and the end."""
        answer: list[str] = []
        talk, out = self._process.stderr, self._process.stdout
        if talk is None or out is None:  # it was started with both
            raise RuntimeError("a run without its pipes")
        hearing = Thread(target=_heard_whole, args=(out, answer), daemon=True)
        hearing.start()
        with talk:
            for line in talk:
                self._told(line.rstrip("\r\n"))
        hearing.join()
        self._end(self._process.wait(), answer[0])

    def _told(self, line: str) -> None:
        said = line.removeprefix(CALLED)
        begins = [said.startswith(start) for start, _ in self._stages]
        if not any(begins):
            if self._stages or not line.startswith(CALLED):
                self._talk.append(said)
                return
            self._next(said, None)  # any stage of a command whose stages are not known before
            self._talk.append(said)  # or why it has ended: which one, its exit code tells
            return
        self._next(said, self._stages[begins.index(True)][1])

    def _next(self, stage: str, share: float | None) -> None:
        with self._changing:
            self._now["stage"] = stage
            self._now["number"] += 1
            if share is not None:  # a build that has to trace first begins its stages twice
                self._now["share"] = max(share, self._now["share"])
        self._heard(self.said())

    def _end(self, code: int, answer: str) -> None:
        with self._changing:
            self._now |= _outcome(code, answer, list(self._talk), asked=self._asked)
            if self._now["what"] not in FULL and "answer" in self._now:
                self._now["answer"] = _in_short(self._now["answer"])
            self.ended = True
        self._heard(self.said())


def _started(words: Sequence[str]) -> subprocess.Popen[str]:
    """The process, in a session of its own: Ctrl-C in the bench's terminal is for the bench."""
    return subprocess.Popen(
        words,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
        errors="replace",
        env={**os.environ, "PYTHONUTF8": "1"},
        start_new_session=True,
    )


def _interrupted(process: subprocess.Popen[str]) -> None:
    """What Ctrl-C does. Windows can send it to all processes of a terminal only, so that the run
    is ended there; what it wrote is whole or not there all the same.
    """
    if os.name == "nt":
        process.kill()
    else:
        process.send_signal(signal.SIGINT)


def _heard_whole(stream: IO[str], into: list[str]) -> None:
    with stream:
        into.append(stream.read())


def _outcome(code: int, answer: str, talk: list[str], *, asked: bool) -> dict[str, Any]:
    found = _answered(answer) if code in {DONE, STOPS} else None
    if found is not None:  # it may have been done before it heard that it should stop
        return {"state": "done", "share": 1.0, "code": code, "answer": found}
    if asked:
        return {"state": "stopped", "code": code, "message": talk[-1] if talk else "Stopped."}
    state = "refused" if code == UNUSABLE else "failed"
    said = " ".join(talk) or f"It has ended with the exit code {code} and said nothing."
    return {"state": state, "code": code, "message": said}


def _answered(text: str) -> dict[str, Any] | None:
    """The answer; None where there is none: Python itself ends with 1 where it can't go on."""
    try:
        found = json.loads(text)
    except ValueError:
        return None
    return found if isinstance(found, dict) else None


def _in_short(answer: dict[str, Any]) -> dict[str, int]:
    """What counts of a build's or a check's answer, which has every piece and finding."""
    findings = answer.get("findings", ())
    return {
        "faces": len(answer.get("faces", ())),
        "pieces": sum(len(face["pieces"]) for face in answer.get("faces", ())),
        "findings": len(findings),
        "stops": sum(finding["level"] == "stop" for finding in findings),
        "settled": len(answer.get("settled", ())),
    }
