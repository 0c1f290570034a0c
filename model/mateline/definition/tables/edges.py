"""What the definition may say of the edges of boards.

Stands after part, before schema.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from mateline.cabinet.panel import Finish  # noqa: TC001  pydantic reads them
from mateline.definition.tables.part import Name, Part, Reading


class GrooveTable(Part):
    """A groove along the end of a board: its `offset` is from the outside to its middle, else the
    middle of the board.
    """

    width: Reading
    depth: Reading
    offset: Reading | None = None


class RabbetTable(Part):
    """A rabbet along the inside of a board: `width` along the face, `depth` of the thickness."""

    width: Reading
    depth: Reading


class EdgeHoleTable(Part):
    """A round hole into the end of a board, by its distance `from` the board at an end of the
    edge, along a curve if it is one. Its middle is `offset` from the outside, else in the middle of
    the board.
    """

    name: str
    diameter: Reading
    depth: Reading
    start: dict[Name, Reading] = Field(alias="from")
    offset: Reading | None = None


class EdgeTable(Part):
    """How an outside edge is shaped: a bevel by width and angle, or a round by radius.

    `end` says how the end of the board that is seen there is painted: with the `art` of the face
    that it lies in, with the `base` coat, or not at all (`left`, for trim or laminate). A
    `moulding` covers a strip of boards' faces, by reading from the sharp edge; it is not painted.
    The board whose end is seen may have a `groove` in it, for trim, or a `rabbet` behind it,
    and `holes` into it.
    """

    bevel: Reading | None = None
    angle: Annotated[float, Field(gt=0, lt=90)] | None = None
    round: Reading | None = None
    end: Finish | None = None
    moulding: Annotated[dict[Name, Reading], Field(min_length=1)] | None = None
    groove: GrooveTable | None = None
    rabbet: RabbetTable | None = None
    holes: tuple[EdgeHoleTable, ...] = ()
