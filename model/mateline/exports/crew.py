"""A crew: processes that share the work of a build, so that files are written on every core.

Stands before build, which hands out the tasks. What a task gives does not depend on who does it or
when; results come back in the order of the tasks.

    hand    a process of the crew; whoever calls works as well, so one core needs no hands
    task    a function of a module and what it is called with, all of which can be pickled

Hands are new processes everywhere (none is forked), so they import what they need: they are hired
before the survey, and do it meanwhile.
"""

from __future__ import annotations

import gc
import os
import signal
import traceback
from collections import deque
from importlib import import_module
from multiprocessing import get_context
from threading import Thread
from typing import TYPE_CHECKING, Any, Self

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from multiprocessing.connection import Connection
    from types import TracebackType

    Task = tuple[Callable[..., Any], tuple[Any, ...]]

MOST = 4  # cores: with more, the longest single task is all that is waited for


def cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


class Crew:
    """Does tasks together with `hands` other processes, which import `modules` on their first day.

    A context manager: at its end, however that comes, no hand is left.
    """

    def __init__(self, hands: int = 0, modules: Sequence[str] = ()) -> None:
        context = get_context("spawn")
        self._hands = []
        for _ in range(hands):
            here, there = context.Pipe()
            process = context.Process(target=_serve, args=(there, tuple(modules)), daemon=True)
            process.start()
            there.close()
            self._hands.append((process, here))

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        for process, here in self._hands:
            process.kill()
            process.join()
            here.close()
        self._hands = []

    def done(self, tasks: Sequence[Task], own: Sequence[Task] = ()) -> list[Any]:
        """What each of `tasks` and then each of `own` gives. `own` are done here, and first.

        Tasks are taken in their order, so the longest belongs in front. Raises what a task raised,
        the first in their order, when all hands have put down their work.
        """
        open_tasks = deque(enumerate(tasks))
        found: dict[int, Any] = {}
        failed: dict[int, BaseException] = {}
        workers = [
            Thread(target=_hand_out, args=(here, open_tasks, found, failed))
            for _, here in self._hands
        ]
        for worker in workers:
            worker.start()
        try:
            results = [function(*given) for function, given in own]
            while open_tasks and not failed:
                _do_one(open_tasks, found, failed)
        finally:
            open_tasks.clear()
            for worker in workers:
                worker.join()
        if failed:
            raise failed[min(failed)]
        return [*(found[number] for number in range(len(tasks))), *results]


def _do_one(
    tasks: deque[tuple[int, Task]], found: dict[int, Any], failed: dict[int, BaseException]
) -> None:
    try:
        number, (function, given) = tasks.popleft()
    except IndexError:  # a hand took the last one
        return
    try:
        found[number] = function(*given)
    except Exception as error:  # noqa: BLE001  raised again when all hands are idle
        failed[number] = error


def _hand_out(
    here: Connection,
    tasks: deque[tuple[int, Task]],
    found: dict[int, Any],
    failed: dict[int, BaseException],
) -> None:
    """Give one hand a task after another, until none is left or one has failed."""
    while tasks and not failed:
        try:
            number, task = tasks.popleft()
        except IndexError:
            return
        try:
            here.send(task)
            well, result = here.recv()
        except (EOFError, OSError):
            failed[number] = RuntimeError("a process of the crew ended before its work was done")
            return
        (found if well else failed)[number] = result


def _serve(there: Connection, modules: tuple[str, ...]) -> None:
    """A hand's day: import what is needed, then do what comes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for whoever hired us
    gc.disable()  # as in the commands
    for name in modules:
        import_module(name)
    while True:
        try:
            function, given = there.recv()
        except EOFError:
            return
        try:
            answer = True, function(*given)
        except Exception as error:  # noqa: BLE001  told to whoever hired us
            error.add_note("In a process of the crew:\n" + traceback.format_exc())
            answer = False, error
        there.send(answer)
