"""Two folders of one disk change places, in one step where the system can.

Stands before whatever swaps exports in. Linux and macOS have a call for it that Python does not
offer, so that there is no moment in which neither the old nor the new exports are there. Windows
has none, nor have some network disks: there it takes two renames, and `exchanged` says so.
"""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

# Linux, renameat2(2): RENAME_EXCHANGE, and AT_FDCWD. macOS, renamex_np(2): RENAME_SWAP.
_EXCHANGE, _HERE = 2, -100
_SWAP = 2
_CANNOT = frozenset({errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP})


def exchanged(one: Path, other: Path) -> bool:
    """Let two paths, both there, change places; False where this system or disk can't do it.

    Raises OSError where it can, and it went wrong: then nothing has moved.
    """
    call = _call()
    if call is None:
        return False
    if call(os.fsencode(one), os.fsencode(other)) == 0:
        return True
    error = ctypes.get_errno()
    if error in _CANNOT:
        return False
    raise OSError(error, os.strerror(error), str(one), None, str(other))


def _call() -> Callable[[bytes, bytes], int] | None:
    """The C library's function for two paths; None where it has none."""
    if sys.platform not in {"linux", "darwin"}:
        return None
    library = ctypes.CDLL(None, use_errno=True)
    try:
        if sys.platform == "linux":
            function = library.renameat2
            return lambda one, other: int(function(_HERE, one, _HERE, other, _EXCHANGE))
        function = library.renamex_np
    except AttributeError:  # an older C library
        return None
    return lambda one, other: int(function(one, other, _SWAP))
