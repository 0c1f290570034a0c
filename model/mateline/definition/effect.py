"""Words of the file that have no effect where they stand.

Stands after lengths. A word that contradicts its table is refused, since whoever wrote it meant
something by it; a fact that only waits for its use (a label's hours, a can's size) is told.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from mateline.checks.findings import IdleWord
from mateline.definition.painting import celsius
from mateline.paint.shop import LABEL_DEGREES

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from mateline.definition.schema import DefinitionTable, PaintingTable, PaintTable
    from mateline.definition.tables.part import Part
    from mateline.errors import Faults

ROUND = ("round", "bolt", "countersunk")  # kinds of hardware that look alike however turned
_NAME = re.compile(r"[A-Za-z_]\w*")


def refuse(table: Part, words: Iterable[str], faults: Faults, place: str, why: str) -> None:
    """A fault for each of `words` that the table states."""
    fields = type(table).model_fields
    for word in words:
        if word in table.model_fields_set:
            name = fields[word].alias or word
            faults.add(
                f"{place}, {name}",
                f"It has no effect {why}.",
                "Remove it, or mend what it stands beside.",
            )


def idle_words(table: DefinitionTable) -> tuple[IdleWord, ...]:
    """Facts that the definition states and nothing uses as it is."""
    return (
        *_of_measures(table),
        *_of_tape(table),
        *_of_colours(table),
        *_of_painting(table),
        *_of_hardware(table),
        *_of_art(table),
    )


def _of_measures(table: DefinitionTable) -> Iterator[IdleWord]:
    said = table.model_dump(exclude={"settled": {"__all__": {"because", "says"}}})
    used = {name for text in _texts(said) for name in _NAME.findall(text)}
    for name in table.measures:
        if name not in used:
            yield IdleWord(f"measures, {name}", "no length is reckoned with it")


def _of_tape(table: DefinitionTable) -> Iterator[IdleWord]:
    measured = [
        each
        for carcase in table.carcase
        for each in (carcase.outline, carcase.left, carcase.right)
        if each is not None
    ]
    keys = {key for each in measured for key in each.angles}
    for word, used, what in (
        ("gauge_deg", any(" to " not in key for key in keys), "a bevel gauge"),
        ("level_deg", any(" to " in key for key in keys), "a level"),
    ):
        if word in table.tape.model_fields_set and not used:
            yield IdleWord(f"tape, {word}", f"no angle was taken with {what}")


def _texts(value: object) -> Iterator[str]:
    """All texts that the file gives as values."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for held in value.values():
            yield from _texts(held)
    elif isinstance(value, list | tuple):
        for held in value:
            yield from _texts(held)


def _of_colours(table: DefinitionTable) -> Iterator[IdleWord]:
    for name, paint in table.palette.colours.items():
        place = f"palette, colours, {name}"
        if paint.recoat_hours is not None and paint.coats == 1:
            yield IdleWord(f"{place}, recoat_hours", "it has one coat")
        if paint.dry_film_um is not None and _by_can(paint, table.painting):
            yield IdleWord(
                f"{place}, dry_film_um",
                "a spray can without volume_solids_percent is reckoned by what it covers",
            )


def _by_can(paint: PaintTable, painting: PaintingTable) -> bool:
    """Whether the paint is reckoned by what a can covers."""
    by_can = (paint.method or painting.method) == "can"
    return by_can and paint.volume_solids_percent is None


def _of_painting(table: DefinitionTable) -> Iterator[IdleWord]:
    painting, stated = table.painting, table.painting.model_fields_set
    paints = table.palette.colours.values()
    methods = {paint.method or painting.method for paint in paints}
    if "method" in stated and all(paint.method for paint in paints):
        yield IdleWord("painting, method", "every colour has a method of its own")
    if "degrees" in stated and painting.air is None and painting.surface is None:
        yield IdleWord("painting, degrees", "no temperature is stated")
    if "slower_per_10c" in stated and not _is_cold(painting):
        warm = _label_degrees(painting)
        yield IdleWord("painting, slower_per_10c", f"no air below {warm} is stated")
    if "can_size_ml" in stated and "can" not in methods:
        yield IdleWord("painting, can_size_ml", "nothing is sprayed from cans")
    if "can_covers_m2" in stated and not any(_by_can(paint, painting) for paint in paints):
        yield IdleWord("painting, can_covers_m2", "no can is without volume_solids_percent")
    by_film = {paint.method or painting.method for paint in paints if not _by_can(paint, painting)}
    for method in ("gun", "can", "brush"):
        if getattr(painting.transfer_percent, method) is not None and method not in by_film:
            place = f"painting, transfer_percent, {method}"
            yield IdleWord(place, "no paint that goes on this way is reckoned by its film")


def _label_degrees(painting: PaintingTable) -> str:
    if painting.degrees == "C":
        return f"{LABEL_DEGREES:g} °C"
    return f"{LABEL_DEGREES * 1.8 + 32:g} °F"


def _is_cold(painting: PaintingTable) -> bool:
    if painting.air is None:
        return False
    air = celsius(painting.air) if painting.degrees == "F" else painting.air
    return air < LABEL_DEGREES


def _of_hardware(table: DefinitionTable) -> Iterator[IdleWord]:
    for number, each in enumerate(table.hardware, start=1):
        if "margin" in each.model_fields_set and each.state == "removed":
            yield IdleWord(
                f"hardware {number} ({each.name}), margin",
                "it is removed while painting, and board is cut only round what stays",
            )

        if "turn" in each.model_fields_set and each.kind in ROUND:
            yield IdleWord(f"hardware {number} ({each.name}), turn", "its hole is round")
    for number, group in enumerate(table.group, start=1):
        for place, part in enumerate(group.part, start=1):
            where = f"group {number} ({group.name}), part {place} ({part.name})"
            if "margin" in part.model_fields_set and part.state == "removed":
                yield IdleWord(
                    f"{where}, margin",
                    "it is removed while painting, and board is cut only round what stays",
                )
            if "turn" in part.model_fields_set and part.kind in ROUND:
                yield IdleWord(f"{where}, turn", "its hole is round")


def _of_art(table: DefinitionTable) -> Iterator[IdleWord]:
    if "turned_over" in table.model_fields_set and not any(each.mirror for each in table.art):
        yield IdleWord("turned_over", "no art is mirrored, so no set of stencils is turned over")
