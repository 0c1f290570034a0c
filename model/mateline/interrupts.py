"""Ctrl-C, kept waiting for a moment.

Stands before everything. What must be done whole (two folders that change places, the removal of
what was begun) is done under `kept_waiting`; everything else may be left at any point.
"""

from __future__ import annotations

import signal
from contextlib import contextmanager
from threading import current_thread, main_thread
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator


@contextmanager
def kept_waiting(*, for_good: bool = False) -> Iterator[None]:
    """Let Ctrl-C take effect when the block has ended, or never where it ended well and `for_good`.

    `for_good` is for the last step: what came while it was taken came too late. Other threads
    than the main one never see Ctrl-C, and Python lets none of them say what it does.
    """
    before = signal.getsignal(signal.SIGINT)
    if current_thread() is not main_thread() or before is None:  # None: not set from Python
        yield
        return
    came: list[int] = []
    signal.signal(signal.SIGINT, lambda number, _: came.append(number))
    ended_well = False
    try:
        yield
        ended_well = True
    finally:
        signal.signal(signal.SIGINT, before)
        if came and not (for_good and ended_well):
            signal.raise_signal(signal.SIGINT)
