"""A board as cadquery's own type, for Python code that goes on with cadquery.

Stands after solids. The only module that imports cadquery: no command needs it, and it takes
longer to load than the kernel and model.step together.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cadquery import Solid

from mateline.cabinet.solids import shape

if TYPE_CHECKING:
    from mateline.cabinet.panel import Panel


def solid(panel: Panel) -> Solid:
    """The board with its holes, cabinet frame, mm.

    Raises ValueError where a hole takes all of the board or cuts it in two.
    """
    return Solid(shape(panel))
