"""The definition as its file has it: read as far as it can be, with what is wrong with it.

Stands after history. What is wrong is told and never raised: a page shows a file in any state.
"""

from __future__ import annotations

from dataclasses import dataclass
from io import StringIO
from typing import TYPE_CHECKING, Any

from mateline.bench.keeping.folder import version_of
from mateline.bench.keeping.history import text_of
from mateline.bench.keeping.toml.reading import table_of
from mateline.definition.schema import FILE, MOST_BYTES, parsed, table_in
from mateline.errors import InputError, InputFaultsError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mateline.bench.keeping.folder import Folder
    from mateline.definition.schema import DefinitionTable


@dataclass(frozen=True, slots=True)
class Definition:
    """What the definition's file holds.

    `table` is None where the text is no TOML, `read` where it breaks the schema; `faults` say why
    then. What is no text at all can't be edited.
    """

    version: str
    text: str
    table: Mapping[str, Any] | None = None
    read: DefinitionTable | None = None
    faults: tuple[InputError, ...] = ()
    is_text: bool = True


def definition_in(folder: Folder) -> Definition:
    """The definition of a cabinet's folder."""
    file = str(folder.root / FILE)
    try:
        content = folder.read(FILE, MOST_BYTES)
    except InputError as fault:
        told = InputError(file, fault.place, fault.what, fault.remedy)
        return Definition(unread_version(folder), "", faults=(told,), is_text=False)
    version, text = version_of(content), text_of(content)
    if content is None:
        told = InputError(file, "", "There is no such file.", "Undo, or put it back.")
        return Definition(version, "", faults=(told,))
    if text is None:
        told = InputError(file, "", "It is no UTF-8 text.", "Save it as UTF-8 text.")
        return Definition(version, "", faults=(told,), is_text=False)
    return _read(version, text, file)


def present_version(folder: Folder) -> str:
    """The version that `definition_in` would give now."""
    try:
        return version_of(folder.read(FILE, MOST_BYTES))
    except InputError:
        return unread_version(folder)


def unread_version(folder: Folder) -> str:
    """A version for a file that can't be read: another one whenever it is written."""
    return version_of(repr(folder.mark(FILE)).encode())


def _read(version: str, text: str, file: str) -> Definition:
    lines = StringIO(text, newline=None).read()  # ends of lines as `schema.load` has them
    try:
        table = table_in(lines, file, table_of)
    except InputError as fault:
        return Definition(version, text, faults=fault.faults)
    try:
        return Definition(version, text, table, parsed(table, file))
    except InputFaultsError as found:
        return Definition(version, text, table, faults=found.faults)
