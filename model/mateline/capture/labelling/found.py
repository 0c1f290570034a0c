"""Which paints a picture has, where nobody has said: what has large flat areas.

Stands after cells, before light. Wood has grain: no square of sixteen cells of it is of one
colour, so it is no paint. What a paint is called the person says; here it has a number, the largest
first. A paint in areas that do not touch, one in half the light of the other, is found
as two: a palette knows better.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.capture.labelling.cells import flat_cells

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.labelling.cells import Cells

    Floats = NDArray[np.float64]

LEAST = 6  # flat cells that a paint has at least
LOOSE = 0.2  # how far the brightness of one paint may be apart in two places, a share of it
NEAR = 0.01  # linear light: how far its colour may be, beside that
FAR = 2.5  # of those
MOST = 30  # paints
ALIKE = 0.12  # of its brightest band: how far cells of about one colour are apart
PAINT = 0.2  # share of the cells of a colour that are flat: less, and it is wood


def found_paints(cells: Cells) -> Floats:
    """Colours (n, 3), linear, as they are in the picture; those with most flat cells first."""
    from scipy import ndimage  # noqa: PLC0415  slow to import

    sheet = np.full((*cells.shape, 3), np.nan)
    sheet.reshape(-1, 3)[cells.at] = cells.light
    flat = flat_cells(cells)
    areas, count = ndimage.label(flat)
    sizes = np.bincount(areas.ravel(), minlength=count + 1)
    paints: list[Floats] = []
    weights: list[int] = []
    for area in sorted(range(1, count + 1), key=lambda each: (-sizes[each], each)):
        tone = np.median(sheet[areas == area], axis=0) if sizes[area] >= LEAST else None
        if tone is None:
            break
        away = [_away(tone, paint) for paint in paints]
        if away and min(away) < FAR:
            weights[int(np.argmin(away))] += int(sizes[area])
        elif len(paints) < MOST and _even(tone, cells, flat) > PAINT:
            paints.append(tone)
            weights.append(int(sizes[area]))
    order = sorted(range(len(paints)), key=lambda each: (-weights[each], each))
    return np.array([paints[each] for each in order]).reshape(-1, 3)


def _even(tone: Floats, cells: Cells, flat: NDArray[np.bool_]) -> float:
    """Which share of the plain cells of about this colour are flat."""
    alike = np.abs(cells.light - tone).max(axis=1) < ALIKE * float(tone.max())
    return float(flat.ravel()[cells.at[alike]].mean())


def _away(tone: Floats, paint: Floats) -> float:
    """How far a colour is from a paint that may be brighter or darker than where it was met."""
    off = tone - paint
    bright = float((paint**2).sum())
    along = float((off * paint).sum())
    room = NEAR**2 + LOOSE**2 * bright
    squared = float((off**2).sum()) - LOOSE**2 * along**2 / room
    return round(float(np.sqrt(max(squared, 0.0))) / NEAR, 6)
