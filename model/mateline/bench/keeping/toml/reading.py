"""A TOML text as a table, read once however often it is asked for.

Stands first in the room. A text is read before an edit, after it, and when it is shown: once does.
"""

from __future__ import annotations

import tomllib
from functools import lru_cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

KEPT = 4  # texts


@lru_cache(KEPT)
def table_of(text: str) -> Mapping[str, Any]:
    """The table that a text states, shared by all who ask: nobody may change it.

    Raises ValueError for what is no TOML, RecursionError for brackets too deep in one another.
    """
    return tomllib.loads(text)
