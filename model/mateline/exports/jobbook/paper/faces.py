"""A face's pages in the book for the wall: its key, enlarged parts of it, the page of its passes.

Stands after sheet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shapely import box

from mateline.exports.jobbook.paper.sheet import layout_for, outlines_of, sheet_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from mateline.curves import Point
    from mateline.exports.jobbook.paper.sheet import Sheet
    from mateline.exports.picture.widest import Lines
    from mateline.stencil.stencil import Stencil

    Frames = tuple[tuple[float, float], tuple[float, float]]

NAMED = 700  # ids that a page has room for; a crowded face is enlarged until each part has fewer
FEW = 20  # pieces: a list of so many stands beside its drawing on every face
MOST_PARTS = 6  # along each side of the face


@dataclass(frozen=True, slots=True)
class FaceSheets:
    """The drawings of one face. `parts` enlarge the key where it has no room for every id; `work`
    is the drawing of its passes, and `few` that of those whose list is short, where others have
    lists that fill pages of their own.
    """

    key: Sheet
    parts: tuple[Sheet, ...]
    work: Sheet
    few: Sheet | None = None

    def drawing_of(self, off: int) -> Sheet:
        """The drawing for a pass with so many pieces off."""
        return self.work if self.few is None or off > self.few.layout.holds else self.few


def sheets_for(
    stencil: Stencil,
    places: Lines,
    frames: Frames,
    listed: int,
    marks: Mapping[str, Point],
) -> FaceSheets:
    """Prepare a face: at the most `listed` pieces are off in one of its passes; `marks` are its
    findings' places by their numbers.
    """
    _, _, wide, high = stencil.face.outline.bounds
    whole = layout_for((wide, high), frames, 0)
    outlines = outlines_of(stencil, places, whole.denominator)
    key = sheet_of(outlines, whole, marks=marks)
    parts = tuple(_parts(stencil, places, frames)) if key.missed else ()
    beside = layout_for((wide, high), frames, listed)
    if beside.holds >= listed:
        return FaceSheets(key, parts, sheet_of(outlines, beside))
    few = sheet_of(outlines, layout_for((wide, high), frames, FEW))
    return FaceSheets(key, parts, sheet_of(outlines, whole), few)


def _parts(stencil: Stencil, places: Lines, frames: Frames) -> Sequence[Sheet]:
    """The face in as few parts as name all its pieces, from the upper left, row by row."""
    least = max(2, math.ceil(math.sqrt(len(stencil.pieces) / NAMED)))
    found: list[Sheet] = []
    for count in range(least, MOST_PARTS + 1):
        found = list(_cut_up(stencil, places, frames, count))
        if not any(sheet.missed for sheet in found):
            break
    return found


def _cut_up(stencil: Stencil, places: Lines, frames: Frames, count: int) -> Iterator[Sheet]:
    _, _, wide, high = stencil.face.outline.bounds
    across, up = wide / count, high / count
    layout = layout_for((across, up), frames, 0)
    for row in reversed(range(count)):
        for column in range(count):
            left, low = column * across, row * up
            window = (left, low, left + across, low + up)
            if stencil.face.outline.intersects(box(*window)):
                outlines = outlines_of(stencil, places, layout.denominator, window)
                yield sheet_of(outlines, layout, window)
