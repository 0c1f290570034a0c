"""ezdxf, imported as if nobody had settings of their own for it.

Stands before whatever reads or writes DXF. Its settings come from files in the home and in the
folder where one happens to be; they would change what is written, and a home that can't be read
would end the import. Slow to import, so only where a DXF is.
"""

from __future__ import annotations

import logging
import os
from pathlib import Path
from typing import Any

__all__ = ["new", "options", "readfile"]

NOWHERE = os.devnull  # no folder, and can't become one
SETTINGS = ("EZDXF_CONFIG_FILE", "XDG_CONFIG_HOME")
CACHE = "XDG_CACHE_HOME"  # where it keeps a list of the system's fonts


def _imported() -> Any:
    before = {name: os.environ.pop(name, None) for name in SETTINGS}
    before[CACHE] = os.environ.get(CACHE)
    os.environ["XDG_CONFIG_HOME"] = NOWHERE
    if not _is_usable(before[CACHE]):
        os.environ[CACHE] = NOWHERE
    log = logging.getLogger("ezdxf")
    level = log.level
    log.setLevel(logging.ERROR)  # it would tell that it can't keep its list of fonts
    try:
        import ezdxf.filemanagement  # noqa: PLC0415  with the environment as it is here
    finally:
        log.setLevel(level)
        for name, value in before.items():
            os.environ.pop(name, None)
            if value is not None:
                os.environ[name] = value
    library: Any = ezdxf
    library.options.reset()
    return library


def _is_usable(cache: str | None) -> bool:
    """Whether it can be asked if there is a file in the folder for caches."""
    try:
        (Path(cache or "~/.cache").expanduser() / "ezdxf" / "any").exists()
    except (OSError, RuntimeError):  # may not be looked into; or there is no home at all
        return False
    return True


_ezdxf = _imported()
new = _ezdxf.filemanagement.new
options = _ezdxf.options
readfile = _ezdxf.filemanagement.readfile
