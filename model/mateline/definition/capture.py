"""The definition's photos and tracings, settled.

Stands after lengths. Whether the faces are there shows when the cabinet is built.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mateline.capture.asked import KnownCard, KnownDistance, KnownPlace, Photo, Trace

if TYPE_CHECKING:
    from collections.abc import Collection

    from mateline.definition.lengths import Ruler
    from mateline.definition.tables.capture import PhotoTable, SightTable, TraceTable

FEWEST = 3  # corners of a face


def photos_of(tables: tuple[PhotoTable, ...], ruler: Ruler) -> tuple[Photo, ...]:
    """All photos; faults go to the ruler."""
    return tuple(_photo(table, ruler, f"photo {n}") for n, table in enumerate(tables, start=1))


def _photo(table: PhotoTable, ruler: Ruler, place: str) -> Photo:
    if 0 < len(table.corners) < FEWEST:
        what = f"It names {len(table.corners)} corners, and a face has {FEWEST} at least."
        ruler.faults.add(f"{place}, corners", what, "Name all corners of the face, or none.")
    return Photo(
        table.file,
        table.on,
        table.corners,
        tuple(_sight(n, each, ruler, place) for n, each in table.landmarks.items()),
        tuple(
            KnownDistance(each.between, taken.length, taken.deviation)
            for each in table.distances
            for taken in [ruler.reach(each.reading, f"{place}, distances")]
        ),
        KnownCard(table.card.between, table.card.reflects) if table.card else None,
        place,
    )


def _sight(name: str, table: SightTable, ruler: Ruler, place: str) -> KnownPlace:
    if table.at is None:
        return KnownPlace(name, table.pixel)
    x, y = (ruler.distance(each, f"{place}, landmarks, {name}") for each in table.at)
    return KnownPlace(name, table.pixel, (x.length, y.length), math.hypot(x.deviation, y.deviation))


def traces_of(
    tables: tuple[TraceTable, ...],
    photos: tuple[Photo, ...],
    palette: Collection[str],
    ruler: Ruler,
) -> tuple[Trace, ...]:
    """How faces are traced, each said once; faults go to the ruler."""
    shown = {photo.face for photo in photos}
    faults = ruler.faults
    found: dict[str, Trace] = {}
    for number, table in enumerate(tables, start=1):
        place = f"trace {number}"
        if table.on in found:
            faults.add(f"{place}, on", f"{table.on} is traced twice.", "Keep one entry a face.")
        for word, face in (("on", table.on), ("beside", table.beside)):
            if face is not None and face not in shown:
                what = f"No photo shows {face}."
                faults.add(f"{place}, {word}", what, "Add a [[photo]] of it, or mend the name.")
        for colour in table.colours:
            if colour not in palette:
                faults.unknown(f"{place}, colours", colour, "colour of the palette", palette)
        bare = tuple(each.lower() for each in table.bare)
        found[table.on] = Trace(
            table.on, table.drawing, table.beside, table.true, bare, table.colours, place
        )
    return tuple(found.values())
