"""What a person can mend, and the list in which its faults are told together.

Stands before everything. Bad input raises `InputError`; a flaw in the work is a `Finding`
(checks/findings.py), returned; whatever else escapes is a bug of ours and stays loud.
"""

from __future__ import annotations

import os
from difflib import get_close_matches
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

HERE = os.path.dirname(__file__)  # noqa: PTH120  the command line imports no more than it must


class InputError(Exception):
    """Something a person can mend: where it is, what is wrong, and how to mend it."""

    def __init__(self, file: str, place: str, what: str, remedy: str) -> None:
        super().__init__(file, place, what, remedy)  # all four: it must survive pickling
        self.file, self.place, self.what, self.remedy = file, place, what, remedy

    @property
    def faults(self) -> tuple[InputError, ...]:
        """Itself alone: asked as InputFaultsError is, by whoever tells either."""
        return (self,)

    def __str__(self) -> str:
        where = ": ".join(part for part in (self.file, self.place) if part)
        return f"{where}: {self.what} {self.remedy}"


class InputFaultsError(Exception):
    """Several faults of one file, told together so that they can be mended in one go."""

    def __init__(self, faults: tuple[InputError, ...]) -> None:
        super().__init__(faults)
        self.faults = faults

    def __str__(self) -> str:
        return "\n".join(str(fault) for fault in self.faults)


def in_mm(length: float) -> str:
    """A length, mm, as messages say it where nobody has named a unit."""
    return f"{length:.1f} mm"


class Faults:
    """Faults of one input, kept until all are known: none stops the reading.

    `file` is named in each; `said` writes a length, mm, in the unit of whoever reads it, and
    `limit` one that must not be passed, so never more than it is.
    """

    def __init__(
        self,
        file: str = "",
        said: Callable[[float], str] = in_mm,
        limit: Callable[[float], str] | None = None,
    ) -> None:
        self.file, self.said = file, said
        self.limit = said if limit is None else limit
        self.kept: list[InputError] = []

    def __len__(self) -> int:
        return len(self.kept)

    def add(self, place: str, what: str, remedy: str) -> None:
        """Keep one fault."""
        self.kept.append(InputError(self.file, place, what, remedy))

    def unknown(self, place: str, name: str, what: str, known: Iterable[str]) -> None:
        """Keep the fault that there is no `what` called `name`."""
        names = sorted(known)
        near = get_close_matches(name, names, n=1)
        remedy = f"Did you mean “{near[0]}”?" if near else f"There are: {', '.join(names) or '-'}."
        self.add(place, f"There is no {what} “{name}”.", remedy)

    def settle(self) -> None:
        """Raise all faults kept so far.

        Raises InputError for one, InputFaultsError for several.
        """
        faults, self.kept = tuple(self.kept), []
        if len(faults) == 1:
            raise faults[0]
        if faults:
            raise InputFaultsError(faults)


def place_of(error: BaseException) -> str:
    """Where in Mateline an exception was last: "pattern/tiling.py, line 88"."""
    found = "elsewhere"
    trace = error.__traceback__
    while trace is not None:
        found = _ours(trace.tb_frame.f_code.co_filename, trace.tb_lineno) or found
        trace = trace.tb_next
    for line in "\n".join(getattr(error, "__notes__", ())).splitlines():  # from another process
        if line.startswith('  File "'):
            file, number, *_ = line.removeprefix('  File "').split('", line ')
            found = _ours(file, int(number.split(",")[0])) or found
    return found


def _ours(file: str, line: int) -> str | None:
    if not file.startswith(HERE + os.sep):
        return None
    return f"{file[len(HERE) + 1 :].replace(os.sep, '/')}, line {line}"
