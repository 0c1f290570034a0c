"""Readings between corners, as a person writes them down.

Stands after lengths, before the carcases. A key says what was read, its value how long it is:

    A-B = "52 1/4"                          from corner to corner
    A-B = ["52 1/4", "52 5/16"]             the same, read twice
    A = "B 52 1/4, C 58 7/16"               a row of the table: from A to each
    "A-C, B-D" = "58 7/16, 58 3/8"          a pair in one line, or one length that both have
    "C above A-B" = "3 1/8"                 square to a line (a level's offset, if it is level)
    "C along A-B" = "14"                    from A to where a square, or a plumb line, meets it
    "C past A-B" = "2 1/2"                  the same, from B on, beyond the line
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, NamedTuple

from mateline.tape.readings import Readings

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from fractions import Fraction

    from mateline.definition.lengths import Ruler
    from mateline.definition.tables.part import Reading

    Values = Reading | tuple[Reading, ...]

_PAIR = r"(\w+)\s*-\s*(\w+)"
DISTANCE = re.compile(_PAIR)  # "A-B"
_FROM_LINE = re.compile(rf"(\w+)\s+(above|along|past)\s+{_PAIR}")
_LEAN = re.compile(rf"{_PAIR}\s+to\s+{_PAIR}")
_CELL = re.compile(r"([A-Za-z]\w*)\s+(?=\S)(.+)")
_PARTED = re.compile(r"\s*;\s*|,\s+")  # a comma without a space is a decimal one
MOST = 20  # times that one length is read


class _Read(NamedTuple):
    key: tuple[str, ...]  # as `Readings` has it
    values: tuple[Reading, ...]
    where: str


def read_between(
    table: Mapping[str, Values], corners: tuple[str, ...], ruler: Ruler, place: str
) -> Readings:
    """What a table of readings says of these corners; faults go to the ruler."""
    distances: dict[tuple[str, str], Fraction] = {}
    heights: dict[tuple[str, str, str], Fraction] = {}
    alongs: dict[tuple[str, str, str, str], Fraction] = {}
    repeats: dict[tuple[str, ...], tuple[Fraction, ...]] = {}
    for key, values, where in _entries(table, corners, ruler, place):
        names = (key[0], *key[2:]) if len(key) == 4 else key
        known = [known_corner(corner, corners, ruler, where) for corner in names]
        lengths = [ruler.positive(value, where) for value in values]
        if not all(known):
            continue
        if len(set(names)) < len(names):
            ruler.faults.add(where, "It names one corner twice.", "Name different corners.")
            continue
        first, *again = lengths
        if again:
            repeats[key] = tuple(again)
        if len(key) == 2:
            if key in distances or key[::-1] in distances:
                remedy = f'If it was read twice, write {key[0]}-{key[1]} = ["…", "…"].'
                ruler.faults.add(where, "This distance is there already.", remedy)
            distances[key[0], key[1]] = first
        elif len(key) == 3:
            heights[key[0], key[1], key[2]] = first
        else:
            alongs[key[0], key[1], key[2], key[3]] = first
    return Readings(corners, distances, heights, alongs=alongs, repeats=repeats)


def angles_between(
    table: Mapping[str, float], corners: tuple[str, ...], ruler: Ruler, place: str
) -> dict[tuple[str, ...], tuple[float, float]]:
    """Angles and the most that each may be out by, radians; faults go to the ruler."""
    found: dict[tuple[str, ...], tuple[float, float]] = {}
    for text, degrees in table.items():
        where, named = f"{place}, {text}", _LEAN.fullmatch(text.strip())
        key = (text.strip(),) if named is None else named.groups()
        if named is None and not re.fullmatch(r"\w+", text.strip()):
            what = "This is no angle of corners."
            remedy = 'Write B for the angle there, "C-D to A-B" for that between two lines.'
            ruler.faults.add(where, what, remedy)
        elif all(known_corner(corner, corners, ruler, where) for corner in key):
            lines = {frozenset(key[:2]), frozenset(key[2:])}
            if len(key) == 4 and (len(lines) == 1 or any(len(line) == 1 for line in lines)):
                ruler.faults.add(where, "These are not two lines.", "Name four ends of two lines.")
            most = ruler.gauge_deg if len(key) == 1 else ruler.level_deg
            found[key] = math.radians(degrees), math.radians(most)
    return found


def known_corner(corner: str, corners: tuple[str, ...], ruler: Ruler, place: str) -> bool:
    """Whether there is such a corner; if not, a fault."""
    if corner in corners:
        return True
    ruler.faults.unknown(place, corner, "corner", corners)
    return False


def _entries(
    table: Mapping[str, Values], corners: tuple[str, ...], ruler: Ruler, place: str
) -> Iterator[_Read]:
    for text, given in table.items():
        key, where = text.strip(), f"{place}, {text}"
        values = given if isinstance(given, tuple) else (given,)
        if not 0 < len(values) <= MOST:
            what = f"It has {len(values)} readings, and one length is read 1 to {MOST} times."
            ruler.faults.add(where, what, "Keep those that were read.")
        elif (pair := DISTANCE.fullmatch(key)) is not None:
            yield _Read(pair.groups(), values, where)
        elif (line := _FROM_LINE.fullmatch(key)) is not None:
            corner, word, *ends = line.groups()
            yield _Read((corner, *(() if word == "above" else (word,)), *ends), values, where)
        elif len(pairs := _PARTED.split(key)) > 1 and all(map(DISTANCE.fullmatch, pairs)):
            yield from _pairs(pairs, values, ruler, where)
        elif re.fullmatch(r"\w+", key):
            yield from _row(key, values, corners, ruler, where)
        else:
            ruler.faults.add(
                where,
                "This is no reading between corners.",
                'Write "A-B" for a distance, "C above A-B" for a height, "C along A-B" for what a '
                'square or a plumb line shows on A-B, or A = "B 23 1/2, C 51 5/8" for several.',
            )


def _pairs(
    pairs: list[str], values: tuple[Reading, ...], ruler: Ruler, where: str
) -> Iterator[_Read]:
    lengths: list[list[str]] = [_PARTED.split(str(value).strip()) for value in values]
    if any(len(each) not in {1, len(pairs)} for each in lengths):
        what = f"It names {len(pairs)} distances and has not as many lengths."
        ruler.faults.add(where, what, "Give one for each, or one that all have.")
        return
    for at, pair in enumerate(pairs):
        named = DISTANCE.fullmatch(pair)
        if named is not None:
            own = tuple(each[at] if len(each) > 1 else each[0] for each in lengths)
            yield _Read(named.groups(), own, f"{where}, {pair}")


def _row(
    corner: str, values: tuple[Reading, ...], corners: tuple[str, ...], ruler: Ruler, where: str
) -> Iterator[_Read]:
    """The cells of one row of the table: a corner, and how far it is."""
    found: dict[str, list[Reading]] = {}
    for value in values:
        for cell in _PARTED.split(str(value).strip()):
            named = _CELL.fullmatch(cell)
            if named is None or named[1] not in corners:
                what = f"“{cell}” is no corner with its distance from {corner}."
                remedy = (
                    f'Write {corner} = "{_other(corner, corners)} 23 1/2", with commas between.'
                )
                ruler.faults.add(where, what, remedy)
                return
            found.setdefault(named[1], []).append(named[2])
    for other, lengths in found.items():
        yield _Read((corner, other), tuple(lengths), f"{where}, {other}")


def _other(corner: str, corners: tuple[str, ...]) -> str:
    return next((each for each in corners if each != corner), "B")
