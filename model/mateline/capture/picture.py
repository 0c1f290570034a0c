"""A picture in linear light.

Stands before everything in capture. What a file holds is sRGB; sums, means and places of borders
are right in linear light only, so a picture is turned into it once, when it is read.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """`light` is (rows, columns, 3), red green blue, linear, 0 to 1, row 0 at the top. `file` is
    what messages call it; `dpi` is what a scan says of its size, dots to the inch.
    """

    file: str
    light: Floats
    dpi: float | None = None


def decoded(values: Floats) -> Floats:
    """SRGB values, 0 to 1, in linear light. Source: IEC 61966-2-1:1999, 5.2."""
    bent = ((np.maximum(values, 0.04045) + 0.055) / 1.055) ** 2.4
    return np.where(values <= 0.04045, values / 12.92, bent).astype(np.float32)


def encoded(light: Floats) -> Floats:
    """Linear light, 0 to 1, as sRGB values. Source: IEC 61966-2-1:1999, 5.3."""
    bent = 1.055 * np.maximum(light, 0.0031308) ** (1 / 2.4) - 0.055
    return np.where(light <= 0.0031308, light * 12.92, bent).astype(np.float32)
