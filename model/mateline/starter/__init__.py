"""A cabinet folder to start from: a commented definition and a drawing that build as they are."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import TYPE_CHECKING

from mateline.definition.schema import schema
from mateline.errors import InputError
from mateline.exports.hidden_folder import write_whole

if TYPE_CHECKING:
    from pathlib import Path

STARTED = ("cabinet.toml", "band.svg")
SCHEMA = "cabinet.schema.json"  # named in the first line of cabinet.toml, for editors


def write_starter(folder: Path) -> None:
    """Write the starter into `folder`, which must be new or empty.

    Raises InputError.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise InputError(
            str(folder), "", "There is something there already.", "Name a new or empty folder."
        )
    texts = {name: (files(__name__) / name).read_text(encoding="utf-8") for name in STARTED}
    texts[SCHEMA] = json.dumps(schema(), indent=1, sort_keys=True) + "\n"
    try:
        write_whole({folder / name: text for name, text in texts.items()})
    except OSError as error:
        raise InputError(
            str(folder), "", f"It can't be written: {error.strerror}.", "Name another folder."
        ) from None
