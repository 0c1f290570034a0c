"""The order from which travel is made shorter: blocks of strokes by the nearest free end.

Stands after euler_trails, before cut_path.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.stencil.cutting.euler_trails import first_node, last_node, reversed_run

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.stencil.cutting.euler_trails import Trail
    from mateline.stencil.cutting.travel import Route


def nearest_first(blocks: Sequence[list[Trail]], route: Route) -> list[Trail]:
    """All strokes of `blocks`, the first block first, each walked from the end that is nearer."""
    firsts = np.array([route.places[first_node(block[0], route.ends)] for block in blocks])
    lasts = np.array([route.places[last_node(block[-1], route.ends)] for block in blocks])
    free = np.ones(len(blocks), dtype=bool)
    at = firsts[0]
    strokes: list[Trail] = []
    for _ in blocks:
        gaps = np.abs(np.stack([firsts, lasts]) - at)
        gaps[:, ~free] = np.inf
        back, index = divmod(int(np.argmin(gaps)), len(blocks))
        free[index] = False
        block = blocks[index]
        strokes += reversed_run(block) if back else block
        at = firsts[index] if back else lasts[index]
    return strokes
