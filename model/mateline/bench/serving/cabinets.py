"""The cabinets that a bench may open, each with its workbench and its faces as they are told.

Stands after guard. A name is that of a folder in one place; no other path leads anywhere.
"""

from __future__ import annotations

import re
import threading
from typing import TYPE_CHECKING, Any

from mateline.bench.running import Runner
from mateline.bench.shapes import SHAPES, UNITS, definition
from mateline.bench.told.faces_kept import FacesKept
from mateline.bench.workbench import Workbench
from mateline.definition.schema import FILE
from mateline.errors import InputError
from mateline.exports.hidden_folder import write_whole
from mateline.starter import write_starter

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from mateline.bench.events import Event

NAMED = re.compile(r"[a-z0-9][a-z0-9-]{0,59}")
MOST = 500  # cabinets that are listed
MOST_TITLE = 100  # characters
PICTURE = "cabinet.svg"


class Bench:
    """One cabinet open, what the page was told of it, and the command that is at work on it."""

    def __init__(self, folder: Path, out: Path) -> None:
        self.workbench = Workbench(folder)
        self.runner = Runner(folder, out, self.workbench.tell)
        self.faces = FacesKept()
        self.lock = threading.Lock()  # of the faces: several calls may ask at once

    def present(self) -> tuple[Event, ...]:
        """How things stand, as events; with the last word of the last run, if there was one."""
        run = self.runner.last()
        return (*self.workbench.present(), *([] if run is None else [run]))

    def close(self) -> None:
        """End what is at work, and give the folder free."""
        self.runner.close()
        self.workbench.close()


class Cabinets:
    """Cabinets below `root`, or the `only` one of them; `exports` is where builds write."""

    def __init__(self, root: Path, exports: Path, only: str | None = None) -> None:
        self.root, self.exports, self.only = root, exports, only
        self._open: dict[str, Bench] = {}
        self._lock = threading.Lock()

    def names(self) -> list[str]:
        """The folders that hold a definition, sorted."""
        if self.only is not None:
            return [self.only]
        try:
            found = [
                each.name
                for each in self.root.iterdir()
                if not each.name.startswith(".") and (each / FILE).is_file()
            ]
        except OSError as wrong:
            what = f"The folder can't be looked into: {wrong.strerror}."
            raise InputError(str(self.root), "", what, "Start the bench in another one.") from None
        return sorted(found)[:MOST]

    def listed(self) -> list[dict[str, Any]]:
        """What the first page shows of each."""
        return [
            {
                "name": name,
                "title": _title(self.root / name / FILE) or name,
                "built": (self.exports / name / PICTURE).is_file(),
            }
            for name in self.names()
        ]

    def bench(self, name: str) -> Bench | None:
        """The cabinet called `name`, opened when it is first asked for; None where there is none.

        Raises InputError where it can't be opened.
        """
        with self._lock:
            if name not in self._open:
                if name not in self.names():
                    return None
                self._open[name] = Bench(self.root / name, self.exports / name)
            return self._open[name]

    def opened(self) -> Mapping[str, Bench]:
        """Those that are open, by name."""
        with self._lock:
            return dict(self._open)

    def start(self, name: str, title: str, shape: str, unit: str) -> None:
        """A new cabinet's folder. Raises InputError with what is wrong with what was asked."""
        if self.only is not None:
            what = f"This bench was started for {self.only} only."
            raise InputError("", "", what, "Start it without a folder to begin a new cabinet.")
        if not NAMED.fullmatch(name):
            what = f"“{name[:60]}” can't be a folder's name here."
            remedy = "Use small letters, figures and hyphens, 60 at the most."
            raise InputError("", "name", what, remedy)
        if not title.strip() or len(title) > MOST_TITLE or not title.isprintable():
            what = "The title is empty, or is no line of text."
            raise InputError("", "title", what, f"Give it a name of {MOST_TITLE} letters at most.")
        if shape not in (*SHAPES, "starter") or unit not in UNITS:
            what = "The bench knows no such starting shape or unit."
            raise InputError("", "shape", what, "Choose one of those that are shown.")
        folder = self.root / name
        if folder.exists():
            what = f"There is a folder called {name} already."
            raise InputError("", "name", what, "Choose another name.")
        if shape == "starter":
            write_starter(folder)
            return
        try:
            write_whole({folder / FILE: definition(title.strip(), shape, unit)})
        except OSError as wrong:
            what = f"The folder can't be written: {wrong.strerror}."
            raise InputError(str(folder), "", what, "Start the bench in another one.") from None

    def close(self) -> None:
        """Close all of them."""
        with self._lock:
            for each in self._open.values():
                each.close()
            self._open.clear()


def _title(path: Path) -> str | None:
    """The title in a definition that may be in any state; None where it can't be told."""
    try:
        with path.open(encoding="utf-8", errors="replace") as file:
            head = file.read(5000)
    except OSError:
        return None
    found = re.search(r'^title\s*=\s*(?:"([^"\\\n]*)"|\'([^\'\n]*)\')', head, re.MULTILINE)
    return (found[1] or found[2] or None) if found else None
