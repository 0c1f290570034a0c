"""The definition's art, settled: which drawing goes where.

Stands after lengths.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mateline.definition.effect import refuse
from mateline.placing.art import Anchored, Art, Cast, Landmarks, Mirrored, OnFaces, Wrapped

if TYPE_CHECKING:
    from mateline.definition.lengths import Ruler
    from mateline.definition.schema import ArtTable

PUT = ("anchor", "to", "offset", "turn", "scale", "fit")  # words that put a drawing down


def art_of(tables: tuple[ArtTable, ...], ruler: Ruler) -> tuple[Art, ...]:
    """All art that says where it goes, back to front; faults go to the ruler."""
    found = []
    for number, table in enumerate(tables, start=1):
        place = f"art {number}"
        _refuse_idle(table, ruler, place)
        where = _where(table, ruler, place)
        put = _put(table, ruler, place)
        if where is not None:
            found.append(
                Art(
                    table.drawing or "",
                    where,
                    put,
                    table.only,
                    table.leave_out,
                    table.reads_one_way,
                    place,
                    _bleed(table, ruler, place),
                )
            )
    return tuple(found)


def _refuse_idle(table: ArtTable, ruler: Ruler, place: str) -> None:
    """Faults for words that say nothing beside another one of the entry."""
    faults = ruler.faults
    if table.mirror:
        why = "beside mirror: the art lies as it does on the face that it is mirrored from"
        words = ("drawing", *PUT, "landmarks", "warp", "reads_one_way", "bleed")
        refuse(table, words, faults, place, why)
    elif "landmarks" in table.model_fields_set:
        why = "beside landmarks, which say where the drawing lies, how it is turned and how large"
        refuse(table, PUT, faults, place, why)
        if not table.landmarks:
            faults.add(f"{place}, landmarks", "It names no landmark.", "Name two, or remove it.")
    if not table.mirror and table.cast is None:
        refuse(table, ("onto",), faults, place, "without cast or mirror")


def _where(table: ArtTable, ruler: Ruler, place: str) -> OnFaces | Wrapped | Cast | Mirrored | None:
    ways = [table.on is not None, bool(table.wrap), table.cast is not None, bool(table.mirror)]
    if sum(ways) != 1:
        ruler.faults.add(
            place,
            f"It says in {sum(ways) or 'no'} ways where it goes.",
            "Give exactly one of on, wrap, cast and mirror.",
        )
        return None
    if table.mirror:
        return Mirrored(table.mirror, table.onto)
    if table.drawing is None:
        ruler.faults.add(place, "It names no drawing.", "Add drawing = the file's name.")
        return None
    if table.cast is not None:
        return Cast(table.cast, table.onto)
    if table.wrap:
        steps = [each.partition(" off ") for each in table.wrap]
        return Wrapped(tuple((name, off or None) for name, _, off in steps))
    return OnFaces((table.on,) if isinstance(table.on, str) else table.on or ())


def _put(table: ArtTable, ruler: Ruler, place: str) -> Anchored | Landmarks:
    if table.landmarks:
        return _landmarks(table, ruler, f"{place}, landmarks")
    if table.ignored_landmarks:
        ruler.faults.add(
            f"{place}, ignored_landmarks",
            "There are no landmarks to ignore.",
            "Add landmarks, or remove this line.",
        )
    if not table.mirror:
        refuse(table, ("warp",), ruler.faults, place, "without landmarks to bend the drawing to")
    if table.fit == "corners":
        why = 'beside fit = "corners", which takes the drawing to every corner of the face'
        refuse(table, PUT[:-1], ruler.faults, place, why)
    across, up = (ruler.length(value, f"{place}, offset") for value in table.offset)
    turn = math.radians(table.turn)
    return Anchored(table.anchor, table.to, (across, up), turn, table.scale, table.fit)


def _bleed(table: ArtTable, ruler: Ruler, place: str) -> float:
    if isinstance(table.bleed, bool):
        return math.inf if table.bleed else 0.0
    return ruler.size(table.bleed, f"{place}, bleed")


def _landmarks(table: ArtTable, ruler: Ruler, where: str) -> Landmarks:
    points, deviations = [], []
    for name, readings in table.landmarks.items():
        x, y = (ruler.distance(reading, f"{where}, {name}") for reading in readings)
        points.append((name, (x.length, y.length)))
        deviations.append(max(x.deviation, y.deviation))
    return Landmarks(tuple(points), tuple(deviations), table.ignored_landmarks, table.warp)
