"""The definition's settled findings: what each is known by, and why it is meant.

Stands after lengths. Whether any finding fits shows when the cabinet is checked.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.checks.findings import Settlement

if TYPE_CHECKING:
    from mateline.definition.lengths import Ruler
    from mateline.definition.schema import SettledTable


def settlements_of(tables: tuple[SettledTable, ...], ruler: Ruler) -> tuple[Settlement, ...]:
    """All settlements; faults go to the ruler."""
    return tuple(_settlement(table, ruler, n) for n, table in enumerate(tables, start=1))


def _settlement(table: SettledTable, ruler: Ruler, number: int) -> Settlement:
    place = f"settled {number}"
    at = None
    if table.at is not None:
        x, y = (ruler.length(value, f"{place}, at") for value in table.at)
        at = (x, y)
    return Settlement(
        code=table.code,
        because=table.because.strip(),
        face=table.face,
        piece=table.piece,
        hardware=table.hardware,
        at=at,
        says=table.says,
        count=table.count,
        place=place,
    )
