"""A face's pages in the book for the wall: its key, enlarged parts of it, the page of its passes.

Stands after sheet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shapely import box

from mateline.exports.jobbook.paper.sheet import layout_for, sheet_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from mateline.curves import Point
    from mateline.exports.jobbook.paper.sheet import Sheet
    from mateline.exports.picture.widest import Lines
    from mateline.stencil.stencil import Stencil

    Frames = tuple[tuple[float, float], tuple[float, float]]

NAMED = 700  # ids that a page has room for; a crowded face is enlarged until each part has fewer
MOST_PARTS = 6  # along each side of the face


@dataclass(frozen=True, slots=True)
class FaceSheets:
    """The drawings of one face. `parts` enlarge the key where it has no room for every id; `work`
    is the drawing of its passes.
    """

    names: Mapping[str, str]
    key: Sheet
    parts: tuple[Sheet, ...]
    work: Sheet


def sheets_for(
    stencil: Stencil,
    places: Lines,
    frames: Frames,
    listed: int,
    marks: Mapping[str, Point],
    *,
    turned: bool = False,
) -> FaceSheets:
    """Prepare a face: at the most `listed` pieces are off in one of its passes; `marks` are its
    findings' places by their numbers; `turned` says that the opposite face's set lies here.
    """
    names = {
        piece.id: _name(piece.id, stencil.face.name, turned=turned) for piece in stencil.pieces
    }
    _, _, wide, high = stencil.face.outline.bounds
    key = sheet_of(stencil, layout_for((wide, high), frames, 0), places, names, marks=marks)
    work = sheet_of(stencil, layout_for((wide, high), frames, listed), places, names)
    parts = tuple(_parts(stencil, places, frames, names)) if key.missed else ()
    return FaceSheets(names, key, parts, work)


def _name(piece: str, face: str, *, turned: bool) -> str:
    home, short = piece.rsplit(" ", 1)
    return f"own {short}" if turned and home == face else short


def _parts(
    stencil: Stencil, places: Lines, frames: Frames, names: Mapping[str, str]
) -> Sequence[Sheet]:
    """The face in as few parts as name all its pieces, from the upper left, row by row."""
    least = max(2, math.ceil(math.sqrt(len(stencil.pieces) / NAMED)))
    found: list[Sheet] = []
    for count in range(least, MOST_PARTS + 1):
        found = list(_cut_up(stencil, places, frames, names, count))
        if not any(sheet.missed for sheet in found):
            break
    return found


def _cut_up(
    stencil: Stencil, places: Lines, frames: Frames, names: Mapping[str, str], count: int
) -> Iterator[Sheet]:
    _, _, wide, high = stencil.face.outline.bounds
    across, up = wide / count, high / count
    layout = layout_for((across, up), frames, 0)
    for row in reversed(range(count)):
        for column in range(count):
            left, low = column * across, row * up
            window = (left, low, left + across, low + up)
            if stencil.face.outline.intersects(box(*window)):
                yield sheet_of(stencil, layout, places, names, window)
