"""What the definition may say of hardware: one piece, equal ones, groups of it, and its place.

Stands after part, before schema.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from mateline.cabinet.hardware import SIZES
from mateline.definition.tables.part import Corner, Name, Part, Reading


class RowTable(Part):
    """Equal holes in a line: `pitch` apart, in the direction `turn` (degrees from the face's x)."""

    count: Annotated[int, Field(ge=2, le=200)]
    pitch: Reading
    turn: float = 0.0


class GridTable(Part):
    """Equal holes in columns (along the face's x) and rows (up)."""

    columns: Annotated[int, Field(ge=1, le=100)]
    rows: Annotated[int, Field(ge=1, le=100)]
    across: Reading
    up: Reading


Kind = Literal["round", "slot", "rectangle", "bolt", "countersunk"]


class AlongTable(Part):
    """Places along the edge with a board: `at` from a corner, `in` from the edge.

    `from` is the corner's name, or the board beyond the other edge there. Two of `count`, `pitch`
    and `leave` (to the other corner) make a row of it.
    """

    edge: Name
    corner: str = Field(alias="from")
    at: Reading
    inside: Reading = Field(alias="in")
    count: Annotated[int, Field(ge=2, le=200)] | None = None
    pitch: Reading | None = None
    leave: Reading | None = None


class FittingTable(Part):
    """What every kind of hardware says: its size, how it is turned, whether it comes off."""

    size: Annotated[str | None, Field(examples=list(SIZES))] = None
    diameter: Reading | None = None
    length: Reading | None = None
    width: Reading | None = None
    corner: Reading = 0
    turn: float = 0.0
    head: Reading | None = None
    head_angle: Literal[82, 90] | None = None
    state: Literal["removed", "stays"] = "removed"
    margin: Reading = "1 mm"
    row: RowTable | None = None
    grid: GridTable | None = None


class HardwareTable(FittingTable):
    """One piece of hardware, or equal ones in a row or a grid; or a group of them."""

    name: str
    kind: Kind | None = None
    group: Name | None = None
    on: Name
    from_edges: dict[Name, Reading] = Field(default={}, alias="from")
    from_corners: dict[Corner, Reading] = {}
    along: AlongTable | None = None
    both_sides: bool = False
    mirrored: bool = False
    straddles: Name | tuple[Name, ...] = ()


class GroupPartTable(FittingTable):
    """Part of a group: `at` is its place from the group's own middle, across and up."""

    name: str
    kind: Kind
    at: tuple[Reading, Reading] = (0, 0)


class GroupTable(Part):
    """Hardware that belongs together, such as a plate and its bolts, to be placed as one."""

    name: Name
    part: Annotated[tuple[GroupPartTable, ...], Field(min_length=1, max_length=40)]
