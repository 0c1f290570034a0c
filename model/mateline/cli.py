"""The command line: runs a command, tells what went wrong, picks the exit code.

0: done; 1: done, and a finding says stop, or a reading is suspect; 2: the input can't be used; 3:
our own fault; 130: stopped by Ctrl-C. After 2, 3 and 130 all is as it was, unless the message says
what was written.

Nothing that takes time is imported before Ctrl-C is listened to.
"""

from __future__ import annotations

import os
import sys

TYPE_CHECKING = False  # typing has it, which takes time
if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.talk import Talk

UNUSABLE, OUR_FAULT, INTERRUPTED = 2, 3, 130
TRACEBACK = "MATELINE_TRACEBACK"  # in the environment: show the traceback of our own fault
MOST = 300  # characters of what an exception says


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code. Without `arguments` it is the command of this process."""
    interrupt = _Interrupt()
    try:
        if arguments is None:
            interrupt.listen()
            _open_what_is_closed()
        return _run(sys.argv[1:] if arguments is None else arguments, interrupt)
    except KeyboardInterrupt:  # before there was a command, or while its fault was told
        return INTERRUPTED
    finally:
        if arguments is None:
            interrupt.ignore()  # there is nothing left to stop


def _run(arguments: Sequence[str], interrupt: _Interrupt) -> int:
    from mateline.talk import Talk  # noqa: PLC0415  as the head says

    talk = Talk(interrupt.was_heard)
    try:
        return _done(arguments, talk)
    except Exception as error:  # noqa: BLE001  told in one line
        return _told(error, talk, interrupt)
    except KeyboardInterrupt as error:
        return _told(error, talk, interrupt)


def _done(arguments: Sequence[str], talk: Talk) -> int:
    from mateline.commands.parser import parser  # noqa: PLC0415  as the head says

    try:
        options = parser().parse_args(arguments)
    except SystemExit:  # it has told what was wrong, or what it was asked
        talk.end()
        raise
    code: int = options.run(options, talk)
    return code


def _told(error: BaseException, talk: Talk, interrupt: _Interrupt) -> int:
    """Tell why a command has ended; its exit code."""
    changed = "Nothing was changed." if talk.written is None else f"{talk.written} is written."
    # Libraries make other exceptions of an interrupt while they are imported.
    if isinstance(error, KeyboardInterrupt) or interrupt.was_heard():
        talk.tell(f"Stopped by Ctrl-C while {talk.doing}. {changed}")
        return INTERRUPTED
    from mateline.errors import InputError, InputFaultsError, place_of  # noqa: PLC0415

    if isinstance(error, InputError | InputFaultsError):
        for each in error.faults:
            talk.tell(str(each))
        return UNUSABLE
    if os.environ.get(TRACEBACK):
        import traceback  # noqa: PLC0415

        traceback.print_exception(error)
    what = " ".join(f"{type(error).__name__}: {error}".split())[:MOST]
    talk.tell(
        f"Our own fault, not yours: {what} ({place_of(error)}), while {talk.doing}. {changed} "
        f"Please send us the folder; {TRACEBACK}=1 in the environment shows the traceback."
    )
    return OUR_FAULT


def _open_what_is_closed() -> None:
    """Let no file be opened as stdin, stdout or stderr, where libraries might write to it."""
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:  # closed: the lowest free number is the next file's
            os.set_inheritable(os.open(os.devnull, os.O_RDWR), True)


class _Interrupt:
    """What Ctrl-C does: KeyboardInterrupt once, wherever it comes, then nothing any more.

    Once is enough to leave every `with`; a second one could keep one from tidying up.
    """

    def __init__(self) -> None:
        self._heard = False

    def was_heard(self) -> bool:
        """Whether Ctrl-C came."""
        return self._heard

    def listen(self) -> None:
        """Be what Ctrl-C does, unless whoever started us had it ignored."""
        import signal  # noqa: PLC0415  as the head says

        if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
            signal.signal(signal.SIGINT, self._raise)
            sys.unraisablehook = self._raise_again

    def ignore(self) -> None:
        """Let Ctrl-C do nothing from now on."""
        import signal  # noqa: PLC0415  as the head says

        signal.signal(signal.SIGINT, signal.SIG_IGN)

    def _raise(self, *_: object) -> None:
        self.ignore()
        self._heard = True
        raise KeyboardInterrupt

    def _raise_again(self, unraisable: sys.UnraisableHookArgs) -> None:
        """In a place that Python lets nothing be raised from: so just after it."""
        if not issubclass(unraisable.exc_type, KeyboardInterrupt):
            sys.__unraisablehook__(unraisable)
            return
        import signal  # noqa: PLC0415  as the head says

        signal.signal(signal.SIGINT, self._raise)
        signal.raise_signal(signal.SIGINT)
