"""What a command says: its answer on stdout, its talk on stderr, and what it had done when.

Stands before the commands. The answer is one text, written at the end. A stdout that is full,
closed or not there is told; talk that nobody can hear is let go, for there is nowhere to tell it.
"""

from __future__ import annotations

import os
import shutil
import sys
from contextlib import suppress
from typing import TYPE_CHECKING, TextIO

from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


LEAST_WIDTH = 40  # characters; narrower terminals scroll


class Talk:
    """Where one command speaks, what it says it is `doing`, and what it has `written`, if any."""

    def __init__(self, stopped: Callable[[], bool] = lambda: False) -> None:
        self.doing = "starting"
        self.written: Path | None = None
        self._stopped = stopped

    def say(self, stage: str) -> None:
        """Tell the stage that begins. Raises KeyboardInterrupt if one was heard and got lost."""
        if self._stopped():
            raise KeyboardInterrupt
        self.doing = stage
        self.tell(stage)

    def tell(self, message: str) -> None:
        """Say something that is no answer."""
        if sys.stderr is not None:  # None: it was closed before we started
            with suppress(OSError):
                sys.stderr.write(_seen(f"mateline: {message}", sys.stderr) + "\n")
                sys.stderr.flush()

    def wrote(self, what: Path) -> None:
        """Keep that something has been changed."""
        self.written = what

    def answer(self, text: str) -> None:
        """Write the answer.

        Raises InputError where it can't be written.
        """
        if sys.stdout is None:
            raise self._unheard("There is no stdout to answer on.")
        self._written(_writable(text, sys.stdout) + "\n")

    def end(self) -> None:
        """Write what others, such as a parser, have left in stdout.

        Raises InputError where it can't be written.
        """
        if sys.stdout is not None:
            self._written("")

    def _written(self, text: str) -> None:
        try:
            sys.stdout.write(text)
            sys.stdout.flush()
        except OSError as error:
            _closed(sys.stdout)
            raise self._unheard(f"The answer can't be written: {error.strerror}.") from error

    def _unheard(self, what: str) -> InputError:
        done = "" if self.written is None else f" {self.written} was written before."
        return InputError("stdout", "", what + done, "Send it where it can be read to the end.")


def _seen(message: str, stream: TextIO) -> str:
    """The message in lines that a terminal has room for, which end within no reading.

    Where somebody else reads the stream, a message stays a line.
    """
    if not stream.isatty():
        return message
    from mateline.tape.quantities import wrapped  # noqa: PLC0415  only a person needs it

    width = max(shutil.get_terminal_size().columns, LEAST_WIDTH)
    return "\n".join(wrapped(message, width, "", "  "))


def _writable(text: str, stream: TextIO) -> str:
    r"""The text with what `stream` can't encode as \uXXXX, which JSON reads as the character."""
    encoding = stream.encoding or "utf-8"
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return "".join(each if _known(each, encoding) else _escaped(each) for each in text)
    return text


def _known(character: str, encoding: str) -> bool:
    try:
        character.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True


def _escaped(character: str) -> str:
    """As JSON has it: one or two UTF-16 units."""
    units = character.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{units[at]:02x}{units[at + 1]:02x}" for at in range(0, len(units), 2))


def _closed(stream: TextIO) -> None:
    """Let what is left in a stream's buffer go nowhere: Python would try again when it ends."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
