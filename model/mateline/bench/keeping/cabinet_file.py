"""How a cabinet.toml is written where nothing in it gives an example.

Stands after patch. Knows the definition's words, and which of them people write under headers.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mateline.bench.keeping.patch import patched
from mateline.bench.keeping.toml.styles import Manner

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

# As in README.md and `mateline new`: what grows line by line has a header, what is said once has
# braces. The order of the top is that of the starter.
MANNER = Manner(
    headers=frozenset(
        [
            *("colours", "knife", "transfer_percent"),
            *("outline", "left", "right", "readings", "angles", "about", "points", "curves"),
            *("panels", "edges", "part"),
        ]
    ),
    maps=frozenset(["colours", "panels", "edges", "curves"]),
    order=(
        *("tape", "measures", "palette", "stencil", "painting"),
        *("carcase", "group", "hardware", "photo", "trace", "art", "settled"),
    ),
)


def edited(text: str, operations: Sequence[Mapping[str, Any]], file: str = "") -> str:
    """The definition's text after RFC 6902 operations on its table.

    Raises InputError as `patched`.
    """
    return patched(text, operations, file, MANNER)
