"""Which colour each pixel of a face had, and how sure that is.

Stands after face pictures; labelling makes them from one picture, both sides from two, and
tracing draws borders between them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from mateline.capture.face_picture import Grid

OUTSIDE = -1


@dataclass(frozen=True, slots=True, eq=False)
class Labels:
    """`numbers` (rows, columns) int16: which of `colours` (their names) the paint had, everywhere
    inside the outline, behind damage too; OUTSIDE beyond it. `sound` (rows, columns): paint can be
    seen here, so that it is not guessed. `sureness` (rows, columns) float32, 0 to 1: of the pixels
    that have s, a share of s is right. `paints` (colours, 3): each colour as it is in this picture,
    linear light under even white light.
    """

    grid: Grid
    colours: tuple[str, ...]
    numbers: NDArray[np.int16]
    sound: NDArray[np.bool_]
    sureness: NDArray[np.float32]
    paints: NDArray[np.float32]
