"""A crew: processes that share the work, so that stencils are cut and written on every core.

Stands beside memory; whoever hands out tasks knows what they do. What a task gives does not depend
on who does it or when; results come back in the order of the tasks.

    hand    a process of the crew; whoever calls works as well, so one core needs no hands
    task    a function of a module and what it is called with, all of which can be pickled

Hands are new processes everywhere (none is forked), so they import what they need: they are hired
before anything else is done, and do it meanwhile. A hand that is not ready yet gets no task.

Ctrl-C is for whoever hired them, who then lets them go at once; a hand whose hirer was killed ends
by itself.
"""

from __future__ import annotations

import gc
import os
import pickle
import signal
import traceback
from collections import deque
from contextlib import contextmanager
from importlib import import_module
from multiprocessing import Pipe, get_context, parent_process, resource_tracker
from multiprocessing.connection import wait
from threading import Thread
from typing import TYPE_CHECKING, Any, ParamSpec, Self, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from multiprocessing.connection import Connection
    from types import TracebackType

    Task = tuple[Callable[..., Any], tuple[Any, ...]]

P = ParamSpec("P")
R = TypeVar("R")

MOST = 4  # cores: with more, the longest single task is all that is waited for


def cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def hired(most: int | None = None, modules: Sequence[str] = ()) -> Crew:
    """A crew for as many cores as this process may use, or `most`; it imports `modules` first."""
    return Crew(min(most or cores(), MOST) - 1, modules)


class Crew:
    """Does tasks together with `hands` other processes, which import `modules` on their first day.

    A context manager: at its end, however that comes, no hand is left.
    """

    def __init__(self, hands: int = 0, modules: Sequence[str] = ()) -> None:
        context = get_context("spawn")
        self._hands = []
        self._ready: set[int] = set()
        try:
            for _ in range(hands):
                here, there = context.Pipe()
                process = context.Process(target=_serve, args=(there, tuple(modules)), daemon=True)
                with _deaf_to_interrupts():
                    process.start()
                    self._hands.append((process, here))
                there.close()
        except BaseException:
            self.dismiss()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.dismiss()

    def dismiss(self) -> None:
        """End all hands at once, whatever they are doing; the work is done without them then."""
        for process, _ in self._hands:
            process.kill()
        for process, here in self._hands:
            process.join()
            here.close()
        self._hands = []
        self._ready.clear()

    def done(self, tasks: Sequence[Task]) -> list[Any]:
        """What each of `tasks` gives.

        Hands take them from the front and this process from the end, so what needs an import that
        only hands have done belongs in front, and short tasks in the middle. Raises what a task
        raised, the first in their order, when all hands have put down their work.
        """
        work = _Work(tasks)
        over, end = Pipe(duplex=False)
        threads = [
            Thread(target=self._hand_out, args=(at, over, work), daemon=True)
            for at in range(len(self._hands))
        ]
        try:
            for thread in threads:
                thread.start()
            while (task := work.taken(last=True)) is not None:
                work.do(*task)
            end.close()
            for thread in threads:
                thread.join()
        except BaseException:  # Ctrl-C: nobody waits for what a hand is doing
            work.stop()
            for process, _ in self._hands:
                process.kill()
            raise
        finally:
            end.close()
        over.close()
        return work.results()

    def _hand_out(self, at: int, over: Connection, work: _Work) -> None:
        """Give one hand a task after another, from when it is ready until none is left."""
        _, here = self._hands[at]
        if at not in self._ready:
            try:
                if here not in wait([here, over]):
                    return  # all is done, and it is still importing
                here.recv()
            except (EOFError, OSError):
                return  # it ended before it was ready: the work is done without it
            self._ready.add(at)
        while (numbered := work.taken(last=False)) is not None:
            number, task = numbered
            try:
                here.send(task)
                well, result = here.recv()
            except (EOFError, OSError):
                well = False
                result = RuntimeError("a process of the crew ended before its work was done")
            work.put(number, result, well=well)


class _Work:
    """Tasks that are still to be done, and what came of the others."""

    def __init__(self, tasks: Sequence[Task]) -> None:
        self._count = len(tasks)
        self._open = deque(enumerate(tasks))
        self._found: dict[int, Any] = {}
        self._failed: dict[int, BaseException] = {}

    def taken(self, *, last: bool) -> tuple[int, Task] | None:
        """The first or last task and its number; None where none is left, or one has failed."""
        if self._failed:
            return None
        try:
            return self._open.pop() if last else self._open.popleft()
        except IndexError:
            return None

    def do(self, number: int, task: Task) -> None:
        """Do a task here."""
        function, given = task
        try:
            self._found[number] = function(*given)
        except Exception as error:  # noqa: BLE001  raised again when all hands are idle
            self._failed[number] = error

    def put(self, number: int, result: Any, *, well: bool) -> None:
        """Keep what somebody else made of a task."""
        (self._found if well else self._failed)[number] = result

    def stop(self) -> None:
        """Let no more tasks be taken."""
        self._open.clear()

    def results(self) -> list[Any]:
        """What all tasks gave, in their order. Raises what the first one that failed raised."""
        if self._failed:
            raise self._failed[min(self._failed)]
        return [self._found[number] for number in range(self._count)]


class Shared:
    """Runs stages on a crew and remembers nothing."""

    remembers = False

    def __init__(self, crew: Crew) -> None:
        self._crew = crew

    def recall(self, stage: Callable[P, R], *given: P.args, **named: P.kwargs) -> R:
        """What `stage` gives for these values."""
        return stage(*given, **named)

    def recall_each(self, stage: Callable[..., R], calls: Sequence[tuple[Any, ...]]) -> list[R]:
        """What `stage` gives for each of `calls`, some of them by other processes."""
        return self._crew.done([(stage, call) for call in calls])


@contextmanager
def _deaf_to_interrupts() -> Iterator[None]:
    """Let processes that start meanwhile never hear Ctrl-C, from their first moment on.

    They inherit which signals are blocked. Without it they would tell of the interrupt while they
    import. Windows has no such thing: there they are deaf only once they serve.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    resource_tracker.ensure_running()  # a process of its own, whose start would unblock the signal
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _serve(there: Connection, modules: tuple[str, ...]) -> None:
    """A hand's day: import what is needed, then do what comes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for whoever hired us
    Thread(target=_end_with_hirer, daemon=True).start()
    gc.disable()  # as in the commands
    for name in modules:
        import_module(name)
    try:
        there.send("ready")
        while True:
            function, given = there.recv()
            there.send(_answer(function, given))
    except (EOFError, OSError):
        return  # whoever hired us has gone


def _answer(function: Callable[..., Any], given: tuple[Any, ...]) -> tuple[bool, Any]:
    try:
        return True, function(*given)
    except Exception as error:  # noqa: BLE001  told to whoever hired us
        told = "In a process of the crew:\n" + traceback.format_exc()
        try:
            pickle.loads(pickle.dumps(error))  # noqa: S301  our own
        except Exception:  # noqa: BLE001  some libraries' exceptions stay in their process
            error = RuntimeError(f"{type(error).__name__}: {error}")
        error.add_note(told)
        return False, error


def _end_with_hirer() -> None:
    """End this process when the one that hired it has ended, in the middle of work too."""
    hirer = parent_process()
    if hirer is not None:
        hirer.join()
        os._exit(1)
