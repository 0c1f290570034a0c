"""The one exception that a person can mend.

Stands before everything. Bad input raises `InputError`; a flaw in the work is a `Finding`
(checks/findings.py), returned; whatever else escapes is a bug of ours and stays loud.
"""

from __future__ import annotations


class InputError(Exception):
    """Something a person can mend: where it is, what is wrong, and how to mend it."""

    def __init__(self, file: str, place: str, what: str, remedy: str) -> None:
        super().__init__(file, place, what, remedy)  # all four: it must survive pickling
        self.file, self.place, self.what, self.remedy = file, place, what, remedy

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
