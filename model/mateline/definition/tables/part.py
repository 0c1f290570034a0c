"""What all tables of the definition are made of, and the words that many of them share.

Stands first in the room.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Reading = str | int | float
Name = Annotated[str, Field(pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$", max_length=40)]
Corner = Annotated[str, Field(pattern=r"^[A-Za-z][A-Za-z0-9_]*$", max_length=40)]


class Part(BaseModel):
    """Any table of the file: no key is ignored, so a slip of the pen is found."""

    model_config = ConfigDict(extra="forbid", frozen=True)
